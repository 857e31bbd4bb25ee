"""Dollars to the cent, and shares that lose none."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

from inventory.core import InventoryError

CENT = Decimal("0.01")


class NothingToShareBy(InventoryError):
    """Money was to be shared by weights that add to nothing."""

    says = "Money can't be shared by the weights {weights}: one must be above zero."


def dollars(amount: Decimal | Fraction | int | str) -> Decimal:
    """Dollars rounded half up to the cent.

    >>> dollars(Fraction(200, 3)), dollars("28.275")
    (Decimal('66.67'), Decimal('28.28'))
    """
    return from_cents(to_cents(Fraction(amount) if isinstance(amount, str) else amount))


def to_cents(amount: Decimal | Fraction | int) -> int:
    """Whole cents, half up."""
    size, parts = amount.as_integer_ratio()
    return _nearest(size * 100, parts)


def dollars_for(price: Decimal, amount: Fraction) -> Decimal:
    """Dollars for an amount at its price, rounded half up to the cent.

    >>> dollars_for(Decimal("300"), Fraction(1, 7))
    Decimal('42.86')
    """
    size, parts = price.as_integer_ratio()
    return from_cents(_nearest(size * amount.numerator * 100, parts * amount.denominator))


def dollars_over(sum_of: Decimal, amount: Fraction) -> Decimal:
    """Dollars for one of an amount above zero that brought a sum, rounded half up to the cent.

    >>> dollars_over(Decimal("300"), Fraction(7))
    Decimal('42.86')
    """
    size, parts = sum_of.as_integer_ratio()
    return from_cents(_nearest(size * amount.denominator * 100, parts * amount.numerator))


def from_cents(cents: int) -> Decimal:
    """Dollars and cents, exactly; the inverse of `to_cents`."""
    return Decimal(cents) * CENT


def round_to(amount: Decimal | Fraction, step: Decimal | int) -> Decimal:
    """The nearest multiple of a step, half up.

    >>> round_to(Decimal("192.50"), 5), round_to(Decimal("61.50"), 5)
    (Decimal('195.00'), Decimal('60.00'))
    """
    width = Fraction(step)
    return dollars(_nearest(*(Fraction(amount) / width).as_integer_ratio()) * width)


def share_out(total_cents: int, weights: Sequence[Fraction | int]) -> tuple[int, ...]:
    """Whole cents by weight, adding up to the total exactly; the largest remainders get the odd cents.

    Errors
        NothingToShareBy: no weight is above zero, or one is below.

    >>> share_out(100, [1, 1, 1])
    (34, 33, 33)
    """
    ratios = [Fraction(weight).as_integer_ratio() for weight in weights]
    parts = lcm(*(part for _, part in ratios))
    sizes = [size * (parts // part) for size, part in ratios]  # the weights as whole numbers
    whole = sum(sizes)
    if whole <= 0 or min(sizes) < 0:
        raise NothingToShareBy(weights=tuple(weights))
    shares, rests = [], []
    for size in sizes:
        share, rest = divmod(total_cents * size, whole)
        shares.append(share)
        rests.append(rest)
    left = total_cents - sum(shares)
    for place in sorted(range(len(sizes)), key=lambda place: (-rests[place], place))[:left]:
        shares[place] += 1
    return tuple(shares)


def _nearest(size: int, parts: int) -> int:
    """The whole number nearest to size / parts, halves away from zero, so that a credit mirrors the debt
    it cancels; parts is above zero."""
    nearest = (abs(size) * 2 + parts) // (2 * parts)
    return nearest if size >= 0 else -nearest
