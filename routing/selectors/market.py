"""Haul or sell here: a far market set against the near one, from the price sheet, the roads and the rig."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import ceil

from inventory.core.money import dollars
from inventory.models import Yard
from inventory.selectors.business import business
from orders.core import OrdersError
from orders.core.pricing import wood_price
from orders.core.sheets import PriceSheet
from orders.models import Town
from orders.selectors.prices import TownRow, miles_apart, sheet_in_force, towns
from routing.core import RoutingError
from routing.core.costs import NOWHERE, NoRates, RunningRates, Stretch, minutes_rule, rates_on
from routing.core.market import (
    HaulAnswer,
    MarketTrip,
    Side,
    break_even_cords,
    break_even_miles,
    haul_or_not,
    kept_instead,
    side_of,
)
from routing.core.roads import NoRoad, Point, RigProfile
from routing.models import Rig
from routing.selectors.rig_roads import profile_of
from routing.selectors.rigs import rates_of
from routing.selectors.roads import drives_between

SEASONED = "seasoned"


class NothingToCompare(RoutingError):
    """A price sheet, a far town, a near town, a yard or a rig is missing."""

    def __init__(self, *, missing: str, where: str) -> None:
        self.missing = missing
        self.where = where
        super().__init__(f"There is no {missing} yet: {where}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class YardName:
    id: int
    name: str
    lat: float
    lon: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RigChoice:
    """A rig that may go, with what its mile costs today."""

    id: int
    name: str
    box_ft3: Decimal
    box_cords: Fraction
    payload_lb: int
    has_trailer: bool
    rates: RunningRates
    loaded: RigProfile
    empty: RigProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What a comparison can choose from today."""

    sheet: PriceSheet
    far_towns: tuple[TownRow, ...]
    near_towns: tuple[TownRow, ...]
    hop_miles: Mapping[int, Decimal]
    yards: tuple[YardName, ...]
    rigs: tuple[RigChoice, ...]
    woods: tuple[str, ...]
    target_wage: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulAsk:
    """What the seller wants compared; None takes the figure from the books.

    Units
        cords: of one drop; revenues: dollars for all of it; miles one way; minutes out loaded, back empty;
        hire: dollars a trip; hired_loaded_mile, hired_empty_mile: dollars.
    """

    wood: str
    cords: Fraction
    drops: int = 1
    far_town_id: int | None = None
    near_town_id: int | None = None
    yard_id: int | None = None
    rig_id: int | None = None
    is_going_anyway: bool = False
    would_sell_here: bool = True
    keeping_is_worth: Decimal = Decimal(0)
    far_revenue: Decimal | None = None
    near_revenue: Decimal | None = None
    miles: Decimal | None = None
    minutes_out: Decimal | None = None
    minutes_back: Decimal | None = None
    hire: Decimal = Decimal(0)
    hired_loaded_mile: Decimal | None = None
    hired_empty_mile: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulView:
    """The comparison with everything it was worked out from.

    Units
        premium: dollars a cord the far price stands above the near one; far_out and so on: one way.
    """

    answer: HaulAnswer
    far_town: TownRow
    near_town: TownRow
    yard: YardName
    rig: RigChoice
    cords: Fraction
    far_trips: int
    near_trips: int
    premium: Decimal
    break_even_miles: Fraction | None
    break_even_cords: Fraction | None
    far_out: Stretch
    far_back: Stretch
    near_out: Stretch
    loaded_mile: Decimal
    empty_mile: Decimal
    is_estimate: bool
    is_typed_road: bool


def ground(on: date) -> Ground:
    """Towns, yards, rigs and woods to choose from.

    Errors
        NothingToCompare: something the comparison stands on is missing.
    """
    found = sheet_in_force(on)
    if found is None:
        raise NothingToCompare(missing="price sheet", where="write one under Price sheet")
    places = towns()
    far = tuple(town for town in places if town.is_far)
    near = tuple(town for town in places if not town.is_far)
    if not far:
        raise NothingToCompare(missing="far town", where="add a far market and its town on the price sheet")
    if not near:
        raise NothingToCompare(missing="near town", where="add a near market and its town on the price sheet")
    yards = tuple(
        YardName(id=row.pk, name=row.name, lat=row.lat, lon=row.lon)
        for row in Yard.objects.order_by("-pick_up_here", "name")
    )
    if not yards:
        raise NothingToCompare(missing="yard", where="add the place your wood lies under Yards")
    near = tuple(sorted(near, key=lambda row: miles_apart(yards[0].lat, yards[0].lon, row.lat, row.lon)))
    rigs = rigs_with_rates(on)
    if not rigs:
        raise NothingToCompare(
            missing="rig with running costs", where="add your rig and what its mile costs under Rigs"
        )
    priced = {(price.wood, price.market) for price in found.sheet.cord_prices if price.dryness == SEASONED}
    both = [wood for wood, market in priced if market in {town.market for town in far}]
    woods = tuple(sorted({wood for wood in both if any((wood, town.market) in priced for town in near)}))
    if not woods:
        raise NothingToCompare(
            missing="wood priced in both markets", where="give one wood a near and a far price"
        )
    return Ground(
        sheet=found.sheet,
        far_towns=far,
        near_towns=near,
        hop_miles=dict(Town.objects.values_list("id", "hop_miles")),
        yards=yards,
        rigs=rigs,
        woods=woods,
        target_wage=business().target_wage,
    )


def rigs_with_rates(on: date) -> tuple[RigChoice, ...]:
    """Working rigs whose mile has a cost today, the one that carries most first."""
    found = []
    for row in Rig.objects.filter(works=True).order_by("-capacity_ft3", "name"):
        try:
            rates = rates_on(rates_of(row.pk), on)
        except NoRates:
            continue
        found.append(
            RigChoice(
                id=row.pk,
                name=row.name,
                box_ft3=row.capacity_ft3,
                box_cords=Fraction(row.capacity_ft3) / Fraction(row.heap_number),
                payload_lb=row.payload_lb,
                has_trailer=row.has_trailer,
                rates=rates,
                loaded=profile_of(row, wood_lb=row.payload_lb),
                empty=profile_of(row, wood_lb=0),
            )
        )
    return tuple(found)


def haul_view(ask: HaulAsk, *, on: date, among: Ground | None = None) -> HaulView:
    """Far against near for some wood.

    Errors
        NothingToCompare, NoRoad, EngineDown, BadTrip
        OrdersError: the sheet does not price this.
    """
    choices = among or ground(on)
    far_town = _chosen(choices.far_towns, ask.far_town_id)
    near_town = _chosen(choices.near_towns, ask.near_town_id)
    yard = _chosen(choices.yards, ask.yard_id)
    rig = _chosen(choices.rigs, ask.rig_id)
    cords = ask.cords * ask.drops
    trips = max(1, ceil(cords / rig.box_cords))
    is_hired = ask.hire > 0
    far_trips = 1 if is_hired else trips
    loaded_mile = ask.hired_loaded_mile if is_hired and ask.hired_loaded_mile else rig.rates.loaded_mile
    empty_mile = ask.hired_empty_mile if is_hired and ask.hired_empty_mile else rig.rates.empty_mile
    far_out, far_back, far_guessed, is_typed = _far_road(ask, yard, far_town, rig)
    near_out, near_back, near_guessed = road_between(yard, near_town, rig)
    trip = MarketTrip(
        revenue=ask.far_revenue
        if ask.far_revenue is not None
        else _price(choices.sheet, ask, far_town.market) * ask.drops,
        cords=cords,
        out=far_out,
        back=far_back,
        hop=hop_stretch(choices.hop_miles[far_town.id]),
        loaded_mile=loaded_mile,
        empty_mile=empty_mile,
        drops=ceil(Fraction(ask.drops, far_trips)),
        trips=far_trips,
        hire=ask.hire,
    )
    near_revenue = (
        ask.near_revenue
        if ask.near_revenue is not None
        else _price(choices.sheet, ask, near_town.market) * ask.drops
    )
    near_trip = MarketTrip(
        revenue=near_revenue,
        cords=cords,
        out=near_out,
        back=near_back,
        hop=hop_stretch(choices.hop_miles[near_town.id]),
        loaded_mile=rig.rates.loaded_mile,
        empty_mile=rig.rates.empty_mile,
        drops=ceil(Fraction(ask.drops, trips)),
        trips=trips,
    )
    rule = minutes_rule()
    near: Side = (
        side_of(near_trip, rule) if ask.would_sell_here else kept_instead(ask.keeping_is_worth, cords)
    )
    far = side_of(trip, rule, is_going_anyway=ask.is_going_anyway)
    premium = dollars(Fraction(far.revenue - near.revenue) / cords)
    wage = choices.target_wage
    return HaulView(
        answer=haul_or_not(far, near, target_wage=wage),
        far_town=far_town,
        near_town=near_town,
        yard=yard,
        rig=rig,
        cords=cords,
        far_trips=far_trips,
        near_trips=trips,
        premium=premium,
        break_even_miles=None
        if ask.is_going_anyway or far_out.miles <= 0
        else break_even_miles(premium_per_cord=premium, trip=trip, near=near, rule=rule, target_wage=wage),
        break_even_cords=None
        if ask.is_going_anyway
        else break_even_cords(premium_per_cord=premium, trip=trip, near=near, rule=rule, target_wage=wage),
        far_out=far_out,
        far_back=far_back,
        near_out=near_out,
        loaded_mile=loaded_mile,
        empty_mile=empty_mile,
        is_estimate=(far_guessed and not is_typed) or near_guessed,
        is_typed_road=is_typed,
    )


def road_between(yard: YardName, town: TownRow, rig: RigChoice) -> tuple[Stretch, Stretch, bool]:
    """The loaded way out, the empty way back, and whether they are only estimates.

    Errors
        NoRoad: the rig has no way. EngineDown: no answer.
    """
    start, end = Point(lat=yard.lat, lon=yard.lon), Point(lat=town.lat, lon=town.lon)
    there = drives_between((start,), (end,), rig.loaded)
    home = drives_between((end,), (start,), rig.empty)
    out, back = there.leg(0, 0), home.leg(0, 0)
    if out is None or back is None:
        raise NoRoad(start=start, end=end, why=f"{yard.name} to {town.name}")
    return (
        Stretch.measured(meters=out.meters, seconds=out.seconds),
        Stretch.measured(meters=back.meters, seconds=back.seconds),
        there.estimated or home.estimated,
    )


def near_price(sheet: PriceSheet, *, wood: str, dryness: str, cords: Fraction, market: str) -> Decimal:
    """What an amount would bring in a market, dollars; nothing when it is not sold there."""
    try:
        return wood_price(sheet, wood=wood, market=market, dryness=dryness, cords=cords)
    except OrdersError:
        return Decimal(0)


def hop_stretch(miles: Decimal) -> Stretch:
    """The drive between two drops in one town."""
    if miles <= 0:
        return NOWHERE
    return Stretch(
        miles=Fraction(miles), minutes=Fraction(ceil(Fraction(miles) * figure("town_minutes_per_mile")))
    )


def figure(name: str) -> Fraction:
    """A figure of market.toml, in the unit given there."""
    return _figures()[name]


@cache
def _figures() -> dict[str, Fraction]:
    table = tomllib.loads(files("routing.selectors").joinpath("market.toml").read_text("utf-8"))
    return {name: Fraction(str(entry["value"])) for name, entry in table.items()}


def _far_road(
    ask: HaulAsk, yard: YardName, town: TownRow, rig: RigChoice
) -> tuple[Stretch, Stretch, bool, bool]:
    if ask.miles is not None and ask.minutes_out is not None:
        back = ask.minutes_back if ask.minutes_back is not None else ask.minutes_out
        out = Stretch(miles=Fraction(ask.miles), minutes=Fraction(ask.minutes_out))
        return out, Stretch(miles=Fraction(ask.miles), minutes=Fraction(back)), False, True
    out, home, guessed = road_between(yard, town, rig)
    return out, home, guessed, False


def _price(sheet: PriceSheet, ask: HaulAsk, market: str) -> Decimal:
    return wood_price(sheet, wood=ask.wood, market=market, dryness=SEASONED, cords=ask.cords)


def _chosen[Row: TownRow | YardName | RigChoice](rows: tuple[Row, ...], wanted: int | None) -> Row:
    return next((row for row in rows if row.id == wanted), rows[0])
