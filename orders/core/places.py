"""What may be said about wood, and in which units, where the seller sells: data with its source.

The wording is in places.toml and cautions.toml. It prompts the seller to look; it is never advice.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from inventory.core.local import local
from inventory.core.sentences import ENGLISH, say, translated
from inventory.core.units import CORD_FT3, CUBIC_INCHES_PER_FT3, M3_PER_FT3, cord_words
from orders.core import OrdersError

GENERAL_RULE = "handbook_130"
LITERS_PER_M3 = 1000


class UnknownPlace(OrdersError):
    """No wording is kept for a place."""

    says = "No rule is kept for {key!r}: choose one of {known}."
    in_words = {"known": ", ".join}


class ForbiddenWord(OrdersError):
    """Words for an amount of wood that the place does not allow."""

    says = "{place} does not allow wood to be sold by the words {word!r}: use other words. {statement}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRule:
    """The wording of one place.

    volume_style: "cords_ft3", "ft3" or "stacked_m3".
    ticket_fields: names of `tickets.Ticket` fields that must be filled.
    read: "read" or "secondary": how well the document was seen.
    """

    key: str
    name: str
    volume_style: str
    statement: str
    forbidden_words: tuple[str, ...]
    ticket_fields: tuple[str, ...]
    identity_within_pct: int
    dry_words: Mapping[str, str]
    dry_note: str
    tax_note: str
    document: str
    read: str
    seen: date
    check_local: str
    transport_paper: str = ""  # the rule that wants a paper of where wood was cut along on the road

    def statement_in(self, language: str) -> str:
        """The statement in a language we have it in, else in English."""
        return translated(self.statement, language=language)

    def check_local_in(self, language: str) -> str:
        """The advice to check the local rule, in a language we have it in."""
        return translated(self.check_local, language=language)

    def dry_word(self, dryness: str) -> str:
        """The word this place uses for how dry wood is; other words come back as they are."""
        return self.dry_words.get(dryness, dryness.replace("_", " "))

    @property
    def is_metric(self) -> bool:
        return self.volume_style == "stacked_m3"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A short warning on a topic, and the screens that show it."""

    topic: str
    text: str
    screens: tuple[str, ...]
    most_words: int
    is_blocking: bool
    source: str

    def text_in(self, language: str) -> str:
        """The warning in a language we have it in, else in English."""
        return translated(self.text, language=language)


def place_rule(key: str = GENERAL_RULE) -> PlaceRule:
    """The wording kept for a place.

    Errors
        UnknownPlace: names the places that are kept.
    """
    rules = _rules()
    if key not in rules:
        raise UnknownPlace(key=key, known=tuple(rules))
    return rules[key]


def place_rules() -> tuple[PlaceRule, ...]:
    """All places, the general rule first."""
    return tuple(_rules().values())


def cautions_on(screen: str) -> tuple[Caution, ...]:
    """The cautions a screen shows; none for a screen that has none."""
    return tuple(caution for caution in _cautions().values() if screen in caution.screens)


def caution(topic: str) -> Caution:
    """One caution by its topic; a topic that is not kept is a bug, so it raises KeyError."""
    return _cautions()[topic]


def check_words(text: str, *, rule: PlaceRule) -> None:
    """Refuse a listing or a note to a buyer that sells by words the place does not allow.

    Errors
        ForbiddenWord: the first such words found.
    """
    for word in sorted(rule.forbidden_words, key=len, reverse=True):
        if re.search(rf"\b{re.escape(word)}s?\b", text, re.IGNORECASE):
            raise ForbiddenWord(word=word, place=rule.name, statement=rule.statement)


def amount_words(cords: Fraction, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """An amount of stacked wood in the words of the place.

    >>> amount_words(Fraction(2, 3), rule=place_rule())
    '2/3 cord'
    >>> amount_words(Fraction(1, 2), rule=place_rule("massachusetts"))
    '64 cubic feet'
    """
    if rule.volume_style == "ft3":
        feet = _short(cords * CORD_FT3, places=1)
        return say("{amount} cubic feet", language=language, amount=feet)
    if rule.is_metric:
        return say(
            "{amount} m³ stacked", language=language, amount=_short(cords * CORD_FT3 * M3_PER_FT3, places=2)
        )
    number, _space, unit = cord_words(cords).rpartition(" ")
    if number == "less than 0.01":
        return say("less than 0.01 cord", language=language)
    if unit == "cord":
        return say("{number} cord", language=language, number=number)
    return say("{number} cords", language=language, number=number)


@dataclass(frozen=True, slots=True)
class Amount:
    """Stacked wood in a sentence, in cords."""

    cords: Fraction

    def text_in(self, language: str) -> str:
        return amount_words(
            self.cords, rule=place_rule("metric" if local().is_metric else GENERAL_RULE), language=language
        )


def sells_cords(place_key: str) -> bool:
    """Whether wood may be spoken of by the cord there."""
    rule = place_rule(place_key)
    return not rule.is_metric and rule.volume_style != "ft3"


def full_amount_words(cords: Fraction, *, rule: PlaceRule) -> str:
    """The amount as a ticket states it: with its cubic feet where cords are spoken."""
    text = amount_words(cords, rule=rule)
    if rule.volume_style != "cords_ft3":
        return text
    return f"{text} ({_short(cords * CORD_FT3, places=1)} cubic feet stacked)"


def small_volume_words(ft3: Fraction, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """A bundle's volume: cubic inches below one cubic foot, liters where wood is metric.

    Source
        NIST Handbook 130, method of sale: packages below a cubic foot are sold in cubic inches.

    >>> small_volume_words(Fraction(3, 4), rule=place_rule())
    '1,296 cubic inches'
    """
    if rule.is_metric:
        liters = _short(ft3 * M3_PER_FT3 * LITERS_PER_M3, places=0)
        return say("{amount} liters", language=language, amount=liters)
    if ft3 < 1:
        inches = _short(ft3 * CUBIC_INCHES_PER_FT3, places=0)
        inches = f"{int(inches):,}" if language == ENGLISH else inches
        return say("{amount} cubic inches", language=language, amount=inches)
    return say("{amount} cubic feet", language=language, amount=_short(ft3, places=2))


def _short(amount: Fraction, *, places: int) -> str:
    exact = Decimal(amount.numerator) / Decimal(amount.denominator)
    return f"{exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP).normalize():f}"


@cache
def _rules() -> Mapping[str, PlaceRule]:
    table = tomllib.loads(files("orders.core").joinpath("places.toml").read_text("utf-8"))
    check_local = table.pop("check_local")
    return MappingProxyType(
        {
            key: PlaceRule(
                key=key,
                name=entry["name"],
                volume_style=entry["volume_style"],
                statement=entry["statement"],
                forbidden_words=tuple(entry["forbidden_words"]),
                ticket_fields=tuple(entry["ticket_fields"]),
                identity_within_pct=entry["identity_within_pct"],
                dry_words=MappingProxyType(entry["dry_words"]),
                dry_note=entry["dry_note"],
                tax_note=entry["tax_note"],
                document=entry["document"],
                read=entry["read"],
                seen=entry["seen"],
                check_local=check_local,
                transport_paper=entry.get("transport_paper", ""),
            )
            for key, entry in table.items()
        }
    )


@cache
def _cautions() -> Mapping[str, Caution]:
    table = tomllib.loads(files("orders.core").joinpath("cautions.toml").read_text("utf-8"))
    return MappingProxyType(
        {
            topic: Caution(
                topic=topic,
                text=entry["text"],
                screens=tuple(entry["screens"]),
                most_words=entry["most_words"],
                is_blocking=entry.get("is_blocking", False),
                source=entry["source"],
            )
            for topic, entry in table.items()
        }
    )
