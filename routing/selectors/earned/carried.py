"""The hours and receipts written down for lots, told on the days their wood was sold."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import F, Sum

from inventory.core.once import once_a_page
from inventory.models import Expense, Lot, Movement, WorkEntry
from routing.earned.carried import Heap, Put, carry
from routing.earned.worth import Earned

NONE = Put(hours=Fraction(0), cash=Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedWork:
    """Work as entries of the days wood was sold, and what waits in wood not sold."""

    entries: tuple[Earned, ...]
    waiting: Put


def carried_work(first: date, last: date, *, since: date | None) -> CarriedWork:
    """What was put into lots after `since`, by the day of the sale; constant queries.

    Work on wood that is in no heap any more (counted away) stays on its own day.
    """
    found = _carried(since)
    return replace(found, entries=tuple(one for one in found.entries if first <= one.on <= last))


@once_a_page
def _carried(since: date | None) -> CarriedWork:
    entries, waiting = [], NONE
    for heap, own in _heaps(_put(since), since):
        if not heap.left and not heap.sold:
            entries += [Earned(on=on, yard_hours=one.hours, cash_out=one.cash) for on, one in own.items()]
            continue
        carried = carry(heap)
        entries += [
            Earned(on=on, yard_hours=one.hours, cash_out=one.cash) for on, one in carried.by_day.items()
        ]
        waiting = _sum(waiting, carried.waiting)
    return CarriedWork(entries=tuple(entries), waiting=waiting)


def _put(since: date | None) -> dict[int, dict[date, Put]]:
    """Hours and dollars by lot and day."""
    after = {"on__gt": since} if since else {}
    found: dict[int, dict[date, Put]] = defaultdict(dict)
    work = WorkEntry.objects.filter(lot__isnull=False, **after).exclude(job=WorkEntry.Job.DELIVER)
    for lot_id, on, hours in work.order_by().values_list("lot_id", "on").annotate(sum=Sum("hours_likely")):
        found[lot_id][on] = Put(hours=Fraction(hours), cash=Decimal(0))
    spent = Expense.objects.filter(lot__isnull=False, **after)
    for lot_id, on, cash in spent.order_by().values_list("lot_id", "on").annotate(sum=Sum("dollars")):
        found[lot_id][on] = _sum(found[lot_id].get(on, NONE), Put(hours=Fraction(0), cash=cash))
    return found


def _heaps(put: dict[int, dict[date, Put]], since: date | None) -> list[tuple[Heap, dict[date, Put]]]:
    """Heaps that work was put into, each with that work by its own day."""
    root = _roots()
    after = {"on__gt": since} if since else {}
    sold: dict[int, dict[date, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    left: dict[int, Fraction] = defaultdict(Fraction)
    gone = Movement.objects.filter(kind__in=(Movement.Kind.SOLD, Movement.Kind.OWN_USE), **after)
    for lot_id, kind, on, cords in gone.values_list("lot_id", "kind", "on", "cords"):
        if kind == Movement.Kind.SOLD:
            sold[root.get(lot_id, lot_id)][on] -= cords
        else:
            left[root.get(lot_id, lot_id)] -= cords
    for lot_id, cords in Lot.objects.filter(on_hand_cords__gt=0).values_list("pk", "on_hand_cords"):
        left[root.get(lot_id, lot_id)] += cords
    own: dict[int, dict[date, Put]] = defaultdict(dict)
    for lot_id, days in put.items():
        mine = own[root.get(lot_id, lot_id)]
        for on, one in days.items():
            mine[on] = _sum(mine.get(on, NONE), one)
    found = []
    for key, days in own.items():
        whole = NONE
        for one in days.values():
            whole = _sum(whole, one)
        found.append((Heap(put=whole, sold=dict(sold[key]), left=left[key]), days))
    return found


def _roots() -> dict[int, int]:
    """The heap of each lot that came of another, was put onto one, or gave a part: by union of both."""
    root: dict[int, int] = {}

    def top(lot_id: int) -> int:
        while root.get(lot_id, lot_id) != lot_id:
            lot_id = root[lot_id]
        return lot_id

    pairs = Movement.objects.filter(peer__isnull=False).exclude(peer=F("lot"))
    for one, other in pairs.order_by().values_list("lot_id", "peer_id").distinct():
        low, high = sorted((top(one), top(other)))
        root[high] = low
        root.setdefault(low, low)
    return {lot_id: top(lot_id) for lot_id in list(root)}


def _sum(one: Put, other: Put) -> Put:
    return Put(hours=one.hours + other.hours, cash=one.cash + other.cash)
