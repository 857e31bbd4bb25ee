"""What was earned, as charts: the right figures under the right words."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core.charts.marks import BadDrawing
from routing.earned.charts import months_chart, near_far_chart, shares_chart, swings_chart
from routing.earned.costs import NOWHERE, minutes_rule
from routing.earned.guesses import Guess, HourGuesses, swings, wage_range
from routing.earned.margins import Sale, WoodCost, margins_of_load
from routing.earned.markets import haul_or_not, kept_instead, side_of
from routing.earned.shares import split_load
from routing.earned.worth import worth_by
from tests.routing.earned.demo import RATES, marrow_and_larch
from tests.routing.earned.test_markets import coast
from tests.routing.earned.test_worth import SEASON

RULE = minutes_rule()
GUESSES = HourGuesses(
    hours=(Guess.of("rounds", "2.5", "3", "4"), Guess.of("split", "1", "1.2", "1.5")),
    revenue=Guess.of("revenue", 250, 260, 280),
    expenses=Guess.known("expenses", 65),
)


def test_shares_stand_beside_what_driving_alone_would_cost():
    wood = WoodCost(cash=Decimal(32), hours=Fraction("5.45"))
    load = margins_of_load(
        (
            Sale(order="A", price=Decimal(100), cords=Fraction(1, 3), wood=wood),
            Sale(order="B", price=Decimal(242), cords=Fraction(2, 3), wood=wood, is_stacked=True),
        ),
        shares=split_load(marrow_and_larch(), rates=RATES, rule=RULE),
        rule=RULE,
    )

    chart = shares_chart(load.shares, key="h")

    assert [(row[0], row[1]) for row in chart.table.rows] == [
        ("A pays", "3.15"), ("A alone", "5.32"), ("B pays", "25.13"), ("B alone", "27.30"),
    ]  # fmt: skip
    assert chart.finding == "Together $28.28; riding together saves $4.35."


def test_one_order_alone_saves_nothing_by_riding_together():
    roads = marrow_and_larch()
    only_one = replace(roads, orders=("A",), out=roads.out[:1], between=((NOWHERE,),), back=roads.back[:1])

    chart = shares_chart(split_load(only_one, rates=RATES, rule=RULE), key="h")

    assert chart.finding == "One order pays the whole drive, $5.32."


def test_months_say_their_best_and_worst():
    chart = months_chart(worth_by(SEASON, "month"), key="o")

    assert ("Nov", "1026.00") in chart.table.rows
    assert "worst Apr, −\u2060$33" in chart.finding


def test_a_month_that_is_none_is_refused():
    with pytest.raises(BadDrawing, match="no month"):
        months_chart(worth_by(SEASON, "market"), key="o")


def test_the_strongest_guess_stands_on_top():
    chart = swings_chart(swings(GUESSES), key="s", likely=wage_range(GUESSES).likely)

    assert [row[0] for row in chart.table.rows] == ["rounds", "revenue", "split"]
    assert chart.finding == "Rounds moves it most: measure that next."


def test_near_stands_beside_far_line_by_line():
    answer = haul_or_not(
        side_of(coast(375), RULE), kept_instead(Decimal(150), Fraction(1)), target_wage=Decimal(25)
    )

    chart = near_far_chart(answer, key="n")

    assert [row[0] for row in chart.table.rows][:2] == ["Near: price", "Far: price"]
    assert len(chart.table.rows) == 6
