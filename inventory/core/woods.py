"""Woods as they are sold, each with its species: words of a price sheet. Kinds of tree are in `species`."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from inventory.core.species import Species, species_of, woods

PURE_PCT = 90.0  # of one kind, from which wood is sold as that kind: Handbook 130 names a mix within 10 %


class Wood(StrEnum):
    """What a lot is sold as. The value stands in lots, orders and price sheets."""

    FIR = "fir"
    HARDWOOD = "hardwood"
    MIXED = "mixed"
    KINDLING = "kindling"
    LOGS = "logs"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldWood:
    """One wood of the price sheet.

    Shapes
        english: its name, from which translations start. words: what other books call it, besides trees.
        takes: groups of species, or words of their names, whose wood is sold as this one.
        named_for: those that may be called so on a ticket; empty: any.
        usual_mix: percent by species where no lot says otherwise; empty: not split wood by the cord.
    """

    english: str
    words: tuple[str, ...]
    takes: tuple[str, ...] = ()
    named_for: tuple[str, ...] = ()
    usual_mix: Mapping[str, int] = field(default_factory=dict)


SOLD: Mapping[Wood, SoldWood] = {  # read from the last: a narrower wood stands below the one it is part of
    Wood.FIR: SoldWood(
        english="fir", words=("soft",), takes=("softwood",), named_for=("fir",), usual_mix={"fir": 100}
    ),
    Wood.HARDWOOD: SoldWood(
        english="hardwood", words=("hard", "locust"), takes=("hardwood",), named_for=("hardwood",),
        usual_mix={"oak": 100},
    ),
    Wood.MIXED: SoldWood(english="mixed wood", words=("mix",), usual_mix={"fir": 60, "oak": 40}),
    Wood.LOGS: SoldWood(english="log length", words=("log",)),
    Wood.KINDLING: SoldWood(english="kindling", words=("kindling", "bundle")),
}  # fmt: skip
ENGLISH_NAMES = {wood: sold.english for wood, sold in SOLD.items()}
SPLIT_WOODS = tuple(wood for wood, sold in SOLD.items() if sold.usual_mix)  # a price for each dryness


def english_name(wood: str) -> str:
    """A wood's name in English, from which translations start; an unknown word stands for itself."""
    return next((name for key, name in ENGLISH_NAMES.items() if key == wood), wood)


def sold_as(mix: Mapping[str, float]) -> Wood:
    """What split wood of a mix is sold as: mixed where no wood takes nine tenths of it.

    >>> sold_as({"ponderosa_pine": 95, "oak": 5}), sold_as({"fir": 60, "oak": 40})
    (<Wood.FIR: 'fir'>, <Wood.MIXED: 'mixed'>)
    """
    for wood, sold in reversed(tuple(SOLD.items())):
        if sum(float(share) for key, share in mix.items() if is_of(species_of(key), sold.takes)) >= PURE_PCT:
            return wood
    return Wood.MIXED


def wood_named(text: str) -> Wood | None:
    """The wood that words of other books mean: "Doug fir, 16 in", "red alder", "bundles".

    >>> wood_named("Soft maple"), wood_named("red cedar"), wood_named("coal")
    (<Wood.HARDWOOD: 'hardwood'>, <Wood.FIR: 'fir'>, None)
    """
    plain = text.casefold()
    for wood, sold in reversed(tuple(SOLD.items())):
        trees = {kind.name.partition(",")[0] for kind in woods().values() if is_of(kind, sold.takes)}
        names = (re.escape(tree.casefold()) for tree in trees)  # "redcedar", "oaks", not the elm of Engelmann
        if any(word in plain for word in sold.words) or any(
            re.search(rf"\b{name}|{name}\b", plain) for name in names
        ):
            return wood
    return None


def is_of(species: Species, kinds: tuple[str, ...]) -> bool:
    """Whether a species is of one of the kinds: its group, or a word of its name."""
    return not {species.group, *re.findall("[a-z]+", species.name.lower())}.isdisjoint(kinds)
