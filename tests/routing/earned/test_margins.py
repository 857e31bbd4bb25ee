"""Worked example 6: what each order and the load leave, and an hour with production counted."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.earned.costs import minutes_rule
from routing.earned.margins import Margin, Sale, SaleMissing, WoodCost, margins_of_load, side_by_side
from routing.earned.moved import moved_chart, why_moved
from routing.earned.shares import split_load
from tests.routing.earned.demo import RATES, marrow_and_larch

RULE = minutes_rule()
FIR = WoodCost(cash=Decimal(32), hours=Fraction("5.45"))
A = Sale(order="A", price=Decimal(100), cords=Fraction(1, 3), wood=FIR)
B = Sale(order="B", price=Decimal(242), cords=Fraction(2, 3), wood=FIR, is_stacked=True)


def load_of_two():
    split = split_load(marrow_and_larch(), rates=RATES, rule=RULE)
    return margins_of_load((A, B), shares=split, rule=RULE)


def test_example_six_margins_stand_to_the_cent():
    load = load_of_two()

    assert [order.cash_left for order in load.orders] == [Decimal("86.18"), Decimal("195.54")]
    assert load.whole.cash_left == Decimal("281.72")


def test_example_six_minutes_are_the_shared_drive_and_yard_plus_each_orders_own():
    load = load_of_two()

    assert round(float(load.orders[0].delivery_minutes), 2) == 47
    assert round(float(load.orders[1].delivery_minutes), 2) == 161
    assert load.whole.delivery_minutes == 208


def test_example_six_earns_its_printed_dollars_an_hour():
    load = load_of_two()

    assert [order.per_hour for order in load.orders] == [Decimal("33.15"), Decimal("30.96")]
    assert load.whole.per_hour == Decimal("31.59")


def test_wages_at_the_target_leave_the_rest():
    whole = load_of_two().whole

    assert whole.wages(Decimal(25)) == Decimal("222.92")  # 8 h 55 min
    assert whole.left_after_wages(Decimal(25)) == Decimal("58.80")


def test_delivering_alone_earns_more_an_hour_than_with_the_woods_counted():
    whole = load_of_two().whole

    assert whole.per_delivery_hour == Decimal("81.27")  # 281.72 over 208 minutes


def test_fees_and_a_longer_road_show_beside_the_plan():
    planned = load_of_two().whole
    longer = split_load(marrow_and_larch(), rates=RATES, rule=RULE)
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


def a_margin(cords, price, wood, road, minutes):
    return Margin(
        name="", cords=cords, price=price, wood_cash=wood, road=road, fees=Decimal(0),
        own_minutes=Fraction(minutes), joint_minutes=Fraction(0), wood_hours=Fraction(2),
    )  # fmt: skip


def test_why_a_margin_moved_names_the_road_and_the_time():
    """Planned $60 of road and 3 hours; it took $72 and 3 h 30 min at $25."""
    planned = a_margin(Fraction(1), Decimal(300), Decimal(32), Decimal(60), 180)
    actual = a_margin(Fraction(1), Decimal(300), Decimal(32), Decimal(72), 210)

    moved = why_moved(planned, actual, target_wage=Decimal(25))
    chart = moved_chart(moved, key="m", title="Why")

    assert [(row.cause, row.dollars) for row in moved] == [
        ("price", Decimal(0)), ("wood", Decimal(0)), ("road", Decimal(-12)), ("time", Decimal("-12.50")),
    ]  # fmt: skip
    assert chart.finding == "$24.50 less was left of the load; time lost most, $12.50."


def test_months_of_unlike_size_are_told_by_the_cord():
    """Three cords at $290 after one at $300; nothing to say of a month without wood."""
    august = a_margin(Fraction(1), Decimal(300), Decimal(32), Decimal(60), 180)
    september = a_margin(Fraction(3), Decimal(870), Decimal(96), Decimal(180), 780)
    nothing = a_margin(Fraction(0), Decimal(0), Decimal(0), Decimal(0), 0)

    moved = why_moved(august, september, target_wage=Decimal(25), a_cord=True)

    # five hours a cord in August, (13 + 2) / 3 in September
    assert {row.cause: row.dollars for row in moved} == {
        "price": Decimal(-10), "wood": Decimal(0), "road": Decimal(0), "time": Decimal(0),
    }  # fmt: skip
    assert why_moved(august, nothing, target_wage=Decimal(25), a_cord=True) == ()


CENTS = st.integers(0, 90_000).map(lambda cents: Decimal(cents) / 100)
MARGINS = st.builds(a_margin, st.just(Fraction(1)), CENTS, CENTS, CENTS, st.integers(0, 900))


@given(before=MARGINS, after=MARGINS)
def test_the_causes_are_the_whole_difference(before, after):
    wage = Decimal("22.50")
    moved = sum(row.dollars for row in why_moved(before, after, target_wage=wage))

    assert moved == after.left_after_wages(wage) - before.left_after_wages(wage)
