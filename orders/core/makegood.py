"""Putting it right when the buyer measured less than was promised.

A short load is a credit, or loose wood brought on the next run; either way the rig learns its heap number.
"""

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files

from inventory.core.money import dollars, round_to
from inventory.core.sentences import Sentence
from inventory.core.units import CORD_FT3, INCHES_PER_FOOT
from orders.core import CustomerRefusal

HUNDRED = 100


class BadMeasurement(CustomerRefusal):
    """A stack that cannot be, or wood that was never promised."""

    says = "The {what} cannot be {value}: measure it again and write a number above zero."
    in_words = {"what": Sentence}


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeGood:
    """What a measured stack comes to, and the two ways to put it right.

    Units
        short_pct: percent of the promised amount, to hundredths, below zero when it was over.
        credit_dollars and loose_ft3 are either-or, both 0 within the tolerance.
        balance_dollars: what is due after the credit, never below zero; refund_dollars: the part of
        the credit already paid. heap_number: loose ft3 per stacked cord, to tenths.
    """

    promised_cords: Fraction
    stack_cords: Fraction
    short_cords: Fraction
    short_pct: Decimal
    is_owed: bool
    credit_dollars: Decimal
    balance_dollars: Decimal
    refund_dollars: Decimal
    loose_ft3: Decimal
    heap_number: Decimal


def stack_cords(
    *, length_ft: Decimal, height_ft: Decimal, depth_in: Decimal, cribbed_ends: int = 0
) -> Fraction:
    """Cords in a row of stacked wood, exactly.

    Units
        depth_in: the length of the pieces, inches. A cribbed end is as long as it is deep, and a
        share of it (makegood.toml) is counted as air.

    Errors
        BadMeasurement: a side of nothing or less, or cribs longer than the row.
    """
    for what, value in (
        ("length of the stack", length_ft),
        ("height of the stack", height_ft),
        ("depth of the stack", depth_in),
    ):
        if not value.is_finite() or value <= 0:
            raise BadMeasurement(what=what, value=value)
    depth_ft = Fraction(depth_in) / INCHES_PER_FOOT
    if cribbed_ends not in (0, 1, 2) or cribbed_ends * depth_ft > Fraction(length_ft):
        raise BadMeasurement(what="number of cribbed ends", value=cribbed_ends)
    solid_length = Fraction(length_ft) - cribbed_ends * depth_ft * _figure("crib_loss")
    return solid_length * Fraction(height_ft) * depth_ft / CORD_FT3


def make_good(
    *,
    promised_cords: Fraction,
    measured_cords: Fraction,
    wood_dollars: Decimal,
    balance_dollars: Decimal,
    loaded_ft3: Fraction,
    heap_number: Fraction,
) -> MakeGood:
    """The credit or the loose wood owed for a stack that measured short.

    Within the tolerance nothing is owed, since two people measure one stack that far apart; beyond
    it the whole shortfall is. The wood to bring is reckoned at the heap number it was loaded by.

    Units
        wood_dollars: price of the wood alone; balance_dollars: still due.
        loaded_ft3: loose ft3 that left the yard; heap_number: loose ft3 per cord it was loaded by.

    Errors
        BadMeasurement: an amount, volume or heap number of nothing or less.
    """
    for what, value in (
        ("amount promised", promised_cords),
        ("amount measured", measured_cords),
        ("volume loaded", loaded_ft3),
        ("heap number", heap_number),
    ):
        if value <= 0:
            raise BadMeasurement(what=what, value=value)
    short = promised_cords - measured_cords
    share = short / promised_cords
    is_owed = share > _figure("tolerance")
    credit = dollars(Fraction(wood_dollars) * share) if is_owed else Decimal("0.00")
    off_balance = min(credit, max(balance_dollars, Decimal(0)))
    return MakeGood(
        promised_cords=promised_cords,
        stack_cords=measured_cords,
        short_cords=short,
        short_pct=round_to(share * HUNDRED, Decimal("0.01")),
        is_owed=is_owed,
        credit_dollars=credit,
        balance_dollars=balance_dollars - off_balance,
        refund_dollars=credit - off_balance,
        loose_ft3=_tenths(short * heap_number) if is_owed else Decimal("0.0"),
        heap_number=_tenths(loaded_ft3 / measured_cords),
    )


def tolerance() -> Fraction:
    """The share of a stack by which two people who measure it may differ."""
    return _figure("tolerance")


def _tenths(amount: Fraction) -> Decimal:
    return round_to(amount, Decimal("0.1")).quantize(Decimal("0.1"))


@cache
def _figure(name: str) -> Fraction:
    table = tomllib.loads(
        files("orders.core").joinpath("makegood.toml").read_text("utf-8"), parse_float=Decimal
    )
    return Fraction(table[name]["value"])
