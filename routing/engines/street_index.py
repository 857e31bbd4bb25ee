"""Streets, houses and places of an extract in one small SQLite file: built once, searched often.

Not the app's own database: it belongs to an extract and goes with it.
"""

import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass, field
from math import cos, radians
from pathlib import Path

from routing.core.roads import Point, great_circle_meters
from routing.core.streets import (
    LIKENESS_WANTED,
    HitKind,
    StreetHit,
    TypedAddress,
    fold,
    likeness,
    long_form,
    read_typed,
    searchable,
)

PLACE_RANK = {"city": 9, "town": 8, "village": 7, "suburb": 6, "hamlet": 6, "locality": 5, "neighbourhood": 5}
STREET_RANK, HOUSE_RANK = 3, 1
DEGREES_PER_CELL = 0.1  # places are looked up in squares of about seven miles
SAMPLE_EVERY = 4  # every so many nodes of a named road are kept for "what street is this?"
LOOK_AT = 200  # rows ranked per question: 300,000 addresses stay under 4 ms (measured)
NEAR_METERS = 2_000
REACHES = (0.0015, 0.006, 0.025)  # degrees; wider only when nothing was near

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
"""
INDEXES = """
create index a_where on a(lat, lon);
create index a_house on a(street, city, number);
create index p_where on p(lat, lon);
"""


@dataclass(slots=True)
class _Street:
    name: str
    city: str
    spots: list[tuple[float, float]] = field(default_factory=list)

    def middle(self) -> tuple[float, float]:
        """The street's own spot nearest to the mean of all: never beside the road."""
        lat = sum(spot[0] for spot in self.spots) / len(self.spots)
        lon = sum(spot[1] for spot in self.spots) / len(self.spots)
        return min(self.spots, key=lambda spot: (spot[0] - lat) ** 2 + (spot[1] - lon) ** 2)


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
        self.named: list[tuple[str, list[tuple[float, float]]]] = []
        self.roads = 0
        self.west, self.south, self.east, self.north = 180.0, 90.0, -180.0, -90.0

    def read(self, pbf: Path) -> None:
        import osmium
        from osmium.filter import KeyFilter

        wanted = KeyFilter("addr:housenumber", "highway", "place", "mountain_pass")
        for thing in osmium.FileProcessor(str(pbf)).with_locations().with_filter(wanted):
            if thing.is_node():
                self._node(thing.tags, thing.location.lat, thing.location.lon)
            elif thing.is_way():
                spots = [(node.lat, node.lon) for node in thing.nodes if node.location.valid()]
                if spots:
                    self._way(thing.tags, spots)

    def _node(self, tags: "dict[str, str]", lat: float, lon: float) -> None:
        kind = tags.get("place") or ("locality" if "mountain_pass" in tags else None)
        if kind in PLACE_RANK and "name" in tags:
            self.places.append((tags["name"], kind, lat, lon))
        self._house(tags, lat, lon)

    def _way(self, tags: "dict[str, str]", spots: list[tuple[float, float]]) -> None:
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

    def _house(self, tags: "dict[str, str]", lat: float, lon: float) -> None:
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
        streets.setdefault((fold(name), city), _Street(name, city)).spots.extend(spots)
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
            write.samples(row, street.spots)
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

    def samples(self, row: int, spots: list[tuple[float, float]]) -> None:
        kept = [*spots[::SAMPLE_EVERY], spots[-1]]
        self.index.executemany("insert into p values (?,?,?)", [(lat, lon, row) for lat, lon in kept])


class StreetIndex:
    """Reads one street index file."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def _open(self) -> sqlite3.Connection:
        index = sqlite3.connect(f"{self._path.as_uri()}?mode=ro&immutable=1", uri=True)
        index.row_factory = sqlite3.Row
        return index

    def search(self, text: str, *, near: Point | None = None, limit: int = 8) -> tuple[StreetHit, ...]:
        """Houses, streets and places for typed words, best first.

        Prefixes match; a house number that is not on the map gives its street and says so; a spelling that
        matches nothing is compared letter by letter.
        """
        typed = read_typed(text)
        if not typed.words or max(len(word) for word in typed.words) < 2:
            return ()
        with closing(self._open()) as index:
            rows = _matching(index, typed.names, typed.number)
            if not rows and typed.number:
                rows = _with_number(index, _matching(index, typed.names), typed.number)
            if not rows:
                rows = _with_number(index, _alike(index, " ".join(typed.names)), typed.number)
                return tuple(_hit(row, typed) for row in _distinct(rows)[:limit])
        rows.sort(key=lambda row: _order(row, typed, near))
        return tuple(_hit(row, typed) for row in _distinct(rows)[:limit])

    def nearest(self, point: Point) -> StreetHit | None:
        """The house next to a spot, or its street, or None when there is neither within a mile or so."""
        with closing(self._open()) as index:
            for reach in REACHES:
                found = self._within(index, point, reach)
                if found is not None:
                    return found
        return None

    def place_names(self) -> tuple[tuple[str, float, float, int], ...]:
        """Name, latitude, longitude and rank of towns and hamlets, the largest first."""
        with closing(self._open()) as index:
            rows = index.execute("select * from a where kind = 'place' order by rank desc, id limit 400")
            return tuple((row["label"].split(",")[0], row["lat"], row["lon"], row["rank"]) for row in rows)

    def street_names(
        self, *, south: float, west: float, north: float, east: float
    ) -> tuple[tuple[str, float, float], ...]:
        """Name and middle of the streets in a square of the map."""
        with closing(self._open()) as index:
            rows = index.execute(
                "select label, lat, lon from a where kind = 'street' and lat between ? and ? "
                "and lon between ? and ? limit 60",
                (south, north, west, east),
            )
            return tuple((row["label"].split(",")[0], row["lat"], row["lon"]) for row in rows)

    @staticmethod
    def _within(index: sqlite3.Connection, point: Point, reach: float) -> StreetHit | None:
        wide = reach / max(0.2, cos(radians(point.lat)))
        square = (point.lat - reach, point.lat + reach, point.lon - wide, point.lon + wide)
        near = index.execute(
            "select * from a where kind = 'house' and lat between ? and ? and lon between ? and ? limit 5000",
            square,
        ).fetchall()
        on_street = index.execute(
            "select a.id, a.kind, a.label, a.number, a.street, a.city, p.lat, p.lon, a.rank "
            "from p join a on a.id = p.a where p.lat between ? and ? and p.lon between ? and ? limit 5000",
            square,
        ).fetchall()
        for rows in (near, on_street):
            if rows:
                row = min(rows, key=lambda row: _meters(row, point))
                away = _meters(row, point)
                if away <= NEAR_METERS:
                    return StreetHit(
                        label=row["label"], city=row["city"], lat=row["lat"], lon=row["lon"],
                        exact=row["kind"] == "house" and away < 40, kind=row["kind"],
                        note="" if away < 40 else f"about {round(away, -1):.0f} m away",
                    )  # fmt: skip
        return None


def _matching(index: sqlite3.Connection, words: tuple[str, ...], number: str = "") -> list[sqlite3.Row]:
    """Rows that hold every word, or a word that begins with it; a house number counts only whole."""
    asked = " AND ".join([*(_either(word) for word in words), *([f'"{number}"'] if number else [])])
    if not asked:
        return []
    return index.execute(
        f"select a.* from (select rowid from f where f match ? limit {LOOK_AT}) x join a on a.id = x.rowid",
        (asked,),
    ).fetchall()


def _either(word: str) -> str:
    """The word as a prefix, or its long form: quoted, since signs inside are syntax to the index."""
    long = long_form(word)
    return f'("{word}"* OR "{long}"*)' if long != word else f'"{word}"*'


def _alike(index: sqlite3.Connection, text: str) -> list[sqlite3.Row]:
    pieces = {text[at : at + 3] for at in range(len(text) - 2)}
    if not pieces:
        return []
    asked = " OR ".join(f'"{piece}"' for piece in sorted(pieces))
    rows = index.execute(
        f"select a.* from (select rowid from t where t match ? order by rank limit {LOOK_AT}) x "
        "join a on a.id = x.rowid",
        (asked,),
    ).fetchall()
    spelled = " ".join(long_form(word) for word in text.split())
    scored = [(likeness(spelled, f"{row['street']} {row['city']}"), row) for row in rows]
    scored = [(score, row) for score, row in scored if score >= LIKENESS_WANTED]
    scored.sort(key=lambda pair: (-pair[0], -pair[1]["rank"], len(pair[1]["label"])))
    return [row for _, row in scored]


def _with_number(index: sqlite3.Connection, rows: list[sqlite3.Row], number: str) -> list[sqlite3.Row]:
    """Each street's house of that number in its stead, where the map has it."""
    kept = [row for row in rows if row["kind"] != "house"]
    if not number:
        return kept
    if not kept:  # houses of a street that has no row of its own in that town: the nearest number
        return sorted(rows, key=lambda row: abs(_digits(row["number"]) - _digits(number)))[:8]
    found: list[sqlite3.Row] = []
    for row in kept[:20]:
        house = index.execute(
            "select * from a where street = ? and city = ? and number = ? limit 1",
            (row["street"], row["city"], number),
        ).fetchone()
        found.append(house or row)
    return found


def _order(row: sqlite3.Row, typed: TypedAddress, near: Point | None) -> tuple[object, ...]:
    is_asked_number = bool(typed.number) and row["number"] == typed.number
    whole_words = sum(word in fold(row["label"]).split() for word in typed.words)
    away = _meters(row, near) // 2000 if near else 0
    return (not is_asked_number, -row["rank"], -whole_words, away, len(row["label"]), row["number"])


def _distinct(rows: list[sqlite3.Row]) -> list[sqlite3.Row]:
    seen: dict[str, sqlite3.Row] = {}
    for row in rows:
        seen.setdefault(row["label"], row)
    return list(seen.values())


def _hit(row: sqlite3.Row, typed: TypedAddress) -> StreetHit:
    exact = row["kind"] == "house" and typed.number in ("", row["number"])
    if exact:
        note = ""
    elif row["kind"] == "house":
        note = f"Number {typed.number} is not on the map: this is number {row['number']}."
    elif typed.number:
        note = f"Number {typed.number} is not on the map: this is the middle of the {_what(row)}."
    else:
        note = f"The middle of the {_what(row)}."
    return StreetHit(
        label=row["label"], city=row["city"], lat=row["lat"], lon=row["lon"], exact=exact, kind=row["kind"],
        note=note,
    )  # fmt: skip


def _digits(number: str) -> int:
    return int("".join(sign for sign in number if sign.isdigit()) or 0)


def _what(row: sqlite3.Row) -> str:
    return "street" if row["kind"] == "street" else "place"


def _meters(row: sqlite3.Row, point: Point) -> float:
    return great_circle_meters(point, Point(lat=row["lat"], lon=row["lon"]))
