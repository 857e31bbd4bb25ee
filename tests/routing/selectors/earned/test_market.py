"""Haul or not, from price sheet, towns, yards and rigs: job example 4 to the cent."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from orders.core.pricing import BelowMinimum, PriceMissing
from routing.core.roads import NoRoad
from routing.selectors.earned.market import HaulAsk, haul_view
from routing.selectors.earned.market_choices import NothingToCompare, market_choices
from tests.factories.inventory import make_yard
from tests.factories.orders import make_sheet, make_town
from tests.factories.routing import make_rig
from tests.routing.selectors.earned.earned_roads import drive_by

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)
NEAR = {("siding", "marrow"): ("3.8", 8)}
ONE, HALF = Fraction(1), Fraction(1, 2)
ROAD = {"miles": Decimal(73), "minutes_out": Decimal(112), "minutes_back": Decimal(105)}
HIRED = {
    "hire": Decimal(95), "hired_loaded_mile": Decimal("0.95"), "hired_empty_mile": Decimal("0.75"),
}  # fmt: skip


@pytest.fixture
def books(business, monkeypatch):
    """Prices, towns, a yard and a rig of the invented seller; the near road from the table of the job."""
    drive_by(monkeypatch, NEAR)
    make_sheet()
    make_town(hop_miles=Decimal("2.0"))
    make_town("Sandhook", market="far", hop_miles=Decimal("2.5"))
    make_rig(home_yard=make_yard(name="Siding Yard"))


FIR, HALVES = {"wood": "fir", "cords": ONE}, {"wood": "fir", "cords": HALF, "drops": 2}
HARD_HALVES = {"wood": "hardwood", "cords": HALF, "drops": 2}
TWO_FIR = {"wood": "fir", "cords": ONE, "drops": 2, **HIRED}
TWO_HARD = {"wood": "hardwood", "cords": ONE, "drops": 2, **HIRED}
ANYWAY = {**FIR, "is_going_anyway": True}
EXAMPLE_4 = {  # what is asked; far and near revenue, cost, minutes; gain, dollars an extra hour, verdict
    "fir": (FIR, ("375", "102.20", 303), ("260", "5.32", 102), "18.12", "5.41", False),
    "fir halves": (HALVES, ("410", "104.08", 320), ("290", "6.82", 117), "22.74", "6.72", False),
    "hard halves": (HARD_HALVES, ("590", "104.08", 320), ("390", "6.82", 117), "102.74", "30.37", True),
    "anyway": (ANYWAY, ("375", "7.30", 86), ("260", "5.32", 102), "113.02", None, True),
    "fir, hired": (TWO_FIR, ("750", "221.48", 386), ("520", "10.64", 204), "19.16", "6.32", False),
    "hard, hired": (TWO_HARD, ("1080", "221.48", 386), ("700", "10.64", 204), "169.16", "55.77", True),
}


@pytest.mark.parametrize(
    ("ask", "far", "near", "gain", "per_hour", "worth_it"), EXAMPLE_4.values(), ids=EXAMPLE_4
)
def test_every_row_of_the_worked_example_is_met(books, ask, far, near, gain, per_hour, worth_it):
    answer = haul_view(HaulAsk(**ask, **ROAD), on=ON).answer

    assert (answer.far.revenue, answer.far.cost, answer.far.minutes) == (
        Decimal(far[0]),
        Decimal(far[1]),
        far[2],
    )
    assert (answer.near.revenue, answer.near.cost, answer.near.minutes) == (
        Decimal(near[0]),
        Decimal(near[1]),
        near[2],
    )
    assert answer.gain == Decimal(gain)
    assert answer.per_extra_hour == (None if per_hour is None else Decimal(per_hour))
    assert answer.is_worth_it is worth_it


def test_the_premium_needed_and_where_it_breaks_even(books):
    view = haul_view(HaulAsk(wood="fir", cords=ONE, **ROAD), on=ON)

    assert view.answer.needed_premium == Decimal("180.63")
    assert view.premium == 115
    assert round(float(view.break_even_miles), 1) == 48.1


def test_wood_that_would_not_sell_here_is_set_against_keeping_it(books):
    view = haul_view(
        HaulAsk(wood="fir", cords=ONE, would_sell_here=False, keeping_is_worth=Decimal(150), **ROAD), on=ON
    )

    assert (view.answer.near.revenue, view.answer.near.cost, view.answer.near.minutes) == (150, 0, 0)


def test_the_roads_answer_when_nothing_is_typed(books, monkeypatch):
    drive_by(monkeypatch, {**NEAR, ("siding", "sandhook"): ("73.0", 105)})

    view = haul_view(HaulAsk(wood="fir", cords=ONE), on=ON)

    assert round(float(view.far_out.miles), 2) == 73.0
    assert not view.is_typed_road


def test_a_town_no_road_leads_to_is_named(books):
    with pytest.raises(NoRoad, match="Siding Yard to Sandhook"):
        haul_view(HaulAsk(wood="fir", cords=ONE), on=ON)


def test_own_prices_replace_the_sheet(books):
    view = haul_view(
        HaulAsk(wood="fir", cords=ONE, far_revenue=Decimal(441), near_revenue=Decimal(260), **ROAD), on=ON
    )

    assert view.premium == 181
    assert view.answer.is_worth_it


def test_wood_without_a_price_is_refused_with_its_name(books):
    with pytest.raises((PriceMissing, BelowMinimum), match="cedar"):
        haul_view(HaulAsk(wood="cedar", cords=ONE, **ROAD), on=ON)


def test_empty_books_say_what_is_missing_first(business):
    with pytest.raises(NothingToCompare, match="no price sheet"):
        market_choices(ON)
    make_sheet()
    with pytest.raises(NothingToCompare, match="no far town"):
        market_choices(ON)
    make_town("Sandhook", market="far")
    with pytest.raises(NothingToCompare, match="no near town"):
        market_choices(ON)
    make_town()
    with pytest.raises(NothingToCompare, match="no yard"):
        market_choices(ON)
    make_yard()
    with pytest.raises(NothingToCompare, match="no rig"):
        market_choices(ON)


def test_the_nearest_near_town_comes_first(books):
    make_town("Fennick")

    assert [town.name for town in market_choices(ON).near_towns] == ["Marrow Bridge", "Fennick"]
