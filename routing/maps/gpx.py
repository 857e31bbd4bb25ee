"""A route as GPX 1.1, for a navigation device or a telephone's own map."""

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from routing.core.roads import Route
from routing.maps.run_drawing import MapStop

NAMESPACE = "http://www.topografix.com/GPX/1/1"
SCHEMA = f"{NAMESPACE} {NAMESPACE}/gpx.xsd"


def route_gpx(*, name: str, route: Route | None, stops: Sequence[MapStop]) -> bytes:
    """One document: stops as waypoints, the halts as a route, the way itself as a track.

    Source
        GPX 1.1 schema (Topografix): waypoints first, then routes, then tracks.
    """
    root = Element(
        "gpx",
        {
            "version": "1.1",
            "creator": "firewood",
            "xmlns": NAMESPACE,
            "xmlns:xsi": "http://www.w3.org/2001/XMLSchema-instance",
            "xsi:schemaLocation": SCHEMA,
        },
    )
    SubElement(SubElement(root, "metadata"), "name").text = name
    for stop in stops:
        _spot(root, "wpt", stop)
    halts = SubElement(root, "rte")
    SubElement(halts, "name").text = name
    for stop in stops:
        _spot(halts, "rtept", stop)
    if route is not None and len(route.line) > 1:
        track = SubElement(root, "trk")
        SubElement(track, "name").text = name
        piece = SubElement(track, "trkseg")
        for point in route.line:
            SubElement(piece, "trkpt", {"lat": f"{point.lat:.6f}", "lon": f"{point.lon:.6f}"})
    indent(root)
    return bytes(tostring(root, encoding="utf-8", xml_declaration=True))


def _spot(parent: Element, tag: str, stop: MapStop) -> None:
    spot = SubElement(parent, tag, {"lat": f"{stop.lat:.6f}", "lon": f"{stop.lon:.6f}"})
    SubElement(spot, "name").text = f"{stop.mark} {stop.name}".strip()
