"""The first page: every price is the price at the visitor's door."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest

from orders.models import Quote
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    """Six cords of dry fir at the county road, today's prices, two near towns and a far one."""
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    for name, market in (("Marrow Bridge", "near"), ("Larch Prairie", "near"), ("Sandhook", "far")):
        make_town(name, market=market)


def at_the_door(page):
    """The prices on the first page's tiles, by amount, of its first wood."""
    tiles = re.search(r'<ul class="price-list".*?</ul>', page, re.S)[0]
    return dict(re.findall(r"<span>([^<]+)</span> <b>\$([\d.]+)</b>", tiles))


def test_a_tapped_town_makes_every_price_on_the_first_page_the_price_at_that_door(client, shop):
    before = client.get("/").content.decode()
    town = make_town("Larch Prairie")

    page = client.get(f"/?town={town.pk}").content.decode()

    assert "the prices below are without the drive" in before
    assert "drive from $" in before  # said for each town before anybody taps
    tiles = at_the_door(page)
    assert tiles["1/2 cord"] != at_the_door(before)["1/2 cord"]
    form = {"choice": "fir:seasoned", "amount": "1/2", "town": town.pk, "laid": "drop", "how": "delivered"}
    client.post("/price", form)
    assert Quote.objects.get().total_dollars == Decimal(tiles["1/2 cord"])


def test_the_phone_remembers_the_town_and_nothing_else(client, shop):
    town = make_town("Larch Prairie")
    client.get(f"/?town={town.pk}")

    assert "Delivered to Larch Prairie" in client.get("/").content.decode()
    form = client.get("/price").content.decode()
    assert f'<option value="{town.pk}" selected' in form
    assert "delivered to Larch Prairie" in form  # with its total, before anything is tapped
    assert set(client.cookies) <= {"town", "csrftoken"}


def test_a_town_that_is_served_no_more_is_forgotten(client, shop):
    assert client.get("/?town=99999").status_code == client.get("/?town=nowhere").status_code == 200
    assert "What we have" in client.get("/").content.decode()


def test_the_far_town_says_how_its_shared_load_stands(client, shop):
    page = client.get(f"/?town={make_town('Sandhook', market='far').pk}").content.decode()

    assert "A shared load to Sandhook" in page
    assert "Your order starts the next load" in page
    assert at_the_door(page)["1 cord"] == "375"
    assert "1/3 cord" not in at_the_door(page)  # less than is brought there


def test_fetched_at_the_yard_has_its_own_prices(client, shop):
    page = client.get("/?town=pickup").content.decode()

    assert at_the_door(page)["1 cord"] == "255"  # no drive for us


def test_a_wood_of_which_too_little_is_left_for_the_far_town_says_so(client, shop):
    make_reading(make_lot(code="K3", cords=Fraction(2, 5), wood="hardwood", mix={"oak": 100}))

    page = client.get(f"/?town={make_town('Sandhook', market='far').pk}").content.decode()

    assert "We bring it to Sandhook from 1/2 cord on: 0.40 cord for sale." in page
    assert "We do not bring this one to Sandhook" not in page
