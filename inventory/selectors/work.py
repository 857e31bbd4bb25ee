"""The work log, expenses, and the heap numbers that restacks taught."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum
from django.utils.translation import gettext

from inventory.core import InventoryError
from inventory.core.bands import Band
from inventory.core.heap_number import HeapNumber, RestackSeen, history, learned
from inventory.core.hours import Hours
from inventory.core.measure import form_names
from inventory.core.rows import from_row
from inventory.core.units import parse_cords
from inventory.models import Expense, Restack, WorkEntry

PAGE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """One entry. job, about: as read; job_key, about_key ("lot:K1", "unit:3"): as a form names them."""

    entry_id: int
    on: date
    job: str
    job_key: str
    about_key: str
    hours: Hours
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


def work_entry(entry_id: int) -> WorkRow | None:
    row = WorkEntry.objects.select_related("lot", "unit").filter(pk=entry_id).first()
    return None if row is None else _work(row)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedRate(Band[Decimal]):
    """Hours a cord of one job, from entries that say how much they made. Units: hours a cord; cords."""

    cords: Fraction


def logged_rates() -> dict[str, LoggedRate]:
    """Hours a cord by job, where the log says what at least a cord took."""
    sums: dict[str, tuple[Fraction, ...]] = {}
    for entry in WorkEntry.objects.exclude(cords=""):
        try:
            cords = parse_cords(entry.cords)
        except InventoryError:
            continue  # typed in words of its own
        more = (cords, *map(Fraction, (entry.hours_low, entry.hours_likely, entry.hours_high)))
        kept = sums.get(entry.job, (Fraction(0),) * 4)
        sums[entry.job] = tuple(before + new for before, new in zip(kept, more, strict=True))
    return {
        job: LoggedRate(
            low=_rate(low, cords), likely=_rate(likely, cords), high=_rate(high, cords), cords=cords
        )
        for job, (cords, low, likely, high) in sums.items()
        if cords >= 1
    }


def _rate(hours: Fraction, cords: Fraction) -> Decimal:
    return Decimal(round(hours / cords * 100)) / 100


def job_choices() -> tuple[tuple[str, str], ...]:
    return tuple((key, gettext(words)) for key, words in WorkEntry.Job.choices)


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


def restack_seen(row: Restack) -> RestackSeen:
    return RestackSeen(on=row.on, loose_ft3=float(row.loose_ft3), stacked_ft3=float(row.stacked_ft3))


def heap_number(rig_name: str, form: str = "splits") -> HeapHistory:
    """What restacks taught about a rig; the form's own figure when there are none.

    Errors
        UnknownForm
    """
    seen = [restack_seen(row) for row in Restack.objects.filter(rig_name=rig_name, form=form)]
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


def _about(row: WorkEntry | Expense) -> str:
    if row.lot:
        return gettext("lot {lot}").format(lot=row.lot.code)
    return row.unit.name if row.unit else ""


def _work(row: WorkEntry) -> WorkRow:
    return from_row(
        WorkRow,
        row,
        entry_id=row.pk,
        job=row.get_job_display(),
        job_key=row.job,
        about_key=f"lot:{row.lot.code}" if row.lot else f"unit:{row.unit_id}" if row.unit_id else "",
        about=_about(row),
    )


def _expense(row: Expense) -> ExpenseRow:
    return from_row(
        ExpenseRow,
        row,
        expense_id=row.pk,
        kind=row.get_kind_display(),
        about=_about(row),
    )
