"""Whom to call before the season: who bought before, how much a season, when they usually ask."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from statistics import median_low

from orders.models import Customer, Order
from orders.selectors.parts import WantedBy

LOOKS_BACK = timedelta(days=3 * 365)
LATELY = timedelta(days=150)  # whoever asked since then is served already
CALLED_LATELY = timedelta(days=120)
MOST_SHOWN = 100
GONE = (Order.State.DECLINED, Order.State.CANCELLED)


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRow(WantedBy):
    """Somebody to call. usual_on: about when they ask, this year or next. cords: of a usual year."""

    is_landline: bool
    last_number: int
    last_on: date
    orders: int
    usual_on: date


def call_list(on: date) -> tuple[CallRow, ...]:
    """Those who bought in three years and have not asked lately, by when they usually ask; two queries."""
    theirs: dict[int, list[Order]] = defaultdict(list)
    for order in (
        Order.objects.filter(asked_on__gte=on - LOOKS_BACK).exclude(state__in=GONE).order_by("asked_on")
    ):
        theirs[order.customer_id].append(order)
    people = Customer.objects.filter(pk__in=list(theirs), erased_at__isnull=True)
    rows = [
        _row(person, theirs[person.pk], on=on)
        for person in people.exclude(called_on__gt=on - CALLED_LATELY)
        if theirs[person.pk][-1].asked_on <= on - LATELY
    ]
    return tuple(sorted(rows, key=lambda row: (row.usual_on, row.name))[:MOST_SHOWN])


def _row(person: Customer, orders: list[Order], *, on: date) -> CallRow:
    last = orders[-1]
    years = {order.asked_on.year for order in orders}
    day = median_low([order.asked_on.timetuple().tm_yday for order in orders])
    usual = date(on.year, 1, 1) + timedelta(days=day - 1)
    if usual < on - timedelta(days=30):
        usual = date(on.year + 1, 1, 1) + timedelta(days=day - 1)
    return CallRow(
        id=person.pk,
        name=person.name,
        phone=person.phone or person.phone_as_typed,
        is_landline=person.is_landline,
        language=person.language,
        last_number=last.number,
        last_on=last.asked_on,
        wood=last.wood,
        dryness=last.dryness,
        cords=sum((order.cords for order in orders), Fraction(0)) / len(years),
        orders=len(orders),
        usual_on=usual,
    )
