"""A week of days side by side: what goes when, and what waits for a day."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from fractions import Fraction

from orders.selectors.parts import NamedOrder
from routing.models import Stop
from routing.selectors.days.candidates import CandidateRow, candidates_between
from routing.selectors.days.day_list import DayRow, days_list

DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekDrop(NamedOrder):
    """An order on a day. letter: its run that day, for its look; parts: drops it comes in."""

    town: str
    cords: Fraction
    bundles: int
    wood: str
    begin_at: time | None
    rig: str
    letter: str
    parts: int
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekDay:
    """One column."""

    row: DayRow
    drops: tuple[WeekDrop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekBoard:
    """The days, and the confirmed orders for them that stand on none."""

    days: tuple[WeekDay, ...]
    waiting: tuple[CandidateRow, ...]


def week_board(first: date, *, today: date) -> WeekBoard:
    """Seven days from a date; constant queries."""
    last = first + timedelta(days=DAYS - 1)
    drops = _drops(first, last)
    placed = {drop.number for of_day in drops.values() for drop in of_day}
    waiting = (
        row for row in candidates_between(first, last) if row.number not in placed and not row.other_day
    )
    return WeekBoard(
        days=tuple(
            WeekDay(row=row, drops=drops.get(row.on, ())) for row in days_list(first, days=DAYS, today=today)
        ),
        waiting=tuple(waiting),
    )


def _drops(first: date, last: date) -> Mapping[date, tuple[WeekDrop, ...]]:
    stops = Stop.objects.filter(load__run__day__on__range=(first, last)).select_related(
        "order__customer", "order__place__town", "load__run__rig", "load__run__day"
    )
    by_order: dict[tuple[date, int], list[Stop]] = defaultdict(list)
    rigs: dict[date, list[int]] = defaultdict(list)
    for stop in stops.order_by("load__run__rig", "begin_at"):
        run = stop.load.run
        if run.rig_id not in rigs[run.day.on]:
            rigs[run.day.on].append(run.rig_id)
        by_order[run.day.on, stop.order.number].append(stop)
    found: dict[date, list[WeekDrop]] = defaultdict(list)
    for (on, _), parts in by_order.items():
        found[on].append(_drop(parts, rigs[on]))
    return {on: tuple(rows) for on, rows in found.items()}


def _drop(parts: list[Stop], rigs: list[int]) -> WeekDrop:
    first = parts[0]
    order, run = first.order, first.load.run
    return WeekDrop(
        number=order.number,
        customer=order.customer.name,
        town=order.place.town.name if order.place and order.place.town else "",
        cords=sum((stop.cords for stop in parts), Fraction(0)),
        bundles=sum(stop.bundles for stop in parts),
        wood=order.wood,
        begin_at=first.begin_at,
        rig=run.rig.name,
        letter="abc"[rigs.index(run.rig_id) % 3],
        parts=len(parts),
        is_open=all(stop.state == Stop.State.PLANNED for stop in parts),
    )
