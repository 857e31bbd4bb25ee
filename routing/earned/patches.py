"""A patch from its heaps and its acres: what lies unsold on it, and what thinning the rest would give."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from inventory.core.bands import Band
from inventory.core.hours import parse_hours
from inventory.core.money import dollars
from routing.earned.guesses import Guess
from routing.earned.heaps import band_of, per_hour_band, total


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundAhead:
    """Ground not yet thinned.

    Units
        acres; cords: an acre; leaves: dollars a cord once cash and road are paid; hours: a cord, by step;
        slash_hours, cost_share: an acre; hire: dollars an acre that somebody else would charge, low and high.
    """

    unit_id: int
    name: str
    acres: Fraction
    cords: Guess
    leaves: Guess
    hours: tuple[Guess, ...]
    slash_hours: Guess
    cost_share: Decimal
    hire: tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Projection:
    """What thinning it would give and take.

    Units
        cords; hours, slash in; net: dollars without cost-share; cost_share: dollars; per_hour, with_share:
        dollars an hour without and with it; hired: dollars hiring it out would leave, cost-share in, dear and
        cheap; own: dollars doing it yourself leaves, cost-share in, once the hours are paid.
    """

    ground: GroundAhead
    cords: Band[Decimal]
    hours: Band[Decimal]
    net: Band[Decimal]
    cost_share: Decimal
    per_hour: Band[Decimal] | None
    with_share: Band[Decimal] | None
    hired: tuple[Decimal, Decimal]
    own: Decimal

    @property
    def mornings(self) -> int:
        """How many mornings the hours make."""
        return ceil(Fraction(self.hours.likely) / Fraction(parse_hours("a morning").likely))


def projection(ground: GroundAhead, *, target_wage: Decimal) -> Projection:
    """A patch worked out to its last acre."""
    acres = ground.acres
    cords = scaled_by(ground.cords, acres)
    revenue = _times(cords, ground.leaves)
    likely = Fraction(cords.likely)
    hours = (*(scaled_by(guess, likely) for guess in ground.hours), scaled_by(ground.slash_hours, acres))
    share = dollars(Fraction(ground.cost_share) * acres)
    with_share = Guess(
        name="money", low=revenue.low + share, likely=revenue.likely + share, high=revenue.high + share
    )
    none = Guess.known("expenses", 0)
    all_hours = band_of(total("hours", hours))
    return Projection(
        ground=ground,
        cords=band_of(cords),
        hours=all_hours,
        net=band_of(revenue),
        cost_share=share,
        per_hour=per_hour_band(hours, revenue, none),
        with_share=per_hour_band(hours, with_share, none),
        hired=(
            dollars(Fraction(share) - Fraction(ground.hire[1]) * acres),
            dollars(Fraction(share) - Fraction(ground.hire[0]) * acres),
        ),
        own=dollars(Fraction(with_share.likely) - Fraction(target_wage) * Fraction(all_hours.likely)),
    )


def best_first(projections: Iterable[Projection]) -> tuple[Projection, ...]:
    """Which patch next: the one whose hours pay most, cost-share in."""
    return tuple(
        sorted(projections, key=lambda row: -(row.with_share.likely if row.with_share else Decimal(0)))
    )


def scaled_by(guess: Guess, amount: Fraction) -> Guess:
    """A guess so many times over."""
    low, likely, high = (
        Decimal(round(Fraction(end) * amount * 10_000)) / 10_000
        for end in (guess.low, guess.likely, guess.high)
    )
    return Guess(name=guess.name, low=low, likely=likely, high=high)


def _times(cords: Guess, leaves: Guess) -> Guess:
    low, likely, high = (
        dollars(Fraction(many) * Fraction(each))
        for many, each in (
            (cords.low, leaves.low), (cords.likely, leaves.likely), (cords.high, leaves.high),
        )
    )  # fmt: skip
    return Guess(name="money", low=low, likely=likely, high=high)
