"""How long wood lasts: the burn of a fire, its hours and the weeks of a winter, each a range (burning.toml).

A cord lasts its dry weight divided by the burn. An answer is a range to choose an amount by, not a promise.
"""

from dataclasses import dataclass

from inventory.core.figures import Figure, range_of, table_of

KG_PER_LB = 0.45359237  # exact (NIST Handbook 44, appendix C)
QUARTER = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Lasting:
    """What a winter takes of one wood, and how long a cord of it lasts.

    Units
        cords_low, cords_high: a winter's, to quarters of a cord, at least one quarter.
        weeks_low, weeks_high: that a cord lasts.
    """

    cords_low: float
    cords_high: float
    weeks_low: int
    weeks_high: int


def lasting(*, dry_lb_per_cord: float, stove: str, use: str, house: str, winter: str) -> Lasting:
    """How much of a wood a winter takes; the guesses are independent, so their ranges add as squares do.

    The house matters only where wood is the heat: an evening's fire burns as it likes.

    >>> lasting(dry_lb_per_cord=2387, stove="new", use="heat", house="middling", winter="usual").cords_high
    5.25
    """
    burn = [_figure("stove", stove), _figure("use", use)]
    if use == "heat":
        burn.append(_figure("house", house))
    week_low, week_high = range_of(*burn)
    low, high = range_of(*burn, _figure("winter", winter))
    kg_per_cord = dry_lb_per_cord * KG_PER_LB
    return Lasting(
        cords_low=_quarters(low / kg_per_cord),
        cords_high=_quarters(high / kg_per_cord),
        weeks_low=max(1, round(kg_per_cord / week_high)),
        weeks_high=max(1, round(kg_per_cord / week_low)),
    )


def _quarters(cords: float) -> float:
    return max(QUARTER, round(cords / QUARTER) * QUARTER)


def _figure(group: str, key: str) -> Figure:
    table = table_of("burning.toml", package="orders.core")
    return Figure.read(table[group][key], f"burning.{group}.{key}")
