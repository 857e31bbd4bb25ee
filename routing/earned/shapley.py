"""The Shapley value: what each player adds, averaged over every order in which they could join.

Nothing here knows of roads; `shares` says what a coalition of drops costs.
Source: L. S. Shapley, A Value for n-Person Games, Contributions to the Theory of Games II, 1953.
Sampling: J. Castro, D. Gomez and J. Tejada, Polynomial calculation of the Shapley value based on
sampling, Computers & Operations Research 36, 2009; each order is used forward and backward.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import factorial, sqrt

import numpy as np

from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError

MOST_EXACT_PLAYERS = 12
TWO_SIDED_95 = 1.96


class BadGame(FramedRefusal, RoutingError):
    """A table of coalition costs that is no game."""

    frame = "The cost cannot be split: {problem}."


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledValues:
    """Shapley values from sampled orders.

    Units
        values: as the game's, adding up to the whole exactly; errors: 95 percent half-widths.
    """

    values: tuple[Fraction, ...]
    errors: tuple[float, ...]
    samples: int


def shapley_values(costs: Sequence[int]) -> tuple[Fraction, ...]:
    """Each player's exact Shapley value.

    Shapes and units
        costs: 2**n whole numbers; costs[mask] is the cost of the players whose bits are set; costs[0] = 0.
        returns: n exact values that add up to costs[-1].

    Errors
        BadGame: not a power of two, too many players, or an empty coalition that costs something.

    >>> shapley_values([0, 5320, 27300, 28275])
    (Fraction(6295, 2), Fraction(50255, 2))
    """
    players = len(costs).bit_length() - 1
    if len(costs) != 1 << players:
        raise BadGame("{count} coalition costs are not a power of two", count=len(costs))
    if players > MOST_EXACT_PLAYERS:
        raise BadGame("{players} drops are too many to split exactly; sample instead", players=players)
    if costs[0] != 0:
        raise BadGame("nobody's cost must be nothing")
    masks = np.arange(1 << players, dtype=np.int64)
    table = np.array(costs, dtype=np.int64)
    size_of = np.zeros_like(masks)
    for player in range(players):
        size_of += (masks >> player) & 1
    values = []
    for player in range(players):
        without = masks[(masks >> player) & 1 == 0]
        added = table[without | (1 << player)] - table[without]
        value = Fraction(0)
        for size in range(players):
            joined = int(added[size_of[without] == size].sum())
            value += Fraction(joined * factorial(size) * factorial(players - size - 1), factorial(players))
        values.append(value)
    return tuple(values)


def sampled_shapley_values(
    cost: Callable[[frozenset[int]], int], *, players: int, samples: int, seed: int
) -> SampledValues:
    """Shapley values estimated from random orders, each taken forward and backward.

    Shapes and units
        cost: the cost of a coalition, a whole number; cost of nobody must be 0.
        samples: pairs of orders, >= 2.

    Errors
        BadGame: fewer than two samples, or no players.
    """
    if players < 1 or samples < 2:
        raise BadGame("sampling needs a player and at least two orders")
    if cost(frozenset()) != 0:
        raise BadGame("nobody's cost must be nothing")
    rng = np.random.default_rng(seed)
    sums = [0] * players
    squares = [0.0] * players
    for _ in range(samples):
        order = [int(player) for player in rng.permutation(players)]
        pair = [0] * players
        for way in (order, order[::-1]):
            joined: frozenset[int] = frozenset()
            before = 0
            for player in way:
                joined |= {player}
                after = cost(joined)
                pair[player] += after - before
                before = after
        for player in range(players):
            sums[player] += pair[player]
            squares[player] += (pair[player] / 2) ** 2
    values = tuple(Fraction(total, 2 * samples) for total in sums)
    errors = []
    for player in range(players):
        mean = float(values[player])
        spread = max(0.0, squares[player] / samples - mean * mean) * samples / (samples - 1)
        errors.append(TWO_SIDED_95 * sqrt(spread / samples))
    return SampledValues(values=values, errors=tuple(errors), samples=samples)
