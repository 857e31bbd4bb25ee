"""A street looked for in one town of an extract's street index, and nowhere else.

The search as somebody types, over the whole map, is `street_index`.
"""

import sqlite3
from dataclasses import dataclass
from difflib import SequenceMatcher
from math import cos, radians

from routing.core.roads import METERS_PER_MILE, Point, meters_between
from routing.core.streets import (
    StreetHit,
    TypedAddress,
    fold,
    house_number,
    name_proper,
    read_street,
    trigrams,
    without_tail,
    written_out,
)

REACH_METERS = 25 * float(
    METERS_PER_MILE
)  # a town's streets are no farther from its middle; estimate, 15 to 30 miles
SAME_TOWN_METERS = 1.5 * float(METERS_PER_MILE)  # between our middle of a town and the map's; estimate
METERS_PER_DEGREE = 111_195.0  # of latitude, on a sphere of 6,371 km
TOWN_RANK = 7  # villages and up; smaller places are hamlets of the town they lie nearest to
MOST_ROWS = 400
MOST_OFFERED = 8
LIKE_WANTED = 0.75  # of the name proper: below it is another street; estimate, 0.7 to 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class TownOnMap:
    """A town that is delivered to: its name and its middle."""

    name: str
    middle: Point


@dataclass(slots=True)
class _Places:
    """Whose streets are whose: the towns of the map, by name and by nearness."""

    town: TownOnMap
    towns: list[tuple[str, Point]]
    typed: str  # folded

    def holds(self, row: sqlite3.Row) -> bool:
        """Whether a row lies in the town: by its city, or in a hamlet that was typed or lies nearest."""
        spot = _spot(row)
        if meters_between(spot, self.town.middle) > REACH_METERS:
            return False
        city = fold(row["city"])
        if city == fold(self.town.name):
            return True
        if any(city == name for name, _ in self.towns):
            return False
        if city and f" {city} " in f" {self.typed} ":
            return True
        _, nearest = min(
            self.towns, key=lambda place: meters_between(spot, place[1]), default=("", self.town.middle)
        )
        return meters_between(nearest, self.town.middle) <= SAME_TOWN_METERS


def streets_in_town(index: sqlite3.Connection, text: str, town: TownOnMap) -> tuple[StreetHit, ...]:
    """Houses and streets of the town that the typed words may mean, best first.

    A hit that is `exact` and `is_spelled` is what was typed; all others are to be asked about.
    """
    typed = read_street(text, town=town.name)
    if not typed.words or max(len(word) for word in typed.words) < 2:
        return ()
    places = _Places(town, [(fold(row["street"]), _spot(row)) for row in _towns(index)], fold(text))
    near = _Square(town.middle)
    for kind, number in (("house", typed.number), ("street", ""), ("house", "")):
        if kind == "house" and not typed.number:
            continue
        rows = [
            row
            for row in _with_words(index, typed, kind, number, near)
            if places.holds(row) and _is_spelled(row, typed)
        ]
        if rows:
            own = fold(town.name)
            rows.sort(key=lambda row: (fold(row["city"]) != own, _numbers_apart(row, typed), row["id"]))
            return tuple(_hit(row, typed, is_spelled=True) for row in rows[:MOST_OFFERED])
    alike = [row for row in _alike(index, typed, near) if places.holds(row)][:MOST_OFFERED]
    return tuple(_hit(_house(index, row, typed.number) or row, typed, is_spelled=False) for row in alike)


class _Square:
    """The edges of a square around a town, as a condition."""

    sql = "a.lat between ? and ? and a.lon between ? and ?"

    def __init__(self, middle: Point) -> None:
        high = REACH_METERS / METERS_PER_DEGREE
        wide = high / max(0.2, cos(radians(middle.lat)))
        self.edges = (middle.lat - high, middle.lat + high, middle.lon - wide, middle.lon + wide)


def _towns(index: sqlite3.Connection) -> list[sqlite3.Row]:
    asked = "select street, lat, lon from a where kind = 'place' and rank >= ?"
    return index.execute(asked, (TOWN_RANK,)).fetchall()


def _with_words(
    index: sqlite3.Connection, typed: TypedAddress, kind: str, number: str, near: _Square
) -> list[sqlite3.Row]:
    """Streets or houses of the square that hold each word, short or long, and the number if one is given."""
    names = typed.names or typed.words
    words = " AND ".join(
        f'("{short}" OR "{long}")' for short, long in zip(names, written_out(names), strict=True)
    )
    rows = index.execute(
        f"select a.* from f join a on a.id = f.rowid where f match ? and a.kind = ? and {near.sql} "
        f"limit {MOST_ROWS}",
        (f'{words} AND "{number}"' if number else words, kind, *near.edges),
    )
    return [row for row in rows if not number or row["number"] == number]


def _alike(index: sqlite3.Connection, typed: TypedAddress, near: _Square) -> list[sqlite3.Row]:
    """Streets of the square whose name proper is spelled nearly as typed, the likest first."""
    wanted = name_proper(typed.names or typed.words)
    pieces = {piece for piece in trigrams(wanted) if " " not in piece}
    if not pieces:
        return []
    asked = " OR ".join(f'"{piece}"' for piece in sorted(pieces))
    rows = index.execute(
        f"select a.* from t join a on a.id = t.rowid where t match ? and a.kind = ? and {near.sql} "
        f"limit {10 * MOST_ROWS}",
        (asked, "street", *near.edges),
    ).fetchall()
    scored = [(_like(wanted, name_proper(fold(row["street"]).split())), row) for row in rows]
    scored = [(score, row) for score, row in scored if score >= LIKE_WANTED]
    return [row for _, row in sorted(scored, key=lambda pair: (-pair[0], pair[1]["id"]))]


def _like(typed: str, known: str) -> float:
    """Share of letters in common and in order, 0 to 1: a swapped pair costs little, another word much."""
    return SequenceMatcher(None, typed, known, autojunk=False).ratio()


def _is_spelled(row: sqlite3.Row, typed: TypedAddress) -> bool:
    """The row's street word for word, with or without its town; "County Road 12" has no house number."""
    street, city = written_out(fold(row["street"]).split()), written_out(fold(row["city"]).split())
    return any(without_tail(written_out(words), city) == street for words in (typed.names, typed.words))


def _hit(row: sqlite3.Row, typed: TypedAddress, *, is_spelled: bool) -> StreetHit:
    is_house = row["kind"] == "house" and row["number"] == typed.number
    if is_house:
        note = ""
    elif row["kind"] == "house":
        note = f"Number {typed.number} is not on the map: this is number {row['number']}."
    elif typed.number:
        note = f"Number {typed.number} is not on the map: this is the middle of the street."
    else:
        note = "The middle of the street."
    return StreetHit(
        label=row["label"], city=row["city"], lat=row["lat"], lon=row["lon"], exact=is_house,
        kind=row["kind"], note=note, is_spelled=is_spelled,
    )  # fmt: skip


def _numbers_apart(row: sqlite3.Row, typed: TypedAddress) -> int:
    return abs(house_number(row["number"]) - house_number(typed.number)) if row["number"] else 0


def _house(index: sqlite3.Connection, street: sqlite3.Row, number: str) -> sqlite3.Row | None:
    """The house of that number in the street, where the map has it."""
    row: sqlite3.Row | None = index.execute(
        "select * from a where street = ? and city = ? and number = ? limit 1",
        (street["street"], street["city"], number),
    ).fetchone()
    return row


def _spot(row: sqlite3.Row) -> Point:
    return Point(lat=row["lat"], lon=row["lon"])
