"""A day's runs on a map: told apart by color, dash and stop, with arrows, and no pin on another.

First run solid with round stops, second dashed with square ones, third dotted with diamonds. There and back
lie side by side: each way keeps to its right. Letters are drawn at 14 units, so a drawing made as wide as
it is shown is read without zooming.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, sin

from inventory.core.local import local
from routing.maps.mercator import units_per_mile, world, zoom_that_fits
from routing.maps.svgmap import (
    HAMLET_RANK,
    LIGHT,
    OSM_CREDIT,
    TOWN_RANK,
    Box,
    MapName,
    RoadLine,
    drawn_roads,
    halo,
    line_path,
    meets_any,
    shows_at,
)

type _Spot = tuple[float, float]
type _ToSpot = Callable[[float, float], _Spot]

RUN_COLORS = ("#1f66a8", "#a63c0b", "#3d1550")
RUN_DASHES = ("", "9 5", "2 6")
YARD = "#3b2a1c"
YARD_RANK = HAMLET_RANK + 0.5  # its name is written after the towns and before the hamlets
EDGE, PIN, SMALL, LETTERS = 40, 26.0, 15.0, 14
FOOT = 40  # units at the bottom for the mile bar and the credit
KEEPS_RIGHT = 2.5  # units each way lies beside the road's middle
ARROW_EVERY, ARROW_LONG = 80.0, 5.0
RINGS, TURNS = (0.0, 30.0, 44.0, 60.0, 78.0), 12  # where a pin may move out to, nearest first
MILE_BARS = (0.25, 0.5, 1, 2, 5, 10, 20, 50, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class MapStop:
    """A halt of a run: its mark on the map, what it is, whether it is a yard, and which run, from 0."""

    mark: str
    name: str
    lat: float
    lon: float
    is_yard: bool = False
    run: int = 0

    @property
    def is_plain(self) -> bool:
        """Drawn as a small square with its name beside it."""
        return self.is_yard and not self.mark


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """The way of one run in degrees, a piece a leg; estimated lines are straight and drawn thin."""

    legs: tuple[tuple[_Spot, ...], ...]
    run: int = 0
    is_estimate: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MapWords:
    """What is written on a drawing, in its reader's language. credit: empty, the map's own."""

    mile: str = "mile"
    miles: str = "miles"
    roads: str = "Map of the roads."
    way: str = "Map of the way:"
    credit: str = ""


ENGLISH_WORDS = MapWords()


def draw_runs(
    *,
    roads: Sequence[RoadLine],
    lines: Sequence[RunLine],
    stops: Sequence[MapStop],
    names: Sequence[MapName] = (),
    says: str = "",
    credit: str = OSM_CREDIT,
    words: MapWords = ENGLISH_WORDS,
    width: int = 720,
    height: int = 540,
) -> str:
    """The runs as one SVG drawing: roads, ways with arrows, pins, town names, a mile bar, the credit.

    says: what the drawing shows, for those who hear it; made from the stops when empty.
    """
    framed = [
        *(spot for line in lines for leg in line.legs for spot in leg),
        *((stop.lat, stop.lon) for stop in stops),
    ] or [(0.0, 0.0)]
    z = zoom_that_fits(tuple(framed), width - 2 * EDGE, height - 2 * EDGE)
    flat = [world(lat, lon, z) for lat, lon in framed]
    left = (min(x for x, _ in flat) + max(x for x, _ in flat) - width) / 2
    top = (min(y for _, y in flat) + max(y for _, y in flat) - height) / 2

    def spot(lat: float, lon: float) -> _Spot:
        x, y = world(lat, lon, z)
        return x - left, y - top

    paths: dict[int, list[str]] = {}
    for road in roads:
        inside = _inside_box([spot(lat, lon) for lat, lon in road.spots], width, height)
        paths.setdefault(road.level, []).extend(inside)
    pins, taken = place_pins([(*spot(stop.lat, stop.lon), stop) for stop in stops], width, height)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="route-map" role="img" '
        f'viewBox="0 0 {width} {height}" aria-label="{escape(says or _said(stops, words))}">',
        f'<rect class="paper" width="{width}" height="{height}" fill="{LIGHT["paper"]}"/>',
        drawn_roads(paths, for_paper=True),
        *(_way(line, spot) for line in lines),
        _route_names([*_yard_names(stops), *names], spot, taken, width, height, z),
        *(_leader(x, y, at) for x, y, at, _ in pins),
        *(_pin(x, y, stop) for x, y, _, stop in pins),
        _mile_bar(units_per_mile(framed[0][0], z), width, height, words),
        halo(words.credit or credit, width - 8, height - 8, anchor="end"),
        "</svg>",
    ]
    return "".join(parts)


def place_pins(
    stops: Sequence[tuple[float, float, MapStop]], width: float, height: float
) -> tuple[list[tuple[float, float, _Spot, MapStop]], list[Box]]:
    """Where each pin stands, and the boxes they fill: on its place, or moved out around it where one is.

    Shapes
        returns: (x, y, its own place, stop) in the order given; a mark said twice at one place stands once.
    """
    pins: list[tuple[float, float, _Spot, MapStop]] = []
    taken: list[Box] = []
    seen: set[tuple[int, int, str, int]] = set()
    for x, y, stop in stops:
        known = (round(x), round(y), stop.mark, stop.run)
        if known in seen:
            continue
        seen.add(known)
        half = (SMALL if stop.is_plain else PIN) / 2 + 2
        pin_x, pin_y = next(
            (
                (at_x, at_y)
                for at_x, at_y in _around(x, y)
                if _is_inside(at_x, at_y, width, height) and not meets_any(_box(at_x, at_y, half), taken)
            ),
            (x, y),
        )
        taken.append(_box(pin_x, pin_y, half))
        pins.append((pin_x, pin_y, (x, y), stop))
    return pins, taken


def _around(x: float, y: float) -> list[_Spot]:
    return [
        (x + ring * cos(turn * 2 * pi / TURNS), y + ring * sin(turn * 2 * pi / TURNS))
        for ring in RINGS
        for turn in range(TURNS if ring else 1)
    ]


def _box(x: float, y: float, half: float) -> Box:
    return (x - half, y - half, x + half, y + half)


def _is_inside(x: float, y: float, width: float, height: float) -> bool:
    return PIN / 2 <= x <= width - PIN / 2 and PIN / 2 <= y <= height - PIN / 2 - FOOT


def _leader(x: float, y: float, at: _Spot) -> str:
    """From a pin that was moved out to its own place."""
    if hypot(x - at[0], y - at[1]) <= 1:
        return ""
    return (
        f'<line class="leader" x1="{at[0]:.1f}" y1="{at[1]:.1f}" x2="{x:.1f}" y2="{y:.1f}" '
        f'stroke="{LIGHT["ink"]}" stroke-width="1.2"/>'
        f'<circle class="place" cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="3.5" fill="{LIGHT["ink"]}"/>'
    )


def _pin(x: float, y: float, stop: MapStop) -> str:
    run = stop.run % len(RUN_COLORS)
    color = YARD if stop.is_yard else RUN_COLORS[run]
    half = (SMALL if stop.is_plain else PIN) / 2 - 1
    corner = 4.0 if stop.is_yard or run else half
    turned = f' transform="rotate(45 {x:.1f} {y:.1f}) "' if run == 2 and not stop.is_yard else ""
    if turned:
        half *= 0.82
    kind = "yard" if stop.is_yard else f"stop run-{'abc'[run]}"
    return (
        f'<g class="{kind}"><title>{escape(stop.name)}</title>'
        f'<rect x="{x - half:.1f}" y="{y - half:.1f}" width="{2 * half:.1f}" height="{2 * half:.1f}" '
        f'rx="{corner:g}" fill="{color}" stroke="#ffffff" stroke-width="2"{turned}/>'
        f'<text x="{x:.1f}" y="{y + 5:.1f}" font-family="system-ui,sans-serif" font-size="{LETTERS}" '
        f'font-weight="700" text-anchor="middle" fill="#ffffff">{escape(stop.mark)}</text></g>'
    )


def _way(line: RunLine, spot: _ToSpot) -> str:
    run = line.run % len(RUN_COLORS)
    color, dash = RUN_COLORS[run], RUN_DASHES[run]
    legs = [_beside(_thinned([spot(lat, lon) for lat, lon in leg])) for leg in line.legs if len(leg) > 1]
    way = "".join(line_path(leg) for leg in legs)
    if not way:
        return ""
    dashes = f' stroke-dasharray="{dash}"' if dash else ' stroke-dasharray="7 6"' if line.is_estimate else ""
    shared = f'd="{way}" fill="none" stroke-linecap="round" stroke-linejoin="round"'
    arrows = "".join(_arrow(*arrow, color) for leg in legs for arrow in _arrows(leg))
    return (
        f'<g class="way run-{"abc"[run]}">'
        f'<path class="way-casing" {shared} stroke="#fffdf8" stroke-width="6.5"/>'
        f'<path class="line" {shared} stroke="{color}" stroke-width="3.5"{dashes}/>{arrows}</g>'
    )


def _beside(spots: list[_Spot]) -> list[_Spot]:
    """The line moved to the right of its own direction, so that there and back lie side by side."""
    moved = []
    for place, (x, y) in enumerate(spots):
        before, after = spots[max(place - 1, 0)], spots[min(place + 1, len(spots) - 1)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        size = hypot(dx, dy) or 1.0
        moved.append((x - dy / size * KEEPS_RIGHT, y + dx / size * KEEPS_RIGHT))
    return moved


def _arrows(spots: Sequence[_Spot]) -> list[tuple[float, float, float]]:
    """(x, y, degrees) of arrows along a leg: one in the middle of a short one, else evenly spread."""
    long = sum(hypot(end[0] - start[0], end[1] - start[1]) for start, end in pairwise(spots))
    count = max(1, int(long // ARROW_EVERY)) if long > 4 * ARROW_LONG else 0
    wanted = [long * (place + 0.5) / count for place in range(count)]
    arrows, gone = [], 0.0
    for start, end in pairwise(spots):
        step = hypot(end[0] - start[0], end[1] - start[1])
        while wanted and gone + step >= wanted[0] and step > 0:
            share = (wanted.pop(0) - gone) / step
            x, y = start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
            arrows.append((x, y, degrees(atan2(end[1] - start[1], end[0] - start[0]))))
        gone += step
    return arrows


def _arrow(x: float, y: float, turned: float, color: str) -> str:
    shape = f"M-{ARROW_LONG} -{ARROW_LONG}L{ARROW_LONG + 1} 0L-{ARROW_LONG} {ARROW_LONG}z"
    return (
        f'<path class="arrow" d="{shape}" '
        f'transform="translate({x:.1f} {y:.1f}) rotate({turned:.0f})" fill="{color}" stroke="#fffdf8" '
        'stroke-width="1.5"/>'
    )


def _inside_box(spots: Sequence[tuple[float, float]], width: int, height: int) -> list[str]:
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    if max(xs) < 0 or min(xs) > width or max(ys) < 0 or min(ys) > height:
        return []
    return [line_path(_thinned(spots))]


def _thinned(spots: Sequence[tuple[float, float]], least: float = 0.8) -> list[tuple[float, float]]:
    kept = [spots[0]]
    for spot in spots[1:-1]:
        if abs(spot[0] - kept[-1][0]) + abs(spot[1] - kept[-1][1]) >= least:
            kept.append(spot)
    return [*kept, spots[-1]]


def _said(stops: Sequence[MapStop], words: MapWords) -> str:
    if not stops:
        return words.roads
    return f"{words.way} " + ", ".join(f"{stop.mark} {stop.name}".strip() for stop in stops) + "."


def _yard_names(stops: Sequence[MapStop]) -> list[MapName]:
    return [
        MapName(name=stop.name, lat=stop.lat, lon=stop.lon, rank=YARD_RANK) for stop in stops if stop.is_plain
    ]


def _route_names(
    names: Sequence[MapName],
    spot: _ToSpot,
    taken: list[Box],
    width: int,
    height: int,
    z: float,
) -> str:
    """Names below, above or beside their spot, where nothing stands yet; towns first, then yards."""
    written = []
    for name in sorted(names, key=lambda name: -name.rank):
        x, y = spot(name.lat, name.lon)
        half = len(name.name) * 4.1 + 2
        if not shows_at(name.rank, z + 1) or not (0 < x < width and 0 < y < height - FOOT):
            continue
        for aside, down in ((0, 25), (0, -15), (half + 16, 5), (-half - 16, 5), (0, 40), (0, -30)):
            at_x, at_y = x + aside, y + down
            box = (at_x - half, at_y - 12, at_x + half, at_y + 4)
            inside = box[0] > 0 and box[2] < width and box[1] > 0 and box[3] < height - FOOT
            if inside and not meets_any(box, taken):
                taken.append(box)
                weight = 700 if name.rank >= TOWN_RANK else 400
                written.append(halo(name.name, at_x, at_y, size=LETTERS, weight=weight))
                break
    return "".join(written)


def _mile_bar(per_mile: float, width: int, height: int, words: MapWords) -> str:
    each = per_mile / float(local().distance(Decimal(1)))
    bar = max((bar for bar in MILE_BARS if bar * each <= width / 4), default=MILE_BARS[0])
    long, y = bar * each, height - 30  # above the credit, which may be as wide as a phone
    text = f"{bar:g} km" if local().is_metric else f"{bar:g} {words.mile if bar == 1 else words.miles}"
    line = f'<path class="bar-line" d="M12 {y - 5}v5h{long:.1f}v-5" fill="none" stroke="{LIGHT["ink"]}" '
    return f'{line}stroke-width="2"/>' + halo(text, 18 + long, y, anchor="start")
