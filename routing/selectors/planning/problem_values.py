"""Rows of the books as the planner's values: woods, yards, rigs, runs and orders, each by itself."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import floor

from inventory.core.units import CORD_FT3, METERS_PER_MILE
from inventory.fields import to_units
from inventory.models import Lot, Yard
from orders.models import Order
from routing.core.day_clock import RunHours, seconds_of
from routing.core.rigs import weigh
from routing.earned.costs import MinutesRule, RunningRates, crew_wage, rates_on
from routing.models import Driver, Rig, Shut
from routing.planner.fleet import PlanRig, PlanRun, RoadBand
from routing.planner.problem import PlanOrder, PlanPart, PlanYard, Wood
from routing.selectors.planning.parcels import OrderToPlan
from routing.selectors.planning.part_sizes import loose_ft3, pounds, room_of
from routing.selectors.rigs import rig_value

VOLUME_STEPS = 10  # the planner counts tenths of a loose cubic foot
MINUTE = 60
MUST_GO_CENTS, LAST_DAY_CENTS, CAN_WAIT_CENTS = 200_000, 10_000, 1_500


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenRun(RunHours):
    """A run that may be driven: one rig on one date, its hours and crew.

    Units
        longest_minutes: longest paid time.
    """

    longest_minutes: int = 600

    @property
    def id(self) -> str:
        """How plans name it."""
        return f"{self.on.isoformat()}/{self.rig_id}"


def plan_wood(lot: Lot, weights: Mapping[int, float]) -> Wood:
    return Wood(
        id=lot.code,
        lb_per_cord=pounds(lot, weights),
        ft3_per_cord=int(loose_ft3(lot) * VOLUME_STEPS),
        name=f"{lot.name} ({lot.code})",
        rides_in_bed=bool(lot.bundle_ft3),
        bed_step=to_units(Fraction(lot.bundle_ft3) / CORD_FT3) if lot.bundle_ft3 else 0,
    )


def plan_yard(
    yard: Yard,
    row: int,
    dates: Sequence[date],
    shuts: Sequence[Shut],
    to_plan: Sequence[OrderToPlan],
    *,
    percent: int,
) -> PlanYard:
    """percent: how long loading there was learned to take."""
    stock: dict[str, int] = defaultdict(int)
    for planned in to_plan:
        for lines in planned.lines.values():
            for line in lines:
                if line.lot.yard_id == yard.pk:
                    stock[line.lot.code] += to_units(line.cords)
    open_s, close_s = seconds_of(yard.opens_at), seconds_of(yard.closes_at)
    return PlanYard(
        id=str(yard.pk),
        loc=row,
        open_s=open_s,
        close_s=close_s,
        load_fixed_s=int(yard.load_fixed_minutes * MINUTE * percent / 100),
        load_s_per_cord=int(yard.load_minutes_per_cord * MINUTE * percent / 100),
        stock=tuple(sorted(stock.items())),
        hours=tuple(_hours(yard, on, shuts, open_s, close_s) for on in dates),
        name=yard.name,
    )


def _hours(yard: Yard, on: date, shuts: Sequence[Shut], open_s: int, close_s: int) -> tuple[int, int] | None:
    """The longer stretch left open by closures of some hours."""
    for shut in shuts:
        is_here = shut.kind == Shut.Kind.YARD and shut.yard_id == yard.pk and shut.from_on <= on <= shut.to_on
        if not is_here or shut.from_time is None:
            continue
        starts = seconds_of(shut.from_time)
        ends = seconds_of(shut.to_time) if shut.to_time else close_s
        before, after = (open_s, min(close_s, starts)), (max(open_s, ends), close_s)
        open_s, close_s = max(before, after, key=lambda stretch: stretch[1] - stretch[0])
    return (open_s, close_s) if close_s > open_s else None


def plan_rig(
    rig: Rig, known: Sequence[RunningRates], on: date, roads: tuple[RoadBand, ...], *, most_lb: Fraction
) -> PlanRig:
    """Units
    most_lb: the heaviest it can have aboard, which is what the hitch puts on the pickup.
    """
    rates = rates_on(known, on)
    ft3, pounds = room_of(rig)
    return PlanRig(
        id=str(rig.pk),
        home=str(rig.home_yard_id),
        roads=roads,
        has_trailer=not rig.is_small,
        cap_ft3=floor(ft3 * VOLUME_STEPS),
        cap_lb=int(pounds),
        loaded_c_km=_cents_a_km(rates.loaded_mile),
        empty_c_km=_cents_a_km(rates.empty_mile),
        fixed_c=int(rates.fixed_run * 100),
        name=rig.name,
        truck=str(rig.pickup_id or ""),
        bed_ft3=rig.bed_ft3 * VOLUME_STEPS if rig.has_trailer else 0,
        bed_lb=_bed_lb(rig, most_lb) if rig.has_trailer and rig.bed_ft3 else 0,
    )


def _bed_lb(rig: Rig, most_lb: Fraction) -> int:
    """What the bed may carry with driver and tools aboard and the heaviest trailer of these orders behind."""
    return max(0, floor(weigh(rig_value(rig), wood_lb=float(most_lb)).bed_room_lb))


def _cents_a_km(dollars_a_mile: Decimal) -> Fraction:
    return Fraction(dollars_a_mile) * 100 * 1000 / METERS_PER_MILE


def plan_run(
    open_run: OpenRun, known: Sequence[RunningRates], dates: Sequence[date], crew: Mapping[int, Driver]
) -> PlanRun:
    """A run with its crew's hours, break and wages; without a driver named it has one of its own."""
    wage = rates_on(known, open_run.on).wage_hour
    driver, helper = crew.get(open_run.driver_id or 0), crew.get(open_run.helper_id or 0)
    people = [person for person in (driver, helper) if person is not None]
    wages = [None if driver is None else driver.wage_hour]
    wages += [helper.wage_hour] if helper is not None else []
    return PlanRun(
        id=open_run.id,
        rig=str(open_run.rig_id),
        date=dates.index(open_run.on),
        start_s=max(seconds_of(at) for at in (open_run.starts_at, *(person.starts_at for person in people))),
        end_s=min(seconds_of(at) for at in (open_run.ends_at, *(person.ends_at for person in people))),
        max_s=open_run.longest_minutes * MINUTE,
        wage_c_h=int(crew_wage(wage, wages) * 100),
        driver=str(driver.pk) if driver is not None else "",
        driver_name=driver.name if driver is not None else "",
        break_s=driver.break_minutes * MINUTE if driver is not None else 0,
        break_window_s=(seconds_of(driver.break_from), seconds_of(driver.break_to)) if driver else (0, 0),
        most_quantity=_most_cords(people),
        driver_max_s=min((person.longest_minutes * MINUTE for person in people), default=None),
    )


def _most_cords(people: Sequence[Driver]) -> int | None:
    """Wood units the crew can handle in a day: the more of driver and helper, who share the work."""
    limits = [to_units(Fraction(person.most_cords)) for person in people if person.most_cords is not None]
    return max(limits, default=None)


def plan_order(
    planned: OrderToPlan,
    row: int,
    dates: Sequence[date],
    shuts: Sequence[Shut],
    rule: MinutesRule,
    *,
    must_go: bool,
    any_day: bool,
    percent: int,
) -> PlanOrder:
    """percent: how long unloading at this customer's was learned to take."""
    order = planned.order
    per_cord = rule.throw_off_per_cord + (rule.stack_per_cord if order.stacked else 0)
    if must_go:
        postpone = MUST_GO_CENTS
    else:
        postpone = LAST_DAY_CENTS if order.last_on <= dates[-1] else CAN_WAIT_CENTS
    town_id = order.place.town_id if order.place else None
    return PlanOrder(
        id=str(order.number),
        loc=row,
        window_s=(seconds_of(order.window_from), seconds_of(order.window_to)),
        dates=tuple(
            number
            for number, on in enumerate(dates)
            if (any_day or is_own_day(order, on, dates)) and not _road_is_shut(town_id, on, shuts)
        ),
        parts=tuple(
            PlanPart(
                id=part.id,
                lines=tuple((line.lot.code, to_units(line.cords)) for line in planned.lines[part.id]),
            )
            for part in planned.parts
        ),
        no_trailer=order.small_rig_only or planned.from_tight_yard,
        stop_s=int(rule.drop * MINUTE * percent / 100),
        unload_s_per_cord=int(per_cord * MINUTE * percent / 100),
        price_c=int(order.total_dollars * 100),
        value_c=int(order.total_dollars * 100),
        postpone_c=postpone,
        name=order.customer.name,
    )


def is_own_day(order: Order, on: date, dates: Sequence[date]) -> bool:
    """The day promised, or any it asked for."""
    if order.promised_on in dates:
        return on == order.promised_on
    return order.first_on <= on <= order.last_on


def _road_is_shut(town_id: int | None, on: date, shuts: Sequence[Shut]) -> bool:
    return any(
        shut.kind == Shut.Kind.ROAD
        and shut.town_id == town_id
        and shut.from_time is None
        and shut.from_on <= on <= shut.to_on
        for shut in shuts
        if town_id is not None
    )
