"""A run that is home, laid over its plan: nothing of its miles, minutes and cents is lost."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from inventory.core.money import dollars
from routing.earned.actuals import Happened, margins_as_driven
from routing.earned.margins import Margin, WoodCost

FIR = WoodCost(cash=Decimal(32), hours=Fraction("5.45"))
CORDS = st.fractions(min_value=Fraction(1, 12), max_value=2, max_denominator=12)
MINUTES = st.fractions(min_value=0, max_value=300, max_denominator=10**9)


def planned(cords=Fraction(1, 3), road="5.00", joint=Fraction(20)) -> Margin:
    return Margin(
        name="202", cords=cords, price=Decimal("100.00"), wood_cash=Decimal("10.67"), road=Decimal(road),
        fees=Decimal("0.00"), own_minutes=Fraction(30), joint_minutes=joint, wood_hours=Fraction(1),
    )  # fmt: skip


def happened(cords=Fraction(1, 3), price="100.00", own=Fraction(30)) -> Happened:
    return Happened(cords=cords, price=Decimal(price), wood=FIR, own_minutes=own)


@given(st.lists(st.tuples(CORDS, MINUTES, MINUTES), min_size=1, max_size=6), MINUTES)
def test_the_runs_minutes_and_cents_all_go_to_its_drops(drops, more):
    own = sum((own for _, _, own in drops), Fraction(0))
    road = Fraction("83.33333")

    margins = margins_as_driven(
        [planned(cords=cords, joint=joint) for cords, joint, _ in drops],
        [happened(cords=cords, own=own) for cords, _, own in drops],
        minutes=own + more,
        road=road,
    )

    assert sum(margin.delivery_minutes for margin in margins) == own + more
    assert sum(margin.road for margin in margins) == dollars(road)


def test_joint_minutes_stretch_as_planned():
    near, far = margins_as_driven(
        [planned(joint=Fraction(20)), planned(joint=Fraction(60))],
        [happened(), happened()],
        minutes=Fraction(180),
        road=Fraction(40),
    )

    assert (near.joint_minutes, far.joint_minutes) == (30, 90)


def test_without_a_planned_drive_road_and_minutes_go_evenly():
    first, second = margins_as_driven(
        [planned(road="0.00", joint=Fraction(0))] * 2,
        [happened(), happened()],
        minutes=Fraction(100),
        road=Fraction("0.01"),
    )

    assert first.joint_minutes == second.joint_minutes == 20
    assert (first.road, second.road) == (Decimal("0.01"), Decimal("0.00"))


def test_more_of_its_own_than_the_run_took_leaves_nothing_joint():
    (margin,) = margins_as_driven([planned()], [happened()], minutes=Fraction(10), road=Fraction(0))

    assert margin.joint_minutes == 0
    assert margin.own_minutes == 30


def test_wood_given_beyond_the_plan_is_told_at_the_planned_price():
    (margin,) = margins_as_driven(
        [planned()], [happened(cords=Fraction(5, 12))], minutes=Fraction(60), road=Fraction(5)
    )

    assert margin.over_given == Decimal("25.00")
    assert margin.wood_cash == Decimal("13.33")  # 5/12 of 32
