"""The acre sheet of a unit, from its work, receipts, sales and cost-share."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, Sum

from inventory.core.bands import Band
from inventory.core.money import dollars
from inventory.core.references import order_number
from inventory.core.sums import exact_sum
from inventory.core.units import rate_words
from inventory.models import Expense, Movement, Unit, WorkEntry
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drawn import OUT_AND_BACK
from inventory.selectors.yards import UnitRow, units
from orders.models import Order
from routing.earned.acre import AcreSheet, Thinning, acre_sheet
from routing.earned.guesses import BadGuess, Guess, HourGuesses, WageRange, wage_range
from routing.earned.patches import Projection
from routing.selectors.earned.order_margins import net_prices
from routing.selectors.earned.unit_drives import UnitDrives, unit_drives
from routing.selectors.heaps.patches import Lying, lying_on, patches_ahead


@dataclass(frozen=True, slots=True, kw_only=True)
class StepHours(Band[Fraction]):
    """Hours of one kind of work, as remembered; is_slash: it cleans up and sells nothing."""

    job: str
    is_slash: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldWood:
    """Wood of the unit that was sold, by kind."""

    wood: str
    cords: Fraction
    dollars: Decimal
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HiredOut:
    """Someone else doing it, at one price an acre."""

    per_acre: Decimal
    sheet: AcreSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class AcreView:
    """Everything the acre sheet says of a unit; `problem` when it cannot be reckoned."""

    unit: UnitRow
    units: tuple[UnitRow, ...]
    thinning: Thinning  # what is in the books: sold, spent and worked
    counted: Thinning  # with what lies unsold at its likely price, and the hours still to come
    sheet: AcreSheet
    lying: Lying
    cords_per_acre: Fraction | None  # of the ground thinned so far
    ahead: tuple[Projection, ...]  # ground not yet thinned, the patch to take next first
    steps: tuple[StepHours, ...]
    sold: tuple[SoldWood, ...]
    wages: WageRange | None
    hired: tuple[HiredOut, ...]
    cash_source: str
    target_wage: Decimal


def acre_view(unit_id: int | None = None, *, on: date) -> AcreView | None:
    """The sheet of a unit, the busiest one when none is named; None when there is none."""
    known = units()
    busiest_first = sorted(known, key=lambda unit: -unit.hours)
    unit = next((unit for unit in busiest_first if unit_id in (None, unit.unit_id)), None)
    if unit is None:
        return None
    row = Unit.objects.get(pk=unit.unit_id)
    seller = business()
    sold = (*_sold_before(row), *_sold_since(row))
    drives = unit_drives(row)
    steps = _steps(row, drives)
    cords = sum((line.cords for line in sold), Fraction(0))
    cash, slash_cash, cash_source = _cash(row, cords, drives, seller)
    thinning = Thinning(
        name=row.name,
        acres=Fraction(row.acres),
        wood_revenue=sum((line.dollars for line in sold), Decimal("0.00")),
        hours=sum((step.likely for step in steps), Fraction(0)),
        cash=cash,
        saw_logs=row.saw_log_dollars,
        cost_share=row.cost_share_dollars,
        slash_hours=sum((step.likely for step in steps if step.is_slash), Fraction(0)),
        slash_cash=slash_cash,
        hire_per_acre=_middle(row),
    )
    lying = lying_on(row, on=on)
    counted = _with_lying(thinning, lying)
    asked = [price for price in (row.hire_out_low, row.hire_out_high) if price]
    return AcreView(
        unit=unit,
        units=known,
        thinning=thinning,
        counted=counted,
        sheet=acre_sheet(counted, target_wage=seller.target_wage, is_unsold=lying.revenue.likely > 0),
        lying=lying,
        cords_per_acre=_per_acre(row, cords + lying.cords),
        ahead=patches_ahead(on=on),
        steps=steps,
        sold=sold,
        wages=_wages(counted, steps, lying),
        hired=tuple(
            HiredOut(per_acre=price, sheet=acre_sheet(_at(counted, price), target_wage=seller.target_wage))
            for price in sorted(set(asked))
        ),
        cash_source=cash_source,
        target_wage=seller.target_wage,
    )


def _sold_before(unit: Unit) -> tuple[SoldWood, ...]:
    return tuple(
        SoldWood(
            wood=wood,
            cords=Fraction(str(row.get("cords", 0))),
            dollars=dollars(Decimal(str(row.get("dollars", 0)))),
            when="before the books began",
        )
        for wood, row in sorted(unit.sold_before.items())
    )


def _sold_since(unit: Unit) -> tuple[SoldWood, ...]:
    """Wood of the unit's lots that went out to orders, at its part of each order's price."""
    moved = Movement.objects.filter(kind__in=OUT_AND_BACK).order_by()
    known = moved.filter(reference__in=moved.filter(lot__unit=unit).values("reference"))
    parts: dict[int, list[Fraction]] = {}
    rows = []
    for unit_id, wood, reference, cords in known.values_list("lot__unit", "lot__wood", "reference", "cords"):
        parts.setdefault(order_number(reference) or 0, []).append(-cords)
        if unit_id == unit.pk:
            rows.append((wood, reference, cords))
    numbers = {number for _, reference, _ in rows if (number := order_number(reference)) is not None}
    net = net_prices(Order.objects.filter(number__in=numbers)) if numbers else {}
    went_out = {number: exact_sum(cords) for number, cords in parts.items()}
    amounts: dict[str, list[Fraction]] = {}
    money: dict[str, list[Fraction]] = {}
    for wood, reference, cords in rows:
        amounts.setdefault(wood, []).append(-cords)
        number = order_number(reference) or 0
        if number in net and went_out.get(number):
            price = Fraction(net[number])
            is_whole = went_out[number] == -cords
            money.setdefault(wood, []).append(price if is_whole else price * -cords / went_out[number])
    return tuple(
        SoldWood(
            wood=wood,
            cords=exact_sum(amounts[wood]),
            dollars=dollars(exact_sum(money.get(wood, ()))),
            when="since the books began",
        )
        for wood in sorted(amounts)
    )


def _steps(unit: Unit, drives: UnitDrives) -> tuple[StepHours, ...]:
    rows = (
        WorkEntry.objects.filter(_of(unit))
        .order_by()
        .values_list("job")
        .annotate(low=Sum("hours_low"), likely=Sum("hours_likely"), high=Sum("hours_high"))
    )
    told = {job: (Fraction(low), Fraction(likely), Fraction(high)) for job, low, likely, high in rows}
    steps = [
        StepHours(
            job=str(job.label),
            low=told[job][0],
            likely=told[job][1],
            high=told[job][2],
            is_slash=job == WorkEntry.Job.SLASH,
            source="work log",
        )
        for job in WorkEntry.Job
        if job in told
    ]
    if drives.hours > 0:
        steps.append(
            StepHours(
                job="delivering, from the runs",
                low=drives.hours,
                likely=drives.hours,
                high=drives.hours,
                is_slash=False,
                source="runs that carried its wood, by cords",
            )
        )
    return tuple(steps)


def _cash(
    unit: Unit, cords: Fraction, drives: UnitDrives, seller: BusinessRow
) -> tuple[Decimal, Decimal, str]:
    """All cash, the part that went into slash, and where the figure comes from."""
    rows = list(Expense.objects.filter(_of(unit)).values_list("job", "dollars"))
    if rows:
        spent = sum((amount for _, amount in rows), Decimal(0))
        slash = sum((amount for job, amount in rows if job == WorkEntry.Job.SLASH), Decimal(0))
        return spent + drives.road, slash, "receipts of this unit and its lots, and its part of the runs"
    usual = dollars(Fraction(seller.production_cash_per_cord) * cords)
    return (
        usual + drives.road,
        Decimal(0),
        f"no receipt names this unit: {rate_words(seller.production_cash_per_cord)} sold, "
        "from Settings, and its part of the runs",
    )


def _with_lying(thinning: Thinning, lying: Lying) -> Thinning:
    """The patch once all that lies there is sold."""
    more = sum((Fraction(guess.likely) for guess in (*lying.to_come, *lying.unlogged)), Fraction(0))
    return replace(
        thinning,
        wood_revenue=thinning.wood_revenue + lying.revenue.likely,
        cash=thinning.cash + lying.cash,
        hours=thinning.hours + more,
    )


def _per_acre(unit: Unit, cords: Fraction) -> Fraction | None:
    thinned = Fraction(unit.acres) - Fraction(unit.acres_to_thin)
    return cords / thinned if thinned > 0 and cords > 0 else None


def _wages(thinning: Thinning, steps: Iterable[StepHours], lying: Lying) -> WageRange | None:
    """Worst, likely and best dollars an hour, cost-share counted, as far as hours and prices are guesses."""
    known = thinning.saw_logs + thinning.cost_share + thinning.wood_revenue - lying.revenue.likely
    logged = (
        Guess(name=step.job, low=_hours(step.low), likely=_hours(step.likely), high=_hours(step.high))
        for step in steps
    )
    try:
        return wage_range(
            HourGuesses(
                hours=(*logged, *lying.to_come, *lying.unlogged),
                revenue=Guess(
                    name="revenue",
                    low=known + lying.revenue.low,
                    likely=known + lying.revenue.likely,
                    high=known + lying.revenue.high,
                ),
                expenses=Guess.known("expenses", thinning.cash),
            )
        )
    except BadGuess:
        return None


def _hours(exact: Fraction) -> Decimal:
    return Decimal(round(exact * 100)) / 100


def _of(unit: Unit) -> Q:
    return Q(unit=unit) | Q(unit__isnull=True, lot__unit=unit)


def _middle(unit: Unit) -> Decimal:
    asked = [price for price in (unit.hire_out_low, unit.hire_out_high) if price]
    return sum(asked, Decimal(0)) / len(asked) if asked else Decimal(0)


def _at(thinning: Thinning, per_acre: Decimal) -> Thinning:
    return replace(thinning, hire_per_acre=per_acre)
