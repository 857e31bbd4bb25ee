"""The first page: what wood costs at a door, told to somebody who has never bought a cord."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from orders.models import Order, Quote
from tests.factories.inventory import make_lot, make_reading
from tests.factories.orders import make_customer, make_order, make_place, make_town
from tests.factories.routing import make_rig
from tests.pages.customer import test_price_and_order as ordering
from tests.pages.customer.test_price_and_order import ask

pytestmark = pytest.mark.django_db

shop = ordering.shop
_patient_hand = ordering._patient_hand


def test_the_front_page_shows_the_wood_with_its_evidence_and_prices(client, shop):
    page = client.get("/").content.decode()

    assert "Seasoned fir" in page
    assert page.index("Ready to burn") < page.index("Moisture 17–21%")  # plain words first
    assert "$260" in page
    assert "$100" in page  # a third


def at_the_door(page):
    """The prices on the first page's tiles, by amount, of its first wood."""
    tiles = re.search(r'<ul class="price-list".*?</ul>', page, re.S)[0]
    return dict(re.findall(r"<span>([^<]+)</span> <b>\$([\d.]+)</b>", tiles))


def test_a_tapped_town_makes_every_price_on_the_first_page_the_price_at_that_door(client, shop):
    before = client.get("/").content.decode()
    town = make_town("Larch Prairie")

    page = client.get(f"/?town={town.pk}").content.decode()

    assert "Prices below don’t include delivery" in before
    assert "delivery from $" in before  # said for each town before anybody taps
    tiles = at_the_door(page)
    assert tiles["1/2 cord"] != at_the_door(before)["1/2 cord"]
    ask(client, amount="1/2", town=town.pk)
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
    assert f"Smallest to Sandhook: 1/2 cord, ${at_the_door(page)['1/2 cord']}." in page


def test_fetched_at_the_yard_has_its_own_prices(client, shop):
    page = client.get("/?town=pickup").content.decode()

    assert at_the_door(page)["1 cord"] == "255"  # no drive for us


def test_a_cord_is_explained_before_its_first_price(client, shop):
    page = client.get("/").content.decode()

    before = page[: page.index('class="price-list"')]
    assert "1/3 cord is one of its three rows" in before
    assert 'href="#how-big"' in before
    assert 'href="/how-much"' in before
    amounts = list(at_the_door(page))
    assert amounts[0] == "1/3 cord"  # the smallest price first
    assert amounts[-1] == "1 cord"


def test_a_wood_we_do_not_bring_to_a_town_leads_to_its_price_at_the_yard(client, shop):
    make_reading(make_lot(code="K9", wood="hardwood", mix={"madrone": 100}, cords="0.4", yard=shop.yard))
    far = make_town("Sandhook", market="far")

    page = client.get(f"/?town={far.pk}").content.decode()

    assert "Smallest delivery to Sandhook is 1/2 cord" in page
    assert "You can pick it up." in page
    assert re.search(r"choice=hardwood:\w+&amp;how=pick_up", page)


def test_a_wood_of_which_too_little_is_left_for_the_far_town_says_so(client, shop):
    make_reading(make_lot(code="K3", cords=Fraction(2, 5), wood="hardwood", mix={"oak": 100}))

    page = client.get(f"/?town={make_town('Sandhook', market='far').pk}").content.decode()

    assert "Smallest delivery to Sandhook is 1/2 cord; only 0.40 cord left." in page
    assert "We do not bring this one to Sandhook" not in page


def test_the_sellers_own_words_stay_in_their_language(client, shop, business):
    business.about = "Ruth and her nephew thin their own woods."
    business.save()

    assert "Ruth and her nephew" in client.get("/").content.decode()
    spanish = client.get("/", headers={"accept-language": "es"}).content.decode()
    assert "Ruth and her nephew" not in spanish
    assert "Leña seca a domicilio" in spanish


def test_the_sellers_own_words_are_read_in_both_languages_where_they_wrote_both(client, shop, business):
    business.about = "Ruth and her nephew thin their own woods.\nes: Ruth y su sobrino ralean su bosque."
    business.save()

    english = client.get("/").content.decode()
    spanish = client.get("/", headers={"accept-language": "es"}).content.decode()

    assert "Ruth and her nephew" in english
    assert "sobrino" not in english
    assert "Ruth y su sobrino" in spanish
    assert "nephew" not in spanish


def test_the_price_page_of_a_far_town_says_how_full_its_load_is_and_what_sharing_saves(client, shop):
    make_rig(home_yard=shop.yard)
    far = make_town("Sandhook", market="far")
    ida = make_customer("Ida Crewe")
    make_order(
        number=205, customer=ida, place=make_place(ida, town="Sandhook"), wood="fir", cords=Fraction(1, 2),
        total_dollars=Decimal(205), market=far.market, state=Order.State.CONFIRMED, is_pool=True,
        first_on=date(2026, 9, 24), last_on=date(2026, 10, 10), waits_until=date(2026, 10, 10),
    )  # fmt: skip

    page = client.get(ask(client, town=far.pk, amount="1")["Location"]).content.decode()

    assert "One order is on it so far: the load is" in page
    assert "We’ll tell you by" in page
    assert re.search(r"Delivered by itself, yours would cost \$\d+", page)
    assert "<progress" in page


def test_a_price_asked_in_english_is_read_in_spanish_without_a_word_of_english(client, shop):
    path = ask(client, amount="1/2", town=make_town("Larch Prairie").pk)["Location"]
    english = client.get(path).content.decode()
    spanish = client.get(path, headers={"accept-language": "es"}).content.decode()

    assert "10% more for its size" in english
    lines = spanish.partition('id="due-lines"')[2].partition("</details>")[0]
    assert "1/2 cuerda de leña de abeto de Douglas, seca" in lines
    assert "Entrega" in lines
    assert not any(word in lines for word in ("cord ", "Delivery", "seasoned", "more for its size"))
