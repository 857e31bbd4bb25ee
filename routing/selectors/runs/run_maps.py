"""A run on the map: its stops, the way the rig drives between them, a drawing for paper and for no signal."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from math import ceil
from typing import Any

from django.utils.translation import gettext as _

from inventory.core.units import bundle_cords
from routing.core import RoutingError
from routing.core.road_engine import RigProfile, RigRoads
from routing.core.roads import Point, Route
from routing.maps.run_drawing import MapStop, MapWords, RunLine
from routing.models import Rig
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.legs import ways_between
from routing.selectors.roads.rig_roads import roads_by_rig
from routing.selectors.roads.road_maps import map_payload, runs_map
from routing.selectors.runs.halts import HaltView
from routing.selectors.runs.runs import RunView


def legs_of_run(view: RunView) -> tuple[Route, ...]:
    """The way of each leg: empty to the yards, loaded to the drops; nothing when the roads do not say."""
    (legs,) = legs_of_runs((view,))
    return legs


def legs_of_runs(views: Sequence[RunView]) -> tuple[tuple[Route, ...], ...]:
    """The same of several runs of one day, read together."""
    rigs = Rig.objects.select_related("home_yard", "pickup").in_bulk({view.rig_id for view in views})
    roads = roads_by_rig(rigs.values(), views[0].on) if views else {}
    hops = [
        _hops(view, rigs[view.rig_id], roads[view.rig_id]) if view.rig_id in rigs and view.loads else []
        for view in views
    ]
    try:
        ways = iter(ways_between([hop for of_run in hops for hop in of_run]))
        return tuple(tuple(islice(ways, len(of_run))) for of_run in hops)
    except RoutingError:
        return tuple(legs_of_run(view) for view in views) if len(views) > 1 else ((),)


def ways_to_halts(view: RunView, ways: Sequence[Route]) -> Iterator[tuple[HaltView, Route | None]]:
    """Each halt with the way to it; none where the rig stands there already, as at home in the morning."""
    following, home = iter(ways), view.halts[-1]
    here = Point(lat=home.lat, lon=home.lon)
    for halt in view.halts:
        there = Point(lat=halt.lat, lon=halt.lon)
        yield halt, (next(following, None) if there != here else None)
        here = there


def _hops(view: RunView, rig: Rig, roads: RigRoads) -> list[tuple[Point, Point, RigProfile]]:
    """Each drive goes by the wood still aboard, so a posted bridge is gone round only while it has to be."""
    here = Point(lat=rig.home_yard.lat, lon=rig.home_yard.lon)
    hops: list[tuple[Point, Point, RigProfile]] = []
    gone = Fraction(0)  # of this load's wood
    for halt in view.halts:
        there = Point(lat=halt.lat, lon=halt.lon)
        if there != here:
            hops.append((here, there, roads.aboard(_aboard_lb(halt, gone))))
            here = there
        gone = gone + _cords(halt.drop.cords, halt.drop.bundles) if halt.drop else Fraction(0)
    return hops


def way_of_run(view: RunView) -> Route | None:
    """The whole line driven, for navigation; None when the roads do not say."""
    ways = legs_of_run(view)
    if not ways:
        return None
    return Route(
        line=tuple(spot for place, way in enumerate(ways) for spot in (way.line[1:] if place else way.line)),
        legs=tuple(leg for way in ways for leg in way.legs),
        estimated=any(way.estimated for way in ways),
    )


def _aboard_lb(halt: HaltView, gone: Fraction) -> int:
    """The wood aboard on the way to a halt: what is left of the load by its cords; to a yard none."""
    if halt.load is None or halt.drop is None:
        return 0
    in_all = _cords(halt.load.cords, halt.load.bundles)
    return ceil(halt.load.weight_lb * (1 - gone / in_all)) if in_all else halt.load.weight_lb


def _cords(cords: Fraction, bundles: int) -> Fraction:
    return cords + bundle_cords(bundles)


def map_of_runs(
    views: Sequence[RunView],
    *,
    width: int = 720,
    height: int = 540,
    only: int | None = None,
    lines: Sequence[RunLine] | None = None,
) -> str:
    """Runs as one drawing, told apart in their order; empty when the roads cannot be had.

    only: the number of the one run to look at, from 0. lines: of all of them, where they are known already.
    """
    lines = lines_of(views) if lines is None else lines
    lines = [line for line in lines if only is None or line.run == only]
    stops = _stops([view for place, view in enumerate(views) if only is None or place == only])
    if only is not None:
        stops = tuple(replace(stop, run=only) for stop in stops)
    try:
        return runs_map(stops=stops, lines=lines, words=_words(), width=width, height=height)
    except RoutingError:
        return ""


def _words() -> MapWords:
    """What is written on the drawing, in the reader's language."""
    credit = roads_now().credit
    return MapWords(
        mile=_("mile"), miles=_("miles"), roads=_("Map of the roads."), way=_("Map of the way:"),
        credit=_(credit) if credit else "",
    )  # fmt: skip


def map_data(views: Sequence[RunView], lines: Sequence[RunLine]) -> dict[str, Any]:
    """Runs for the map script; empty when the roads cannot be had."""
    try:
        payload = map_payload(stops=_stops(views), lines=lines)
        return payload | {"credit": _words().credit}
    except RoutingError:
        return {}


def lines_of(views: Sequence[RunView]) -> tuple[RunLine, ...]:
    """The way of each run, for map_of_runs and map_data alike."""
    return tuple(line_of(ways, run=place) for place, ways in enumerate(legs_of_runs(views)))


def line_of(ways: Sequence[Route], *, run: int = 0) -> RunLine:
    """The ways of one run as the maps draw them."""
    return RunLine(
        legs=tuple(tuple((spot.lat, spot.lon) for spot in way.line) for way in ways),
        run=run,
        is_estimate=any(way.estimated for way in ways),
    )


def _stops(views: Sequence[RunView]) -> tuple[MapStop, ...]:
    """Halts of all runs. A yard is one plain square with its name, however often it is visited."""
    found: dict[tuple[float, float, str, int], MapStop] = {}
    for place, view in enumerate(views):
        for stop in view.halts:
            mark, run = ("", -1) if stop.is_yard else (stop.mark, place)
            found.setdefault((stop.lat, stop.lon, mark, run), replace(stop, mark=mark, run=place))
    return tuple(found.values())
