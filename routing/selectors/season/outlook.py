"""The kept outlooks: the newest, and the one before it with what has happened since."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Sum

from inventory.models import WorkEntry
from routing.earned.worth import worth_of
from routing.models import SeasonGuesses, SeasonOutlook
from routing.season.problem import Step
from routing.selectors.earned.worth import brought_forward_until, entries_of_books
from routing.selectors.season.periods import WEEK
from routing.selectors.season.sales import delivered_orders

JOB_OF = {
    Step.FELL: WorkEntry.Job.FELL_BUCK, Step.HAUL: WorkEntry.Job.HAUL, Step.SPLIT: WorkEntry.Job.SPLIT,
    Step.STACK: WorkEntry.Job.HEAP, Step.SLASH: WorkEntry.Job.SLASH,
}  # fmt: skip
DRIVING = (Step.DELIVER_NEAR, Step.DELIVER_FAR)
GUESS_FIELDS = (
    "fall_hours", "winter_hours", "spring_hours", "summer_hours",
    "helper_fall_hours", "helper_winter_hours", "helper_spring_hours", "helper_summer_hours",
    "helper_name", "saws", "drives", "helper_saws", "helper_drives",
    "until_month", "near_cords_a_month", "far_cords_a_month", "far_trips_a_month",
    "rig_days_a_week", "near_cords_a_day",
    "demand_low_pct", "demand_likely_pct", "demand_high_pct",
    "hour_worth_dollars", "dry_chance_pct", "lost_pct", "cash_dollars", "bills",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What an earlier outlook promised for its first week, beside what the books say of that week."""

    week_on: date
    other_planned: float  # hours of steps no row names
    other_done: Fraction
    driving_planned: float
    driving_done: Fraction
    hours_planned: float
    hours_worked: Fraction
    cords_planned: float
    cords_sold: Fraction
    in_planned: float
    in_done: Fraction
    out_planned: float
    out_done: Fraction
    dollars_planned: float
    dollars_earned: Fraction
    steps: tuple[tuple[str, float, Decimal], ...]  # step, hours planned, hours worked
    orders: tuple[tuple[int, Fraction, Decimal], ...]  # delivered: number, cords, dollars without tax
    is_brought: bool  # older books hold these days as a month's total: what was done in them is not known


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    week_on: date
    made_at: datetime
    answer: dict[str, Any]
    since: Since | None


def newest_outlook() -> Outlook | None:
    """The newest answer, and how the last one whose week is over came out."""
    newest = SeasonOutlook.objects.first()
    if newest is None:
        return None
    before = SeasonOutlook.objects.filter(week_on__lte=newest.week_on - WEEK).first()
    return Outlook(
        week_on=newest.week_on,
        made_at=newest.made_at,
        answer=newest.answer,
        since=_since(before) if before else None,
    )


def promise_days(on: date) -> dict[str, date]:
    """By wood, the day from which the newest plan has more of it dry; of a plan a fortnight old, none."""
    newest = SeasonOutlook.objects.filter(week_on__gt=on - 2 * WEEK, week_on__lte=on).first()
    days = newest.answer.get("next_dry", ()) if newest else ()
    return {wood: day for wood, text, *_ in days if (day := date.fromisoformat(text)) > on}


def outlook_is_due(on: date) -> bool:
    """Whether the season is to be planned anew: never yet, or a week has gone by since."""
    return not SeasonOutlook.objects.filter(week_on__gt=on - WEEK).exists()


def is_planned_since(at: datetime) -> bool:
    """Whether a season was begun to be planned after this moment, and is done."""
    return SeasonOutlook.objects.filter(made_at__gt=at).exists()


def _since(row: SeasonOutlook) -> Since:
    first, brought = row.answer["periods"][0], brought_forward_until()
    last = row.week_on + timedelta(days=6)
    done = worth_of(entries_of_books(row.week_on, last))
    planned = first.get("money", {"near": first["net"]})  # an earlier version kept the sum alone
    steps = tuple(_steps(row.week_on, first["hours"]))
    driving = sum(first["hours"].get(step, 0.0) for step in DRIVING)
    return Since(
        week_on=row.week_on,
        other_planned=max(first["all_hours"] - driving - sum(planned for _, planned, _ in steps), 0.0),
        other_done=done.yard_hours - sum(Fraction(worked) for _, _, worked in steps),
        driving_planned=driving,
        driving_done=done.delivery_hours,
        hours_planned=first["all_hours"],
        hours_worked=done.hours,
        cords_planned=sum(first["sold"].values()),
        cords_sold=done.cords,
        in_planned=sum(max(dollars, 0) for dollars in planned.values()),
        in_done=Fraction(done.revenue),
        out_planned=-sum(min(dollars, 0) for dollars in planned.values()),
        out_done=Fraction(done.cash_out),
        dollars_planned=first["net"],
        dollars_earned=Fraction(done.net),
        steps=steps,
        orders=tuple(delivered_orders(row.week_on, last)),
        is_brought=brought is not None and row.week_on <= brought,
    )


def _steps(week_on: date, planned: dict[str, float]) -> Iterator[tuple[str, float, Decimal]]:
    """Each step that was planned or worked that week, but the driving: runs keep their own hours."""
    in_week = WorkEntry.objects.filter(on__gte=week_on, on__lt=week_on + timedelta(days=7))
    worked = dict(in_week.values_list("job").annotate(sum=Sum("hours_likely")))
    for step, job in JOB_OF.items():
        if planned.get(step) or worked.get(job):
            yield step, planned.get(step, 0.0), worked.get(job, Decimal(0))


def season_guesses() -> dict[str, Decimal | int | str | bool | None]:
    """What the seller guessed, as their form wants it."""
    row = SeasonGuesses.objects.first() or SeasonGuesses()
    return {name: getattr(row, name) for name in GUESS_FIELDS}
