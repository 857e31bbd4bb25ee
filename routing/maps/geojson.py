"""Runs as GeoJSON (RFC 7946): what the map script draws and other programs read."""

from collections.abc import Sequence
from typing import Any

from routing.maps.run_drawing import MapStop, RunLine


def runs_geojson(*, lines: Sequence[RunLine], stops: Sequence[MapStop]) -> dict[str, Any]:
    """Each leg as a LineString and each stop as a Point; longitude comes first, as the standard asks."""
    features: list[dict[str, Any]] = [
        {
            "type": "Feature",
            "geometry": {"type": "LineString", "coordinates": [[lon, lat] for lat, lon in leg]},
            "properties": {"kind": "way", "run": line.run, "estimated": line.is_estimate},
        }
        for line in lines
        for leg in line.legs
        if len(leg) > 1
    ]
    features += [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [stop.lon, stop.lat]},
            "properties": {
                "kind": "yard" if stop.is_yard else "stop",
                "mark": stop.mark,
                "name": stop.name,
                "run": stop.run,
            },
        }
        for stop in stops
    ]
    return {"type": "FeatureCollection", "features": features}
