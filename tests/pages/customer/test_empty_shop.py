"""The shop before anything is in its books, and before any town is."""

import pytest

from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet

pytestmark = pytest.mark.django_db


def test_empty_books_ask_for_no_town_and_name_no_telephone(client):
    for path in ("/", "/price", "/how-much"):
        page = client.get(path).content.decode()

        assert "Nothing is for sale just now." in page
        assert "Tap your town" not in page
        assert "Call us" not in page


def test_without_wood_the_shop_says_whom_to_call(client, business):
    business.phone = "5415550142"
    business.save()

    assert "Call us at (541) 555-0142" in client.get("/").content.decode()


def test_without_towns_the_first_page_asks_for_the_address_and_says_what_the_drive_costs(client, business):
    lot = make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard"))
    make_reading(lot)
    make_sheet()

    page = client.get("/").content.decode()

    assert "Tell us your address to see your price, delivery included." in page
    assert "Prices below don’t include delivery" in page
    assert "town" not in page.partition("<main")[2].partition("What we have")[0]
