"""The acre sheet of a unit, from its work, receipts, sales and cost-share."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, Sum

from inventory.core.money import dollars
from inventory.core.sums import exact_sum
from inventory.models import Expense, Lot, Movement, Unit, WorkEntry
from inventory.selectors.business import BusinessRow, business
from orders.models import Order
from routing.core.acre import AcreSheet, Thinning, acre_sheet
from routing.core.costs import METERS_PER_MILE, NoRates, RunningRates, rates_on
from routing.core.guesses import BadGuess, Guess, HourGuesses, WageRange, wage_range
from routing.models import Run, RunningCost, Stop
from routing.selectors.order_margins import net_prices

ORDER_WORDS = "order "
SECONDS_PER_HOUR = 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitName:
    id: int
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepHours:
    """Hours of one kind of work, as remembered; is_slash: it cleans up and sells nothing."""

    job: str
    low: Fraction
    likely: Fraction
    high: Fraction
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
    """Everything the acre sheet says of a unit; `trouble` when it cannot be reckoned."""

    unit: UnitName
    units: tuple[UnitName, ...]
    acres: Decimal
    started_on: date | None
    finished_on: date | None
    thinning: Thinning
    sheet: AcreSheet
    steps: tuple[StepHours, ...]
    sold: tuple[SoldWood, ...]
    wages: WageRange | None
    hired: tuple[HiredOut, ...]
    cash_source: str
    cost_share: Decimal
    cost_share_approved_on: date | None
    cost_share_paid_on: date | None
    slash: str
    note: str
    cords_left: Fraction
    target_wage: Decimal


def unit_names() -> tuple[UnitName, ...]:
    """The units by name."""
    return tuple(
        UnitName(id=pk, name=name) for pk, name in Unit.objects.order_by("name").values_list("id", "name")
    )


def acre_view(unit_id: int | None = None) -> AcreView | None:
    """The sheet of a unit, the busiest one when none is named; None when there is none."""
    units = unit_names()
    if not units:
        return None
    if unit_id is None:
        unit_id = _busiest(units)
    row = Unit.objects.filter(pk=unit_id).first()
    if row is None:
        return None
    seller = business()
    sold = (*_sold_before(row), *_sold_since(row))
    drives = _drives(row)
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
    asked = [price for price in (row.hire_out_low, row.hire_out_high) if price]
    return AcreView(
        unit=UnitName(id=row.pk, name=row.name),
        units=units,
        acres=row.acres,
        started_on=row.started_on,
        finished_on=row.finished_on,
        thinning=thinning,
        sheet=acre_sheet(thinning, target_wage=seller.target_wage),
        steps=steps,
        sold=sold,
        wages=_wages(thinning, steps),
        hired=tuple(
            HiredOut(per_acre=price, sheet=acre_sheet(_at(thinning, price), target_wage=seller.target_wage))
            for price in sorted(set(asked))
        ),
        cash_source=cash_source,
        cost_share=row.cost_share_dollars,
        cost_share_approved_on=row.cost_share_approved_on,
        cost_share_paid_on=row.cost_share_paid_on,
        slash=row.slash,
        note=row.note,
        cords_left=sum(Lot.objects.filter(unit=row).values_list("on_hand_cords", flat=True), Fraction(0)),
        target_wage=seller.target_wage,
    )


@dataclass(frozen=True, slots=True)
class _Drives:
    """The unit's part of the runs that delivered its wood."""

    hours: Fraction
    road: Decimal


def _busiest(units: Sequence[UnitName]) -> int:
    hours = dict(
        WorkEntry.objects.filter(unit__isnull=False)
        .order_by()
        .values_list("unit_id")
        .annotate(sum=Sum("hours_likely"))
    )
    return max(units, key=lambda unit: hours.get(unit.id, Decimal(0))).id


def _sold_before(unit: Unit) -> tuple[SoldWood, ...]:
    return tuple(
        SoldWood(
            wood=wood,
            cords=Fraction(str(said.get("cords", 0))),
            dollars=dollars(Decimal(str(said.get("dollars", 0)))),
            when="before the books began",
        )
        for wood, said in sorted(unit.sold_before.items())
    )


def _sold_since(unit: Unit) -> tuple[SoldWood, ...]:
    """Wood of the unit's lots that went out to orders, at its part of each order's price."""
    rows = list(
        Movement.objects.filter(lot__unit=unit, kind=Movement.Kind.SOLD)
        .order_by("on", "id")
        .values_list("lot__wood", "reference", "cords")
    )
    numbers = {_number(reference) for _, reference, _ in rows if _is_order(reference)}
    net = net_prices(Order.objects.filter(number__in=numbers)) if numbers else {}
    parts: dict[int, list[Fraction]] = {}
    for reference, cords in Movement.objects.filter(
        kind=Movement.Kind.SOLD, reference__in=[f"{ORDER_WORDS}{number}" for number in numbers]
    ).values_list("reference", "cords"):
        parts.setdefault(_number(reference), []).append(-cords)
    went_out = {number: exact_sum(cords) for number, cords in parts.items()}
    amounts: dict[str, list[Fraction]] = {}
    money: dict[str, list[Fraction]] = {}
    for wood, reference, cords in rows:
        amounts.setdefault(wood, []).append(-cords)
        number = _number(reference) if _is_order(reference) else 0
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


def _drives(unit: Unit) -> _Drives:
    """Hours and road money of runs that delivered the unit's wood, by its part of each run's cords."""
    drops = Stop.objects.filter(lot__unit=unit, state=Stop.State.DELIVERED).order_by()
    brought = dict(drops.values_list("load__run").annotate(sum=Sum("cords")))
    if not brought:
        return _Drives(hours=Fraction(0), road=Decimal("0.00"))
    runs = Run.objects.filter(pk__in=drops.values("load__run")).order_by("pk")
    carried = dict(runs.order_by().values_list("pk").annotate(sum=Sum("loads__cords")))
    rates = _rates(runs.order_by().values_list("rig_id", flat=True).distinct())
    hours, road = 0.0, 0.0
    for row in runs.values_list(
        "pk", "rig_id", "day__on", "loaded_meters", "empty_meters", "paid_seconds", "actual_leave_at",
        "actual_home_at",
    ):  # fmt: skip
        run_id, rig_id, on, loaded_m, empty_m, paid_s, left_at, home_at = row
        if not carried.get(run_id):
            continue
        part = min(1.0, float(brought[run_id]) / float(carried[run_id]))
        seconds = float(paid_s)
        if left_at is not None and home_at is not None:
            seconds = max(0.0, (home_at - left_at).total_seconds())
        hours += seconds / SECONDS_PER_HOUR * part
        loaded_mile, empty_mile = _mile_on(rates.get(rig_id, ()), on)
        road += (loaded_m * loaded_mile + empty_m * empty_mile) / float(METERS_PER_MILE) * part
    return _Drives(hours=Fraction(round(hours * 100), 100), road=dollars(Fraction(round(road * 100), 100)))


def _rates(rig_ids: Iterable[int]) -> dict[int, tuple[RunningRates, ...]]:
    found: dict[int, tuple[RunningRates, ...]] = {}
    for row in RunningCost.objects.filter(rig_id__in=list(rig_ids)).order_by("from_on"):
        rates = RunningRates(from_on=row.from_on, loaded_mile=row.loaded_mile, empty_mile=row.empty_mile)
        found[row.rig_id] = (*found.get(row.rig_id, ()), rates)
    return found


def _mile_on(rates: Iterable[RunningRates], on: date) -> tuple[float, float]:
    """Dollars a loaded and an empty mile on a day; nothing when no cost held then."""
    try:
        held = rates_on(rates, on)
    except NoRates:
        return 0.0, 0.0
    return float(held.loaded_mile), float(held.empty_mile)


def _steps(unit: Unit, drives: _Drives) -> tuple[StepHours, ...]:
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


def _cash(unit: Unit, cords: Fraction, drives: _Drives, seller: BusinessRow) -> tuple[Decimal, Decimal, str]:
    """All cash, the part that went into slash, and where the figure comes from."""
    rows = list(Expense.objects.filter(_of(unit)).values_list("line", "dollars"))
    if rows:
        spent = sum((amount for _, amount in rows), Decimal(0))
        slash = sum((amount for line, amount in rows if "slash" in line.lower()), Decimal(0))
        return spent + drives.road, slash, "receipts of this unit and its lots, and its part of the runs"
    usual = dollars(Fraction(seller.production_cash_per_cord) * cords)
    return (
        usual + drives.road,
        Decimal(0),
        f"no receipt names this unit: ${seller.production_cash_per_cord:f} a cord sold, from Settings, "
        "and its part of the runs",
    )


def _wages(thinning: Thinning, steps: Iterable[StepHours]) -> WageRange | None:
    """Worst, likely and best dollars an hour, cost-share counted, as far as the hours are guesses."""
    money = thinning.wood_revenue + thinning.saw_logs + thinning.cost_share
    try:
        return wage_range(
            HourGuesses(
                hours=tuple(
                    Guess(
                        name=step.job,
                        low=_hours(step.low),
                        likely=_hours(step.likely),
                        high=_hours(step.high),
                    )
                    for step in steps
                ),
                revenue=Guess.known("revenue", money),
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


def _number(reference: str) -> int:
    return int(reference.removeprefix(ORDER_WORDS))


def _is_order(reference: str) -> bool:
    return reference.startswith(ORDER_WORDS) and reference.removeprefix(ORDER_WORDS).isdecimal()
