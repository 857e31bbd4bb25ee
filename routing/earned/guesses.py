"""Guessed hours and money: low, likely, high, and what an hour earns when the guesses err.

Worst and best come first, because guesses err together. PERT gives the usual middle and an 80 percent
band; the seeded simulation lets guesses err together as much as one says. `measure_next` names the guess
whose truth would move the answer most.
Source: D. Malcolm, J. Roseboom, C. Clark and W. Fazar, Application of a Technique for Research and
Development Program Evaluation, Operations Research 7, 1959 (PERT mean, a sixth of the range as spread);
R. Iman and W. Conover, A distribution-free approach to inducing rank correlation, 1982 (the reordering).
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import sqrt

import numpy as np

from inventory.core.bands import Band
from inventory.core.money import dollars
from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError

PERT_WEIGHT = 4
SIXTH = 6
NORMAL_80 = 1.2815515655446004  # standard normal quantile at 0.90
DEFAULT_DRAWS = 20_000
BAND_DRAWS = 2_000


class BadGuess(FramedRefusal, RoutingError):
    """A guess whose low, likely and high are out of order, or that makes no sense."""

    frame = "The guess for {name} {problem}."
    of = ("name", "problem")


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess(Band[Decimal]):
    """A figure remembered rather than measured, in whatever unit its place says."""

    name: str

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise BadGuess(
                self.name,
                "runs {low}, {likely}, {high}; put the low first and the high last",
                low=self.low,
                likely=self.likely,
                high=self.high,
            )
        if self.low < 0:
            raise BadGuess(self.name, "is below zero; use zero or more")

    @classmethod
    def of(cls, name: str, low: str | int, likely: str | int, high: str | int) -> "Guess":
        """A guess from figures as people write them."""
        return cls(name=name, low=Decimal(low), likely=Decimal(likely), high=Decimal(high))

    @classmethod
    def known(cls, name: str, value: str | int | Decimal) -> "Guess":
        """A figure that was measured: no spread."""
        return cls(name=name, low=Decimal(value), likely=Decimal(value), high=Decimal(value))

    @property
    def mean(self) -> Fraction:
        """The PERT mean."""
        return (Fraction(self.low) + PERT_WEIGHT * Fraction(self.likely) + Fraction(self.high)) / SIXTH

    @property
    def spread(self) -> Fraction:
        """The PERT standard deviation: a sixth of the range."""
        return (Fraction(self.high) - Fraction(self.low)) / SIXTH


@dataclass(frozen=True, slots=True, kw_only=True)
class HourGuesses:
    """What an amount of wood brings, costs and takes, as guesses.

    Units
        hours: each a kind of work; revenue, expenses: dollars.
    """

    hours: tuple[Guess, ...]
    revenue: Guess
    expenses: Guess

    def __post_init__(self) -> None:
        if not self.hours or sum(guess.low for guess in self.hours) <= 0:
            raise BadGuess("hours", "adds up to no work at all; enter what it took")


@dataclass(frozen=True, slots=True, kw_only=True)
class WageRange:
    """Dollars an hour: everything wrong at once, as guessed, everything right at once."""

    worst: Decimal
    likely: Decimal
    best: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Pert:
    """The hours as PERT sees them, and dollars an hour at the likely money.

    Units
        hours, spread: hours; per_hour and the 80 percent band: dollars an hour.
    """

    hours: Fraction
    spread: float
    per_hour: Decimal
    band_low: Decimal
    band_high: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """Dollars an hour over many seeded draws of all the guesses.

    Units
        dollars an hour; chance_of_target: 0 to 1.
    """

    mean: Decimal
    median: Decimal
    band_low: Decimal
    band_high: Decimal
    chance_of_target: float
    draws: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """What one guess alone does to the answer.

    Units
        at_low, at_high: dollars an hour with this guess at its ends and the others likely.
    """

    name: str
    at_low: Decimal
    at_high: Decimal

    @property
    def moves(self) -> Decimal:
        """How far the answer moves from one end to the other."""
        return abs(self.at_high - self.at_low)


def wage_range(guesses: HourGuesses) -> WageRange:
    """Worst, likely and best dollars an hour.

    >>> wage_range(HourGuesses(hours=(Guess.of("all", 5, 6, 8),),
    ...     revenue=Guess.known("revenue", 200), expenses=Guess.known("expenses", 0))).likely
    Decimal('33.33')
    """
    return WageRange(
        worst=_per_hour(
            guesses.revenue.low, guesses.expenses.high, sum((g.high for g in guesses.hours), Decimal(0))
        ),
        likely=_per_hour(
            guesses.revenue.likely,
            guesses.expenses.likely,
            sum((g.likely for g in guesses.hours), Decimal(0)),
        ),
        best=_per_hour(
            guesses.revenue.high, guesses.expenses.low, sum((g.low for g in guesses.hours), Decimal(0))
        ),
    )


def pert(guesses: HourGuesses) -> Pert:
    """PERT hours, and dollars an hour over their 80 percent band at the likely money.

    Kinds of work are taken as independent, so the band is narrower than worst to best.
    """
    hours = sum((guess.mean for guess in guesses.hours), Fraction(0))
    spread = sqrt(sum(float(guess.spread) ** 2 for guess in guesses.hours))
    left = float(guesses.revenue.likely - guesses.expenses.likely)
    ends = sorted((left / (float(hours) + NORMAL_80 * spread), left / (float(hours) - NORMAL_80 * spread)))
    return Pert(
        hours=hours,
        spread=spread,
        per_hour=dollars(Fraction(guesses.revenue.likely - guesses.expenses.likely) / hours),
        band_low=_dollars(ends[0]),
        band_high=_dollars(ends[1]),
    )


def simulated(
    guesses: HourGuesses,
    *,
    seed: int,
    target_wage: Decimal = Decimal(0),
    together: float = 0.5,
    draws: int = DEFAULT_DRAWS,
) -> Simulated:
    """Dollars an hour when every guess, hours and money, is drawn from its own beta-PERT.

    Units
        together: 0 to 1, how much the hours (and the expenses with them) err the same way; the revenue
        errs by itself, against them.

    Errors
        BadGuess: together is outside 0 to 1, or fewer than 100 draws.
    """
    if not 0 <= together <= 1:
        raise BadGuess("how guesses err together", "is {together}; use 0 to 1", together=together)
    if draws < 100:
        raise BadGuess("draws", "is {draws}; use 100 or more", draws=draws)
    rng = np.random.default_rng(seed)
    mood = rng.standard_normal(draws)
    lean, own = sqrt(together), sqrt(1 - together)

    def drawn(guess: Guess, *, against: bool = False) -> np.ndarray:
        values = np.sort(_beta_pert(rng, guess, draws))
        leaning = (-lean if against else lean) * mood + own * rng.standard_normal(draws)
        placed = np.empty(draws)
        placed[np.argsort(leaning, kind="stable")] = values
        return placed

    hours = np.sum([drawn(guess) for guess in guesses.hours], axis=0)
    earned = (drawn(guesses.revenue, against=True) - drawn(guesses.expenses)) / hours
    low, middle, high = np.quantile(earned, (0.1, 0.5, 0.9))
    return Simulated(
        mean=_dollars(float(earned.mean())),
        median=_dollars(float(middle)),
        band_low=_dollars(float(low)),
        band_high=_dollars(float(high)),
        chance_of_target=float((earned >= float(target_wage)).mean()),
        draws=draws,
    )


def swings(guesses: HourGuesses) -> tuple[Swing, ...]:
    """What each guess alone does to dollars an hour, the strongest first."""
    hours = sum((guess.likely for guess in guesses.hours), Decimal(0))
    revenue, expenses = guesses.revenue, guesses.expenses
    found = [
        Swing(
            name=guess.name,
            at_low=_per_hour(revenue.likely, expenses.likely, hours - guess.likely + guess.low),
            at_high=_per_hour(revenue.likely, expenses.likely, hours - guess.likely + guess.high),
        )
        for guess in guesses.hours
    ]
    found.append(
        Swing(
            name=revenue.name,
            at_low=_per_hour(revenue.low, expenses.likely, hours),
            at_high=_per_hour(revenue.high, expenses.likely, hours),
        )
    )
    found.append(
        Swing(
            name=expenses.name,
            at_low=_per_hour(revenue.likely, expenses.low, hours),
            at_high=_per_hour(revenue.likely, expenses.high, hours),
        )
    )
    return tuple(sorted(found, key=lambda swing: -swing.moves))


@cache
def band_80(guess: Guess) -> tuple[Decimal, Decimal]:
    """What eight of ten such guesses turn out between; the likely value is never outside."""
    drawn = _beta_pert(np.random.default_rng(0), guess, BAND_DRAWS)
    low, high = (_dollars(float(end)) for end in np.quantile(drawn, (0.1, 0.9)))
    return min(low, guess.likely), max(high, guess.likely)


def measure_next(guesses: HourGuesses) -> Swing | None:
    """The guess that moves dollars an hour most; None when nothing is guessed any more."""
    strongest = swings(guesses)[0]
    return strongest if strongest.moves > 0 else None


def _beta_pert(rng: np.random.Generator, guess: Guess, draws: int) -> np.ndarray:
    low, likely, high = float(guess.low), float(guess.likely), float(guess.high)
    if high == low:
        return np.full(draws, likely)
    up = 1 + PERT_WEIGHT * (likely - low) / (high - low)
    down = 1 + PERT_WEIGHT * (high - likely) / (high - low)
    spread: np.ndarray = low + (high - low) * rng.beta(up, down, draws)
    return spread


def _per_hour(revenue: Decimal, expenses: Decimal, hours: Decimal) -> Decimal:
    if hours <= 0:
        raise BadGuess("hours", "adds up to no work at all; enter what it took")
    return dollars(Fraction(revenue - expenses) / Fraction(hours))


def _dollars(amount: float) -> Decimal:
    return dollars(Fraction(amount).limit_denominator(10**6))
