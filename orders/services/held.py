"""The wood that is held for an order, and its bundles as cords."""

from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction

from inventory.core.units import bundle_cords
from inventory.models import Hold, Lot
from inventory.services.holds import release_hold
from orders.models import Order, OrderHold


def standing_holds(order: Order) -> list[Hold]:
    """The holds that still stand for an order."""
    links = OrderHold.objects.filter(order=order).select_related("hold", "hold__lot")
    return [link.hold for link in links if link.hold.state == Hold.State.STANDING]


def release_holds(order: Order, *, at: datetime) -> None:
    """Give back what is still held for an order. Runs inside the caller's transaction."""
    for hold in standing_holds(order):
        release_hold(hold_id=hold.pk, at=at)


def cords_of_bundles(bundles: int, lots: Iterable[Lot]) -> Fraction:
    """Kindling bundles as cords of their lot's own bundle volume."""
    if not bundles:
        return Fraction(0)
    volumes = [lot.bundle_ft3 for lot in lots if lot.form == Lot.Form.KINDLING and lot.bundle_ft3]
    return bundle_cords(bundles, volumes[0]) if volumes else Fraction(0)


def bundle_cords_in_stock(bundles: int) -> Fraction:
    """Bundles as cords of the kindling that is for sale."""
    return cords_of_bundles(bundles, Lot.objects.filter(form=Lot.Form.KINDLING, sale=Lot.Sale.FOR_SALE))
