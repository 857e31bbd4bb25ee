"""Lists stay quick however long the books get: the same few queries for three orders or three hundred."""

from datetime import date
from decimal import Decimal

import pytest

from orders.selectors.customers import customer_view, customers
from orders.selectors.money import owed
from orders.selectors.orders import orders_list
from orders.selectors.prices import nearest_town, price_table, sheet_in_force, sheets, towns
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [3, 60])
def test_the_list_of_orders_takes_three_queries_however_many(count, django_assert_max_num_queries):
    for _order in range(count):
        make_order()

    with django_assert_max_num_queries(4):
        page = orders_list(open_only=True)

    assert page.found == count
    assert len(page.rows) == min(count, 50)


@pytest.mark.parametrize("count", [2, 40])
def test_the_list_of_customers_takes_two_queries(count, django_assert_max_num_queries):
    for number in range(count):
        make_customer(f"Buyer {number}")

    with django_assert_max_num_queries(2):
        assert customers().found == count


def test_a_place_of_two_orders_is_listed_once():
    buyer = make_customer()
    for is_confirmed in (True, False):
        make_place(buyer, address="19 Mill Street", is_confirmed=is_confirmed)
    gated = make_place(buyer, address="19 Mill Street", gate_code="1234")

    places = customer_view(buyer.pk).places

    assert [(place.address, place.gate_code) for place in places] == [
        ("19 Mill Street", "1234"),
        ("19 Mill Street", ""),
    ]
    assert places[0].id == gated.pk


@pytest.mark.parametrize("count", [2, 30])
def test_the_money_owed_takes_two_queries(count, django_assert_max_num_queries):
    for _order in range(count):
        make_order(state="delivered", delivered_on=date(2026, 9, 1))

    with django_assert_max_num_queries(2):
        assert len(owed(date(2026, 9, 18))) == count


def test_a_day_shows_orders_promised_for_it_and_those_it_suits():
    promised = make_order(state="planned", promised_on=date(2026, 9, 25))
    suits = make_order(first_on=date(2026, 9, 20), last_on=date(2026, 9, 30))
    make_order(first_on=date(2026, 9, 18), last_on=date(2026, 9, 19))

    page = orders_list(day=date(2026, 9, 25))

    assert {row.number for row in page.rows} == {promised.number, suits.number}


def test_the_newest_sheet_that_is_not_in_the_future_holds():
    make_sheet(date(2026, 1, 1), per_mile=Decimal(2))
    make_sheet(date(2026, 8, 1))
    make_sheet(date(2026, 12, 1), per_mile=Decimal(9))

    found = sheet_in_force(date(2026, 9, 18))

    assert found.sheet.per_mile == Decimal("2.75")
    assert found.sheet.ends_on == date(2026, 11, 30)
    assert [row.is_in_force for row in sheets(date(2026, 9, 18))] == [False, True, False]


def test_the_table_rounds_as_the_examples_do():
    make_sheet()
    table = {
        (row.market, row.wood): {str(price.cords): price.dollars for price in row.amounts}
        for row in price_table(sheet_in_force(date(2026, 9, 18)).sheet)
        if row.dryness == "seasoned"
    }

    assert table["near", "fir"]["2/3"] == Decimal("180.00")
    assert table["near", "hardwood"]["1/2"] == Decimal("195.00")
    assert table["far", "hardwood"]["1/2"] == Decimal("295.00")
    assert "1/3" not in table["far", "fir"]  # below the coast's minimum


def test_a_pin_belongs_to_the_nearest_town():
    for name in ("Marrow Bridge", "Larch Prairie"):
        make_town(name)

    assert nearest_town(43.81, -150.15, among=towns()).name == "Larch Prairie"
