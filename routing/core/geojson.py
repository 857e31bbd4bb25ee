"""A route as GeoJSON (RFC 7946): what the map script draws and other programs read."""

from collections.abc import Sequence
from typing import Any

from routing.core.roads import Route
from routing.core.svgmap import MapStop


def route_geojson(*, route: Route | None, stops: Sequence[MapStop]) -> dict[str, Any]:
    """The way as a LineString and each stop as a Point; longitude comes first, as the standard asks."""
    features: list[dict[str, Any]] = []
    if route is not None and len(route.line) > 1:
        features.append(
            {
                "type": "Feature",
                "geometry": {
                    "type": "LineString",
                    "coordinates": [[point.lon, point.lat] for point in route.line],
                },
                "properties": {
                    "kind": "way",
                    "meters": route.meters,
                    "seconds": route.seconds,
                    "estimated": route.estimated,
                },
            }
        )
    features += [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [stop.lon, stop.lat]},
            "properties": {"kind": "yard" if stop.is_yard else "stop", "mark": stop.mark, "name": stop.name},
        }
        for stop in stops
    ]
    return {"type": "FeatureCollection", "features": features}
