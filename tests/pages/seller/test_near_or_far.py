"""Near or far, and the far orders that wait for a trip: typed figures, the books' own, and refusals."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from orders.models import Order
from routing.planner.plan import RunPlan
from routing.planner.problem import COST_UNITS_PER_CENT
from routing.services.pools import Trip, TripLoad, TripRun
from tests.factories.orders import make_customer, make_order, make_place

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
HIRED = {"hire": "95", "hired_loaded": ".95", "hired_empty": ".75"}
FAR_AND_NEAR = [  # what is typed; the gain, dollars an extra hour or minutes saved, and what to do
    ({"wood": "fir", "cords": "1"}, ("$18.12", "$5.41", "Sell it here.")),
    ({"wood": "fir", "cords": "1/2", "drops": "2"}, ("$22.74", "$6.72", "Sell it here.")),
    ({"wood": "hardwood", "cords": "1/2", "drops": "2"}, ("$102.74", "$30.37", "Haul it.")),
    ({"wood": "fir", "cords": "1", "anyway": "on"}, ("$113.02", "16 min", "Haul it.")),
    ({"wood": "fir", "cords": "1", "drops": "2", **HIRED}, ("$19.16", "$6.32", "Sell it here.")),
    ({"wood": "hardwood", "cords": "1", "drops": "2", **HIRED}, ("$169.16", "$55.77", "Haul it.")),
]


def test_haul_or_not_opens_with_the_books_figures(seller_client, far_market):
    text = seller_client.get(reverse("haul")).content.decode()

    assert "Sell it here." in text
    assert "$115.00" in text
    assert "Pests travel in wood" in text


@pytest.mark.parametrize(("typed_in", "printed"), FAR_AND_NEAR)
def test_haul_answers_every_row_of_the_worked_example_as_typed(seller_client, far_market, typed_in, printed):
    road = {"miles": "73", "minutes_out": "112", "minutes_back": "105"}

    text = seller_client.get(reverse("haul"), {**typed_in, **road}, headers=HTMX).content.decode()

    assert text.strip().startswith('<div id="answer"')
    for words in printed:
        assert words in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"cords": "a truckload"}, "has no fixed size"),
        ({"miles": "73"}, "Give miles and minutes both"),
        ({"wood": "cedar"}, "Select a valid choice"),
    ],
)
def test_haul_refuses_nonsense_with_a_sentence(seller_client, far_market, asked, said):
    answer = seller_client.get(reverse("haul"), asked)

    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_going_anyway_turns_the_answer(seller_client, far_market):
    assert "Haul it." in seller_client.get(reverse("haul"), {"anyway": "on"}).content.decode()


def test_the_pool_says_who_waits_and_until_when(seller_client, far_market):
    who = make_customer("Ida Crewe")
    make_order(
        number=205, customer=who, place=make_place(who, town="Sandhook"), wood="hardwood",
        cords=Fraction(1, 2), total_dollars=Decimal(295), is_pool=True, waits_until=date(2026, 10, 10),
        state=Order.State.CONFIRMED,
    )  # fmt: skip

    text = seller_client.get(reverse("pool")).content.decode()
    part = seller_client.get(reverse("pool"), {"anyway": "1"}, headers=HTMX).content.decode()

    assert "205 Ida Crewe" in text
    assert "22 days left" in text
    assert part.strip().startswith('<div id="answer"')
    assert "Go:" in part


def test_a_gain_figured_with_another_rig_than_the_trip_drives_says_so(seller_client, far_market, monkeypatch):
    who = make_customer("Ida Crewe")
    make_order(
        number=205, customer=who, place=make_place(who, town="Sandhook"), wood="hardwood",
        state=Order.State.CONFIRMED,
        cords=Fraction(1, 2), total_dollars=Decimal(295), is_pool=True, waits_until=date(2026, 10, 10),
    )  # fmt: skip
    load = TripLoad(fills=(("Siding Yard", (205,)),), numbers=(205,))
    run = TripRun(
        rig="Borrowed trailer", loads=(load,),
        plan=RunPlan(
            id="1", loads=(), leave_s=7 * 3600, home_s=13 * 3600, loaded_m=135_000, empty_m=135_000,
            cost_units=26_000 * COST_UNITS_PER_CENT,
        ),
    )  # fmt: skip
    trip = Trip(numbers=(205,), days=(date(2026, 9, 21),), on=date(2026, 9, 21), runs=(run,))
    monkeypatch.setattr("firewood_site.seller.views.pool.trip_of", lambda numbers, today: trip)

    text = seller_client.get(reverse("pool"), {"anyway": "1"}).content.decode()

    assert "the planner drives them for less with Borrowed trailer" in text


def test_a_pool_without_prices_says_what_is_missing(seller_client):
    who = make_customer("Ida Crewe")
    make_order(customer=who, place=make_place(who, town="Sandhook"), is_pool=True)

    assert "There is no price sheet yet" in seller_client.get(reverse("pool")).content.decode()


@pytest.mark.parametrize("field", ["far_revenue", "near_revenue", "keeping", "hire", "hired_loaded", "miles"])
@pytest.mark.parametrize("typed", ["1e400", "999999999999", "abc", "-1"])
def test_an_absurd_figure_of_a_haul_is_named_and_refused(seller_client, far_market, field, typed):
    answer = seller_client.get(reverse("haul"), {field: typed}, headers=HTMX)

    assert answer.status_code == 422
    assert '<p class="note bad"><b>' in answer.text


@pytest.mark.parametrize("typed", ["0", "none", "a heap"])
def test_a_haul_of_no_wood_is_refused(seller_client, far_market, typed):
    answer = seller_client.get(reverse("haul"), {"cords": typed}, headers=HTMX)

    assert answer.status_code == 422
    assert "<b>Cords a drop</b>" in answer.text


def test_near_or_far_says_that_it_does_not_ask_about_orders_that_wait(seller_client, far_market):
    page = seller_client.get(reverse("haul")).content.decode()

    assert "nobody has ordered yet, on a trip of its own" in page
    assert "Far orders</a> says who rides, and when" in page
