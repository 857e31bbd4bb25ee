"""Addresses as people type them, made from the houses and streets of an extract's street index by a seed."""

import random
import sqlite3
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from orders.selectors.prices import TownRow
from routing.core.streets import fold, name_proper
from routing.engines.street_in_town import TOWN_RANK

FEWEST_ENTRIES = 15  # houses and streets of a town that is delivered to
HOUSES_ENOUGH = 150  # below that the streets are taken as well
MOST_TOWNS = 6
SHARES = {  # two hundred, and some more where two towns share a street
    "exact": 85, "misspelled": 30, "number not on the map": 20, "no number": 20, "wrong town": 25,
    "two towns": 15, "rural route": 10, "Spanish": 10,
}  # fmt: skip
RURAL = (
    "RR {number} Box 14",
    "Rural Route 2 Box {number}",
    "HC 61 Box {number}",
    "{number} Nowhere Hollow Rd",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """A house of the map, or the middle of a street where `number` is empty."""

    number: str
    street: str  # as on the map
    town: str
    lat: float
    lon: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was typed with which town chosen, and the house that was meant if the map has it."""

    kind: str
    text: str
    town: TownRow
    number: str
    house: House | None = None


class Ground:
    """Towns, houses and streets of one index."""

    def __init__(self, path: Path) -> None:
        with closing(sqlite3.connect(path)) as index:
            rows = index.execute(
                "select number, label, city, lat, lon from a where kind != 'place' order by id"
            )
            known = [
                House(number=number, street=_street(label, number, city), town=city, lat=lat, lon=lon)
                for number, label, city, lat, lon in rows
                if city and (not number or (number.isalnum() and number[:1].isdigit()))
            ]
            middles = {
                label.split(",")[0]: (lat, lon)
                for label, lat, lon in index.execute(
                    "select label, lat, lon from a where kind = 'place' and rank >= ?", (TOWN_RANK,)
                )
            }
        self.by_town: dict[str, list[House]] = defaultdict(list)
        for one in known:
            self.by_town[one.town].append(one)
            if one.number and one.town not in middles:  # a city beyond the map's edge, whose houses reach in
                middles[one.town] = (one.lat, one.lon)
        names = [name for name in middles if len(self.by_town[name]) >= FEWEST_ENTRIES]
        names.sort(key=lambda name: (-len(self.by_town[name]), name))
        self.towns = tuple(
            TownRow(
                id=key, name=name, lat=middles[name][0], lon=middles[name][1], market="near",
                market_name="Local", is_far=False,
            )
            for key, name in enumerate(names[:MOST_TOWNS], start=1)
        )  # fmt: skip
        self.streets: dict[str, set[str]] = defaultdict(set)
        for one in known:
            self.streets[fold(one.street)].add(one.town)
        self.spots = {(one.lat, one.lon): one.town for one in known}

    def entries(self, *, houses_only: bool = False) -> list[House]:
        found = [one for town in self.towns for one in self.by_town[town.name]]
        houses = [one for one in found if one.number]
        return houses if houses_only or len(houses) > HOUSES_ENOUGH else found

    def has(self, text: str, number: str, town: str) -> bool:
        """Whether the town has such a house, or a street so like it that it may be meant."""
        wanted = name_proper(fold(text).split())
        return any(
            name_proper(fold(one.street).split()) == wanted and one.number in ("", number)
            for one in self.by_town[town]
        )


def typed_addresses(ground: Ground, *, seed: int = 1) -> Iterator[Typed]:
    """Two hundred of them, the same for the same map and seed; fewer where the map lacks a kind."""
    rng = random.Random(seed)
    for kind, count in SHARES.items():
        pool = ground.entries(houses_only=kind == "exact")
        made = 0
        for _ in range(60 * count):
            one = _one(kind, ground, rng.choice(pool), rng)
            if one is not None:
                yield one
                made += 1
            if made == count:
                break


def _one(kind: str, ground: Ground, entry: House, rng: random.Random) -> Typed | None:
    town = next(town for town in ground.towns if town.name == entry.town)
    number = entry.number or str(rng.randint(7000, 9999))
    house = entry if entry.number else None
    text = f"{number} {entry.street}"
    match kind:
        case "exact":
            text = rng.choice((text, f"{text}, {entry.town}", text.lower(), f"{entry.street} {number}"))
        case "misspelled":
            street = _misspelled(entry.street, rng)
            if street is None or fold(street) in ground.streets:
                return None
            text = f"{number} {street}"
        case "number not on the map":
            number = str(rng.randint(7000, 9999))
            text = f"{number} {entry.street}"
        case "no number":
            text, number = entry.street, ""
        case "wrong town":
            other = rng.choice(ground.towns)
            if other == town or ground.has(entry.street, number, other.name):
                return None
            return Typed(kind=kind, text=text, town=other, number=number)
        case "two towns":
            if len(ground.streets[fold(entry.street)]) < 2:
                return None
        case "rural route":
            number = str(rng.randint(100, 9999))
            text = rng.choice(RURAL).format(number=number)
        case _:
            street = (
                f"{rng.choice(('Calle', 'Camino', 'la calle'))} {name_proper(fold(entry.street).split())}"
            )
            if fold(street) in ground.streets:
                return None
            text = f"{street} {number}"
    return Typed(kind=kind, text=text, town=town, number=number, house=house)


def _street(label: str, number: str, city: str) -> str:
    return label[len(number) :].removesuffix(f", {city}").strip()


def _misspelled(street: str, rng: random.Random) -> str | None:
    """Two neighboring letters swapped, one dropped or one doubled, in a word long enough to bear it."""
    words = street.split()
    long = [place for place, word in enumerate(words) if len(word) >= 6 and word.isalpha()]
    if not long:
        return None
    place = rng.choice(long)
    word, at = words[place], rng.randrange(1, len(words[place]) - 2)
    words[place] = rng.choice(
        (
            word[:at] + word[at + 1] + word[at] + word[at + 2 :],
            word[:at] + word[at + 1 :],
            word[:at] + word[at] + word[at:],
        )
    )
    return " ".join(words)
