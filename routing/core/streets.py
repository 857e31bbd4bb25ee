"""How typed addresses are read and compared: folding, short words, house numbers, likeness of spelling.

Keeping and finding streets is `routing.engines.street_index`.
"""

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

type HitKind = Literal["house", "street", "place"]

SHORT_WORDS = {  # as written on envelopes in English, German and Spanish; common practice
    "st": "street", "str": "street", "rd": "road", "ave": "avenue", "av": "avenue", "ln": "lane",
    "dr": "drive", "blvd": "boulevard", "ct": "court", "pl": "place", "sq": "square", "hwy": "highway",
    "pkwy": "parkway", "ter": "terrace", "cir": "circle", "mt": "mount", "n": "north",
    "s": "south", "e": "east", "w": "west", "c": "calle", "avda": "avenida",
}  # fmt: skip
EDGE_SIGNS = re.compile(r"[^\w]+", re.UNICODE)
HOUSE_NUMBER = re.compile(r"\d{1,5}[a-z]?")  # "12", "12b"; not "2nd", which is a street
LIKENESS_WANTED = 0.35  # share of trigrams in common below which a street is another street


@dataclass(frozen=True, slots=True, kw_only=True)
class StreetHit:
    """A place found for typed words.

    exact: True = this very house; False = the middle of its street or town, and `note` says so.
    """

    label: str
    city: str
    lat: float
    lon: float
    exact: bool
    kind: HitKind = "house"
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedAddress:
    """The words of a typed address, folded, and the house number among them."""

    words: tuple[str, ...]
    number: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """The words without the house number."""
        if not self.number:
            return self.words
        at = self.words.index(self.number)
        return (*self.words[:at], *self.words[at + 1 :])


def fold(text: str) -> str:
    """Lower case, no accents, one space between words.

    >>> fold("Landstraße  12, São-Paulo")
    'landstrasse 12 sao paulo'
    """
    lowered = unicodedata.normalize("NFKD", text).casefold()
    plain = unicodedata.normalize("NFKD", lowered)
    kept = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return " ".join(EDGE_SIGNS.sub(" ", kept.replace("'", "").replace("’", "")).split())


def read_typed(text: str) -> TypedAddress:
    """Words and house number of what somebody typed; the first word that is a number is it.

    >>> read_typed("12 Mill St., Marrow Bridge")
    TypedAddress(words=('12', 'mill', 'st', 'marrow', 'bridge'), number='12')
    """
    words = tuple(fold(text).split())[:10]
    number = next((word for word in words if HOUSE_NUMBER.fullmatch(word)), "")
    return TypedAddress(words=words, number=number)


def long_form(word: str) -> str:
    """A short word written out: "st" is "street"."""
    return SHORT_WORDS.get(word, word)


def searchable(*parts: str) -> str:
    """What a street is found by: its folded words, long and short forms both."""
    words = fold(" ".join(parts)).split()
    shorter = {long: short for short, long in SHORT_WORDS.items()}
    return " ".join([*words, *(shorter[word] for word in words if word in shorter)])


def trigrams(text: str) -> frozenset[str]:
    """Runs of three letters of each word, spaces kept at the word's ends."""
    found: set[str] = set()
    for word in fold(text).split():
        padded = f" {word} "
        found.update(padded[at : at + 3] for at in range(len(padded) - 2))
    return frozenset(found)


def likeness(typed: str, known: str) -> float:
    """How much of the typed text's trigrams the known name shares, 0 to 1, less for what is too much.

    Source
        Dice's coefficient (L. R. Dice, Ecology 26, 1945, from memory), leaning to the typed side, since
        a known name carries its town as well.
    """
    mine, theirs = trigrams(typed), trigrams(known)
    if not mine or not theirs:
        return 0.0
    shared = len(mine & theirs)
    return shared / (0.8 * len(mine) + 0.2 * len(theirs))
