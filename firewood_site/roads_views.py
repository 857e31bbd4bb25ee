"""Map tiles and street search, asked for by pages of every audience."""

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from firewood_site import throttle
from routing.core import RoutingError
from routing.core.roads import BadPoint, EngineDown, Point
from routing.core.streets import StreetHit
from routing.selectors.roads.current import is_on_map, nearest_address, search_streets
from routing.selectors.roads.road_maps import map_opening, tile_svg

A_DAY_SECONDS = 86400
LONGEST_TEXT = 120
LOOKS_A_WHILE = 400  # two dozen addresses typed letter by letter, with their mistakes
WHILE_MINUTES = 10


@require_GET
def tile(request: HttpRequest, z: int, x: int, y: int) -> HttpResponse:
    """One map tile as an image; the same for everybody, so it may be kept by every cache.

    ?names=no leaves the towns' names to a map that writes them round its own pins.
    """
    try:
        drawn = tile_svg(z, x, y, named=request.GET.get("names") != "no")
    except RoutingError as error:
        raise Http404(str(error)) from error
    if drawn is None:
        raise Http404("There is no map here: load roads, or look elsewhere.")
    response = HttpResponse(drawn, content_type="image/svg+xml")
    response["Cache-Control"] = f"public, max-age={A_DAY_SECONDS}"
    return response


@require_GET
def street_search(request: HttpRequest) -> HttpResponse:
    """Streets and houses for typed words: JSON, or a list of choices when htmx asks."""
    text = request.GET.get("q", "")[:LONGEST_TEXT]
    if _looks_too_often(request):
        return _enough(request, text)
    try:
        hits = search_streets(text, near=_near(request))
    except EngineDown:
        hits = ()
    if getattr(request, "htmx", False):
        return render(request, "parts/street_hits.html", {"hits": hits, "typed": text.strip()})
    return JsonResponse({"hits": [_as_json(hit) for hit in hits]})


@require_GET
def where_am_i(request: HttpRequest) -> HttpResponse:
    """The address next to a spot, and whether a road is near it; 400 with a sentence for nonsense.

    Without a spot: the edges of the map, its middle and its credit, for a map that opens.
    """
    if not request.GET.get("lat") and not request.GET.get("lon"):
        return JsonResponse(map_opening())
    if _looks_too_often(request):
        return JsonResponse({"error": _enough_words()}, status=429)
    try:
        lat, lon = float(request.GET.get("lat", "")), float(request.GET.get("lon", ""))
        hit, on_map = nearest_address(lat, lon), is_on_map(lat, lon)
    except ValueError:
        told = "Give lat and lon as degrees, for instance lat=44.0&lon=-150.0."
        return JsonResponse({"error": told}, status=400)
    except BadPoint as error:
        return JsonResponse({"error": str(error)}, status=400)
    except EngineDown as error:
        return JsonResponse({"error": str(error)}, status=503)
    return JsonResponse({"hit": _as_json(hit) if hit else None, "on_map": on_map})


def _looks_too_often(request: HttpRequest) -> bool:
    """Whether a stranger has looked up more places than anybody types; staff are not counted."""
    if request.user.is_authenticated:
        return False
    try:
        throttle.count_or_refuse(request, "streets", most=LOOKS_A_WHILE, minutes=WHILE_MINUTES)
    except throttle.TooMany:
        return True
    return False


def _enough_words() -> str:
    return _("No more street names for a few minutes. Keep the address as you typed it: we can read it.")


def _enough(request: HttpRequest, text: str) -> HttpResponse:
    """The quiet answer to a searcher who never stops: no streets, and what to do instead."""
    if getattr(request, "htmx", False):
        context = {"hits": (), "typed": text.strip(), "told": _enough_words()}
        return render(request, "parts/street_hits.html", context, status=429)
    return JsonResponse({"hits": [], "told": _enough_words()}, status=429)


def _near(request: HttpRequest) -> Point | None:
    try:
        return Point(lat=float(request.GET["lat"]), lon=float(request.GET["lon"]))
    except (KeyError, ValueError, BadPoint):
        return None  # only an order among equals: without it the search is as good


def _as_json(hit: StreetHit) -> dict[str, object]:
    return {
        "label": hit.label,
        "city": hit.city,
        "lat": round(hit.lat, 6),
        "lon": round(hit.lon, 6),
        "exact": hit.exact,
        "kind": hit.kind,
        "note": hit.note,
    }
