"""The day as a board: each run's line of time, and what its hours earn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.core.money import dollars
from inventory.core.sentences import ENGLISH
from inventory.selectors.spoken import reader_language
from routing.core.day_clock import seconds_of
from routing.maps.run_strip import HOUR, draw_strip
from routing.models import Load, Run
from routing.selectors.earned.margins import LoadEarned, loads_earned
from routing.selectors.runs.runs import RunView


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """What hours earn: the cash that wood and road leave, over the hours paid and those in the wood.

    Units
        cash: dollars; hours exact.
    """

    cash: Decimal = Decimal(0)
    hours: Fraction = Fraction(0)

    @property
    def per_hour(self) -> Decimal | None:
        """Dollars an hour; None without hours."""
        return dollars(Fraction(self.cash) / self.hours) if self.hours > 0 else None

    def plus(self, *, cash: Decimal = Decimal(0), hours: Fraction = Fraction(0)) -> "Hours":
        """With more of both."""
        return Hours(cash=self.cash + cash, hours=self.hours + hours)

    def after(self, *, road_cents: int, seconds: int) -> "Hours":
        """When the road takes so many cents more and the day so many seconds."""
        return self.plus(cash=-Decimal(road_cents) / 100, hours=Fraction(seconds, HOUR))


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRun:
    """One run on the board. place: its number that day, from 0; per_hour: None while it can't be figured."""

    run: RunView
    place: int
    letter: str
    strip: str
    per_hour: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The runs of a day; hours: what they earn together, None while one can't be figured."""

    runs: tuple[BoardRun, ...]
    hours: Hours | None


def board_of(runs: Sequence[RunView]) -> Board:
    """The runs of one day; their lines of time share one scale."""
    if not runs:
        return Board(runs=(), hours=None)
    earned = _hours_by_run(runs[0].on, {run.id: run.paid_seconds for run in runs})
    first = min(seconds_of(run.leaves_at) for run in runs)
    last = max(seconds_of(run.home_at) for run in runs)
    first, last = first // (HOUR // 2) * (HOUR // 2), -(-last // (HOUR // 2)) * (HOUR // 2)
    rows = tuple(
        BoardRun(
            run=run,
            place=place,
            letter="abc"[place % 3],
            strip=draw_strip(
                run.halts,
                leaves_s=seconds_of(run.leaves_at),
                first_s=first,
                last_s=last,
                run=place,
                says=_says(run),
                load=_("Load %(number)s"),
                counts_to_24=reader_language() != ENGLISH,
            ),
            per_hour=earned[run.id].per_hour if run.id in earned else None,
        )
        for place, run in enumerate(runs)
    )
    return Board(runs=rows, hours=_together(earned, len(runs)))


def hours_of_day(on: date) -> Hours | None:
    """What the hours of a planned day earn; None without runs, and while one can't be figured."""
    runs = Run.objects.filter(Exists(Load.objects.filter(run=OuterRef("pk"))), day__on=on)
    paid = dict(runs.values_list("pk", "paid_seconds"))
    return _together(_hours_by_run(on, paid), len(paid)) if paid else None


def _hours_by_run(on: date, paid_seconds: Mapping[int, int]) -> Mapping[int, Hours]:
    """As planned; runs with a load that can't be figured are left out."""
    loads: dict[int, list[LoadEarned]] = {}
    for load in loads_earned(on, on):
        loads.setdefault(load.run.id, []).append(load)
    found = {}
    for run_id, seconds in paid_seconds.items():
        margins = [load.planned.whole if load.planned else None for load in loads.get(run_id, ())]
        known = [margin for margin in margins if margin is not None]
        if known and len(known) == len(margins):
            found[run_id] = Hours(
                cash=sum((margin.cash_left for margin in known), Decimal(0)),
                hours=Fraction(seconds, HOUR) + sum((margin.wood_hours for margin in known), Fraction(0)),
            )
    return found


def _together(earned: Mapping[int, Hours], runs: int) -> Hours | None:
    if len(earned) < runs:
        return None
    whole = Hours()
    for hours in earned.values():
        whole = whole.plus(cash=hours.cash, hours=hours.hours)
    return whole


def _says(run: RunView) -> str:
    waits = sum(drop.waits_minutes for drop in run.drops)
    loads, drops = len(run.loads), len(run.drops)
    said = [
        ngettext("{count} load", "{count} loads", loads).format(count=loads),
        ngettext("{count} drop", "{count} drops", drops).format(count=drops),
    ]
    if waits:
        said.append(_("{minutes} minutes of waiting").format(minutes=waits))
    return f"{run.rig}: {', '.join(said)}"
