"""Weights, lengths, heaps and ground in the units of the seller's place: the books keep pounds, feet,
inches, cubic feet and acres, and whoever counts in meters reads and types kg, m, cm, m³ and hectares.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from inventory.core.local import METERS_PER_MILE, local
from inventory.core.units import CORD_FT3

METERS_PER_FOOT = Fraction("0.3048")
HECTARES_PER_ACRE = Fraction("0.40468564224")


@dataclass(frozen=True, slots=True)
class Measure:
    """A unit of the books and the one read instead where the place counts in meters.

    each: how many of the metric ones make one of the books; places: as read, in the one and the other.
    """

    unit: str
    metric: str
    each: Fraction
    places: tuple[int, int]


MEASURES = {  # by what the books keep; factors exact (NIST SP 811, appendix B)
    "lb": Measure("lb", "kg", Fraction("0.45359237"), (0, 0)),
    "piece_lb": Measure("lb", "kg", Fraction("0.45359237"), (2, 2)),
    "ft": Measure("ft", "m", METERS_PER_FOOT, (2, 2)),
    "in": Measure("in", "cm", Fraction("2.54"), (1, 0)),
    "ft3": Measure("ft³", "m³", METERS_PER_FOOT**3, (0, 2)),
    "heap": Measure("loose ft³ a cord", "loose m³ a stacked m³", Fraction(1, CORD_FT3), (1, 2)),
    "mbtu": Measure("million Btu", "kWh", Fraction("293.07107"), (2, 0)),
    "btu_lb": Measure("Btu a pound", "MJ a kg", Fraction("0.002326"), (0, 2)),
    "acre": Measure("acres", "ha", HECTARES_PER_ACRE, (2, 2)),
    "by_acre": Measure("an acre", "a hectare", 1 / HECTARES_PER_ACRE, (2, 1)),  # dollars, cords, trees, hours
    "mph": Measure("mph", "km/h", METERS_PER_MILE / 1000, (0, 0)),
}
ALSO: dict[str, dict[str, Fraction]] = {  # more units a plate or a sign may name, in the metric one
    "lb": {"t": Fraction(1000)},
    "ft": {"cm": Fraction("0.01"), "mm": Fraction("0.001"), "in": Fraction("0.0254")},
    "in": {"m": Fraction(100), "mm": Fraction("0.1"), "ft": Fraction("30.48")},
    "ft3": {"l": Fraction("0.001")},
    "acre": {"ac": HECTARES_PER_ACRE},
}
type Number = Fraction | Decimal | float | int | str


def unit_here(kept: str) -> str:
    """How a unit of the books is called where it is read.

    >>> unit_here("ft3")
    'ft³'
    """
    return MEASURES[kept].metric if local().is_metric else MEASURES[kept].unit


def figure_here(amount: Number, kept: str, *, places: int | None = None) -> Decimal:
    """An amount of the books in the unit of the place, as many places as are read there.

    >>> figure_here(12000, "lb")
    Decimal('12000')
    """
    measure = MEASURES[kept]
    exact = Fraction(str(amount)) * (measure.each if local().is_metric else 1)
    shown = measure.places[local().is_metric] if places is None else places
    return (Decimal(exact.numerator) / exact.denominator).quantize(
        Decimal(1).scaleb(-shown), rounding=ROUND_HALF_UP
    )


def bare_here(amount: Number, kept: str, *, places: int | None = None) -> str:
    """The figure alone, for a column or beside another: "5,100", "3.66".

    >>> bare_here(Decimal("12.50"), "ft")
    '12.5'
    """
    text = f"{figure_here(amount, kept, places=places):,f}"
    return text.rstrip("0").removesuffix(".") if "." in text else text


def measure_words(amount: Number, kept: str, *, places: int | None = None) -> str:
    """The figure with its unit.

    >>> measure_words(5100.4, "lb"), measure_words(180, "ft3")
    ('5,100 lb', '180 ft³')
    """
    return f"{bare_here(amount, kept, places=places)} {unit_here(kept)}"


def into_books(figure: Fraction, unit: str, *, kept: str) -> Fraction | None:
    """A figure typed with its unit, as the books keep it; None where the unit is none of that measure.

    >>> into_books(Fraction("5.5"), "t", kept="lb") == Fraction("5500") / Fraction("0.45359237")
    True
    """
    measure, said = MEASURES[kept], _plain(unit)
    if said.removesuffix("s") == _plain(measure.unit).removesuffix("s"):
        return figure
    share = {_plain(measure.metric): Fraction(1), **ALSO.get(kept, {})}.get(said)
    return None if share is None else figure * share / measure.each


def _plain(unit: str) -> str:
    return unit.replace("³", "3").replace("/", "")
