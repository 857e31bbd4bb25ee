"""Building the street index of an extract: streets, houses and places read once into one SQLite file.

Not the app's own database: the file belongs to an extract and goes with it. Reading it is `street_index`.
"""

import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass, field
from math import cos, radians
from pathlib import Path

from routing.core.streets import HitKind, fold, searchable

PLACE_RANK = {"city": 9, "town": 8, "village": 7, "suburb": 6, "hamlet": 6, "locality": 5, "neighbourhood": 5}
STREET_RANK, HOUSE_RANK = 3, 1
DEGREES_PER_CELL = 0.1  # places are looked up in squares of about seven miles
SAMPLE_EVERY = 4  # every so many nodes of a named road are kept for "what street is this?"
NAMES_APART = 0.006  # degrees between two names of one street

SCHEMA = """
create table a(
  id integer primary key, kind text not null, label text not null, number text not null, street text not null,
  city text not null, lat real not null, lon real not null, rank integer not null
);
create virtual table f using fts5(
  txt, content='', tokenize='unicode61 remove_diacritics 2', prefix='2 3 4'
);
create virtual table t using fts5(txt, content='', tokenize='trigram', detail=none);
create table p(lat real not null, lon real not null, a integer not null);
create table l(lat real not null, lon real not null, name text not null);
"""
INDEXES = """
create index a_where on a(lat, lon);
create index a_house on a(street, city, number);
create index p_where on p(lat, lon);
create index l_where on l(lat, lon);
"""


type _Spot = tuple[float, float]


@dataclass(slots=True)
class _Street:
    name: str
    city: str
    pieces: list[list[_Spot]] = field(default_factory=list)

    def spots(self) -> list[_Spot]:
        return [spot for piece in self.pieces for spot in piece]

    def middle(self) -> _Spot:
        """The street's own spot nearest to the mean of all: never beside the road."""
        spots = self.spots()
        lat = sum(spot[0] for spot in spots) / len(spots)
        lon = sum(spot[1] for spot in spots) / len(spots)
        return min(spots, key=lambda spot: (spot[0] - lat) ** 2 + (spot[1] - lon) ** 2)

    def name_spots(self) -> list[_Spot]:
        """Where the map may write the name: between two corners of each piece, not too near one another.

        A third or two along, by turns: the middles of all streets of a grid would lie in one heap.
        """
        found: list[_Spot] = []
        third = 1 + len(self.name) % 2
        for piece in sorted(self.pieces, key=len, reverse=True):
            at = min(max(0, len(piece) - 2), len(piece) * third // 3)
            (lat, lon), (next_lat, next_lon) = piece[at], piece[min(at + 1, len(piece) - 1)]
            spot = ((lat + next_lat) / 2, (lon + next_lon) / 2)
            if all(abs(spot[0] - old[0]) + abs(spot[1] - old[1]) > NAMES_APART for old in found[-40:]):
                found.append(spot)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexSize:
    """What went into the index, and the edges of the extract."""

    houses: int
    streets: int
    places: int
    roads: int
    west: float
    south: float
    east: float
    north: float


class _Reader:
    """Collects what an extract tells about places, houses and named roads."""

    def __init__(self) -> None:
        self.places: list[tuple[str, str, float, float]] = []
        self.houses: list[tuple[str, str, str, float, float]] = []
        self.named: list[tuple[str, list[_Spot]]] = []
        self.roads = 0
        self.west, self.south, self.east, self.north = 180.0, 90.0, -180.0, -90.0

    def read(self, pbf: Path) -> None:
        import osmium
        from osmium.filter import KeyFilter

        wanted = KeyFilter("addr:housenumber", "highway", "place", "mountain_pass")
        for thing in osmium.FileProcessor(str(pbf)).with_locations().with_filter(wanted):
            if isinstance(thing, osmium.osm.Node):
                self._node(dict(thing.tags), thing.location.lat, thing.location.lon)
            elif isinstance(thing, osmium.osm.Way):
                spots = [(node.lat, node.lon) for node in thing.nodes if node.location.valid()]
                if spots:
                    self._way(dict(thing.tags), spots)

    def _node(self, tags: dict[str, str], lat: float, lon: float) -> None:
        kind = tags.get("place") or ("locality" if "mountain_pass" in tags else None)
        if kind in PLACE_RANK and "name" in tags:
            self.places.append((tags["name"], kind, lat, lon))
        self._house(tags, lat, lon)

    def _way(self, tags: dict[str, str], spots: list[_Spot]) -> None:
        if "highway" in tags:
            self.roads += 1
            for lat, lon in spots:
                self.west, self.east = min(self.west, lon), max(self.east, lon)
                self.south, self.north = min(self.south, lat), max(self.north, lat)
            if "name" in tags:
                self.named.append((tags["name"], spots))
        self._house(
            tags, sum(lat for lat, _ in spots) / len(spots), sum(lon for _, lon in spots) / len(spots)
        )

    def _house(self, tags: dict[str, str], lat: float, lon: float) -> None:
        number = tags.get("addr:housenumber")
        street = tags.get("addr:street") or tags.get("addr:place")
        if number and street:
            self.houses.append((number, street, tags.get("addr:city", ""), lat, lon))


class _Towns:
    """The nearest town of a spot, through squares so that large extracts stay quick."""

    def __init__(self, places: Iterable[tuple[str, str, float, float]]) -> None:
        self.cells: dict[tuple[int, int], list[tuple[str, float, float]]] = {}
        for name, kind, lat, lon in places:
            if PLACE_RANK[kind] > PLACE_RANK["locality"]:
                self.cells.setdefault(self._cell(lat, lon), []).append((name, lat, lon))

    @staticmethod
    def _cell(lat: float, lon: float) -> tuple[int, int]:
        return int(lat // DEGREES_PER_CELL), int(lon // DEGREES_PER_CELL)

    def nearest(self, lat: float, lon: float) -> str:
        row, column = self._cell(lat, lon)
        best, name = 1e9, ""
        for up in (-1, 0, 1):
            for aside in (-1, 0, 1):
                for town, town_lat, town_lon in self.cells.get((row + up, column + aside), ()):
                    away = (town_lat - lat) ** 2 + ((town_lon - lon) * cos(radians(lat))) ** 2
                    if away < best:
                        best, name = away, town
        return name


def build_street_index(*, pbf: Path, to: Path, say: Callable[[str], None] = lambda line: None) -> IndexSize:
    """Read an extract and write its street index; an old file at `to` is replaced.

    Errors
        RuntimeError, OSError: osmium could not read the file; the caller words it.
    """
    reader = _Reader()
    say("Reading streets and house numbers")
    reader.read(pbf)
    towns = _Towns(reader.places)
    streets: dict[tuple[str, str], _Street] = {}
    for name, spots in reader.named:
        city = towns.nearest(*spots[len(spots) // 2])
        streets.setdefault((fold(name), city), _Street(name, city)).pieces.append(spots)
    say("Writing the street index")
    to.unlink(missing_ok=True)
    with closing(sqlite3.connect(to)) as index, index:
        index.execute("pragma journal_mode=off")
        index.executescript(SCHEMA)
        write = _Writer(index)
        for name, kind, lat, lon in sorted(reader.places, key=lambda place: -PLACE_RANK[place[1]]):
            town = "" if PLACE_RANK[kind] > PLACE_RANK["locality"] else towns.nearest(lat, lon)
            write.row("place", "", name, town, lat, lon, PLACE_RANK[kind])
        for (_, city), street in streets.items():
            row = write.row("street", "", street.name, city, *street.middle(), STREET_RANK)
            write.samples(row, street)
        for number, name, city, lat, lon in reader.houses:
            write.row("house", number, name, city or towns.nearest(lat, lon), lat, lon, HOUSE_RANK)
        index.executescript(INDEXES)
    return IndexSize(
        houses=len(reader.houses),
        streets=len(streets),
        places=len(reader.places),
        roads=reader.roads,
        west=reader.west,
        south=reader.south,
        east=reader.east,
        north=reader.north,
    )


class _Writer:
    def __init__(self, index: sqlite3.Connection) -> None:
        self.index = index
        self.count = 0

    def row(
        self, kind: HitKind, number: str, street: str, city: str, lat: float, lon: float, rank: int
    ) -> int:
        self.count += 1
        name = f"{number} {street}".strip()
        label = f"{name}, {city}" if city and city != name else name
        self.index.execute(
            "insert into a values (?,?,?,?,?,?,?,?,?)",
            (self.count, kind, label, fold(number), fold(street), city, lat, lon, rank),
        )
        self.index.execute(
            "insert into f(rowid, txt) values (?,?)", (self.count, searchable(number, street, city))
        )
        if kind != "house":
            self.index.execute(
                "insert into t(rowid, txt) values (?,?)", (self.count, fold(f"{street} {city}"))
            )
        return self.count

    def samples(self, row: int, street: _Street) -> None:
        spots = street.spots()
        kept = [*spots[::SAMPLE_EVERY], spots[-1]]
        self.index.executemany("insert into p values (?,?,?)", [(lat, lon, row) for lat, lon in kept])
        names = [(lat, lon, street.name) for lat, lon in street.name_spots()]
        self.index.executemany("insert into l values (?,?,?)", names)
