"""Towns of the loaded roads to pick from: numbered on a drawn map, and the same numbers as boxes to tick."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.selectors.yards import yards
from orders.selectors.prices import TownRow, miles_apart
from routing.core import RoutingError
from routing.maps.run_drawing import MapStop
from routing.selectors.roads.current import places_on_map
from routing.selectors.roads.road_maps import runs_map

MOST = 20
VILLAGE = 7  # rank of the map's villages; smaller places come after them
WIDE, HIGH = 720, 560


@dataclass(frozen=True, slots=True, kw_only=True)
class Pickable(MapStop):
    """A town nobody sells to yet, with its number as its mark.

    miles: from the nearest yard, in a straight line; None without a yard.
    """

    miles: float | None


def towns_to_pick(sold_to: Iterable[TownRow]) -> tuple[Pickable, ...]:
    """Villages and towns of the map, nearest first; those around its largest place where no yard is."""
    places = places_on_map()
    known = {town.name.casefold() for town in sold_to}
    spots = [(yard.lat, yard.lon) for yard in yards()]
    around = spots or [(lat, lon) for _name, lat, lon, _rank in places[:1]]
    near: dict[str, tuple[bool, float, float, float]] = {}
    for name, lat, lon, rank in places:
        away = float(min(miles_apart(lat, lon, *spot) for spot in around))
        found = (rank < VILLAGE, away, lat, lon)
        if name.casefold() not in known and found < near.get(name, (True, float("inf"), 0.0, 0.0)):
            near[name] = found
    chosen = sorted(near.items(), key=lambda item: item[1])[:MOST]
    return tuple(
        Pickable(mark=str(number), name=name, lat=lat, lon=lon, miles=away if spots else None)
        for number, (name, (_small, away, lat, lon)) in enumerate(
            sorted(chosen, key=lambda item: item[1][1]), start=1
        )
    )


def town_map(towns: Iterable[Pickable]) -> str:
    """The towns as numbered pins among their roads, yards as squares; empty where no roads can be drawn."""
    pins = tuple(towns)
    squares = [MapStop(mark="", name=yard.name, lat=yard.lat, lon=yard.lon, is_yard=True) for yard in yards()]
    if not pins:
        return ""
    says = "A map of the towns around, numbered as in the list below."
    try:
        return runs_map(stops=(*squares, *pins), says=says, width=WIDE, height=HIGH)
    except RoutingError:
        return ""
