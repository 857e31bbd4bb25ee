"""Amounts of wood and lengths as people type and read them; the one pint registry, which knows the cord."""

import re
import unicodedata
from fractions import Fraction
from functools import cache
from typing import Any

from inventory.core import InventoryError

CORD_FT3 = 128
MOST_CORDS = 1000
NAMED = {
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
    "fourth": Fraction(1, 4),
    "a": Fraction(1),
    "an": Fraction(1),
    "full": Fraction(1),
    "one": Fraction(1),
    "two": Fraction(2),
    "three": Fraction(3),
    "four": Fraction(4),
    "five": Fraction(5),
    "six": Fraction(6),
}
NOT_MEASURES = ("truckload", "pickup load", "load", "face cord", "rick", "rack", "pile", "run")
SAID = {
    Fraction(numerator, denominator)
    for denominator in (2, 3, 4, 6, 8, 12)
    for numerator in range(1, denominator)
}
STYLES = ("cords_ft3", "ft3", "stacked_m3")
NUMBER = r"(?:(?P<whole>\d+)\s+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)|(?P<plain>\d*\.?\d+)"
FEET: dict[str, Fraction | int] = {
    "": 1,
    "'": 1,
    "ft": 1,
    "feet": 1,
    "foot": 1,
    '"': Fraction(1, 12),
    "in": Fraction(1, 12),
}
FEET |= {"inch": Fraction(1, 12), "inches": Fraction(1, 12)}
METRIC: dict[str, Fraction | int] = {"m": 1, "cm": Fraction(1, 100), "mm": Fraction(1, 1000)}
METER_FT = 1 / Fraction("0.3048")  # exact: the international foot


class NotAnAmount(InventoryError):
    """Words that are no measure of wood."""

    def __init__(self, text: str, trouble: str) -> None:
        self.text = text
        super().__init__(
            f"{text!r} is not an amount of wood: {trouble} Write cords, such as 1/2, 2/3 or 1 1/2."
        )


class NotALength(InventoryError):
    """Words that are no length."""

    def __init__(self, text: str, trouble: str) -> None:
        self.text = text
        super().__init__(f"{text!r} is not a length: {trouble} Write it like 12, 4 ft 6 in, 16 in or 1.2 m.")


class UnknownStyle(InventoryError):
    """A way of showing amounts that is not one of ours."""

    def __init__(self, style: str) -> None:
        self.style = style
        super().__init__(f"Amounts can't be shown as {style!r}: choose one of {', '.join(STYLES)}.")


@cache
def registry() -> Any:
    """pint's registry with the cord (128 ft3, NIST Handbook 130 section 2.4) and the stere."""
    import pint

    units = pint.UnitRegistry(non_int_type=Fraction)
    units.define("cord = 128 * foot ** 3")
    return units


@cache
def stere_per_cord() -> Fraction:
    """Stacked cubic meters in a cord, exactly."""
    units = registry()
    return Fraction(units.Quantity(Fraction(1), "cord").to("stere").magnitude)


def parse_cords(text: str) -> Fraction:
    """Cords from what somebody typed: "1/2 cord", "1 1/2", "0.5", "two thirds", "one and a half".

    Errors
        NotAnAmount: words that are no legal measure, or no positive number up to 1,000 cords.
    """
    said = _plain(text)
    for word in NOT_MEASURES:
        if re.search(rf"\b{word}s?\b", said):
            raise NotAnAmount(text, f"a {word} has no fixed size.")
    said = re.sub(r"\b(cords?|of)\b", " ", said).strip()
    amount = _number(said, NotAnAmount, text)
    if amount is None:
        amount = _spoken(said, text)
    if amount <= 0:
        raise NotAnAmount(text, "it must be more than nothing.")
    if amount > MOST_CORDS:
        raise NotAnAmount(text, f"that is more than {MOST_CORDS:,} cords.")
    return amount


def format_cords(cords: Fraction) -> str:
    """ "1/3 cord", "1 1/2 cords", "2.80 cords": fractions people say, else hundredths; never 0.8333."""
    whole, rest = divmod(abs(cords), 1)
    sign = "-" if cords < 0 else ""
    noun = "cord" if 0 < abs(cords) <= 1 else "cords"
    if rest == 0:
        return f"{sign}{whole} {noun}"
    if rest in SAID:
        return f"{sign}{whole} {rest} {noun}" if whole else f"{sign}{rest} {noun}"
    return f"{sign}{float(abs(cords)):.2f} {noun}"


def show_volume(cords: Fraction, style: str = "cords_ft3") -> str:
    """An amount the way the seller's place wants it shown.

    Styles
        cords_ft3: "2/3 cord (85 ft3 stacked)"; ft3: "85.3 ft3 stacked", where the word cord may not be used;
        stacked_m3: "2.42 m3 stacked".

    Errors
        UnknownStyle
    """
    ft3 = cords * CORD_FT3
    if style == "cords_ft3":
        return f"{format_cords(cords)} ({_short(ft3, 0)} ft\u00b3 stacked)"
    if style == "ft3":
        return f"{_short(ft3, 1)} ft\u00b3 stacked"
    if style == "stacked_m3":
        return f"{_short(cords * stere_per_cord(), 2)} m\u00b3 stacked"
    raise UnknownStyle(style)


def parse_length(text: str) -> Fraction:
    """Feet from what somebody typed: "16 in", "4 ft", "4'6\\"", "4 ft 6 1/2 in", "1.2 m"; 12 is 12 ft.

    Errors
        NotALength: no number, an unknown unit, mixed systems, or nothing at all.
    """
    said = _plain(text).replace("''", '"')
    found = list(re.finditer(rf"\s*(?:{NUMBER})\s*(?P<unit>[a-z'\"]*)\.?(?:\s+and\s+)?", said))
    if not found or "".join(part[0] for part in found) != said:
        raise NotALength(text, "no number can be read in it.")
    total, names = Fraction(0), []
    for part in found:
        size = _number(re.match(rf"\s*({NUMBER})", part[0])[0].strip(), NotALength, text)  # type: ignore[index]
        unit = part["unit"]
        names.append(unit)
        if unit in METRIC:
            total += (size or 0) * METRIC[unit] * METER_FT
        elif unit in FEET:
            total += (size or 0) * FEET[unit]
        else:
            raise NotALength(text, f"{unit!r} is not a unit of length known here.")
    if len(names) > 1 and any(name in METRIC or name == "" for name in names):
        raise NotALength(text, "it mixes units.")
    if total <= 0:
        raise NotALength(text, "it must be more than nothing.")
    return total


def _plain(text: str) -> str:
    """Lower case, straight quotes, and fraction signs as typed fractions."""
    spaced = re.sub(r"(\d)([\u00bc-\u00be\u2150-\u215e])", r"\1 \2", text)
    straight = spaced.translate({0x2019: "'", 0x2032: "'", 0x201D: '"', 0x2033: '"'})
    return unicodedata.normalize("NFKC", straight).replace("\u2044", "/").strip().lower()


def _number(said: str, error: type[NotAnAmount] | type[NotALength], text: str) -> Fraction | None:
    """A plain number, fraction or mixed number; None when it is none of them."""
    match = re.fullmatch(NUMBER, said)
    if match is None:
        return None
    if match["plain"]:
        return Fraction(match["plain"])
    if int(match["under"]) == 0:
        raise error(text, "nothing can be divided by zero.")
    return int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))


def _spoken(said: str, text: str) -> Fraction:
    """Words multiplied together, sums joined by "and": "one and a half", "2 thirds"."""
    total = Fraction(0)
    for part in re.split(r"\band\b", said):
        amount = None
        for word in re.sub(r"(?<=[a-z])-(?=[a-z])", " ", part).split():
            size = NAMED.get(
                word, NAMED.get(word.removesuffix("s"), NAMED.get(word.removesuffix("ves") + "f"))
            )
            if size is None:
                size = _number(word, NotAnAmount, text)
            if size is None:
                raise NotAnAmount(text, "no number can be read in it.")
            amount = size if amount is None else amount * size
        if amount is None:
            raise NotAnAmount(text, "no number can be read in it.")
        total += amount
    return total


def _short(value: Fraction, places: int) -> str:
    """Half up, thousands parted, no trailing zeros."""
    scale = 10**places
    twice = value * scale * 2
    rounded = Fraction((twice.numerator + twice.denominator) // (2 * twice.denominator), scale)
    text = f"{float(rounded):,.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text
