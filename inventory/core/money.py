"""Dollars to the cent, and shares that lose none."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from inventory.core import InventoryError

CENT = Decimal("0.01")


class NothingToShareBy(InventoryError):
    """Money was to be shared by weights that add to nothing."""

    def __init__(self, weights: Sequence[Fraction | int]) -> None:
        self.weights = tuple(weights)
        super().__init__(f"Money can't be shared by the weights {self.weights}: one must be above zero.")


def dollars(amount: Decimal | Fraction | int | str) -> Decimal:
    """Dollars rounded half up to the cent.

    >>> dollars(Fraction(200, 3)), dollars("28.275")
    (Decimal('66.67'), Decimal('28.28'))
    """
    exact = Fraction(amount) if not isinstance(amount, Fraction) else amount
    return from_cents(_half_up(exact * 100))


def to_cents(amount: Decimal | Fraction | int) -> int:
    """Whole cents, half up."""
    return _half_up(Fraction(amount) * 100)


def from_cents(cents: int) -> Decimal:
    """Dollars and cents, exactly; the inverse of `to_cents`."""
    return Decimal(cents) * CENT


def round_half_up(amount: Decimal, places: int = 2) -> Decimal:
    """So many decimal places, halves away from zero."""
    return amount.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def round_to(amount: Decimal | Fraction, step: Decimal | int) -> Decimal:
    """The nearest multiple of a step, half up.

    >>> round_to(Decimal("192.50"), 5), round_to(Decimal("61.50"), 5)
    (Decimal('195.00'), Decimal('60.00'))
    """
    width = Fraction(step)
    return dollars(_half_up(Fraction(amount) / width) * width)


def share_out(total_cents: int, weights: Sequence[Fraction | int]) -> tuple[int, ...]:
    """Whole cents by weight, adding up to the total exactly; the largest remainders get the odd cents.

    Errors
        NothingToShareBy: no weight is above zero, or one is below.

    >>> share_out(100, [1, 1, 1])
    (34, 33, 33)
    """
    exact = [Fraction(weight) for weight in weights]
    whole = sum(exact, Fraction(0))
    if whole <= 0 or min(exact) < 0:
        raise NothingToShareBy(weights)
    ideal = [total_cents * weight / whole for weight in exact]
    shares = [share.numerator // share.denominator for share in ideal]
    left = total_cents - sum(shares)
    by_remainder = sorted(range(len(exact)), key=lambda place: (shares[place] - ideal[place], place))
    for place in by_remainder[:left]:
        shares[place] += 1
    return tuple(shares)


def _half_up(amount: Fraction) -> int:
    """The nearest whole number, halves away from zero, so that a credit mirrors the debt it cancels."""
    twice = abs(amount) * 2
    size = (twice.numerator + twice.denominator) // (2 * twice.denominator)
    return size if amount >= 0 else -size
