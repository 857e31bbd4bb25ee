"""The money and the units of the seller's place: the one door for writing money, and what wood and roads
are counted in.

They are read from the books once a page and once a task, where `read_local` was told; by themselves money is
US dollars, wood cords and roads miles.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

METERS_PER_MILE = Fraction(1609344, 1000)  # international mile, exact (NIST SP 811, appendix B)
CURRENCIES = {  # code of ISO 4217, the sign prices are written with, and the name
    "USD": ("$", "US dollar"),
    "CAD": ("$", "Canadian dollar"),
    "EUR": ("€", "Euro"),
    "GBP": ("£", "Pound sterling"),
    "CHF": ("CHF ", "Swiss franc"),
    "AUD": ("$", "Australian dollar"),
    "NZD": ("$", "New Zealand dollar"),
    "SEK": ("kr ", "Swedish krona"),
    "NOK": ("kr ", "Norwegian krone"),
    "DKK": ("kr ", "Danish krone"),
    "MXN": ("$", "Mexican peso"),
}
METRIC_WORDS = tuple(
    (re.compile(words), instead)
    for words, instead in (
        (r"\btwo cords\b", "7.25 m³"),
        (r"\b10,001 (pounds|libras)\b", "4,536 kg"),
        (r"\b[Cc]ords?\b", "m³"),
        (r"\b[Mm]iles?\b", "km"),
        (r"\bpor acre\b", "por hectárea"),
        (r"\ban acre\b", "a hectare"),
        (r"\bAcre", "Hectare"),
        (r"\bacre", "hectare"),
        (r"\bla cuerda\b", "el m³"),
        (r"\buna cuerda\b", "un m³"),
        (r"\b[Cc]uerdas?\b", "m³"),
        (r"\b[Mm]illas?\b", "km"),
        (r"(?<!\d )(?:\bft[3³]|\b[Cc]ubic feet\b|\bpies cúbicos\b)", "m³"),
        (r"\b[Mm]ph\b", "km/h"),
        (r"(?<!\d )(?:\blb\b|\b[Pp]ounds\b|\blibras\b)", "kg"),
        (r"(?<!\d )(?:\bft\b|\b[Ff]eet\b|\bpies\b)", "m"),
        (r"\((?:in|pulg)\)", "(cm)"),
    )
)
MINUS = "−\u2060"  # with a joiner, so that no line ends between it and the figure
SIGNS = tuple(dict.fromkeys(sign.strip() for sign, _name in CURRENCIES.values()))


@dataclass(frozen=True, slots=True)
class Local:
    """What a seller's place counts in. currency: a key of CURRENCIES."""

    currency: str = "USD"
    is_metric: bool = False

    @property
    def sign(self) -> str:
        return CURRENCIES.get(self.currency, CURRENCIES["USD"])[0]

    @property
    def distance_unit(self) -> str:
        return "km" if self.is_metric else "mi"

    def distance(self, miles: Decimal) -> Decimal:
        """Miles in the unit of the place.

        >>> Local(is_metric=True).distance(Decimal(10))
        Decimal('16.09344')
        """
        if not self.is_metric:
            return miles
        return miles * METERS_PER_MILE.numerator / METERS_PER_MILE.denominator / 1000


_read: list[Callable[[], Local]] = []  # where the seller's own are told, once it is known
_kept: dict[str, Local] = {}  # under "here", once read; threads of a process share it


def read_local(source: Callable[[], Local]) -> None:
    """Say where the books tell the seller's money and units."""
    _read[:] = [source]


def local() -> Local:
    """What is in force here."""
    here = _kept.get("here")
    if here is None:
        here = _read[0]() if _read else Local()
        remember(here)
    return here


def remember(here: Local) -> None:
    """Take this as in force until it is forgotten."""
    _kept["here"] = here


def forget(**_: Any) -> None:
    """Read it anew the next time an amount is written: a page or a task begins, or the seller changed it."""
    _kept.clear()


def road_figure(miles: Decimal) -> str:
    """A road's length as a sentence says it, without its unit: as measured in miles, km to a tenth.

    >>> road_figure(Decimal("12.50"))
    '12.5'
    """
    length = local().distance(miles)
    if local().is_metric:
        length = length.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    return f"{length.normalize():f}"


def money_words(amount: Decimal | Fraction | int | float, *, cents: bool | None = None) -> str:
    """Money as it is read, in the place's currency; without cents where there are none unless told.

    >>> money_words(Decimal("145.00")), money_words(Decimal("-4.50")), money_words(1340, cents=True)
    ('$145', '-$4.50', '$1,340.00')
    """
    exact = amount if isinstance(amount, Decimal) else Decimal(str(float(amount)))
    shows_cents = exact != exact.to_integral_value() if cents is None else cents
    shown = f"{abs(exact.quantize(Decimal('0.01' if shows_cents else '1'), rounding=ROUND_HALF_UP)):,}"
    minus = "-" if exact < 0 and shown.strip("0.,") else ""
    return f"{minus}{local().sign}{shown}"


def to_the_cent(amount: Decimal | Fraction | int | float) -> str:
    """Money with its cents, even where there are none.

    >>> to_the_cent(Decimal("145"))
    '$145.00'
    """
    return money_words(amount, cents=True)


def whole_money(amount: Decimal | Fraction | int | float) -> str:
    """Money as an estimate says it: "$34"."""
    return money_words(amount, cents=False)


def in_local_units(text: str) -> str:
    """What a form asks for, in the money and the units of the place: "Loaded mile ($)" -> "Loaded km (€)"."""
    here = local()
    text = text.replace("($", f"({here.sign.strip()}")
    if not here.is_metric:
        return text
    for words, instead in METRIC_WORDS:
        text = words.sub(instead, text)
    return text


def unsigned(text: str) -> str:
    """A typed figure without a currency's sign or code, and without the commas of thousands.

    >>> unsigned(" € 1,240.50 "), unsigned("240 CHF")
    ('1240.50', '240')
    """
    plain = text.strip()
    for sign in (*SIGNS, *CURRENCIES):
        plain = plain.removeprefix(sign).removesuffix(sign).strip()
    return plain.replace(",", "")
