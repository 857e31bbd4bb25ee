"""Amounts of wood and lengths as people type and read them; the one pint registry, which knows the cord.

Amounts are stacked wood. Shapes and loose heaps become cords in `measure`, never here.
"""

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from inventory.core import InventoryError
from inventory.core.local import METERS_PER_MILE, in_local_units, local, money_words
from inventory.core.sentences import FramedRefusal, noop

CORD_FT3 = 128  # NIST Handbook 130, method of sale, section 2.4.1
BUNDLE_FT3 = Decimal("0.75")  # common practice: a kindling bundle whose lot says nothing else
INCHES_PER_FOOT = 12
CUBIC_INCHES_PER_FT3 = INCHES_PER_FOOT**3
M3_PER_FT3 = Fraction("0.028316846592")  # exact: the international foot is 0.3048 m
MOST_CORDS = 1000
UNITS_PER_CORD = 76_800
"""One unit is 1/76,800 cord = 1/600 cubic foot stacked: thirds, twelfths, hundredths and 0.75 ft3
bundles are all whole numbers of it."""
LONGEST_FT = 1000
BARE = re.compile(r"[\d\s./]+")  # a number with no unit
LONGEST_SHOWN = 40  # characters of what was typed that an error repeats
NAMED = {
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
    "fourth": Fraction(1, 4),
    "sixth": Fraction(1, 6),
    "eighth": Fraction(1, 8),
    "a": Fraction(1),
    "an": Fraction(1),
    "full": Fraction(1),
    "whole": Fraction(1),
    "one": Fraction(1),
    "two": Fraction(2),
    "three": Fraction(3),
    "four": Fraction(4),
    "five": Fraction(5),
    "six": Fraction(6),
    "seven": Fraction(7),
    "eight": Fraction(8),
    "nine": Fraction(9),
    "ten": Fraction(10),
}
NOT_MEASURES = (  # NIST Handbook 130 section 2.4.4: no face cord, rack, pile, truckload or similar terms
    (
        r"(?:face|stove)[ -]?cord|rick|rank",
        noop(
            "a {measure} is only as deep as its pieces: with 16-inch pieces, "
            "8 ft by 4 ft of it holds 1/3 cord."
        ),
    ),
    (
        r"pickup load|(?:truck|trailer)[ -]?load|load|pickup|truck|trailer|rack|pile|heap|run|pallet",
        noop("a {measure} has no fixed size."),
    ),
    (
        r"ton|tonne|pound",
        noop("a {measure} is a weight, and wood is sold by the space it takes, wet or dry."),
    ),
)
SAID = {
    Fraction(numerator, denominator)
    for denominator in (2, 3, 4, 6, 8, 12)
    for numerator in range(1, denominator)
}
WHOLE = r"\d{1,9}"
NUMBER = (
    rf"(?:(?P<whole>{WHOLE})(?:\s+|\s+and\s+|-))?(?P<over>{WHOLE})\s*/\s*(?P<under>{WHOLE})"
    rf"|(?P<plain>\d{{1,3}}(?:,\d{{3}}){{1,2}}(?:\.\d{{1,12}})?|{WHOLE}(?:\.\d{{0,12}})?|\.\d{{1,12}})"
)
LENGTH = rf"\s*(?P<size>{NUMBER})\s*-?\s*(?P<unit>[a-z]+|['\"])?\.?(?:\s*,|\s+and(?=\s))?"
CUBIC = (
    (r"(?:cubic|cu\.?)\s*(?:feet|foot|ft)\.?|ft\.?\s?3|ft\^3|cf", "foot ** 3"),
    (r"(?:cubic|cu\.?)\s*(?:meters?|metres?|m)|m\s?3|m\^3|steres?", "stere"),
)
INCH_MARKS, FOOT_MARKS = ('"', "in", "inch", "inches"), ("", "'", "ft", "foot", "feet")
LENGTH_UNITS = {
    **dict.fromkeys(INCH_MARKS, "inch"),
    **dict.fromkeys(FOOT_MARKS, "foot"),
    **dict.fromkeys(("yd", "yard", "yards"), "yard"),
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "meter"),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), "centimeter"),
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), "millimeter"),
}


def _shown(text: str) -> str:
    """What was typed, quoted, and cut where it runs on."""
    return repr(text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…")


class NotAnAmount(FramedRefusal, InventoryError):
    """Words that are no measure of wood."""

    frame = "{text} is not an amount of wood: {problem} Write cords, such as 1/2, 2/3 or 1 1/2."
    of = ("text", "problem")
    in_words = {"text": _shown}


class NotALength(FramedRefusal, InventoryError):
    """Words that are no length."""

    frame = "{text} is not a length: {problem} Write it like 12, 4 ft 6 in, 16 in or 1.2 m."
    of = ("text", "problem")
    in_words = {"text": _shown}


@cache
def registry() -> Any:
    """pint's registry, exact in fractions, with the cord (128 ft3, NIST Handbook 130 section 2.4.1) and the
    stere."""
    import pint

    units = pint.UnitRegistry(non_int_type=Fraction)
    units.define(f"cord = {CORD_FT3} * foot ** 3")
    return units


@cache
def convert(size: Fraction | int, unit: str, into: str) -> Fraction:
    """A size in another unit, exactly: the foot is 0.3048 m by definition.

    >>> convert(1, "cord", "foot ** 3")
    Fraction(128, 1)
    """
    return Fraction(registry().Quantity(Fraction(size), unit).to(into).magnitude)


def miles_of(meters: float | Decimal | Fraction) -> Decimal:
    """Miles of a road's meters, to a ten-thousandth.

    >>> miles_of(Decimal("16093.44"))
    Decimal('10.0000')
    """
    return Decimal(round(Fraction(meters) / METERS_PER_MILE * 10_000)).scaleb(-4)


def bundle_cords(bundles: int, bundle_ft3: Decimal | Fraction | None = None) -> Fraction:
    """Cords in so many kindling bundles of a volume; the usual volume when it is not known.

    >>> bundle_cords(2)
    Fraction(3, 256)
    """
    return Fraction(bundle_ft3 or BUNDLE_FT3) * bundles / CORD_FT3


def bundles_in(cords: Fraction, bundle_ft3: Decimal | Fraction | None = None) -> int:
    """Whole bundles of a volume in an amount of wood."""
    return int(max(cords, Fraction(0)) * CORD_FT3 / Fraction(bundle_ft3 or BUNDLE_FT3))


def parse_cords(text: str) -> Fraction:
    """Cords from what somebody typed, exactly; cubic feet and cubic meters are taken as stacked.

    Reads "1/2 cord", "1 1/2", "0.5", "½", "two thirds", "one and a half", "64 ft3", "2 steres".

    Errors
        NotAnAmount: words that are no legal measure, or no positive number up to 1,000 cords.

    >>> parse_cords("2/3 of a cord"), parse_cords("1½"), parse_cords("64 cubic feet")
    (Fraction(2, 3), Fraction(3, 2), Fraction(1, 2))
    """
    plain = _plain(text)
    for pattern, reason in NOT_MEASURES:
        found = re.search(rf"(?<![a-z])({pattern})s?(?![a-z])", plain)
        if found:
            raise NotAnAmount(text, reason, measure=found[1])
    if re.search(r"\bloose\b", plain):
        raise NotAnAmount(text, "loose wood has to be measured first, as a heap or a trailer.")
    plain, cords_each = _without_unit(plain)
    amount = _number(plain, NotAnAmount, text)
    if amount is None:
        amount = _spoken(plain, text)
    amount *= cords_each
    if amount <= 0:
        raise NotAnAmount(text, "it must be more than nothing.")
    if amount > MOST_CORDS:
        raise NotAnAmount(text, "that is more than {most:,} cords.", most=MOST_CORDS)
    return amount


def read_amount(text: str) -> Fraction:
    """A typed amount, in cords. Where the place counts cubic meters a bare number is stacked ones, and one
    that reads like a fraction of the trade is that fraction: 1.21 m³ is 1/3 cord.

    Errors
        NotAnAmount: as `parse_cords`.
    """
    if not local().is_metric:
        return parse_cords(text)
    cords = parse_cords(f"{text} m3" if BARE.fullmatch(text) else text)
    read, whole = cubic_meters(cords), Fraction(cords // 1)
    near = (whole + part for part in (Fraction(0), *SAID, Fraction(1)))
    return next((said for said in near if said and cubic_meters(said) == read), cords)


def format_cords(cords: Fraction) -> str:
    """An amount as people say it: fractions of the trade, else hundredths half up; never 0.8333.

    >>> format_cords(Fraction(1, 3)), format_cords(Fraction(3, 2)), format_cords(Fraction(14, 5))
    ('1/3 cord', '1 1/2 cords', '2.80 cords')

    Where the place counts in meters, as stacked cubic meters: "1.21 m³".
    """
    return f"{cubic_meters(cords):.2f} m³" if local().is_metric else cord_words(cords)


def cord_words(cords: Fraction) -> str:
    """An amount in cords, whatever the place counts in.

    >>> cord_words(Fraction(5, 6))
    '5/6 cord'
    """
    size = abs(Fraction(cords))
    whole, rest = divmod(size, 1)
    sign = "-" if cords < 0 else ""
    noun = "cord" if 0 < size <= 1 else "cords"
    if rest == 0:
        return f"{sign}{whole} {noun}"
    if rest in SAID:
        return f"{sign}{whole} {rest} {noun}" if whole else f"{sign}{rest} {noun}"
    hundredths = _half_up(size * 100)
    if hundredths == 0:
        return "less than 0.01 cord" if cords > 0 else "0 cords"
    return f"{sign}{hundredths // 100:,}.{hundredths % 100:02d} {noun}"


def cubic_meters(cords: Fraction) -> Decimal:
    """Stacked cubic meters of an amount, to the hundredth.

    >>> cubic_meters(Fraction(1, 3))
    Decimal('1.21')
    """
    return Decimal(_half_up(cords * CORD_FT3 * M3_PER_FT3 * 100)).scaleb(-2)


def cords_of_m3(cubic: Fraction | int) -> Fraction:
    """Stacked cubic meters in cords, as the books keep them: to 1/76,800 cord.

    >>> cubic_meters(cords_of_m3(3))
    Decimal('3.00')
    """
    return Fraction(_half_up(cubic / (CORD_FT3 * M3_PER_FT3) * UNITS_PER_CORD), UNITS_PER_CORD)


def by_the_unit(rate: Decimal) -> Decimal:
    """A rate by the cord, such as a price, by the stacked cubic meter where the place counts those.

    >>> by_the_unit(Decimal("240"))
    Decimal('240')
    """
    return rate / cord_units()


def rate_words(rate: Decimal) -> str:
    """Money by the cord, as the place reads it.

    >>> rate_words(Decimal("32"))
    '$32 a cord'
    """
    return f"{money_words(by_the_unit(rate).quantize(Decimal('0.01')))} {in_local_units('a cord')}"


def cord_units() -> Decimal:
    """What a cord is in the place's unit of wood: 1 of its own, or its stacked cubic meters.

    >>> cord_units()
    Decimal('1')
    """
    if not local().is_metric:
        return Decimal(1)
    size = CORD_FT3 * M3_PER_FT3
    return Decimal(size.numerator) / size.denominator


def parse_length(text: str) -> Fraction:
    """Feet from what somebody typed, exactly; a bare number is feet, and after feet inches.

    Reads "16 in", "4 ft", "4'6\\"", "4 ft 6 1/2 in", "1.2 m", "33 cm".

    Errors
        NotALength: no number, an unknown unit, mixed systems, nothing at all, or more than 1,000 ft.

    >>> parse_length("16 in"), parse_length("4'6\\""), float(parse_length("1.2 m"))
    (Fraction(4, 3), Fraction(9, 2), 3.937007874015748)
    """
    plain = _plain(text).replace("''", '"')
    if re.search(r"\d{10}", plain):
        raise NotALength(text, "that is longer than any heap.")
    found = list(re.finditer(LENGTH, plain))
    if not found or "".join(part[0] for part in found) != plain:
        raise NotALength(text, "no number can be read in it.")
    total, before = Fraction(0), ""
    for place, part in enumerate(found):
        name = part["unit"] or ""
        if place and not name and before in FOOT_MARKS and before:
            name = "in"
        if name not in LENGTH_UNITS:
            raise NotALength(text, "{unit!r} is not a unit of length known here.", unit=name)
        if place and not (before in FOOT_MARKS and before and name in INCH_MARKS and place == 1):
            raise NotALength(text, "it mixes units.")
        size = _number(part["size"], NotALength, text) or Fraction(0)
        total += convert(size, LENGTH_UNITS[name], "foot")
        before = name
    if total <= 0:
        raise NotALength(text, "it must be more than nothing.")
    if total > LONGEST_FT:
        raise NotALength(text, "that is longer than any heap.")
    return total


def _plain(text: str) -> str:
    """Lower case, straight quotes, and fraction signs as typed fractions."""
    spaced = re.sub(r"(\d)([¼-¾⅐-⅞])", r"\1 \2", text)
    straight = spaced.translate(
        {0x2018: "'", 0x2019: "'", 0x2032: "'", 0x201C: '"', 0x201D: '"', 0x2033: '"'}
    )
    return unicodedata.normalize("NFKC", straight).replace("⁄", "/").strip().lower()


def _without_unit(plain: str) -> tuple[str, Fraction]:
    """The words that count, and how many cords one of their unit is; no unit means cords."""
    plain = re.sub(r"\b(stacked|of)\b", " ", plain).strip()
    for pattern, unit in CUBIC:
        match = re.fullmatch(rf"(.*?)(?<![a-z])(?:{pattern})", plain, re.DOTALL)
        if match:
            return match[1].strip() or "one", convert(1, unit, "cord")
    named = re.search(r"\bcords?\b", plain)
    left = re.sub(r"\bcords?\b", " ", plain).strip()
    return (left or "one" if named else left), Fraction(1)


def _number(plain: str, error: type[NotAnAmount] | type[NotALength], text: str) -> Fraction | None:
    """A plain number, fraction or mixed number; None when it is none of them."""
    match = re.fullmatch(NUMBER, plain)
    if match is None:
        return None
    if match["plain"]:
        return Fraction(match["plain"].replace(",", ""))
    if int(match["under"]) == 0:
        raise error(text, noop("nothing can be divided by zero."))
    return int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))


def _spoken(plain: str, text: str) -> Fraction:
    """Words multiplied together, sums joined by "and": "one and a half", "2 thirds"."""
    total = Fraction(0)
    for part in re.split(r"\band\b", plain):
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


def _half_up(value: Fraction) -> int:
    twice = value * 2
    return (twice.numerator + twice.denominator) // (2 * twice.denominator)
