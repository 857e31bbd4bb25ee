"""What a comparison of markets can choose from: towns, yards, rigs and woods."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.rows import from_row
from inventory.models import Yard
from inventory.selectors.business import business
from orders.core.sheets import PriceSheet
from orders.models import Town
from orders.selectors.prices import TownRow, miles_apart, sheet_in_force, towns
from routing import models
from routing.core import RoutingError
from routing.core.rigs import Rig
from routing.core.road_engine import RigRoads
from routing.earned.costs import NoRates, RunningRates, rates_on
from routing.selectors.learned_paces import paces_in_use
from routing.selectors.rigs import rates_by_rig
from routing.selectors.roads.rig_roads import posted_limits, roads_of
from routing.selectors.runs.run_rows import YARD, YardSpot

SEASONED = "seasoned"


class NothingToCompare(RoutingError):
    """A price sheet, a far town, a near town, a yard or a rig is missing."""

    says = "There is no {missing} yet: {where}."


@dataclass(frozen=True, slots=True, kw_only=True)
class RigChoice(Rig):
    """A rig that may go, with what its mile costs today."""

    id: int
    rates: RunningRates
    roads: RigRoads


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketChoices:
    """What a comparison can choose from today."""

    sheet: PriceSheet
    far_towns: tuple[TownRow, ...]
    near_towns: tuple[TownRow, ...]
    hop_miles: Mapping[int, Decimal]
    yards: tuple[YardSpot, ...]
    rigs: tuple[RigChoice, ...]
    woods: tuple[str, ...]
    target_wage: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TripView:
    """What a far trip is compared with: from where, with which rig, and what it would bring near."""

    near_town: TownRow
    yard: YardSpot
    rig: RigChoice
    cords: Fraction
    is_estimate: bool


def market_choices(on: date) -> MarketChoices:
    """Towns, yards, rigs and woods to choose from.

    Errors
        NothingToCompare: something the comparison stands on is missing.
    """
    found = sheet_in_force(on)
    if found is None:
        raise NothingToCompare(missing="price sheet", where="add one under Price sheet")
    places = towns()
    far = tuple(town for town in places if town.is_far)
    near = tuple(town for town in places if not town.is_far)
    if not far:
        raise NothingToCompare(missing="far town", where="add a far market and its town on the price sheet")
    if not near:
        raise NothingToCompare(missing="near town", where="add a near market and its town on the price sheet")
    yards = tuple(map(YardSpot._make, Yard.objects.order_by("-pick_up_here", "name").values_list(*YARD)))
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
    return MarketChoices(
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
    rigs = list(models.Rig.objects.filter(works=True).order_by("-capacity_ft3", "name"))
    known, posted_lb, paces = rates_by_rig(rig.pk for rig in rigs), posted_limits(), paces_in_use()
    found = []
    for row in rigs:
        try:
            rates = rates_on(known[row.pk], on)
        except NoRates:
            continue
        found.append(
            from_row(
                RigChoice, row, rates=rates, roads=roads_of(row, rates, posted_lb, paces=paces.of_rig(row.pk))
            )
        )
    return tuple(found)
