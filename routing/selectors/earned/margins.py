"""What loads leave: planned from the plan's rows, actual once the run is home.

An order over all its loads is in `order_margins`; the split of a load's drive is in `kept_splits`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from inventory.core.dates import short_day
from inventory.core.rows import from_row
from inventory.selectors.business import BusinessRow, business
from routing.earned.margins import LoadMargin, Margin, added_up, margins_of_load
from routing.earned.shares import Share
from routing.models import Day, Load, Run, Stop
from routing.selectors.earned.as_driven import actual_margins
from routing.selectors.earned.kept_splits import LoadReckoning, Split, splits_of
from routing.selectors.earned.load_parts import Facts, LoadPart, parts_of, sale_of
from routing.selectors.runs.run_rows import LoadRow, WholeRun, run_rows

STATE_WORDS = {state.value: str(state.label) for state in Stop.State}


@dataclass(frozen=True, slots=True, kw_only=True)
class DropEarned(LoadPart):
    """An order's wood on a load and what it leaves. `actual` is None until the run is home."""

    planned: Margin
    actual: Margin | None
    share: Share

    @property
    def latest(self) -> Margin:
        """The actual margin where there is one, else the planned."""
        return self.actual or self.planned

    @property
    def state_words(self) -> str:
        return STATE_WORDS[self.stop.state]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadEarned(LoadReckoning):
    """One load and what it leaves: of a draft, committed and still to drive, or driven."""

    run: WholeRun
    row: LoadRow
    name: str
    planned: LoadMargin | None
    actual: Margin | None
    drops: tuple[DropEarned, ...]

    @property
    def is_home(self) -> bool:
        return self.run.actual_home_at is not None

    @property
    def is_draft(self) -> bool:
        is_planned = self.run.day_state in (Day.State.OPEN, Day.State.DRAFT)
        return is_planned and self.run.actual_leave_at is None

    @property
    def latest(self) -> Margin | None:
        """The actual margin where there is one, else the planned."""
        return self.actual or (self.planned.whole if self.planned else None)


def months_with_loads() -> tuple[date, ...]:
    """First days of the months that have loads, newest first."""
    days = Day.objects.filter(Exists(Load.objects.filter(run__day=OuterRef("pk")))).order_by("-on")
    return tuple(dict.fromkeys(on.replace(day=1) for on in days.values_list("on", flat=True)))


def loads_earned(first: date, last: date) -> tuple[LoadEarned, ...]:
    """Every load of some days and what it leaves, newest day first; the same few queries however many."""
    return earned_of(Run.objects.filter(day__on__gte=first, day__on__lte=last), business())


def load_earned(load_id: int) -> LoadEarned | None:
    """One load and what it leaves."""
    loads = earned_of(Run.objects.filter(loads__id=load_id), business())
    return next((load for load in loads if load.row.id == load_id), None)


def earned_of(runs: QuerySet[Run], seller: BusinessRow) -> tuple[LoadEarned, ...]:
    """The loads of some runs and what they leave, newest day first."""
    rows = run_rows(runs)
    facts = Facts.of(rows, seller)
    splits = splits_of(rows)
    return tuple(earned for run in rows for earned in _run_earned(run, facts, splits))


def _run_earned(run: WholeRun, facts: Facts, splits: Mapping[int, Split]) -> tuple[LoadEarned, ...]:
    names = {load.id: f"{short_day(run.on)}, load {load.sequence}" for load in run.loads}
    parts = {load.id: parts_of(load, facts) for load in run.loads}
    planned = {
        load.id: _planned(run, parts[load.id], splits[load.id], name=names[load.id]) for load in run.loads
    }
    actual = actual_margins(run, parts, planned, facts, splits)
    return tuple(
        _load_earned(
            run,
            load,
            splits[load.id],
            name=names[load.id],
            planned=planned[load.id],
            actual=actual.get(load.id, ()),
            parts=parts[load.id],
        )
        for load in run.loads
    )


def _planned(run: WholeRun, parts: Sequence[LoadPart], split: Split, *, name: str) -> LoadMargin | None:
    if split.shares is None:
        return None
    return margins_of_load(
        [sale_of(part) for part in parts],
        shares=split.shares,
        rule=split.rule,
        name=name,
        crew_wage=split.crew_wage(run),
    )


def _load_earned(
    run: WholeRun,
    load: LoadRow,
    split: Split,
    *,
    name: str,
    planned: LoadMargin | None,
    actual: tuple[Margin, ...],
    parts: Sequence[LoadPart],
) -> LoadEarned:
    return from_row(
        LoadEarned,
        split,
        run=run,
        row=load,
        name=name,
        planned=planned,
        actual=added_up(actual, name=name) if actual else None,
        drops=tuple(
            from_row(
                DropEarned,
                part,
                planned=order,
                actual=actual[place] if actual else None,
                share=planned.shares.of(str(part.stop.number)),
            )
            for place, (part, order) in enumerate(zip(parts, planned.orders, strict=True))
        )
        if planned
        else (),
    )
