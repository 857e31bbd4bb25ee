"""Amounts of wood as people type and read them; the one pint registry, which defines the cord."""

import re
from fractions import Fraction
from functools import cache
from typing import Any

from inventory.core import InventoryError

CORD_FT3 = 128
NAMED = {"half": "1/2", "third": "1/3", "quarter": "1/4", "one": "1", "two": "2", "a": "1", "full": "1"}
NOT_MEASURES = ("truckload", "load", "face cord", "rick", "rack", "pile", "run")
SAID = {
    Fraction(numerator, denominator)
    for denominator in (2, 3, 4, 6, 8, 12)
    for numerator in range(1, denominator)
}


class NotAnAmount(InventoryError):
    """Words that are no measure of wood."""

    def __init__(self, text: str, trouble: str) -> None:
        self.text = text
        super().__init__(
            f"{text!r} is not an amount of wood: {trouble} Write cords, such as 1/2, 2/3 or 1 1/2."
        )


@cache
def registry() -> Any:
    """pint's registry with the cord (128 ft3, NIST Handbook 130 section 2.4) and the stere."""
    import pint

    units = pint.UnitRegistry(non_int_type=Fraction)
    units.define("cord = 128 * foot ** 3")
    return units


def parse_cords(text: str) -> Fraction:
    """Cords from what somebody typed: "1/2 cord", "1 1/2", "0.5", "two thirds" is 2/3.

    Errors
        NotAnAmount: words that are no legal measure, or no positive number.
    """
    said = text.strip().lower()
    for word in NOT_MEASURES:
        if re.search(rf"\b{word}s?\b", said):
            raise NotAnAmount(text, f"a {word} has no fixed size.")
    said = re.sub(r"\bcords?\b", "", said).replace("of", "").strip()
    match = re.fullmatch(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)|(\d*\.?\d+)", said)
    if match is None:
        said = " ".join(NAMED.get(word.rstrip("s"), word) for word in said.split())
        try:
            parts = [Fraction(part) for part in said.split()]
        except (ValueError, ZeroDivisionError):
            raise NotAnAmount(text, "no number can be read in it.") from None
        amount = parts[0] * parts[1] if len(parts) == 2 else parts[0] if len(parts) == 1 else Fraction(0)
    elif match[4]:
        amount = Fraction(match[4])
    else:
        if int(match[3]) == 0:
            raise NotAnAmount(text, "nothing can be divided by zero.")
        amount = Fraction(match[1] or 0) + Fraction(int(match[2]), int(match[3]))
    if amount <= 0:
        raise NotAnAmount(text, "it must be more than nothing.")
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
