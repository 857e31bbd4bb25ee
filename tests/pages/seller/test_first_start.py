"""A new seller with empty books: what the first morning asks, on pages alone."""

from datetime import date

import pytest
from django.contrib.auth.models import Group
from django.core.files.uploadedfile import SimpleUploadedFile

from orders.models import Market, PriceSheet
from orders.selectors.prices import price_table, sheet_in_force
from tests.pages.seller.test_price_sheet import sheet_form

A_DAY = date(2026, 9, 18)


@pytest.mark.django_db
def test_who_may_do_what_is_there_from_the_first_start():
    assert {"sellers", "drivers"} <= set(Group.objects.values_list("name", flat=True))


def test_a_sheet_that_prices_nothing_is_refused_with_a_sentence(seller_client):
    Market.objects.create(key="near", name="Local", minimum_cords="1/3")
    answer = seller_client.post("/seller/set-up/prices/new", sheet_form(**{"price-near-fir-seasoned": ""}))

    assert answer.status_code == 422
    assert "Write at least one price a cord" in answer.content.decode()
    assert not PriceSheet.objects.exists()


def test_empty_books_say_what_comes_first(seller_client, db):
    """A price sheet without towns had nothing to fill in; no customers at all were "nobody by that name"."""
    assert (
        '/seller/set-up?part=town#town">name the towns'
        in seller_client.get("/seller/set-up/prices/new").content.decode()
    )
    assert "Customers show up here" in seller_client.get("/seller/customers").content.decode()
    assert "Nobody here by that name" in seller_client.get("/seller/customers?q=Ada").content.decode()


def test_empty_books_offer_no_form_that_can_not_be_answered(seller_client, db):
    """The quote asked for a town and a wood there were none of; the bank's page had nothing to tick off."""
    quote = seller_client.get("/seller/quote").content.decode()
    assert 'id="asking"' not in quote
    assert [row.what for row in seller_client.get("/seller/quote").context["blocking"]] == [
        "Add a yard",
        "Name the towns you sell to",
        "Set a price",
        "Open the first lot",
    ]
    assert "/seller/log?wood=new" in quote

    came_in = SimpleUploadedFile("bank.csv", b"Date,Description,Amount\n2026-09-16,TRANSFER SOOL,120.00\n")
    bank = seller_client.post("/seller/money/bank", {"file": came_in}).content.decode()
    assert "None of these lines is for an order that still owes." in bank
    assert 'value="record"' not in bank

    assert "all who bought before" not in seller_client.get("/seller/customers?only=call").content.decode()
    assert "Nobody owes anything." in seller_client.get("/seller/money").content.decode()


def test_one_price_a_cord_is_enough_to_begin(seller_client):
    Market.objects.create(key="near", name="Local", minimum_cords="1/3")
    page = seller_client.get("/seller/set-up/prices/new").context["form"]
    filled = {name: page.get_initial_for_field(field, name) for name, field in page.fields.items()}
    asked = [name for name, field in page.fields.items() if field.required and filled[name] in (None, "")]
    assert asked == []

    typed = {name: value for name, value in filled.items() if value is not None and value is not False}
    others = {name: "" for name in typed if name.startswith("price-near-")}  # filled in from hours and costs
    prices = {**others, "price-near-fir-seasoned": "300"}
    seller_client.post("/seller/set-up/prices/new", {**typed, **prices})

    prices = price_table(sheet_in_force(A_DAY).sheet)
    assert [row.dollars for row in prices] == [300]
    assert {str(row.cords): row.dollars for row in prices[0].amounts} == {
        "1": 300, "3/4": 235, "2/3": 210, "1/2": 165, "1/3": 115,
    }  # fmt: skip


def test_a_market_with_a_hyphen_in_its_key_is_priced(seller_client):
    Market.objects.create(key="up-the-valley", name="Up the valley", minimum_cords="1/2")
    form = sheet_form(**{"price-near-fir-seasoned": "", "price-up-the-valley-fir-seasoned": "280"})

    assert seller_client.post("/seller/set-up/prices/new", form).status_code == 302
    assert PriceSheet.objects.get().wood_prices.get().market.key == "up-the-valley"
