"""How typed addresses are read and compared: folding, short words, house numbers, likeness of spelling.

Keeping and finding streets is `routing.engines.street_index`.
"""

import re
import unicodedata
from collections.abc import Iterable
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
# what kind of way it is, which people leave out, swap and translate; the name proper is the rest
WAY_WORDS = frozenset(SHORT_WORDS.values()) - {"north", "south", "east", "west", "mount"} | {
    "row", "way", "grade", "trail", "loop", "camino", "carretera", "paseo", "ruta",
    "de", "del", "la", "las", "el", "los", "numero", "num", "no",
}  # fmt: skip
UNIT = re.compile(r"(?:\b(?:apt|apartment|unit|suite|ste|space|trlr)\b\.?|#)\s*[\w-]+", re.IGNORECASE)
ZIP_CODE = re.compile(r"\d{5}(?:-\d{4})?$")


@dataclass(frozen=True, slots=True, kw_only=True)
class StreetHit:
    """A place found for typed words.

    exact: True = this very house; False = the middle of its street or town, and `note` says so.
    is_spelled: the street's name was typed as the map has it; False = it is only like it.
    """

    label: str
    city: str
    lat: float
    lon: float
    exact: bool
    kind: HitKind = "house"
    note: str = ""
    is_spelled: bool = True


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


def read_street(text: str, *, town: str) -> TypedAddress:
    """Words and house number of the street alone: town, apartment and zip code left out.

    >>> read_street("12 Mill St Apt 4, Marrow Bridge 97000", town="Marrow Bridge")
    TypedAddress(words=('12', 'mill', 'st'), number='12')
    """
    street = _without_zip(UNIT.sub(" ", text.split(",")[0]).strip())
    return read_typed(" ".join(without_tail(tuple(fold(street).split()), tuple(fold(town).split()))))


def _without_zip(street: str) -> str:
    """A five-digit number stands for a zip code only behind another number."""
    numbers = re.findall(r"\d+", street)
    return ZIP_CODE.sub("", street) if len(numbers) > 1 else street


def house_number(text: str) -> int:
    """The number in "12b"; 0 where there is none."""
    return int("".join(sign for sign in text if sign.isdigit()) or 0)


def without_tail(words: tuple[str, ...], tail: tuple[str, ...]) -> tuple[str, ...]:
    """The words without a town's at their end, as long as anything is left."""
    if tail and len(words) > len(tail) and words[-len(tail) :] == tail:
        return words[: -len(tail)]
    return words


def written_out(words: Iterable[str]) -> tuple[str, ...]:
    """Words in the form two spellings of one street share: short words long."""
    return tuple(long_form(word) for word in words)


def name_proper(words: Iterable[str]) -> str:
    """A street's words without what kind of way it is; all of them when nothing else is left.

    >>> name_proper(("calle", "mill"))
    'mill'
    """
    spelled = written_out(words)
    return " ".join(word for word in spelled if word not in WAY_WORDS) or " ".join(spelled)


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
        Dice's coefficient (L. R. Dice, Ecology 26, 1945), leaning to the typed side, since
        a known name carries its town as well.
    """
    mine, theirs = trigrams(typed), trigrams(known)
    if not mine or not theirs:
        return 0.0
    shared = len(mine & theirs)
    return shared / (0.8 * len(mine) + 0.2 * len(theirs))
