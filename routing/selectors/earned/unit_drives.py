"""The part of a unit in the runs that delivered its wood: hours and road money, by cords."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.core.money import dollars
from inventory.core.units import METERS_PER_MILE
from inventory.models import Unit
from routing.earned.costs import NoRates, RunningRates, rates_on
from routing.models import Run, RunningCost, Stop

SECONDS_PER_HOUR = 3600


@dataclass(frozen=True, slots=True)
class UnitDrives:
    """The unit's part of the runs that delivered its wood."""

    hours: Fraction
    road: Decimal


def unit_drives(unit: Unit) -> UnitDrives:
    """Hours and road money of runs that delivered the unit's wood, by its part of each run's cords."""
    drops = Stop.objects.filter(lot__unit=unit, state=Stop.State.DELIVERED).order_by()
    brought = dict(drops.values_list("load__run").annotate(sum=Sum("cords")))
    if not brought:
        return UnitDrives(hours=Fraction(0), road=Decimal("0.00"))
    runs = Run.objects.filter(pk__in=drops.values("load__run")).order_by("pk")
    carried = dict(runs.order_by().values_list("pk").annotate(sum=Sum("loads__cords")))
    rates = _rates(runs.order_by().values_list("rig_id", flat=True).distinct())
    hours = road = Fraction(0)
    for row in runs.values_list(
        "pk", "rig_id", "day__on", "loaded_meters", "empty_meters", "paid_seconds", "actual_leave_at",
        "actual_home_at",
    ):  # fmt: skip
        run_id, rig_id, on, loaded_m, empty_m, paid_s, left_at, home_at = row
        if not carried.get(run_id):
            continue
        part = min(Fraction(1), Fraction(brought[run_id]) / Fraction(carried[run_id]))
        seconds = Fraction(paid_s)
        if left_at is not None and home_at is not None:
            seconds = max(Fraction(0), Fraction((home_at - left_at).total_seconds()))
        hours += seconds / SECONDS_PER_HOUR * part
        loaded_mile, empty_mile = _mile_on(rates.get(rig_id, ()), on)
        road += (loaded_m * loaded_mile + empty_m * empty_mile) / METERS_PER_MILE * part
    return UnitDrives(hours=Fraction(round(hours * 100), 100), road=dollars(road))


def _rates(rig_ids: Iterable[int]) -> dict[int, tuple[RunningRates, ...]]:
    found: dict[int, tuple[RunningRates, ...]] = {}
    for row in RunningCost.objects.filter(rig_id__in=list(rig_ids)).order_by("from_on"):
        rates = RunningRates(from_on=row.from_on, loaded_mile=row.loaded_mile, empty_mile=row.empty_mile)
        found[row.rig_id] = (*found.get(row.rig_id, ()), rates)
    return found


def _mile_on(rates: Iterable[RunningRates], on: date) -> tuple[Fraction, Fraction]:
    """Dollars a loaded and an empty mile on a day; nothing when no cost held then."""
    try:
        held = rates_on(rates, on)
    except NoRates:
        return Fraction(0), Fraction(0)
    return Fraction(held.loaded_mile), Fraction(held.empty_mile)
