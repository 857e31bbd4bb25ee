"""What a heap has taken so far: hours by step and cash, its own or its part of where it came from."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext

from inventory.core.bands import Band
from inventory.core.thinning import WOOD_STEPS
from inventory.models import Expense, Lot, WorkEntry
from inventory.selectors.costs import cords_made


@dataclass(frozen=True, slots=True, kw_only=True)
class SpentStep(Band[Fraction]):
    """Hours of one step that are in a heap."""

    job: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Hours by step and dollars that are in what lies there now; `source`: where they were written down."""

    steps: tuple[SpentStep, ...]
    cash: Decimal
    source: str


def spent_on(lot: Lot) -> Spent:
    """The log's hours and receipts in a heap, by its part of the cords; no steps where nothing was logged."""
    made = cords_made([lot.pk, *([lot.parent_id] if lot.parent_id else [])])
    shares: dict[int | None, Fraction] = {lot.pk: _share(lot, made.get(lot.pk))}
    if lot.parent_id:
        shares[lot.parent_id] = _share(lot, made.get(lot.parent_id))
    steps = _steps(WorkEntry.objects.filter(lot__in=shares), shares)
    cash = sum(
        (
            Fraction(amount) * shares[lot_id]
            for lot_id, amount in Expense.objects.filter(lot__in=shares).values_list("lot_id", "dollars")
        ),
        Fraction(0),
    )
    if steps:
        return Spent(steps=steps, cash=_cents(cash), source=gettext("your work log"))
    return _of_ground(lot, _cents(cash))


def _of_ground(lot: Lot, cash: Decimal) -> Spent:
    """Hours told of the ground as a whole, where all of its wood is in these books and none has hours."""
    if lot.unit is None or lot.unit.sold_before:
        return Spent(steps=(), cash=cash, source="")
    lots = list(Lot.objects.filter(unit=lot.unit, parent=None).values_list("pk", flat=True))
    if WorkEntry.objects.filter(lot__in=lots, job__in=WOOD_STEPS).exists():
        return Spent(steps=(), cash=cash, source="")
    share = _share(lot, sum(cords_made(lots).values(), Fraction(0)))
    rows = WorkEntry.objects.filter(unit=lot.unit, lot=None)
    steps = _steps(rows, {None: share})
    said = gettext("your work log of {ground}, by the cord")
    return Spent(steps=steps, cash=cash, source=said.format(ground=lot.unit.name))


def _steps(entries: Iterable[WorkEntry], shares: dict[int | None, Fraction]) -> tuple[SpentStep, ...]:
    found: dict[str, tuple[Fraction, Fraction, Fraction]] = {}
    for entry in entries:
        if entry.job not in WOOD_STEPS:
            continue
        share = shares[entry.lot_id]
        before = found.get(entry.job, (Fraction(0), Fraction(0), Fraction(0)))
        hours = (entry.hours_low, entry.hours_likely, entry.hours_high)
        low, likely, high = (old + Fraction(new) * share for old, new in zip(before, hours, strict=True))
        found[entry.job] = (low, likely, high)
    labels = dict(WorkEntry.Job.choices)
    return tuple(
        SpentStep(job=job, text=str(labels[job]), low=low, likely=likely, high=high)
        for job in WOOD_STEPS
        if job in found
        for low, likely, high in [found[job]]
    )


def _share(lot: Lot, made: Fraction | None) -> Fraction:
    return min(Fraction(1), lot.on_hand_cords / made) if made else Fraction(1)


def _cents(amount: Fraction) -> Decimal:
    return Decimal(round(amount * 100)) / 100
