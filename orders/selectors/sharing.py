"""Neighbors: which order another may share its drop and drive with, and who shares with whom."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q
from django.utils import timezone

from orders.core import lifecycle
from orders.core.sharing import half_of, neighbors_part
from orders.models import Order
from orders.selectors.parts import NamedOrder, PlaceView

OPEN = (Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED)
ENDED = (Order.State.DECLINED, Order.State.CANCELLED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbor:
    """The first of two orders to one drop.

    Units
        half: dollars of its drive that the second order pays; cords: already to be brought there.
    """

    id: int
    number: int
    on: date
    place: PlaceView
    half: Decimal
    cords: Fraction
    small_rig_only: bool


def may_be_joined(order: Order, *, at: datetime, cut_off_hour: int) -> Neighbor | None:
    """The order as one to share with; None while its day or its place is not sure, or too late, or taken."""
    on = order.promised_on or (order.first_on if order.first_on == order.last_on else None)
    place = order.place
    if on is None or place is None or place.lat is None or not place.is_confirmed:
        return None
    if order.how != Order.How.DELIVERED or order.market.is_far or order.neighbor_id is not None:
        return None
    if not lifecycle.may_customer_change(
        lifecycle.State(order.state), day=on, now=timezone.localtime(at), hour=cut_off_hour
    ):
        return None
    if order.joined_by.exclude(state__in=ENDED).exists():
        return None
    return Neighbor(
        id=order.pk,
        number=order.number,
        on=on,
        place=PlaceView.of(place),
        half=neighbors_part(order.reasons) or order.drive_dollars - half_of(order.drive_dollars),
        cords=order.cords,
        small_rig_only=order.small_rig_only,
    )


def neighbor(number: int, *, at: datetime, cut_off_hour: int) -> Neighbor | None:
    """The order by its number, while it may be joined."""
    order = Order.objects.select_related("place__town", "market").filter(number=number).first()
    return None if order is None else may_be_joined(order, at=at, cut_off_hour=cut_off_hour)


def shares_with(number: int) -> int | None:
    """The number of the order that shares its drop with this one, first or second; None alone."""
    order = Order.objects.select_related("neighbor").filter(number=number).first()
    if order is None:
        return None
    if order.neighbor is not None:
        return None if order.neighbor.state in ENDED else order.neighbor.number
    return order.joined_by.exclude(state__in=ENDED).values_list("number", flat=True).first()


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone(NamedOrder):
    """An order whose neighbor's has ended: it keeps its price.

    Units
        dollars: of the drive that nobody pays the seller.
    """

    dollars: Decimal


def left_alone(number: int | None = None) -> tuple[LeftAlone, ...]:
    """Open orders that share a drive with nobody any more, or this one if it is among them; in one query."""
    # above 0, not IS NOT NULL: for that SQLite would read the whole table
    joining = Order.objects.filter(neighbor__gt=0).order_by().values("neighbor")
    rows = (
        Order.objects.filter(state__in=OPEN)
        .filter(Q(neighbor__state__in=ENDED) | Q(pk__in=joining.filter(state__in=ENDED)))
        .exclude(pk__in=joining.exclude(state__in=ENDED))
        .select_related("customer", "neighbor")
        .order_by("first_on", "number")
    )
    rows = rows if number is None else rows.filter(number=number)
    alone = (LeftAlone(number=row.number, customer=row.customer.name, dollars=_unpaid(row)) for row in rows)
    return tuple(row for row in alone if row.dollars > 0)


def goes_on_alone(number: int) -> int | None:
    """The order that counted on sharing the drive with one that has ended; None where none did.

    It keeps the price that was promised: nobody pays more because of what a neighbor does.
    """
    ended = Order.objects.select_related("neighbor").filter(number=number, state__in=ENDED).first()
    if ended is None:
        return None
    first = ended.neighbor
    if first is not None:
        return first.number if first.state in OPEN and neighbors_part(first.reasons) else None
    return ended.joined_by.filter(state__in=OPEN).values_list("number", flat=True).first()


def _unpaid(order: Order) -> Decimal:
    """What the one that ended would have paid of the drive."""
    first = order.neighbor
    if first is None:
        return neighbors_part(order.reasons)
    return first.drive_dollars if neighbors_part(first.reasons) else half_of(first.drive_dollars)
