"""Maps as drawings: one tile of the road map, and a whole route on paper. No files, no engine.

Colors are attributes, so a drawing is right wherever it lands; classes let a page restyle it for the dark.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from routing.core.mercator import TILE, degrees, units_per_mile, world, zoom_that_fits
from routing.core.vector_tiles import TileFeature, TileLayer

type _Box = tuple[float, float, float, float]  # left, top, right, bottom
type _ToSpot = Callable[[float, float], tuple[float, float]]

# Width of a road on a tile and on paper, from motorways (0) to service roads (7).
ROAD_WIDTHS = (
    (3.4, 3.0), (3.2, 2.8), (2.8, 2.4), (2.4, 1.9), (1.9, 1.5), (1.5, 1.1), (1.3, 0.8), (0.9, 0.5),
)  # fmt: skip
LIGHT = {"paper": "#f4f0e6", "casing": "#a39474", "main": "#f2d28f", "minor": "#ffffff", "ink": "#2b2118"}
DARK = {"paper": "#1d1a15", "casing": "#57503f", "main": "#a8874a", "minor": "#837860", "ink": "#efe7d8"}
ROUTE, STOP, YARD = "#9c3413", "#9c3413", "#2e4632"
MAIN_CLASSES = 4  # motorway to secondary
MARGIN_UNITS = 6.0
TOWN_RANK, HAMLET_RANK, LOCAL_RANK = 7, 6, 5
STREETS_FROM = 15  # from here on streets carry their names and the town's would lie over them
MILE_BARS = (0.25, 0.5, 1, 2, 5, 10, 20, 50, 100)
INVENTED_CREDIT = "Invented map: nobody and nowhere on it is real"
OSM_CREDIT = "© OpenStreetMap contributors"


@dataclass(frozen=True, slots=True, kw_only=True)
class MapName:
    """A name on the map; the larger the rank, the earlier it shows."""

    name: str
    lat: float
    lon: float
    rank: int = TOWN_RANK


@dataclass(frozen=True, slots=True, kw_only=True)
class MapStop:
    """A halt of a route: its mark on the map, what it is, and whether it is a yard."""

    mark: str
    name: str
    lat: float
    lon: float
    is_yard: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadLine:
    """A road in degrees; `level` 0 is a motorway and 7 a service road."""

    level: int
    spots: tuple[tuple[float, float], ...]


def draw_tile(
    layers: Iterable[TileLayer],
    *,
    z: int,
    x: int,
    y: int,
    names: Sequence[MapName] = (),
    parent_zoom: int = 0,
) -> str:
    """One map tile, 256 units square, as SVG.

    layers: of this tile, or of the tile at `parent_zoom` it is a part of.
    """
    deeper = z - parent_zoom if parent_zoom else 0
    paths: dict[int, list[str]] = {}
    for layer in layers:
        if layer.name != "edges":
            continue
        scale = TILE * 2**deeper / layer.extent
        left, top = (x % 2**deeper) * TILE, (y % 2**deeper) * TILE
        for feature in layer.features:
            level = _level(feature)
            for line in feature.lines:
                spots = [(px * scale - left, py * scale - top) for px, py in line]
                paths.setdefault(level, []).extend(_inside(spots))
    drawn = _roads(paths, wider=1.0 + max(0, z - 13) * 0.5)
    written = _tile_names(names, z, x, y)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{TILE}" height="{TILE}" viewBox="0 0 {TILE} {TILE}">'
        f"<style>{_dark_style()}</style>"
        f'<rect class="paper" width="{TILE}" height="{TILE}" fill="{LIGHT["paper"]}"/>'
        f"{drawn}{written}</svg>"
    )


def _level(feature: TileFeature) -> int:
    level = feature.tags.get("road_class", 7)
    return level if isinstance(level, int) and 0 <= level <= 7 else 7


def _dark_style() -> str:
    return (
        "@media(prefers-color-scheme:dark){"
        f".paper{{fill:{DARK['paper']}}}.casing{{stroke:{DARK['casing']}}}.main{{stroke:{DARK['main']}}}"
        f".minor{{stroke:{DARK['minor']}}}.name{{fill:{DARK['ink']};stroke:{DARK['paper']}}}}}"
    )


def _inside(spots: Sequence[tuple[float, float]]) -> list[str]:
    """The parts of a line that touch the tile, as path commands with one decimal, jitter dropped."""
    paths: list[str] = []
    run: list[tuple[float, float]] = []
    for start, end in pairwise(spots):
        if _touches(start, end):
            if not run:
                run = [start]
            if abs(end[0] - run[-1][0]) + abs(end[1] - run[-1][1]) >= 0.6 or end == spots[-1]:
                run.append(end)
        elif run:
            paths.append(_path([*run, start] if run[-1] != start else run))
            run = []
    if len(run) > 1:
        paths.append(_path(run))
    return paths


def _touches(start: tuple[float, float], end: tuple[float, float]) -> bool:
    return not (
        max(start[0], end[0]) < -MARGIN_UNITS
        or min(start[0], end[0]) > TILE + MARGIN_UNITS
        or max(start[1], end[1]) < -MARGIN_UNITS
        or min(start[1], end[1]) > TILE + MARGIN_UNITS
    )


def _path(spots: Sequence[tuple[float, float]]) -> str:
    """Relative whole tenths: short, and no drift, since each step starts from the rounded spot."""
    x, y = round(spots[0][0] * 10), round(spots[0][1] * 10)
    steps = [f"M{_tenth(x)} {_tenth(y)}l"]
    for spot in spots[1:]:
        dx, dy = round(spot[0] * 10) - x, round(spot[1] * 10) - y
        x, y = x + dx, y + dy
        steps.append(f"{_tenth(dx)} {_tenth(dy)} ")
    return "".join(steps).rstrip()


def _tenth(tenths: int) -> str:
    return f"{tenths / 10:g}"


def _roads(paths: dict[int, list[str]], *, for_paper: bool = False, wider: float = 1.0) -> str:
    """All casings first, then all roads, the smallest first: a crossing looks like one."""
    casings, tops = [], []
    for level in sorted(paths, reverse=True):
        on_tile, on_paper = ROAD_WIDTHS[min(level, len(ROAD_WIDTHS) - 1)]
        width = (on_paper if for_paper else on_tile) * wider
        line = "".join(paths[level])
        if not line:
            continue
        kind = "main" if level < MAIN_CLASSES else "minor"
        shared = f'd="{line}" fill="none" stroke-linecap="round" stroke-linejoin="round"'
        casings.append(
            f'<path class="casing" {shared} stroke="{LIGHT["casing"]}" stroke-width="{width + 1.6:.1f}"/>'
        )
        tops.append(f'<path class="{kind}" {shared} stroke="{LIGHT[kind]}" stroke-width="{width:.1f}"/>')
    return "".join(casings + tops)


def _shows(rank: int, z: float) -> bool:
    if rank >= TOWN_RANK:
        return True
    if rank >= HAMLET_RANK:
        return z >= 10
    return z >= 12 if rank == LOCAL_RANK else z >= 15


def _tile_names(names: Sequence[MapName], z: int, x: int, y: int) -> str:
    """Names that touch the tile, save those under a larger one; the next tile draws the other half."""
    written = []
    taken: list[_Box] = []
    for name in sorted(names, key=lambda name: (-name.rank, name.name)):
        if not _shows(name.rank, z) or (name.rank >= TOWN_RANK and z >= STREETS_FROM):
            continue
        east, south = world(name.lat, name.lon, z)
        at_x, at_y = east - x * TILE, south - y * TILE - (6 if name.rank > 0 else 0)
        half = len(name.name) * 4.2 + 4
        box = (at_x - half, at_y - 12, at_x + half, at_y + 4)
        if not (-TILE < at_x < 2 * TILE and -TILE < at_y < 2 * TILE) or _hits(box, taken):
            continue
        taken.append(box)
        if -half < at_x < TILE + half and -16 < at_y < TILE + 16:
            written.append(_name(name, at_x, at_y))
    return "".join(written)


def _name(name: MapName, x: float, y: float) -> str:
    size = 13 if name.rank >= TOWN_RANK else 11 if name.rank >= LOCAL_RANK else 9.5
    weight = 700 if name.rank >= TOWN_RANK else 600 if name.rank >= LOCAL_RANK else 400
    return _halo(name.name, x, y, size=size, weight=weight)


def _halo(
    text: str, x: float, y: float, *, anchor: str = "middle", size: float = 11, weight: int = 400
) -> str:
    """Letters that can be read on any road."""
    return (
        f'<text class="name" x="{x:.1f}" y="{y:.1f}" font-family="system-ui,sans-serif" font-size="{size}" '
        f'font-weight="{weight}" text-anchor="{anchor}" fill="{LIGHT["ink"]}" stroke="{LIGHT["paper"]}" '
        f'stroke-width="3" stroke-linejoin="round" paint-order="stroke">{escape(text)}</text>'
    )


def tile_lines(layers: Iterable[TileLayer], *, z: int, x: int, y: int) -> tuple[RoadLine, ...]:
    """The roads of a tile in degrees, for a map that is put together from several."""
    lines = []
    for layer in layers:
        if layer.name != "edges":
            continue
        scale = TILE / layer.extent
        for feature in layer.features:
            level = _level(feature)
            for line in feature.lines:
                spots = tuple(degrees(x * TILE + px * scale, y * TILE + py * scale, z) for px, py in line)
                lines.append(RoadLine(level=level, spots=spots))
    return tuple(lines)


def draw_route(
    *,
    roads: Sequence[RoadLine],
    route: Sequence[tuple[float, float]],
    stops: Sequence[MapStop],
    names: Sequence[MapName] = (),
    says: str = "",
    credit: str = OSM_CREDIT,
    width: int = 720,
    height: int = 540,
    estimated: bool = False,
) -> str:
    """A whole route as one SVG drawing: roads, the way, numbered stops, town names, a mile bar, the credit.

    says: what the drawing shows, for those who hear it; made from the stops when empty.
    estimated: straight lines, drawn dashed.
    """
    framed = [*route, *((stop.lat, stop.lon) for stop in stops)] or [(0.0, 0.0)]
    edge = 46
    z = zoom_that_fits(tuple(framed), width - 2 * edge, height - 2 * edge)
    flat = [world(lat, lon, z) for lat, lon in framed]
    left = (min(x for x, _ in flat) + max(x for x, _ in flat) - width) / 2
    top = (min(y for _, y in flat) + max(y for _, y in flat) - height) / 2

    def spot(lat: float, lon: float) -> tuple[float, float]:
        x, y = world(lat, lon, z)
        return x - left, y - top

    paths: dict[int, list[str]] = {}
    for road in roads:
        paths.setdefault(road.level, []).extend(
            _inside_box([spot(lat, lon) for lat, lon in road.spots], width, height)
        )
    way = _path(_thinned([spot(lat, lon) for lat, lon in route])) if len(route) > 1 else ""
    dashes = ' stroke-dasharray="7 6"' if estimated else ""
    taken: list[_Box] = []
    marks = _marks(stops, spot, taken)
    written = _route_names(names, spot, taken, width, height, z)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="route-map" role="img" '
        f'viewBox="0 0 {width} {height}" aria-label="{escape(says or _said(stops))}">',
        f'<rect class="paper" width="{width}" height="{height}" fill="{LIGHT["paper"]}"/>',
        _roads(paths, for_paper=True),
    ]
    if way:
        parts.append(
            f'<path class="way-casing" d="{way}" fill="none" stroke="#fffdf8" stroke-width="7" '
            'stroke-linecap="round" stroke-linejoin="round"/>'
            f'<path class="way" d="{way}" fill="none" stroke="{ROUTE}" stroke-width="3.5"{dashes} '
            'stroke-linecap="round" stroke-linejoin="round"/>'
        )
    middle_lat = framed[0][0]
    parts += [written, marks, _mile_bar(units_per_mile(middle_lat, z), width, height)]
    parts += [_halo(credit, width - 8, height - 8, anchor="end"), "</svg>"]
    return "".join(parts)


def _inside_box(spots: Sequence[tuple[float, float]], width: int, height: int) -> list[str]:
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    if max(xs) < 0 or min(xs) > width or max(ys) < 0 or min(ys) > height:
        return []
    return [_path(_thinned(spots))]


def _thinned(spots: Sequence[tuple[float, float]], least: float = 0.8) -> list[tuple[float, float]]:
    kept = [spots[0]]
    for spot in spots[1:-1]:
        if abs(spot[0] - kept[-1][0]) + abs(spot[1] - kept[-1][1]) >= least:
            kept.append(spot)
    return [*kept, spots[-1]]


def _said(stops: Sequence[MapStop]) -> str:
    if not stops:
        return "Map of the roads."
    return "Map of the way: " + ", ".join(f"{stop.mark} {stop.name}".strip() for stop in stops) + "."


def _marks(stops: Sequence[MapStop], spot: _ToSpot, taken: list[_Box]) -> str:
    """One mark a spot: a stop visited twice carries both numbers."""
    groups: list[tuple[float, float, list[MapStop]]] = []
    for stop in stops:
        x, y = spot(stop.lat, stop.lon)
        near = next((group for group in groups if abs(group[0] - x) + abs(group[1] - y) < 14), None)
        if near:
            near[2].append(stop)
        else:
            groups.append((x, y, [stop]))
    drawn = []
    for x, y, here in groups:
        mark = "·".join(dict.fromkeys(stop.mark for stop in here if stop.mark))
        wide = max(22.0, 9.0 + 8.0 * len(mark))
        is_yard = any(stop.is_yard for stop in here)
        round_by, color = (4, YARD) if is_yard else (11, STOP)
        taken.append((x - wide / 2, y - 11, x + wide / 2, y + 11))
        title = escape(", ".join(dict.fromkeys(stop.name for stop in here)))
        drawn.append(
            f'<g class="{"yard" if is_yard else "stop"}"><title>{title}</title>'
            f'<rect x="{x - wide / 2:.1f}" y="{y - 11:.1f}" width="{wide:.1f}" height="22" rx="{round_by}" '
            f'fill="{color}" stroke="#ffffff" stroke-width="2"/>'
            f'<text x="{x:.1f}" y="{y + 4.5:.1f}" font-family="system-ui,sans-serif" font-size="13" '
            f'font-weight="700" text-anchor="middle" fill="#ffffff">{escape(mark)}</text></g>'
        )
    return "".join(drawn)


def _route_names(
    names: Sequence[MapName],
    spot: _ToSpot,
    taken: list[_Box],
    width: int,
    height: int,
    z: float,
) -> str:
    """Names above or below their spot, where nothing stands yet; the larger place first."""
    written = []
    for name in sorted(names, key=lambda name: -name.rank):
        x, y = spot(name.lat, name.lon)
        half = len(name.name) * 4.0 + 2
        if not _shows(name.rank, z + 1) or not (half < x < width - half and 16 < y < height - 24):
            continue
        for at_y in (y - 15, y + 25):
            box = (x - half, at_y - 12, x + half, at_y + 4)
            if not _hits(box, taken):
                taken.append(box)
                written.append(_name(name, x, at_y))
                break
    return "".join(written)


def _hits(box: _Box, taken: Sequence[_Box]) -> bool:
    return any(
        box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3] for other in taken
    )


def _mile_bar(per_mile: float, width: int, height: int) -> str:
    miles = max((bar for bar in MILE_BARS if bar * per_mile <= width / 4), default=MILE_BARS[0])
    long, y = miles * per_mile, height - 14
    text = f"{miles:g} mile" + ("" if miles == 1 else "s")
    line = f'<path class="bar-line" d="M12 {y - 5}v5h{long:.1f}v-5" fill="none" stroke="{LIGHT["ink"]}" '
    return f'{line}stroke-width="2"/>' + _halo(text, 18 + long, y, anchor="start")
