"""What a cord brings where no price says so yet: estimates to begin with, from first_prices.toml."""

from decimal import Decimal
from fractions import Fraction
from functools import cache

from inventory.core.figures import Figure, table_of

STEP = 5  # dollars


@cache
def figure(name: str) -> Figure:
    """A figure of first_prices.toml.

    `green_share` counts at its high end for a first price, which the seller looks at and may lower, and
    at its low end for wood nobody has asked for yet: left at the end of a season, or a heap to be weighed up.
    """
    return Figure.read(table_of("first_prices.toml", package="orders.core")[name], f"first_prices.{name}")


def first_cord_prices(
    *, hours_per_cord: Decimal, cash_per_cord: Decimal, wage: Decimal
) -> tuple[Decimal, Decimal]:
    """What a dry and a green cord have to bring near home to pay their hours, to the nearest step.

    Units
        hours_per_cord, cash_per_cord: to make it ready to load; wage: dollars an hour.

    >>> first_cord_prices(hours_per_cord=Decimal("5.45"), cash_per_cord=Decimal(32), wage=Decimal(25))
    (Decimal('220'), Decimal('175'))
    """
    hours = hours_per_cord + Decimal(str(figure("hours_to_bring").value))
    dry = Fraction(cash_per_cord + hours * wage)
    green = dry * Fraction(str(figure("green_share").high))
    return Decimal(STEP * round(dry / STEP)), Decimal(STEP * round(green / STEP))
