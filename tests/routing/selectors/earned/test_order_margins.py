"""What one order leaves, over the loads that carry it."""

from decimal import Decimal
from fractions import Fraction

import pytest

from routing.earned.margins import Margin
from routing.selectors.earned.order_margins import OrderEarned, order_earned
from tests.factories.day import FRIDAY
from tests.factories.orders import make_order
from tests.routing.selectors.earned.earned_loads import a_load
from tests.routing.selectors.earned.earned_roads import EXAMPLE_6, drive_by

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _roads(monkeypatch):
    drive_by(monkeypatch, EXAMPLE_6)


def test_an_order_is_read_over_its_loads(business):
    load = a_load()

    earned = order_earned(203)

    assert [row[0] for row in earned.loads] == [load.pk]
    assert earned.margin.road == Decimal("25.13")


def test_a_picked_up_order_has_no_road(business):
    make_order(number=209, how="pick_up", cords=Fraction(1, 4), total_dollars=Decimal(75))

    margin = order_earned(209).margin

    assert margin.road == 0
    assert margin.cash_left == Decimal("67.00")  # 75 less a quarter of 32


def test_an_order_no_load_carries_says_what_to_do(business):
    make_order(number=210)

    assert "plan its day" in order_earned(210).problem
    assert order_earned(211) is None


def test_the_difference_between_quoted_and_planned_drive_is_told():
    """The customer's price stands when the plan changes; the seller sees what that costs or brings."""
    nothing = Fraction(0)
    margin = Margin(
        name="203", cords=Fraction(2, 3), price=Decimal("242.00"), wood_cash=Decimal("21.33"),
        road=Decimal("25.13"), fees=Decimal(0), own_minutes=nothing, joint_minutes=nothing,
        wood_hours=nothing,
    )  # fmt: skip
    order = OrderEarned(
        number=203, customer="Pilar Ostrander", town="Larch Prairie", market_name="Local", is_far=False,
        wood="fir", cords=Fraction(2, 3), total=Decimal("242.00"), first_on=FRIDAY, last_on=FRIDAY,
        is_pool=False, state_words="day set", on=None, price=Decimal("242.00"), loads=(), margin=margin,
        problem="", drive_price=Decimal("22.00"),
    )  # fmt: skip

    assert order.drive_left == Decimal("-3.13")
