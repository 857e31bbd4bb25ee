"""The road map as drawings, a tile each, and the roads and names every map is made of. No files, no engine.

Colors are attributes, so a drawing is right wherever it lands; classes let a page restyle it for the dark.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from routing.maps.mercator import TILE, degrees, world
from routing.maps.vector_tiles import TileFeature, TileLayer

type Box = tuple[float, float, float, float]  # left, top, right, bottom
type _ToSpot = Callable[[float, float], tuple[float, float]]

# Width of a road on a tile and on paper, from motorways (0) to service roads (7).
ROAD_WIDTHS = (
    (3.4, 3.0), (3.2, 2.8), (2.8, 2.4), (2.4, 1.9), (1.9, 1.5), (1.5, 1.1), (1.3, 0.8), (0.9, 0.5),
)  # fmt: skip
LIGHT = {"paper": "#f4f0e6", "casing": "#a39474", "main": "#f2d28f", "minor": "#ffffff", "ink": "#2b2118"}
DARK = {"paper": "#1d1a15", "casing": "#57503f", "main": "#a8874a", "minor": "#837860", "ink": "#efe7d8"}
MAIN_CLASSES = 4  # motorway to secondary
MARGIN_UNITS = 6.0
TOWN_RANK, HAMLET_RANK, LOCAL_RANK = 7, 6, 5
UNDER_A_PIN = -16  # where a pin is set: its tip stands on the place, so the name goes below
STREETS_FROM = 15  # from here on streets carry their names and the town's would lie over them
INVENTED_CREDIT = "Invented map: nobody and nowhere on it is real"
OSM_CREDIT = "© OpenStreetMap contributors"


@dataclass(frozen=True, slots=True, kw_only=True)
class MapName:
    """A name on the map; the larger the rank, the earlier it shows."""

    name: str
    lat: float
    lon: float
    rank: float = TOWN_RANK


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
    drawn = drawn_roads(paths, wider=1.0 + max(0, z - 13) * 0.5)
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
            paths.append(line_path([*run, start] if run[-1] != start else run))
            run = []
    if len(run) > 1:
        paths.append(line_path(run))
    return paths


def _touches(start: tuple[float, float], end: tuple[float, float]) -> bool:
    return not (
        max(start[0], end[0]) < -MARGIN_UNITS
        or min(start[0], end[0]) > TILE + MARGIN_UNITS
        or max(start[1], end[1]) < -MARGIN_UNITS
        or min(start[1], end[1]) > TILE + MARGIN_UNITS
    )


def line_path(spots: Sequence[tuple[float, float]]) -> str:
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


def drawn_roads(paths: dict[int, list[str]], *, for_paper: bool = False, wider: float = 1.0) -> str:
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


def shows_at(rank: float, z: float) -> bool:
    if rank >= TOWN_RANK:
        return True
    if rank >= HAMLET_RANK:
        return z >= 10
    return z >= 12 if rank == LOCAL_RANK else z >= 15


def _tile_names(names: Sequence[MapName], z: int, x: int, y: int) -> str:
    """Names that touch the tile, save those under a larger one; the next tile draws the other half."""
    written = []
    taken: list[Box] = []
    for name in sorted(names, key=lambda name: (-name.rank, name.name)):
        if not shows_at(name.rank, z) or (name.rank >= TOWN_RANK and z >= STREETS_FROM):
            continue
        east, south = world(name.lat, name.lon, z)
        above = 0 if name.rank <= 0 else UNDER_A_PIN if z >= STREETS_FROM else 6
        at_x, at_y = east - x * TILE, south - y * TILE - above
        half = len(name.name) * 4.2 + 4
        box = (at_x - half, at_y - 12, at_x + half, at_y + 4)
        if not (-TILE < at_x < 2 * TILE and -TILE < at_y < 2 * TILE) or meets_any(box, taken):
            continue
        taken.append(box)
        if -half < at_x < TILE + half and -16 < at_y < TILE + 16:
            written.append(written_name(name, at_x, at_y))
    return "".join(written)


def written_name(name: MapName, x: float, y: float) -> str:
    size = 13 if name.rank >= TOWN_RANK else 11 if name.rank >= LOCAL_RANK else 9.5
    weight = 700 if name.rank >= TOWN_RANK else 600 if name.rank >= LOCAL_RANK else 400
    return halo(name.name, x, y, size=size, weight=weight)


def halo(
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


def meets_any(box: Box, taken: Sequence[Box]) -> bool:
    return any(
        box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3] for other in taken
    )
