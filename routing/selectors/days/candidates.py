"""Orders that may go on a day, the most pressing first."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from django.db.models import Q, QuerySet

from orders.models import Order, OrderHold
from orders.selectors.parts import ListedOrder, NamedOrder
from routing.models import Rig, Stop
from routing.selectors.rigs import RigRow

WAITING = (Order.State.CONFIRMED, Order.State.PLANNED)


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateRow(ListedOrder):
    """A confirmed order that may go on the day."""

    window_from: time
    window_to: time
    yards: tuple[str, ...]
    is_last_day: bool
    is_on_the_day: bool
    is_suggested: bool
    other_day: date | None  # a plan of another day has it already


def rigs_suggested(candidates: Iterable[CandidateRow], rigs: Sequence[RigRow]) -> list[int]:
    """Which rigs go out: the largest, and the small ones where a suggested order is reached by those only."""
    wants_small = any(row.is_suggested and row.small_rig_only for row in candidates)
    largest = max(rigs, key=lambda rig: rig.capacity_ft3, default=None)
    return [rig.id for rig in rigs if rig == largest or (wants_small and rig.is_small)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing(NamedOrder):
    """Where an order to deliver stands. on: the planned day; rig_id: its rig, else the one it would take."""

    first_on: date
    last_on: date
    on: date | None
    rig_id: int | None


def standing_of(number: int) -> Standing | None:
    """An order that may be put on a day; None when it may not."""
    rows = Order.objects.filter(number=number, state__in=WAITING, how=Order.How.DELIVERED)
    order = rows.select_related("customer").first()
    if order is None:
        return None
    stop = (
        Stop.objects.filter(order=order, state=Stop.State.PLANNED)
        .select_related("load__run__day")
        .order_by("load__run__day__on")
        .first()
    )
    working = [rig for rig in Rig.objects.filter(works=True) if rig.is_small or not order.small_rig_only]
    largest = max(working, key=lambda rig: rig.capacity_ft3, default=None)
    return Standing(
        number=number,
        customer=order.customer.name,
        first_on=order.first_on,
        last_on=order.last_on,
        on=stop.load.run.day.on if stop else None,
        rig_id=stop.load.run.rig_id if stop else largest.pk if largest else None,
    )


def candidates_between(first: date, last: date) -> tuple[CandidateRow, ...]:
    """Confirmed orders that may come on some day between two dates, the most pressing first."""
    orders = (
        Order.objects.filter(state=Order.State.CONFIRMED, how=Order.How.DELIVERED)
        .filter(first_on__lte=last, last_on__gte=first)
        .select_related("customer", "place__town")
    )
    return _candidates_of(orders.order_by("number"), first, last, set())


def candidates_on(on: date, here: set[int]) -> tuple[CandidateRow, ...]:
    """Confirmed orders, those that suit the day first; far orders wait in the pool until chosen."""
    orders = (
        Order.objects.filter(state__in=WAITING, how=Order.How.DELIVERED)
        .filter(Q(number__in=here) | Q(state=Order.State.CONFIRMED) | Q(promised_on=on))
        .filter(Q(number__in=here) | Q(first_on__lte=on + timedelta(days=14)))
        .select_related("customer", "place__town")
        .order_by("number")
    )
    return _candidates_of(orders, on, on, here)


def _candidates_of(
    found: QuerySet[Order], first: date, last: date, here: set[int]
) -> tuple[CandidateRow, ...]:
    orders = list(found)
    elsewhere = dict(
        Stop.objects.filter(order__in=orders, state=Stop.State.PLANNED)
        .exclude(load__run__day__on__range=(first, last))
        .values_list("order_id", "load__run__day__on")
    )
    yards: dict[int, set[str]] = defaultdict(set)
    links = OrderHold.objects.filter(order__in=[order.pk for order in orders], hold__state="standing")
    for order_id, yard in links.values_list("order_id", "hold__lot__yard__name"):
        yards[order_id].add(yard)
    rows = [
        _candidate(order, first, last, order.number in here, yards[order.pk], elsewhere.get(order.pk))
        for order in orders
    ]
    return tuple(sorted(rows, key=lambda row: (not row.is_suggested, row.last_on, row.number)))


def _candidate(
    order: Order, first: date, last: date, is_here: bool, yards: set[str], other_day: date | None
) -> CandidateRow:
    suits = order.first_on <= last and order.last_on >= first
    promised_else = order.promised_on is not None and not first <= order.promised_on <= last
    return CandidateRow.of(
        order,
        yards=tuple(sorted(yards)),
        is_last_day=order.last_on <= last,
        is_on_the_day=is_here,
        is_suggested=is_here or (suits and not order.is_pool and not promised_else and not other_day),
        other_day=other_day,
    )
