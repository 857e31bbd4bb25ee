"""The work log, expenses, and the heap numbers that restacks taught."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.core.heap_number import HeapNumber, RestackSeen, history, learned
from inventory.core.measure import form_names
from inventory.models import Expense, Restack, WorkEntry

PAGE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    entry_id: int
    on: date
    job: str
    hours_low: Decimal
    hours_likely: Decimal
    hours_high: Decimal
    about: str
    cords: str
    who: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpenseRow:
    expense_id: int
    on: date
    line: str
    dollars: Decimal
    kind: str
    about: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLog:
    """Newest first, with the season's sums since 1 October."""

    entries: tuple[WorkRow, ...]
    expenses: tuple[ExpenseRow, ...]
    season_from: date
    hours_by_job: tuple[tuple[str, Decimal, Decimal, Decimal], ...]  # job, low, likely, high
    hours: Decimal
    spent: Decimal


def season_start(on: date) -> date:
    """1 October on or before a day: the firewood year."""
    return date(on.year if on.month >= 10 else on.year - 1, 10, 1)


def work_log(on: date) -> WorkLog:
    """The latest entries and the season so far."""
    first = season_start(on)
    season = WorkEntry.objects.filter(on__gte=first, on__lte=on)
    labels = dict(WorkEntry.Job.choices)
    sums = (
        season.values("job")
        .annotate(low=Sum("hours_low"), likely=Sum("hours_likely"), high=Sum("hours_high"))
        .order_by("-likely")
    )
    by_job = tuple((labels[row["job"]], row["low"], row["likely"], row["high"]) for row in sums)
    spent = Expense.objects.filter(on__gte=first, on__lte=on).aggregate(all=Sum("dollars"))["all"]
    return WorkLog(
        entries=tuple(_work(row) for row in WorkEntry.objects.select_related("lot", "unit")[:PAGE]),
        expenses=tuple(_expense(row) for row in Expense.objects.select_related("lot", "unit")[:PAGE]),
        season_from=first,
        hours_by_job=by_job,
        hours=sum((row[2] for row in by_job), Decimal(0)),
        spent=spent or Decimal(0),
    )


def job_choices() -> tuple[tuple[str, str], ...]:
    return tuple(WorkEntry.Job.choices)


def expense_lines() -> tuple[str, ...]:
    """Lines used before, for the type-ahead."""
    return tuple(Expense.objects.order_by("line").values_list("line", flat=True).distinct())


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapHistory:
    """A rig's restacks in one form, oldest first, each with what the number had become."""

    rig: str
    form: str
    form_words: str
    now: HeapNumber
    steps: tuple[tuple[RestackSeen, HeapNumber], ...]


def heap_number(rig_name: str, form: str = "splits") -> HeapHistory:
    """What restacks taught about a rig; the form's own figure when there are none.

    Errors
        UnknownForm
    """
    seen = [
        RestackSeen(on=row.on, loose_ft3=float(row.loose_ft3), stacked_ft3=float(row.stacked_ft3))
        for row in Restack.objects.filter(rig_name=rig_name, form=form)
    ]
    return HeapHistory(
        rig=rig_name,
        form=form,
        form_words=form_names().get(form, form),
        now=learned(seen, form=form),
        steps=history(seen, form=form),
    )


def heap_numbers(rig_name: str) -> tuple[HeapHistory, ...]:
    """A rig's number for splits, and for every other form it was restacked in."""
    seen = set(Restack.objects.filter(rig_name=rig_name).values_list("form", flat=True))
    return tuple(heap_number(rig_name, form) for form in ("splits", *sorted(seen - {"splits"})))


def restacked_rigs() -> tuple[str, ...]:
    return tuple(Restack.objects.order_by("rig_name").values_list("rig_name", flat=True).distinct())


def _about(row: WorkEntry | Expense) -> str:
    return f"lot {row.lot.code}" if row.lot else row.unit.name if row.unit else ""


def _work(row: WorkEntry) -> WorkRow:
    return WorkRow(
        entry_id=row.pk,
        on=row.on,
        job=row.get_job_display(),
        hours_low=row.hours_low,
        hours_likely=row.hours_likely,
        hours_high=row.hours_high,
        about=_about(row),
        cords=row.cords,
        who=row.who,
        note=row.note,
    )


def _expense(row: Expense) -> ExpenseRow:
    return ExpenseRow(
        expense_id=row.pk,
        on=row.on,
        line=row.line,
        dollars=row.dollars,
        kind=row.get_kind_display(),
        about=_about(row),
        note=row.note,
    )
