"""The address conversation: the town binds, the number survives, doubt is asked, a late street is priced."""

import re
from decimal import Decimal
from html import unescape
from uuid import uuid4

import pytest

from firewood_site import throttle
from orders.models import Order, Place, Quote
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town
from tests.routing.roads.conftest import region_folder, roads_loaded  # noqa: F401  - fixtures

pytestmark = [pytest.mark.django_db, pytest.mark.roads]

TOWNS = {"Marrow Bridge": "near", "Larch Prairie": "near", "Fennick": "near", "Sandhook": "far"}


@pytest.fixture
def shop(business, roads_loaded, monkeypatch):  # noqa: F811
    """Dry fir at Siding, four towns, and the invented roads."""
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)  # a test fills a form faster than a hand
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    return {name: make_town(name, market=market) for name, market in TOWNS.items()}


def ask(client, shop, town, where="", **more):
    """The path of the price for this address in this town."""
    form = {"choice": "fir:seasoned", "amount": "1/2", "how": "delivered", "laid": "drop", "where": where}
    answer = client.post("/price", {**form, "town": shop[town].pk if town else "", **more})
    assert answer.status_code == 302, words(answer)
    return answer["Location"]


def words(answer):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())))


def order(client, path, **more):
    key = str(more.get("key", uuid4()))
    form = {
        "key": key, "stamp": throttle.stamp(key), "day": "any", "window": "any", "name": "Greta Sool",
        "phone": "541 555 0199", "pay_how": "cash",
    }  # fmt: skip
    return client.post(f"{path}/order", {**form, **more})


def newest():
    return Quote.objects.select_related("place__town").latest("made_at", "pk")


@pytest.mark.parametrize(
    ("where", "town"),
    [
        ("77 Elm Street", "Larch Prairie"),  # there is one in Marrow Bridge
        ("4410 Dry Creek Rd", "Fennick"),  # not Creek Road in Siding
        ("999 Nowhere Rd", "Marrow Bridge"),  # no street at all
    ],
)
def test_a_street_the_town_has_not_is_priced_to_the_middle_of_that_town(client, shop, where, town):
    path = ask(client, shop, town, where)
    place, middle = newest().place, newest().total_dollars
    ask(client, shop, town)

    assert (place.town, place.lat, place.lon) == (shop[town], None, None)
    assert place.address == f"{where}, {town}"
    assert not place.is_confirmed
    assert middle == newest().total_dollars
    assert f"We could not find that street on our map and priced to the middle of {town}." in words(
        client.get(path)
    )


def test_a_late_street_the_town_has_not_is_said_before_it_is_ordered_and_after(client, shop):
    not_found = "We could not find that street on our map and priced to the middle of Marrow Bridge."
    path = ask(client, shop, "Marrow Bridge")

    first = order(client, path, address="900 Nowhere Road")
    again = f"/price/{newest().token}"

    assert first.status_code == 409
    assert not_found in words(first)
    assert not Order.objects.exists()
    placed = order(client, again)
    assert placed.status_code == 302
    assert Order.objects.get().place.address == "900 Nowhere Road, Marrow Bridge"
    assert not_found in words(client.get(placed["Location"]))


def test_the_other_language_keeps_what_was_chosen(client, shop):
    page = client.get("/price?choice=fir:seasoned&amount=1/3&town=2").content.decode()

    assert 'href="?choice=fir%3Aseasoned&amp;amount=1%2F3&amp;town=2&amp;lang=es"' in page


def test_an_exact_address_is_priced_at_once_and_asks_nothing(client, shop):
    path = ask(client, shop, "Larch Prairie", "8 orchard rd")

    page = words(client.get(path))

    assert newest().place.is_confirmed
    assert "Is this your place?" not in page
    assert "Place order" in page


def test_the_town_stands_behind_the_street_everywhere(client, shop, seller_client):
    path = ask(client, shop, "Larch Prairie", "8 Orchard Road")
    placed = order(client, path)

    assert placed.status_code == 302
    assert "8 Orchard Road, Larch Prairie" in words(client.get(placed["Location"]))
    assert "8 Orchard Road, Larch Prairie" in words(
        seller_client.get(f"/seller/orders/{Order.objects.get().number}")
    )


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("14 Hop", "14 Hop, Larch Prairie"),
        ("9876 Orchard Road", "9876 Orchard Road, Larch Prairie"),
        ("8 Orchrad Road", "8 Orchrad Road, Larch Prairie"),
        ("calle Orchard 8", "calle Orchard 8, Larch Prairie"),
    ],
)
def test_what_is_not_exact_is_asked_on_a_small_map_before_it_can_be_ordered(client, shop, where, said):
    path = ask(client, shop, "Larch Prairie", where)
    answer = client.get(path)
    page = words(answer)

    assert "Is this your place?" in page
    assert f"You wrote {said}." in page
    assert "<svg" in answer.content.decode().partition("your-place")[2].partition("</form>")[0]
    assert "Place order" not in page

    client.post(f"{path}/place", {"is_it": "yes"})

    assert "Place order" in words(client.get(path))
    assert order(client, path).status_code == 302
    place = Order.objects.get().place
    assert (place.address, place.is_confirmed) == (said, True)


def test_a_place_that_is_not_there_goes_to_the_middle_and_is_marked_for_the_seller(
    client, shop, seller_client
):
    path = ask(client, shop, "Larch Prairie", "8 Orchrad Road")

    answer = client.post(f"{path}/place", {"is_it": "no"})
    placed = order(client, answer["Location"])

    assert placed.status_code == 302, words(placed)
    place = Order.objects.get().place
    assert (place.address, place.is_confirmed) == ("8 Orchrad Road, Larch Prairie", False)
    assert (place.lat, place.lon) == (None, None)
    page = words(seller_client.get(f"/seller/orders/{Order.objects.get().number}"))
    assert "place not confirmed" in page


def test_a_street_through_the_very_middle_of_town_is_asked_about_too(client, shop):
    ask(client, shop, "Larch Prairie", "8 Orchrad Road")
    street = newest().place
    shop["Larch Prairie"].lat, shop["Larch Prairie"].lon = street.lat, street.lon
    shop["Larch Prairie"].save(update_fields=["lat", "lon"])

    path = ask(client, shop, "Larch Prairie", "8 Orchrad Road")

    assert "Is this your place?" in words(client.get(path))


def test_a_missing_house_number_is_asked_for_with_the_place(client, shop):
    path = ask(client, shop, "Larch Prairie", "Orchard Road")
    assert "House number" in words(client.get(path))

    answer = client.post(f"{path}/place", {"is_it": "yes", "number": "8"})

    assert newest().place.address == "8 Orchard Road, Larch Prairie"
    assert newest().place.is_confirmed
    assert "Is this your place?" not in words(client.get(answer["Location"]))


def test_a_street_given_with_the_order_is_priced_anew_before_it_is_ordered(client, shop):
    path = ask(client, shop, "Larch Prairie")
    town_price = newest().total_dollars
    far_out = {"address": "700 Larch Valley Road, Alder Flat"}

    first = order(client, path, **far_out)

    assert first.status_code == 409
    assert not Order.objects.exists()
    again = newest()
    assert again.total_dollars != town_price
    page = words(first)
    assert "Now that we know the street" in page
    assert f"{again.total_dollars:.0f} instead of ${town_price:.0f}" in page
    placed = order(client, f"/price/{again.token}")
    assert placed.status_code == 302
    made = Order.objects.get()
    assert made.total_dollars == again.total_dollars
    assert made.place.address == "700 Larch Valley Road, Alder Flat, Larch Prairie"


def test_a_street_with_the_same_price_is_ordered_at_the_first_tap_and_once(client, shop):
    path = ask(client, shop, "Marrow Bridge")
    form = {"address": "12 Mill Street", "key": str(uuid4())}

    first, again = order(client, path, **form), order(client, path, **form)

    assert first.status_code == again.status_code == 302
    assert first["Location"] == again["Location"]
    place = Order.objects.get().place
    assert (place.address, place.is_confirmed, place.is_exact) == (
        "12 Mill Street, Marrow Bridge",
        True,
        True,
    )


def test_a_town_chosen_and_another_one_written_is_asked(client, shop):
    form = {"choice": "fir:seasoned", "amount": "1/2", "town": shop["Larch Prairie"].pk}

    answer = client.post("/price", {**form, "where": "12 Mill Street, Marrow Bridge"})

    assert answer.status_code == 422
    assert "You chose Larch Prairie, and the address says Marrow Bridge" in words(answer)
    assert not Quote.objects.exists()


def test_a_pin_far_from_the_town_that_was_chosen_is_asked_about(client, shop):
    form = {"choice": "fir:seasoned", "amount": "1/2", "town": shop["Marrow Bridge"].pk}

    answer = client.post("/price", {**form, "lat": "43.6816", "lon": "-151.167"})

    assert answer.status_code == 422
    assert "miles from Marrow Bridge" in words(answer)
    assert not Place.objects.exists()


def test_a_pin_says_near_which_house_it_is_and_claims_no_number(client, shop):
    lat, lon = shop["Larch Prairie"].lat + 0.012, shop["Larch Prairie"].lon

    ask(client, shop, "Larch Prairie", lat=lat, lon=lon)

    assert newest().place.address.startswith("near ")
    assert newest().total_dollars > Decimal(100)


def test_a_change_begins_with_what_was_asked(client, shop):
    path = ask(client, shop, "Larch Prairie", "8 Orchard Road", laid="stack", small_rig="on")
    link = re.search(r'href="(/price\?[^"]+)"', client.get(path).content.decode())

    page = client.get(unescape(link[1])).content.decode()

    assert 'value="8 Orchard Road"' in page
    assert re.search(r'name="laid" value="stack" checked', page)
    assert re.search(r'name="small_rig" checked', page)


def test_an_order_page_loaded_anew_is_the_page_of_the_price(client, shop):
    path = ask(client, shop, "Larch Prairie", "8 Orchard Road")

    answer = client.get(f"{path}/order")

    assert (answer.status_code, answer["Location"]) == (302, path)


def test_any_day_costs_what_the_cheapest_day_costs(client, shop):
    path = ask(client, shop, "Larch Prairie", "8 Orchard Road")
    quote = newest()
    quote.day_offers[1]["total"] = "131.00"
    quote.save(update_fields=["day_offers"])

    page = words(client.get(path))
    placed = order(client, path, day="any")

    assert "Any of these days $131" in page
    assert placed.status_code == 302
    assert Order.objects.get().total_dollars == Decimal("131.00")
