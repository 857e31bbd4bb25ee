"""Sharing a load's drive: worked example 6 by Shapley and by solo trips, and what must always hold."""

from decimal import Decimal
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.earned.costs import NOWHERE, RunningRates, Stretch, minutes_rule
from routing.earned.shapley import BadGame, sampled_shapley_values, shapley_values
from routing.earned.shares import (
    BadLoadLegs,
    LoadLegs,
    split_load,
)
from tests.routing.earned.demo import RATES, marrow_and_larch

RULE = minutes_rule()
ON_A_MAP = st.tuples(st.integers(-30, 30), st.integers(-30, 30))


def roads_on_a_map(spots: list[tuple[int, int]], *, fixed: Decimal = Decimal(0)) -> LoadLegs:
    """Roads along a street grid around a yard at 0, 0: a mile a step, two minutes a mile."""

    def stretch(here: tuple[int, int], there: tuple[int, int]) -> Stretch:
        miles = abs(here[0] - there[0]) + abs(here[1] - there[1])
        return Stretch.of(miles, 2 * miles)

    yard = (0, 0)
    return LoadLegs(
        orders=tuple(str(i) for i in range(len(spots))),
        approach=NOWHERE,
        out=tuple(stretch(yard, spot) for spot in spots),
        between=tuple(tuple(stretch(here, there) for there in spots) for here in spots),
        back=tuple(stretch(spot, yard) for spot in spots),
        fixed=fixed,
    )


def by_every_order(costs: list[int], players: int) -> list[Fraction]:
    """The Shapley value by its definition: the average over every order of joining."""
    totals = [0] * players
    orders = list(permutations(range(players)))
    for order in orders:
        mask = 0
        for player in order:
            totals[player] += costs[mask | 1 << player] - costs[mask]
            mask |= 1 << player
    return [Fraction(total, len(orders)) for total in totals]


def test_example_six_is_shared_fairly():
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)
    a, b = split.of("A"), split.of("B")

    assert split.road == Decimal("28.28")
    assert (a.road, b.road) == (Decimal("3.15"), Decimal("25.13"))
    assert (a.alone_road, b.alone_road) == (Decimal("5.32"), Decimal("27.30"))
    assert split.together_saves == Decimal("4.35")
    assert a.saved_road == Decimal("0.98")
    assert b.saved_road == Decimal("22.96")  # 28.275 - 5.32 = 22.955
    assert split.rule == "exact"
    assert not split.is_as_driven


def test_example_six_minutes_are_shared_by_the_same_rule():
    """Alone 26 and 68 minutes with the yard stop, together 72: each saves half of the 22."""
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)

    assert split.minutes == 72
    assert (split.of("A").minutes, split.of("B").minutes) == (15, 57)


def test_a_detour_that_was_forced_keeps_the_planned_order():
    """Larch first, by its window: dropping Marrow then leaves a Larch trip, dropping Larch a Marrow trip."""
    near_first = marrow_and_larch()
    far_first = LoadLegs(
        orders=("B", "A"),
        approach=NOWHERE,
        out=near_first.out[::-1],
        between=near_first.between,
        back=near_first.back[::-1],
    )

    split = split_load(far_first, rates=RATES, rule=RULE)

    assert split.is_as_driven
    assert split.road == Decimal("29.85")  # 19.5 and 17.0 loaded, 3.8 empty
    assert split.of("A").road + split.of("B").road == split.road


def test_the_game_of_the_literature_has_its_known_value():
    """The glove game: two left gloves, one right; the right one is worth 4/6, each left 1/6."""
    left, other_left, right = 1, 2, 4
    worth = [0] * 8
    for mask in (left | right, other_left | right, left | other_left | right):
        worth[mask] = 1

    assert shapley_values(worth) == (Fraction(1, 6), Fraction(1, 6), Fraction(4, 6))


def test_the_airport_game_has_its_known_value():
    """Runways of 1, 2 and 3 (Littlechild and Owen 1973): everyone pays for the stretches they use."""
    length = [1, 2, 3]
    costs = [max((length[i] for i in range(3) if mask >> i & 1), default=0) for mask in range(8)]

    assert shapley_values(costs) == (
        Fraction(1, 3),
        Fraction(1, 3) + Fraction(1, 2),
        Fraction(1, 3) + Fraction(1, 2) + 1,
    )


@given(
    st.integers(1, 5).flatmap(lambda n: st.lists(st.integers(0, 9999), min_size=2**n - 1, max_size=2**n - 1))
)
def test_the_value_is_the_average_over_every_order(costs):
    game = [0, *costs]
    players = len(game).bit_length() - 1

    assert list(shapley_values(game)) == by_every_order(game, players)


@given(st.lists(ON_A_MAP, min_size=1, max_size=6))
def test_shares_add_up_to_the_load_to_the_cent(spots):
    split = split_load(roads_on_a_map(spots, fixed=Decimal("4.01")), rates=RATES, rule=RULE)

    assert sum(share.road for share in split.shares) == split.road
    assert sum(share.minutes for share in split.shares) == split.minutes


@given(st.lists(ON_A_MAP, min_size=1, max_size=4), ON_A_MAP)
def test_two_orders_at_one_spot_pay_alike(others, spot):
    split = split_load(roads_on_a_map([spot, spot, *others]), rates=RATES, rule=RULE)

    if not split.is_as_driven:
        assert abs(split.shares[0].road - split.shares[1].road) <= Decimal("0.01")
        assert split.shares[0].minutes == split.shares[1].minutes


@given(st.lists(ON_A_MAP, min_size=1, max_size=4))
def test_an_order_at_the_yard_pays_no_road(spots):
    """A drop at the yard adds no mile, so it is a dummy: it shares only the yard stop."""
    split = split_load(roads_on_a_map([(0, 0), *spots]), rates=RATES, rule=RULE)

    if not split.is_as_driven:
        assert split.shares[0].road <= Decimal("0.01")
        assert split.shares[0].minutes == Fraction(RULE.yard_stop, len(spots) + 1)


@given(st.lists(ON_A_MAP, min_size=2, max_size=5))
def test_nobody_pays_more_than_alone_when_miles_cost_the_same_both_ways(spots):
    """With equal loaded and empty rates the load is a traveling salesman game, where company helps."""
    flat = RunningRates(from_on=RATES.from_on, loaded_mile=Decimal("0.7"), empty_mile=Decimal("0.7"))
    split = split_load(roads_on_a_map(spots), rates=flat, rule=RULE)

    if not split.is_as_driven:
        for share in split.shares:
            assert share.road <= share.alone_road + Decimal("0.01")


@settings(deadline=None, max_examples=10)
@given(st.integers(0, 2**31))
def test_sampling_lies_within_three_times_its_stated_error(seed):
    spots = [(3, 4), (10, 0), (-5, 7), (12, 12), (0, -9)]
    costs: dict[frozenset[int], int] = {}
    for mask in range(32):
        joined = frozenset(i for i in range(5) if mask >> i & 1)
        costs[joined] = max((abs(spots[i][0]) + abs(spots[i][1]) for i in joined), default=0) * 1000
    exact = shapley_values([costs[frozenset(i for i in range(5) if mask >> i & 1)] for mask in range(32)])

    sampled = sampled_shapley_values(lambda joined: costs[joined], players=5, samples=300, seed=seed)

    assert sum(sampled.values) == sum(exact)
    for value, error, true in zip(sampled.values, sampled.errors, exact, strict=True):
        assert abs(float(value - true)) <= 3 * error + 1e-9


def test_a_load_of_fourteen_drops_is_sampled_and_says_how_well():
    spots = [(i, (i * 7) % 11) for i in range(1, 15)]

    split = split_load(roads_on_a_map(spots), rates=RATES, rule=RULE, seed=4, samples=100)
    again = split_load(roads_on_a_map(spots), rates=RATES, rule=RULE, seed=4, samples=100)

    assert split == again
    assert split.rule == "sampled"
    assert sum(share.road for share in split.shares) == split.road
    assert any(share.road_error > 0 for share in split.shares)


def test_twelve_drops_are_still_exact():
    spots = [(i * 3 % 13, (i * 7) % 11) for i in range(12)]

    assert split_load(roads_on_a_map(spots), rates=RATES, rule=RULE).rule == "exact"


def test_a_load_without_drops_is_refused():
    with pytest.raises(BadLoadLegs, match="no drops"):
        LoadLegs(orders=(), approach=NOWHERE, out=(), between=(), back=())


def test_a_table_that_is_no_game_is_refused():
    with pytest.raises(BadGame, match="power of two"):
        shapley_values([0, 1, 2])
    with pytest.raises(BadGame, match="nobody's cost"):
        shapley_values([1, 2])
