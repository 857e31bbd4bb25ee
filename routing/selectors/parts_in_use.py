"""Which parts of the app the books have come to need: the rest is seen only by who looks for it."""

from collections.abc import Callable

from django.contrib.auth import get_user_model

from inventory.core.once import once_a_page
from inventory.models import Lot, Yard
from orders.models import Claim, Order
from routing.models import Day

WAITING = (Order.State.CONFIRMED, Order.State.PLANNED)


@once_a_page
def has_deliveries() -> bool:
    """Whether any wood was ever promised to be driven out."""
    return Day.objects.exists() or Order.objects.filter(state__in=WAITING, how=Order.How.DELIVERED).exists()


def is_in_use(part: str, *, drivers_group: str) -> bool:
    """Whether the first use of "days", "driver", "pool", "moves", "readings" or "claims" has come."""
    asked: dict[str, Callable[[], bool]] = {
        "days": has_deliveries,
        "driver": get_user_model().objects.filter(groups__name=drivers_group).exists,
        "pool": Order.objects.filter(market__is_far=True).exists,
        "moves": lambda: Yard.objects.count() > 1,
        "readings": Lot.objects.filter(form=Lot.Form.SPLITS, sale=Lot.Sale.FOR_SALE).exists,
        "claims": Claim.objects.exists,
    }
    return asked[part]()
