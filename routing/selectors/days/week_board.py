"""A week of days side by side: what goes when, and what waits for a day."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from routing.models import Stop
from routing.selectors.days.candidates import CandidateRow, candidates_between
from routing.selectors.days.day_list import DayRow, days_list
from routing.selectors.runs.run_rows import OrderStop, stop_rows

DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekDrop:
    """An order on a day, its parts added up; `stop` is the first. letter: its run that day, for its look.

    parts: drops it comes in.
    """

    stop: OrderStop
    cords: Fraction
    bundles: int
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
    placed = {drop.stop.number for of_day in drops.values() for drop in of_day}
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
    stops = Stop.objects.filter(load__run__day__on__range=(first, last)).order_by(
        "load__run__rig", "begin_at"
    )
    by_order: dict[tuple[date, int], list[tuple[OrderStop, str]]] = defaultdict(list)
    rigs: dict[date, dict[str, str]] = defaultdict(dict)
    for stop, (on, rig) in stop_rows(stops, "load__run__day__on", "load__run__rig__name"):
        rigs[on].setdefault(rig, "abc"[len(rigs[on]) % 3])
        by_order[on, stop.order_id].append((stop, rig))
    found: dict[date, list[WeekDrop]] = defaultdict(list)
    for (on, _), parts in by_order.items():
        first_stop, rig = parts[0]
        found[on].append(
            WeekDrop(
                stop=first_stop,
                cords=sum((stop.cords for stop, _ in parts), Fraction(0)),
                bundles=sum(stop.bundles for stop, _ in parts),
                rig=rig,
                letter=rigs[on][rig],
                parts=len(parts),
                is_open=all(stop.state == Stop.State.PLANNED for stop, _ in parts),
            )
        )
    return {on: tuple(rows) for on, rows in found.items()}
