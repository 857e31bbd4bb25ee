"""The drives a comparison of markets stands on."""

import tomllib
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import ceil

from inventory.core.sentences import Sentence
from orders.selectors.prices import TownRow
from routing.core.roads import NoRoad, Point
from routing.earned.costs import NOWHERE, Stretch
from routing.selectors.earned.market_choices import RigChoice
from routing.selectors.roads.legs import drives_between
from routing.selectors.runs.run_rows import YardSpot


def road_between(yard: YardSpot, town: TownRow, rig: RigChoice) -> tuple[Stretch, Stretch, bool]:
    """The loaded way out, the empty way back, and whether they are only estimates.

    Errors
        NoRoad: the rig has no way. EngineDown: no answer.
    """
    start, end = Point(lat=yard.lat, lon=yard.lon), Point(lat=town.lat, lon=town.lon)
    there = drives_between((start,), (end,), rig.roads.aboard(rig.payload_lb))
    home = drives_between((end,), (start,), rig.roads.empty)
    out, back = there.leg(0, 0), home.leg(0, 0)
    if out is None or back is None:
        raise NoRoad(
            start=start, end=end, why=Sentence("{yard} to {town}", {"yard": yard.name, "town": town.name})
        )
    return (
        Stretch.measured(meters=out.meters, seconds=out.seconds),
        Stretch.measured(meters=back.meters, seconds=back.seconds),
        there.estimated or home.estimated,
    )


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
    table = tomllib.loads(files("routing.selectors.earned").joinpath("market.toml").read_text("utf-8"))
    return {name: Fraction(str(entry["value"])) for name, entry in table.items()}
