"""Haul or sell here: a far market set against the near one, from the price sheet, the roads and the rig."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil

from inventory.core.money import dollars
from orders.core import OrdersError
from orders.core.pricing import wood_price
from orders.core.sheets import PriceSheet
from orders.selectors.prices import TownRow
from routing.earned.costs import Stretch, minutes_rule
from routing.earned.markets import (
    HaulAnswer,
    MarketTrip,
    Side,
    break_even_cords,
    break_even_miles,
    haul_or_not,
    kept_instead,
    side_of,
)
from routing.selectors.earned.market_choices import (
    SEASONED,
    MarketChoices,
    RigChoice,
    TripView,
    market_choices,
)
from routing.selectors.earned.market_roads import hop_stretch, road_between
from routing.selectors.runs.run_rows import YardSpot


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
class HaulView(TripView):
    """The comparison with everything it was worked out from.

    Units
        premium: dollars a cord the far price stands above the near one; far_out and so on: one way.
    """

    answer: HaulAnswer
    far_town: TownRow
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
    is_typed_road: bool


def haul_view(ask: HaulAsk, *, on: date, among: MarketChoices | None = None) -> HaulView:
    """Far against near for some wood.

    Errors
        NothingToCompare, NoRoad, EngineDown, BadTrip
        OrdersError: the sheet does not price this.
    """
    choices = among or market_choices(on)
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


def near_price(sheet: PriceSheet, *, wood: str, dryness: str, cords: Fraction, market: str) -> Decimal:
    """What an amount would bring in a market, dollars; nothing when it is not sold there."""
    try:
        return wood_price(sheet, wood=wood, market=market, dryness=dryness, cords=cords)
    except OrdersError:
        return Decimal(0)


def _far_road(
    ask: HaulAsk, yard: YardSpot, town: TownRow, rig: RigChoice
) -> tuple[Stretch, Stretch, bool, bool]:
    if ask.miles is not None and ask.minutes_out is not None:
        back = ask.minutes_back if ask.minutes_back is not None else ask.minutes_out
        out = Stretch(miles=Fraction(ask.miles), minutes=Fraction(ask.minutes_out))
        return out, Stretch(miles=Fraction(ask.miles), minutes=Fraction(back)), False, True
    out, home, guessed = road_between(yard, town, rig)
    return out, home, guessed, False


def _price(sheet: PriceSheet, ask: HaulAsk, market: str) -> Decimal:
    return wood_price(sheet, wood=ask.wood, market=market, dryness=SEASONED, cords=ask.cords)


def _chosen[Row: TownRow | YardSpot | RigChoice](rows: tuple[Row, ...], wanted: int | None) -> Row:
    return next((row for row in rows if row.id == wanted), rows[0])
