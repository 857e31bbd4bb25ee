"""Time worked, as people remember it: "a morning", "2 to 3 h", 1 h 30 min; always low, likely and high."""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from inventory.core import InventoryError
from inventory.core.bands import Band
from inventory.core.figures import table_of

MOST_HOURS = 400
LONGEST_SHOWN = 40  # characters of what was typed that an error repeats
NUMBER = r"(?:\d{1,3}\s+\d{1,2}/\d{1,2}|\d{1,3}/\d{1,2}|\d{1,3}(?:[.,]\d{1,2})?|[.,]\d{1,2})"
MARKS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "–": "-", "—": "-"}
UNIT = r"(h|hr|hrs|hours?|m|min|mins|minutes?|d|days?)?\.?"
ONE = rf"({NUMBER})\s*{UNIT}"
TWO = rf"(?:from\s+|between\s+)?{ONE}\s*(?:to|-|and|or)\s*{ONE}"
HOURS_AND_MINUTES = r"(\d{1,3})\s*(?:h|hr|hrs|hours?)\.?\s*(?:and\s+)?(\d{1,2})\s*(?:m|min|mins|minutes?)?\.?"
SURE = re.compile(r"[,\s]+(?:a\s+)?(counted|guess)$")  # how surely one figure is remembered
UNSAID = r"^(?:about|around|roughly|some|maybe|ca\.?|~)\s*"


class NotHours(InventoryError):
    """Words that are no time worked."""

    field = "hours"

    says = "{shown!r} is no time worked: write hours, such as 3, 2 to 3, 1 h 30 min, or a morning."
    in_words = {"shown": lambda text: text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Band[Decimal]):
    """Hours worked, least, likely and most."""

    def shared(self, steps: int) -> "Hours":
        """One step's part of hours nobody kept apart: an equal part, and as unsure as that makes it."""
        if steps < 2:
            return self
        low, high = _share("unshared")
        return Hours(
            low=_hundredths(self.low / steps * low),
            likely=_hundredths(self.likely / steps),
            high=_hundredths(self.high / steps * high),
        )


def hours_by(likely: Decimal, sure: str) -> Hours:
    """Likely hours with the range of how surely they are remembered."""
    low, high = _share(f"sure.{sure}")
    return Hours(low=_hundredths(likely * low), likely=likely, high=_hundredths(likely * high))


def parse_hours(text: str) -> Hours:
    """Hours from what somebody typed or tapped.

    Errors
        NotHours: no time can be read in it, or none or too much of it.

    >>> parse_hours("2 to 3 h").likely, parse_hours("a morning").likely, parse_hours("45 min").likely
    (Decimal('2.5'), Decimal('4.0'), Decimal('0.75'))
    """
    said = text.strip().lower()
    for mark, plain in MARKS.items():
        said = said.replace(mark, plain)
    said = re.sub(UNSAID, "", said.strip())
    told = SURE.search(said)
    sure, said = told[1] if told else "about", SURE.sub("", said)
    found = _span(said) or _three(said) or _between(said) or _clocked(said, sure) or _single(said, sure)
    if found is None or found.likely <= 0 or found.high > MOST_HOURS:
        raise NotHours(shown=text)
    return found


def hours_shown(hours: Hours) -> str:
    """Hours as `parse_hours` reads them again.

    >>> hours_shown(Hours(low=Decimal(2), likely=Decimal("2.50"), high=Decimal(4)))
    '2 / 2.5 / 4'
    """
    return " / ".join(f"{end.normalize():f}" for end in (hours.low, hours.likely, hours.high))


def _three(said: str) -> Hours | None:
    """Least, likely and most, with strokes between."""
    match = re.fullmatch(rf"{NUMBER} / {NUMBER} / {NUMBER}", said)
    ends = [_hours(part, None) for part in said.split(" / ")] if match else []
    if len(ends) != 3 or not ends[0] or not ends[1] or not ends[2] or not ends[0] <= ends[1] <= ends[2]:
        return None
    return Hours(low=ends[0], likely=ends[1], high=ends[2])


def _span(said: str) -> Hours | None:
    """A part of the day that has a name."""
    for row in table_of("hours.toml")["spans"].values():
        if said in row["words"]:
            low, likely, high = (Decimal(str(row[end])) for end in ("low", "value", "high"))
            return Hours(low=low, likely=likely, high=high)
    return None


def _between(said: str) -> Hours | None:
    match = re.fullmatch(TWO, said)
    if match is None:
        return None
    low = _hours(match[1], match[2] or match[4])
    high = _hours(match[3], match[4])
    if low is None or high is None or low > high:
        return None
    return Hours(low=low, likely=_plain((low + high) / 2), high=high)


def _clocked(said: str, sure: str) -> Hours | None:
    match = re.fullmatch(HOURS_AND_MINUTES, said)
    return hours_by(_plain(int(match[1]) + Decimal(int(match[2])) / 60), sure) if match else None


def _single(said: str, sure: str) -> Hours | None:
    match = re.fullmatch(ONE, said)
    likely = _hours(match[1], match[2]) if match else None
    return hours_by(likely, sure) if likely else None


def _hours(number: str, unit: str | None) -> Decimal | None:
    total = Decimal(0)
    for part in number.replace(",", ".").split():
        over, _, under = part.partition("/")
        if under and not int(under):
            return None
        total += Decimal(over) / int(under) if under else Decimal(over)
    if unit and unit[0] == "m":
        total /= 60
    elif unit and unit[0] == "d":
        total *= Decimal(str(table_of("hours.toml")["spans"]["day"]["value"]))
    return _plain(total)


def _share(path: str) -> tuple[Decimal, Decimal]:
    row = table_of("hours.toml")
    for name in path.split("."):
        row = row[name]
    return Decimal(str(row["low"])), Decimal(str(row["high"]))


def _plain(hours: Decimal) -> Decimal:
    return _hundredths(hours).normalize() if hours != hours.to_integral_value() else hours


def _hundredths(hours: Decimal) -> Decimal:
    return hours.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
