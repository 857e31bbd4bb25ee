"""The demo season and worked example 7, the acre sheet."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.earned.acre import BadAcre, Thinning, acre_sheet
from routing.earned.worth import Earned, UnknownGrouping, season_of, worth_by, worth_of

MONTHS = (
    # month, cords, revenue, miles, delivery hours, yard and woods hours, cash out
    (date(2025, 10, 1), "5.50", 1540, 118, "13.0", 12, 212),
    (date(2025, 11, 1), "4.00", 1340, 231, "14.0", 8, 314),
    (date(2025, 12, 1), "3.25", 945, 84, "8.0", 6, 139),
    (date(2026, 1, 1), "2.50", 735, 66, "6.5", 10, 131),
    (date(2026, 2, 1), "1.50", 430, 41, "4.0", 24, 204),
    (date(2026, 3, 1), "1.00", 260, 22, "2.5", 31, 236),
    (date(2026, 4, 1), "0.50", 115, 12, "1.5", 18, 148),
    (date(2026, 5, 1), "1.50", 320, 38, "4.0", 26, 187),
    (date(2026, 6, 1), "2.00", 415, 45, "5.0", 14, 121),
    (date(2026, 7, 1), "1.00", 270, 24, "2.5", 5, 64),
    (date(2026, 8, 1), "3.00", 815, 71, "7.5", 6, 118),
    (date(2026, 9, 17), "3.75", 1075, 92, "9.5", 5, 109),
)
SEASON = tuple(
    Earned(
        on=on,
        cords=Fraction(cords),
        revenue=Decimal(revenue),
        miles=Decimal(miles),
        delivery_hours=Fraction(delivery),
        yard_hours=Fraction(yard),
        cash_out=Decimal(cash),
    )
    for on, cords, revenue, miles, delivery, yard, cash in MONTHS
)
KNOB = Thinning(
    name="Knob",
    acres=Fraction("1.5"),
    wood_revenue=Decimal(2520),
    hours=Fraction("82.65"),
    cash=Decimal(459),
    saw_logs=Decimal(180),
    cost_share=Decimal(600),
    slash_hours=Fraction(20),
    hire_per_acre=Decimal(530),
)
TARGET = Decimal(25)


def test_the_season_adds_up_to_its_printed_totals():
    (season,) = worth_by(SEASON, "season")

    assert season.name == "2025-26"
    assert season.cords == Fraction("29.50")
    assert season.revenue == 8260
    assert season.miles == 844
    assert (season.delivery_hours, season.yard_hours) == (78, 165)
    assert season.cash_out == 1983


def test_the_season_nets_its_printed_wage():
    season = worth_of(SEASON)

    assert season.net == 6277
    assert season.hours == 243
    assert season.per_hour == Decimal("25.83")
    assert season.per_cord == Decimal("280.00")


def test_months_come_in_order_and_add_up_to_the_season():
    months = worth_by(SEASON, "month")

    assert [month.name for month in months][:2] == ["2025-10", "2025-11"]
    assert sum(month.net for month in months) == worth_of(SEASON).net


def test_a_month_without_hours_has_no_wage_rather_than_a_zero():
    entry = worth_of((Earned(on=date(2026, 1, 1), revenue=Decimal(100)),))

    assert entry.per_hour is None
    assert entry.per_cord is None


def test_a_season_runs_from_october_to_september():
    assert season_of(date(2026, 9, 30)) == "2025-26"
    assert season_of(date(2026, 10, 1)) == "2026-27"
    assert season_of(date(2099, 12, 1)) == "2099-00"


def test_an_unknown_grouping_names_those_that_are_known():
    with pytest.raises(UnknownGrouping, match="order, load, run, market"):
        worth_by(SEASON, "moon")


@given(
    st.lists(
        st.builds(
            Earned,
            on=st.dates(date(2020, 1, 1), date(2030, 1, 1)),
            revenue=st.decimals(0, 999, places=2),
            cash_out=st.decimals(0, 999, places=2),
            market=st.sampled_from(("near", "far", "")),
            yard_hours=st.fractions(0, 20, max_denominator=4),
        )
    ),
    st.sampled_from(("market", "month", "season", "order")),
)
def test_no_grouping_loses_a_cent_or_an_hour(entries, grouping):
    grouped = worth_by(entries, grouping)

    assert sum(part.net for part in grouped) == worth_of(entries).net
    assert sum(part.hours for part in grouped) == worth_of(entries).hours


def test_the_acres_stand_without_cost_share():
    line = acre_sheet(KNOB, target_wage=TARGET).line(with_cost_share=False)

    assert line.net == 2241
    assert line.net_per_acre == 1494
    assert line.per_hour == Decimal("27.11")
    assert line.left_after_wages == Decimal("174.75")


def test_the_acres_stand_with_cost_share():
    line = acre_sheet(KNOB, target_wage=TARGET).line(with_cost_share=True)

    assert line.net == 2841
    assert line.net_per_acre == 1894
    assert line.per_hour == Decimal("34.37")
    assert line.left_after_wages == Decimal("774.75")


def test_leaving_the_slash_out_leaves_its_hours_out():
    line = acre_sheet(KNOB, target_wage=TARGET).line(with_cost_share=False, with_slash=False)

    assert line.hours == Fraction("62.65")
    assert line.left_after_wages == Decimal("674.75")  # twenty hours at 25 more


def test_doing_it_is_set_against_hiring_it_out():
    """At 530 an acre (mastication, northern Idaho 2005, Halbrook and others) 1.5 acres cost 795 less 600."""
    sheet = acre_sheet(KNOB, target_wage=TARGET)

    assert sheet.hired_net == Decimal("-195.00")
    assert sheet.better_than_hired == Decimal("969.75")


def test_the_verdict_is_one_sentence_with_whole_dollars():
    assert acre_sheet(KNOB, target_wage=TARGET).verdict == "The wood paid for the thinning and left $175."


def test_a_dearer_hour_leans_on_the_cost_share_and_says_so():
    verdict = acre_sheet(KNOB, target_wage=Decimal(30)).verdict

    assert verdict == "With the cost-share the wood paid for the thinning and left $362."  # 2841 - 2479.50


def test_a_dear_hour_says_how_far_short_the_wood_fell():
    verdict = acre_sheet(KNOB, target_wage=Decimal(40)).verdict

    assert "fell $465 short of your wage, $310 an acre, cost-share included" in verdict


def test_slash_hours_beyond_all_hours_are_refused():
    with pytest.raises(BadAcre, match="slash of Knob"):
        Thinning(
            name="Knob",
            acres=Fraction(1),
            wood_revenue=Decimal(0),
            hours=Fraction(10),
            cash=Decimal(0),
            slash_hours=Fraction(11),
        )
