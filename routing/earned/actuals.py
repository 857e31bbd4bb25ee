"""What a run really left, once it is home: its own miles and hours laid over the planned shares."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars_for, from_cents, share_out, to_cents
from inventory.core.sums import exact_sum
from routing.earned.margins import Margin, WoodCost


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """What became of a drop.

    Units
        cords as delivered and price in dollars, both 0 where nobody took the wood;
        own_minutes: loading, and the halt as it was timed.
    """

    cords: Fraction
    price: Decimal
    wood: WoodCost
    own_minutes: Fraction


def margins_as_driven(
    planned: Sequence[Margin], happened: Sequence[Happened], *, minutes: Fraction, road: Fraction
) -> tuple[Margin, ...]:
    """The margins of a run's drops as they really were.

    Units
        minutes: the whole run from home to home; what is left of it beside the drops' own minutes is split
        by the planned joint minutes. road: exact dollars of the run, split to the cent by the planned road.
    """
    joint = max(Fraction(0), minutes - exact_sum(drop.own_minutes for drop in happened))
    joint_planned = exact_sum(margin.joint_minutes for margin in planned)
    stretched = joint / joint_planned if joint_planned else Fraction(0)
    even = joint / len(planned)
    weights = [to_cents(margin.road) for margin in planned]
    cents = share_out(to_cents(road), weights if sum(weights) > 0 else [1] * len(weights))
    return tuple(
        _as_driven(
            margin,
            drop,
            joint=margin.joint_minutes * stretched if joint_planned else even,
            road=from_cents(cents[place]),
        )
        for place, (margin, drop) in enumerate(zip(planned, happened, strict=True))
    )


def _as_driven(planned: Margin, drop: Happened, *, joint: Fraction, road: Decimal) -> Margin:
    over = max(Fraction(0), drop.cords - planned.cords)
    return Margin(
        name=planned.name,
        cords=drop.cords,
        price=drop.price,
        wood_cash=dollars_for(drop.wood.cash, drop.cords),
        road=road,
        fees=planned.fees,
        own_minutes=drop.own_minutes,
        joint_minutes=joint,
        wood_hours=drop.wood.hours * drop.cords,
        over_given=dollars_for(planned.price, over / planned.cords) if planned.cords else Decimal("0.00"),
    )
