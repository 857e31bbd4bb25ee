"""One day with all that touches it."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from inventory.core.kept import kept
from inventory.core.rows import from_row
from inventory.core.sentences import Sentence
from orders.models import Order
from orders.selectors.parts import NamedOrder
from routing.models import Day
from routing.selectors.days.candidates import CandidateRow, candidates_on
from routing.selectors.days.day_list import DayFigures, pick_ups_on
from routing.selectors.days.driver_events import EventRow, events_to_look_at
from routing.selectors.days.shuts import ShutRow, shuts_on
from routing.selectors.days.warnings import day_warnings
from routing.selectors.runs.runs import RunView, runs_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PostponedRow(NamedOrder):
    """An order the plan leaves out, and why."""

    reason: Sentence | str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayView(DayFigures):
    """One day with all that touches it."""

    version: int
    was_committed: bool
    runs: tuple[RunView, ...]
    candidates: tuple[CandidateRow, ...]
    pick_ups: tuple[NamedOrder, ...]
    postponed: tuple[PostponedRow, ...]
    shuts: tuple[ShutRow, ...]
    events: tuple[EventRow, ...]
    road_cents: int
    lower_bound_cents: int | None
    proof: str
    proof_words: str
    engine: str
    is_estimate: bool
    undo: Sentence | str  # the step that can be taken back, and the one that can be repeated; "" = none
    redo: Sentence | str

    @property
    def drops(self) -> int:
        return sum(len(run.drops) for run in self.runs)

    @property
    def cords(self) -> Fraction:
        return sum((load.cords for run in self.runs for load in run.loads), Fraction(0))

    @property
    def miles(self) -> Decimal:
        return sum((run.miles for run in self.runs), Decimal(0))

    @property
    def paid_seconds(self) -> int:
        return sum(run.paid_seconds for run in self.runs)

    @property
    def is_out(self) -> bool:
        """Whether a rig has left: steps are no longer taken back."""
        return any(run.actual_leave_at or any(load.is_loaded for load in run.loads) for run in self.runs)

    @property
    def is_fixed(self) -> bool:
        return self.state in (Day.State.FIXED, Day.State.DONE)


def day_view(on: date, *, at: datetime | None = None, today: date | None = None) -> DayView:
    """One day, planned or not; constant queries."""
    row = Day.objects.filter(on=on).first() or Day(on=on)
    runs = tuple(run for run in runs_of(on, at=at, drafts=True) if run.loads)
    here = {drop.order.number for run in runs for drop in run.drops}
    totals = {drop.order.number: drop.order.price.total for run in runs for drop in run.drops}
    left = {int(entry["order"]): kept(entry["reason"]) for entry in row.postponed}
    names = dict(Order.objects.filter(number__in=left).values_list("number", "customer__name"))
    return from_row(
        DayView,
        row,
        on=on,
        state_words=_(row.get_state_display()),
        was_committed=row.committed_at is not None and row.state == Day.State.DRAFT,
        runs=runs,
        candidates=candidates_on(on, here),
        pick_ups=pick_ups_on(on),
        postponed=tuple(
            PostponedRow(number=number, customer=names.get(number, ""), reason=reason)
            for number, reason in left.items()
        ),
        shuts=shuts_on(on),
        events=events_to_look_at(on=on),
        road_cents=sum(run.road_cents for run in runs),
        proof_words=_proof_words(row, runs),
        dollars=sum(totals.values(), Decimal(0)),
        warnings=day_warnings(on, on, today=today).get(on, ()),
        undo=kept(row.undo[-1]["verb"]) if row.undo else "",
        redo=kept(row.redo[-1]["verb"]) if row.redo else "",
    )


def left_out_between(first: date, last: date) -> tuple[PostponedRow, ...]:
    """What the plans of these days leave out, each order once, and still waits."""
    left = {
        int(entry["order"]): kept(entry["reason"])
        for row in Day.objects.filter(on__range=(first, last)).order_by("on")
        for entry in row.postponed
    }
    names = dict(Order.objects.filter(number__in=left).values_list("number", "customer__name"))
    return tuple(
        PostponedRow(number=number, customer=names.get(number, ""), reason=reason)
        for number, reason in left.items()
    )


def _proof_words(row: Day, runs: tuple[RunView, ...]) -> str:
    if row.proof == "optimal":
        return _("Proven best: with each load filled at one yard, no plan of these orders costs less.")
    if row.proof == "hand":
        cautions = [caution for run in runs for load in run.loads for caution in load.cautions]
        round_ = dict.fromkeys(caution.goes_round for caution in cautions if caution.goes_round)
        if round_ and not row.is_estimate:
            said = _(
                "Planned by hand. Checked: it can be driven, by a way round {roads} "
                "where a load is too heavy for it."
            )
            return said.format(roads=", ".join(round_))
        return _("Planned by hand. Checked: it can be driven.")
    if row.lower_bound_cents and row.cost_cents:
        gap = max(0.0, (row.cost_cents - row.lower_bound_cents) / row.cost_cents * 100)
        return _("Within {gap}% of what is possible at best.").format(gap=f"{gap:.1f}")
    if row.gap_percent is not None:
        said = _("Within {gap}% of what is possible at best for the days planned together.")
        return said.format(gap=f"{row.gap_percent:.1f}")
    return _("Best plan found; how far from the best possible is not known.") if row.proof else ""
