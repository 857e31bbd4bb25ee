"""Searching the street index of an extract: typed words, the address next to a spot, names for the map.

Building the file is `street_builder`.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from math import cos, radians
from pathlib import Path

from inventory.core.sentences import Sentence
from routing.core.roads import EngineDown, Point, meters_between
from routing.core.streets import (
    LIKENESS_WANTED,
    StreetHit,
    TypedAddress,
    fold,
    house_number,
    likeness,
    long_form,
    read_typed,
)
from routing.engines.street_in_town import TownOnMap, streets_in_town

LOOK_AT = 200  # rows ranked per question: 300,000 addresses stay under 4 ms (measured)
NEAR_METERS = 2_000
REACHES = (0.0015, 0.006, 0.025)  # degrees; wider only when nothing was near


class StreetIndex:
    """Reads one street index file."""

    def __init__(self, path: Path) -> None:
        self._path = path

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """A connection that only reads.

        Errors
            EngineDown: the file is gone or was written by an older version.
        """
        try:
            index = sqlite3.connect(f"{self._path.as_uri()}?mode=ro&immutable=1", uri=True)
            with closing(index):
                index.row_factory = sqlite3.Row
                yield index
        except sqlite3.Error as error:
            raise EngineDown(
                engine="street index", why=Sentence("{error}; run load_roads again", {"error": error})
            ) from error

    def search(self, text: str, *, near: Point | None = None, limit: int = 8) -> tuple[StreetHit, ...]:
        """Houses, streets and places for typed words, best first.

        Prefixes match; a house number that is not on the map gives its street and says so; a spelling that
        matches nothing is compared letter by letter.
        """
        typed = read_typed(text)
        if not typed.words or max(len(word) for word in typed.words) < 2:
            return ()
        with self._open() as index:
            rows = _matching(index, typed.names, typed.number)
            if not rows and typed.number:
                rows = _with_number(index, _matching(index, typed.names), typed.number)
            if not rows:
                rows = _with_number(index, _alike(index, " ".join(typed.names)), typed.number)
                return tuple(_hit(row, typed) for row in _distinct(rows)[:limit])
        rows.sort(key=lambda row: _order(row, typed, near))
        return tuple(_hit(row, typed) for row in _distinct(rows)[:limit])

    def in_town(self, text: str, town: TownOnMap) -> tuple[StreetHit, ...]:
        """Houses and streets of one town for typed words, best first; see `street_in_town`."""
        with self._open() as index:
            return streets_in_town(index, text, town)

    def nearest(self, point: Point) -> StreetHit | None:
        """The house next to a spot, or its street, or None when there is neither within a mile or so."""
        with self._open() as index:
            for reach in REACHES:
                found = self._within(index, point, reach)
                if found is not None:
                    return found
        return None

    def place_names(self) -> tuple[tuple[str, float, float, int], ...]:
        """Name, latitude, longitude and rank of towns and hamlets, the largest first."""
        with self._open() as index:
            rows = index.execute("select * from a where kind = 'place' order by rank desc, id limit 400")
            return tuple((row["label"].split(",")[0], row["lat"], row["lon"], row["rank"]) for row in rows)

    def street_names(
        self, *, south: float, west: float, north: float, east: float
    ) -> tuple[tuple[str, float, float], ...]:
        """Street names in a square of the map, and where each is written."""
        with self._open() as index:
            rows = index.execute(
                "select name, lat, lon from l where lat between ? and ? and lon between ? and ? limit 80",
                (south, north, west, east),
            )
            return tuple((row["name"], row["lat"], row["lon"]) for row in rows)

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
        return sorted(rows, key=lambda row: abs(house_number(row["number"]) - house_number(number)))[:8]
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


def _what(row: sqlite3.Row) -> str:
    return "street" if row["kind"] == "street" else "place"


def _meters(row: sqlite3.Row, point: Point) -> float:
    return meters_between(point, Point(lat=row["lat"], lon=row["lon"]))
