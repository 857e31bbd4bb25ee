"""A load's road and time, split over its orders.

The joint cost is the drive (and the yard stop); loading and unloading belong to their own order and are
in `costs`. The split is the Shapley value of the load's cost game, shown beside what each order would
have cost alone and what dropping it would save.

What a part of the load would cost: its best order, when the load itself is driven in its best order;
otherwise (a window forced a detour) the planned order with the others left out, so that whoever wants
the detour pays for it. Beyond twelve drops the planned order is kept and the split is sampled.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise

import numpy as np

from inventory.core.money import dollars, from_cents, share_out, to_cents
from routing.earned.costs import MINUTES_PER_HOUR, MinutesRule, RunningRates, Stretch
from routing.earned.load_legs import BadLoadLegs, LoadLegs
from routing.earned.shapley import MOST_EXACT_PLAYERS, sampled_shapley_values, shapley_values

GRAINS = 10**9  # whole numbers inside: billionths of a dollar and of a minute
DEFAULT_SAMPLES = 1000
FAR_AWAY = np.int64(1) << np.int64(60)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One order's part of the load's joint road and time.

    Units
        road, alone_road, saved_road: dollars to the cent; minutes: exact.
        alone_road: this order by itself; saved_road: what the load would save without it.
        road_error: 95 percent half-width when sampled, else 0.
    """

    order: str
    road: Decimal
    minutes: Fraction
    alone_road: Decimal
    saved_road: Decimal
    road_error: Decimal = Decimal("0.00")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadShares:
    """A load's joint cost and how it is split.

    Units
        road: dollars, the shares' sum to the cent; minutes: exact, the shares' sum.
        together_saves: dollars of road the load saves against a trip for each order.
        rule: "exact" or "sampled".
        is_as_driven: a part of the load keeps the planned order (see the module's words).
    """

    shares: tuple[Share, ...]
    road: Decimal
    minutes: Fraction
    together_saves: Decimal
    rule: str
    is_as_driven: bool

    def of(self, order: str) -> Share:
        """The share of one order.

        Errors
            BadLoadLegs: the order is not on this load.
        """
        for share in self.shares:
            if share.order == order:
                return share
        raise BadLoadLegs("order {order} is not on it", order=order)


@dataclass(frozen=True, slots=True)
class _Grained:
    """The load's stretches as whole grains: what steers the choice of order, road money, minutes."""

    road: np.ndarray  # (n + 1) x (n + 1): row and column 0 are yard out and load's end
    minutes: np.ndarray
    wage_grains: Fraction  # dollar grains per minute grain
    start_road: int
    start_minutes: int

    @property
    def worth(self) -> np.ndarray:
        steered: np.ndarray = self.road + (self.minutes * float(self.wage_grains)).round().astype(np.int64)
        return steered


def split_load(
    roads: LoadLegs,
    *,
    rates: RunningRates,
    rule: MinutesRule,
    seed: int = 1,
    samples: int = DEFAULT_SAMPLES,
) -> LoadShares:
    """The load's joint road and minutes split by Shapley value: exact up to twelve drops, sampled beyond.

    Units
        samples: pairs of orders drawn when sampling; the stated error shrinks with their square root.
    """
    grained = _grained(roads, rates, rule)
    count = len(roads.orders)
    if count <= MOST_EXACT_PLAYERS:
        road_of, minutes_of, is_as_driven = _game(grained, count)
        whole = (1 << count) - 1
        return _shares(
            roads,
            road_values=shapley_values(road_of),
            minute_values=shapley_values(minutes_of),
            alone=[(road_of[1 << i], minutes_of[1 << i]) for i in range(count)],
            without=[(road_of[whole ^ 1 << i], minutes_of[whole ^ 1 << i]) for i in range(count)],
            whole=(road_of[whole], minutes_of[whole]),
            rule="exact",
            is_as_driven=is_as_driven,
        )

    @cache
    def driven(joined: frozenset[int]) -> tuple[int, int]:
        return _as_driven(grained, sorted(joined))

    def part(index: int) -> Callable[[frozenset[int]], int]:
        return lambda joined: driven(joined)[index]

    roads_sampled = sampled_shapley_values(part(0), players=count, samples=samples, seed=seed)
    minutes_sampled = sampled_shapley_values(part(1), players=count, samples=samples, seed=seed)
    everyone = list(range(count))
    return _shares(
        roads,
        road_values=roads_sampled.values,
        minute_values=minutes_sampled.values,
        alone=[_as_driven(grained, [i]) for i in everyone],
        without=[_as_driven(grained, [j for j in everyone if j != i]) for i in everyone],
        whole=_as_driven(grained, everyone),
        rule="sampled",
        is_as_driven=True,
        errors=tuple(zip(roads_sampled.errors, minutes_sampled.errors, strict=True)),
    )


def _shares(
    roads: LoadLegs,
    *,
    road_values: Sequence[Fraction],
    minute_values: Sequence[Fraction],
    alone: Sequence[tuple[int, int]],
    without: Sequence[tuple[int, int]],
    whole: tuple[int, int],
    rule: str,
    is_as_driven: bool,
    errors: tuple[tuple[float, float], ...] = (),
) -> LoadShares:
    road_cents = to_cents(Fraction(whole[0], GRAINS))
    road_shares = _cents_over(road_cents, road_values)
    return LoadShares(
        shares=tuple(
            Share(
                order=order,
                road=road,
                minutes=minute_values[i] / GRAINS,
                alone_road=dollars(Fraction(alone[i][0], GRAINS)),
                saved_road=dollars(Fraction(whole[0] - without[i][0], GRAINS)),
                road_error=dollars(Fraction(errors[i][0]) / GRAINS) if errors else Decimal("0.00"),
            )
            for i, (order, road) in enumerate(zip(roads.orders, road_shares, strict=True))
        ),
        road=from_cents(road_cents),
        minutes=Fraction(whole[1], GRAINS),
        together_saves=dollars(Fraction(sum(road for road, _ in alone) - whole[0], GRAINS)),
        rule=rule,
        is_as_driven=is_as_driven,
    )


def _cents_over(total_cents: int, values: Sequence[Fraction]) -> tuple[Decimal, ...]:
    """Whole cents in proportion to values. A value below zero (a drop on the way back) is lifted to zero."""
    weights = [max(Fraction(0), value) for value in values]
    if total_cents == 0 or sum(weights) == 0:
        weights = [Fraction(1)] * len(weights)
    return tuple(from_cents(cents) for cents in share_out(total_cents, weights))


def _grained(roads: LoadLegs, rates: RunningRates, rule: MinutesRule) -> _Grained:
    count = len(roads.orders)
    road = np.zeros((count + 1, count + 1), dtype=np.int64)
    minutes = np.zeros((count + 1, count + 1), dtype=np.int64)

    def fill(row: int, column: int, stretch: Stretch, rate: Decimal) -> None:
        road[row, column] = round(Fraction(rate) * stretch.miles * GRAINS)
        minutes[row, column] = round(stretch.minutes * GRAINS)

    for i in range(count):
        fill(0, i + 1, roads.out[i], rates.loaded_mile)
        fill(i + 1, 0, roads.back[i], rates.empty_mile)
        for j in range(count):
            if i != j:
                fill(i + 1, j + 1, roads.between[i][j], rates.loaded_mile)
    return _Grained(
        road=road,
        minutes=minutes,
        wage_grains=Fraction(rates.wage_hour) / MINUTES_PER_HOUR,
        start_road=round(
            (
                Fraction(rates.empty_mile) * roads.approach.miles
                + Fraction(rates.loaded_mile) * roads.filling.miles
                + Fraction(roads.fixed)
            )
            * GRAINS
        ),
        start_minutes=round((roads.approach.minutes + rule.yard_stop + roads.filling.minutes) * GRAINS),
    )


def _as_driven(grained: _Grained, drops: Sequence[int]) -> tuple[int, int]:
    """Road and minute grains of some of the drops, in the planned order."""
    if not drops:
        return 0, 0
    path = [0, *(drop + 1 for drop in drops), 0]
    road = grained.start_road
    minutes = grained.start_minutes
    for here, there in pairwise(path):
        road += int(grained.road[here, there])
        minutes += int(grained.minutes[here, there])
    return road, minutes


def _game(grained: _Grained, count: int) -> tuple[list[int], list[int], bool]:
    """Road and minute grains of every part of the load, and whether the planned order was kept."""
    best_road, best_minutes, best_worth = _best_orders(grained, count)
    planned = _as_driven(grained, range(count))
    path = np.array([0, *range(1, count + 1), 0])
    planned_worth = int(grained.worth[path[:-1], path[1:]].sum())
    if planned_worth <= int(best_worth[-1]):
        road, minutes = best_road.tolist(), best_minutes.tolist()
        road[-1], minutes[-1] = planned
        return road, minutes, False
    parts = [
        _as_driven(grained, [drop for drop in range(count) if mask >> drop & 1]) for mask in range(1 << count)
    ]
    return [road for road, _ in parts], [minutes for _, minutes in parts], True


def _best_orders(grained: _Grained, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Road, minutes and steering worth of every part of the load in its best order.

    Dynamic programming over (drops done, last drop), a layer of equally many drops at a time, after
    M. Held and R. M. Karp, A Dynamic Programming Approach to Sequencing Problems, 1962.
    """
    masks = np.arange(1 << count, dtype=np.int64)
    size_of = sum(((masks >> drop) & 1 for drop in range(count)), np.zeros_like(masks))
    worth = np.full((1 << count, count), FAR_AWAY, dtype=np.int64)
    road = np.zeros((1 << count, count), dtype=np.int64)
    minutes = np.zeros((1 << count, count), dtype=np.int64)
    steer = grained.worth
    for drop in range(count):
        worth[1 << drop, drop] = steer[0, drop + 1]
        road[1 << drop, drop] = grained.road[0, drop + 1]
        minutes[1 << drop, drop] = grained.minutes[0, drop + 1]
    for size in range(2, count + 1):
        layer = masks[size_of == size]
        for drop in range(count):
            here = layer[(layer >> drop) & 1 == 1]
            before = here ^ (1 << drop)
            reached = worth[before] + steer[1:, drop + 1][None, :]
            last = reached.argmin(axis=1)
            rows = np.arange(len(here))
            worth[here, drop] = reached[rows, last]
            road[here, drop] = road[before, last] + grained.road[last + 1, drop + 1]
            minutes[here, drop] = minutes[before, last] + grained.minutes[last + 1, drop + 1]
    closed = worth + steer[1:, 0][None, :]
    last = closed.argmin(axis=1)
    best_road = road[masks, last] + grained.road[last + 1, 0] + grained.start_road
    best_minutes = minutes[masks, last] + grained.minutes[last + 1, 0] + grained.start_minutes
    best_road[0] = best_minutes[0] = 0
    return best_road, best_minutes, closed[masks, last]
