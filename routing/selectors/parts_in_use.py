"""Which parts of the app the books have come to need: the rest is seen only by who looks for it."""

from django.contrib.auth import get_user_model

from inventory.models import Lot, Yard
from orders.models import Claim, Order
from routing.models import Day

WAITING = (Order.State.CONFIRMED, Order.State.PLANNED)


def has_deliveries() -> bool:
    """Whether any wood was ever promised to be driven out."""
    return Day.objects.exists() or Order.objects.filter(state__in=WAITING, how=Order.How.DELIVERED).exists()


def parts_in_use(*, drivers_group: str) -> tuple[str, ...]:
    """Parts whose first use has come: "days", "driver", "pool", "moves", "readings",
    "claims"."""
    found = {
        "days": has_deliveries(),
        "driver": get_user_model().objects.filter(groups__name=drivers_group).exists(),
        "pool": Order.objects.filter(market__is_far=True).exists(),
        "moves": Yard.objects.count() > 1,
        "readings": Lot.objects.filter(form=Lot.Form.SPLITS, sale=Lot.Sale.FOR_SALE).exists(),
        "claims": Claim.objects.exists(),
    }
    return tuple(part for part, is_used in found.items() if is_used)
