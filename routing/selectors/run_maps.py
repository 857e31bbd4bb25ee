"""A run on the map: its stops, the way the rig drives between them, a drawing for paper and for no signal."""

from dataclasses import replace
from typing import Any

from routing.core import RoutingError
from routing.core.roads import Point, RigProfile, Route
from routing.core.svgmap import MapStop
from routing.models import Rig
from routing.selectors.rig_roads import profile_of
from routing.selectors.road_maps import map_payload, route_map
from routing.selectors.roads import ways_between
from routing.selectors.runs import RunView


def map_stops(view: RunView) -> tuple[MapStop, ...]:
    """Halts in driving order with the marks the pages use; home last."""
    return tuple(
        MapStop(mark=halt.mark, name=halt.name, lat=halt.lat, lon=halt.lon, is_yard=halt.kind != "drop")
        for halt in view.halts
    )


def way_of_run(view: RunView) -> Route | None:
    """The line driven: empty to the yards, loaded to the drops; None when the roads do not say.

    A loaded rig is routed by its load's own weight, so a posted bridge is gone round.
    """
    rig = Rig.objects.filter(pk=view.rig_id).select_related("home_yard").first()
    if rig is None or not view.loads:
        return None
    here = Point(lat=rig.home_yard.lat, lon=rig.home_yard.lon)
    hops: list[tuple[Point, Point, RigProfile]] = []
    for halt in view.halts:
        there = Point(lat=halt.lat, lon=halt.lon)
        if there == here:
            continue
        wood_lb = halt.load.weight_lb if halt.kind == "drop" and halt.load else 0
        hops.append((here, there, profile_of(rig, wood_lb=wood_lb)))
        here = there
    try:
        ways = ways_between(hops)
    except RoutingError:
        return None
    return Route(
        line=tuple(spot for place, way in enumerate(ways) for spot in (way.line[1:] if place else way.line)),
        legs=tuple(leg for way in ways for leg in way.legs),
        estimated=any(way.estimated for way in ways),
    )


def map_of_run(view: RunView, *, width: int = 720, height: int = 540) -> str:
    """The run as one drawing; empty when the roads cannot be had."""
    try:
        return route_map(stops=_once(map_stops(view)), route=way_of_run(view), width=width, height=height)
    except RoutingError:
        return ""


def _once(stops: tuple[MapStop, ...]) -> tuple[MapStop, ...]:
    """Home and a yard of the same place need one mark."""
    seen: dict[tuple[float, float, str], MapStop] = {}
    for stop in stops:
        seen.setdefault((stop.lat, stop.lon, stop.mark), replace(stop))
    return tuple(seen.values())


def map_data(view: RunView) -> dict[str, Any]:
    """The run for the map script; empty when the roads cannot be had."""
    try:
        return map_payload(stops=_once(map_stops(view)), route=way_of_run(view))
    except RoutingError:
        return {}
