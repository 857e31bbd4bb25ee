"""A load's roads from the drives between its places."""

from decimal import Decimal

import pytest

from routing.core.costs import minutes_rule
from routing.core.load_roads import BadLoadRoads, roads_of_load
from routing.core.roads import Leg, Matrix
from routing.core.shares import split_load
from tests.routing.core.earned.demo import RATES

MILE = 1609.344
SIDING, MARROW, LARCH = 0, 1, 2


def leg(miles: float, minutes: int) -> Leg:
    return Leg(meters=round(miles * MILE), seconds=60 * minutes)


def town_matrix(*, marrow_larch: Leg | None) -> Matrix:
    return Matrix(
        legs=(
            (leg(0, 0), leg(3.8, 8), leg(19.5, 29)),
            (leg(3.8, 8), leg(0, 0), marrow_larch),
            (leg(19.5, 29), marrow_larch, leg(0, 0)),
        )
    )


def load_over(matrix: Matrix):
    return roads_of_load(
        orders=("A", "B"),
        drops=(MARROW, LARCH),
        yard=SIDING,
        start=SIDING,
        end=SIDING,
        loaded=matrix,
        empty=matrix,
    )


def test_example_six_comes_out_of_a_road_matrix():
    split = split_load(load_over(town_matrix(marrow_larch=leg(17.0, 25))), rates=RATES, rule=minutes_rule())

    assert split.road == Decimal("28.28")
    assert (split.of("A").road, split.of("B").road) == (Decimal("3.15"), Decimal("25.13"))


def test_drops_without_a_road_between_them_are_joined_by_the_yard():
    roads = load_over(town_matrix(marrow_larch=None))

    assert float(roads.between[0][1].miles) == pytest.approx(23.3, abs=0.001)
    assert roads.between[0][1].minutes == 37


def test_a_drop_without_a_road_is_refused_by_name():
    lost = Matrix(legs=((leg(0, 0), None), (None, leg(0, 0))))

    with pytest.raises(BadLoadRoads, match="no road for A"):
        roads_of_load(orders=("A",), drops=(1,), yard=0, start=0, end=0, loaded=lost, empty=lost)


def test_orders_and_drops_must_pair_up():
    matrix = town_matrix(marrow_larch=None)

    with pytest.raises(BadLoadRoads, match="pair up"):
        roads_of_load(orders=("A",), drops=(1, 2), yard=0, start=0, end=0, loaded=matrix, empty=matrix)
