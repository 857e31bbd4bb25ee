"""Worked example 6: what each order and the load leave, and an hour with production counted."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.core.costs import minutes_rule
from routing.core.margins import Sale, SaleMissing, WoodCost, margins_of_load, side_by_side
from routing.core.shares import split_by_solo, split_load
from tests.routing.core.earned.demo import RATES, marrow_and_larch

RULE = minutes_rule()
FIR = WoodCost(cash=Decimal(32), hours=Fraction("5.45"))
A = Sale(order="A", price=Decimal(100), cords=Fraction(1, 3), wood=FIR)
B = Sale(order="B", price=Decimal(242), cords=Fraction(2, 3), wood=FIR, is_stacked=True)


def by_solo():
    split = split_by_solo(marrow_and_larch(), rates=RATES, rule=RULE)
    return margins_of_load((A, B), shares=split, rule=RULE)


def by_shapley():
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)
    return margins_of_load((A, B), shares=split, rule=RULE)


def test_example_six_margins_stand_to_the_cent():
    load = by_solo()

    assert [order.cash_left for order in load.orders] == [Decimal("84.71"), Decimal("197.01")]
    assert load.whole.cash_left == Decimal("281.72")


def test_example_six_minutes_are_the_drive_and_yard_by_solo_drive_plus_each_orders_own():
    load = by_solo()

    assert round(float(load.orders[0].delivery_minutes), 2) == 47.57
    assert round(float(load.orders[1].delivery_minutes), 2) == 160.43
    assert load.whole.delivery_minutes == 208


def test_example_six_earns_its_printed_dollars_an_hour():
    load = by_solo()

    assert [order.per_hour for order in load.orders] == [Decimal("32.46"), Decimal("31.24")]
    assert load.whole.per_hour == Decimal("31.59")


def test_the_fair_split_moves_money_between_orders_but_not_the_loads():
    load = by_shapley()

    assert [order.cash_left for order in load.orders] == [Decimal("86.18"), Decimal("195.54")]
    assert load.whole.cash_left == Decimal("281.72")
    assert load.whole.delivery_minutes == 208


def test_wages_at_the_target_leave_the_rest():
    whole = by_solo().whole

    assert whole.wages(Decimal(25)) == Decimal("222.92")  # 8 h 55 min
    assert whole.left_after_wages(Decimal(25)) == Decimal("58.80")


def test_delivering_alone_earns_more_an_hour_than_with_the_woods_counted():
    whole = by_solo().whole

    assert whole.per_delivery_hour == Decimal("81.27")  # 281.72 over 208 minutes


def test_fees_and_a_longer_road_show_beside_the_plan():
    planned = by_solo().whole
    longer = split_by_solo(marrow_and_larch(), rates=RATES, rule=RULE)
    paid_by_card = Sale(order="A", price=Decimal(100), cords=Fraction(1, 3), wood=FIR, fees=Decimal("3.20"))
    actual = margins_of_load((paid_by_card, B), shares=longer, rule=RULE).whole

    lines = {line.line: line for line in side_by_side(planned, actual, target_wage=Decimal(25))}

    assert lines["fees"].difference == Decimal("3.20")
    assert lines["cash left"].difference == Decimal("-3.20")
    assert lines["drive and yard stops"].difference == 0
    assert lines["left after wages"].planned == Decimal("58.80")


def test_an_order_without_a_share_is_refused_by_name():
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)

    with pytest.raises(SaleMissing, match="Order B"):
        margins_of_load((A,), shares=split, rule=RULE)


@given(
    st.decimals(0, 900, places=2),
    st.decimals(0, 900, places=2),
    st.fractions(Fraction(1, 12), 2, max_denominator=12),
    st.decimals(0, 99, places=2),
)
def test_order_margins_add_up_to_the_loads(price_a, price_b, cords, cash):
    wood = WoodCost(cash=cash, hours=Fraction(5))
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)
    sales = (
        Sale(order="A", price=price_a, cords=cords, wood=wood),
        Sale(order="B", price=price_b, cords=Fraction(1, 3), wood=wood, is_stacked=True),
    )

    load = margins_of_load(sales, shares=split, rule=RULE)

    assert sum(order.cash_left for order in load.orders) == load.whole.cash_left
    assert sum(order.hours for order in load.orders) == load.whole.hours
    assert load.whole.road == split.road
