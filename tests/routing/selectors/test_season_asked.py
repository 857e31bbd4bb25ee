"""What the season planner is asked: closures by the hour, slash with a day, an end and demand as typed."""

from datetime import date, time
from decimal import Decimal

import pytest

from routing.models import SeasonGuesses, Shut
from routing.season.problem import Step
from routing.selectors.season.drying import lot_choices
from routing.selectors.season.periods import WEEKS_A_MONTH, period_starts
from routing.selectors.season.season_problem import season_asked
from routing.selectors.season.work import QUARTERS
from tests.conftest import A_DAY
from tests.factories.inventory import make_lot, make_unit, make_yard
from tests.factories.orders import make_market, make_order, make_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def books(business):
    make_yard()
    make_sheet()


def closed(kind="saw", **changes):
    values = {"from_on": A_DAY, "to_on": date(2026, 9, 24), "reason": "Fire danger"}
    return Shut.objects.create(kind=kind, **values | changes)


def fell_shares():
    return season_asked(A_DAY).season.allowed[Step.FELL]


def test_no_saws_from_one_to_eight_leaves_half_a_days_work(books):
    closed(from_time=time(13), to_time=time(20))

    assert fell_shares()[:2] == (0.5, 1.0)


def test_hours_closed_twice_are_closed_once(books):
    closed(from_time=time(13), to_time=time(16))
    closed(from_time=time(15), to_time=time(19))
    closed(from_time=time(20), to_time=time(23))  # nobody fells then

    assert fell_shares()[0] == 0.5


def test_a_day_closed_as_a_whole_is_closed_whatever_its_hours(books):
    closed(to_on=A_DAY)
    closed(to_on=A_DAY, from_time=time(13), to_time=time(20))

    assert fell_shares()[0] == pytest.approx(6 / 7)


def test_slash_that_lies_has_to_be_gone_by_the_day_that_was_typed(books):
    unit = make_unit(
        name="Knob", acres=Decimal("1.5"), started_on=date(2026, 2, 2), slash_by=date(2026, 11, 15),
        cost_share_dollars=Decimal(600),
    )  # fmt: skip

    (knob,) = season_asked(A_DAY).season.grounds
    assert (knob.acres, knob.slash_left, knob.slash_by, knob.cost_share) == (0.0, 1.5, 5, 400.0)
    assert knob.slash_hours == 8  # nothing logged: the guess of handling.toml

    unit.slash_done_on = A_DAY
    unit.save()

    assert season_asked(A_DAY).season.grounds == ()


def test_ground_half_thinned_owes_the_slash_of_that_half(books):
    make_unit(acres=Decimal(3), acres_left=Decimal(2), started_on=A_DAY, slash_by=date(2026, 12, 1))

    (ground,) = season_asked(A_DAY).season.grounds

    assert (ground.acres, ground.slash_left) == (2.0, 1.0)


@pytest.mark.parametrize(
    ("month", "last"),
    [(None, date(2027, 8, 20)), (4, date(2027, 4, 30)), (10, date(2027, 8, 20)), (11, date(2026, 11, 13))],
)
def test_a_season_ends_with_the_month_that_was_chosen(month, last):
    """The last period begins in that month; eight weeks at least, so October is next year's."""
    assert period_starts(A_DAY, until_month=month)[-1] == last


def test_a_shorter_season_is_asked_as_one(books):
    SeasonGuesses.objects.create(until_month=12, fall_hours=8, winter_hours=7, spring_hours=6, summer_hours=6)

    asked = season_asked(A_DAY)

    assert len(asked.starts) == asked.season.periods
    assert sum(asked.season.lengths) == 16
    assert all(len(market.trips) in (0, asked.season.periods) for market in asked.season.markets)


def test_cords_that_were_typed_stand_before_last_years(books):
    before = season_asked(A_DAY).season
    assert sum(sum(row) for market in before.markets for row in market.demand.values()) == 0

    SeasonGuesses.objects.create(near_cords_a_month=Decimal(2))
    near = next(market for market in season_asked(A_DAY).season.markets if market.key == "near")

    assert sum(sum(row) for row in near.demand.values()) == pytest.approx(24, abs=0.1)


def test_demand_is_what_each_market_bought_of_each_wood_and_no_logs(books):
    """Sold in January: three cords of fir near, one of hardwood far, one of logs, not planned."""
    for wood, market, cords in (("fir", "near", 3), ("hardwood", "far", 1), ("logs", "near", 1)):
        make_order(
            state="delivered", delivered_on=date(2026, 1, 9), asked_on=date(2026, 1, 2), cords=cords,
            wood=wood, dryness="seasoned", market=make_market(market),
        )  # fmt: skip

    asked = season_asked(A_DAY)

    sold = {
        (market.key, *wood): sum(weeks)
        for market in asked.season.markets
        for wood, weeks in market.demand.items()
        if sum(weeks)
    }
    four_weeks = 4 / WEEKS_A_MONTH
    assert sold == {
        ("near", "fir", "seasoned"): pytest.approx(3 * four_weeks),
        ("far", "hardwood", "seasoned"): pytest.approx(1 * four_weeks),
    }


def test_an_order_picked_up_at_the_yard_asks_for_no_drive(books):
    for how in ("pick_up", "delivered"):
        make_order(state="confirmed", cords=1, how=how, last_on=A_DAY)

    assert sorted(promise.is_pick_up for promise in season_asked(A_DAY).season.promises) == [False, True]


@pytest.mark.parametrize("a_month", [0, 1, 2, 9])
def test_far_trips_are_no_more_a_month_than_were_typed(books, a_month):
    SeasonGuesses.objects.create(far_trips_a_month=a_month)

    far = next(market for market in season_asked(A_DAY).season.markets if market.key == "far")

    assert sum(far.trips[:4]) == a_month  # four single weeks
    assert all(trips <= a_month for trips in far.trips)
    assert sum(far.trips) == 12 * a_month
    assert far.trips[0] >= min(a_month, 1)  # the first may go this week


def test_wood_counts_as_dry_no_sooner_than_as_sure_as_the_seller_wants(books):
    """Also where that is more than nine in ten."""
    lot = make_lot(code="K6", split_on=A_DAY, drying_from=A_DAY)
    starts = period_starts(A_DAY)

    sure, surer = (
        {c.key: c.ready for c in lot_choices(lot, on=A_DAY, starts=starts, chance=chance)}["leave"]
        for chance in (0.9, 0.99)
    )

    assert surer[1] >= sure[1] == sure[2]
    assert surer[1] == surer[2]


def test_typed_cords_follow_the_months_of_last_year(books):
    make_order(state="delivered", delivered_on=date(2026, 1, 9), asked_on=date(2026, 1, 2), cords=1)
    SeasonGuesses.objects.create(near_cords_a_month=Decimal(2))

    asked = season_asked(A_DAY)
    near = next(market for market in asked.season.markets if market.key == "near")

    by_start = dict(zip(asked.starts, next(row for row in near.demand.values() if any(row)), strict=True))
    assert {start.month for start, cords in by_start.items() if cords} == {1}
    assert "2 cords a month over the year, as you typed" in dict(asked.rests_on)["Demand (near)"]


def test_a_quarter_without_a_helper_is_no_hours_of_theirs(books):
    hours = {f"{who}{quarter}_hours": Decimal(8) for who in ("", "helper_") for quarter in QUARTERS}
    SeasonGuesses.objects.create(**{**hours, "helper_fall_hours": None})

    you, helper = season_asked(A_DAY).season.people

    assert max(you.hours) > 0
    assert (min(helper.hours), max(helper.hours) > 0) == (0, True)
