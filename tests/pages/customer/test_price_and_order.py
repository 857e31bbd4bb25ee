"""From the front page to an order, as a stranger's browser does it without JavaScript."""

import re
import time
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from firewood_site import throttle
from firewood_site.supply import StreetSpot
from orders.models import Order, Quote
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    """Six cords of dry fir at the county road, today's prices, four towns."""
    yard = make_yard(name="Siding Yard")
    lot = make_lot(code="K1", cords="6.05", yard=yard)
    make_reading(lot)
    make_sheet()
    for name, market in (("Marrow Bridge", "near"), ("Larch Prairie", "near"), ("Sandhook", "far")):
        make_town(name, market=market)
    return lot


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    """A test fills a form faster than a hand."""
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


def ask(client, **changes):
    town = make_town("Marrow Bridge")
    form = {"choice": "fir:seasoned", "amount": "1/3", "town": town.pk, "laid": "drop", "how": "delivered"}
    return client.post("/price", {**form, **changes})


def order_form(client, path, **changes):
    page = client.get(path).content.decode()
    form = {
        "key": str(uuid4()),
        "stamp": throttle.stamp(),
        "day": "any",
        "window": "any",
        "name": "Greta Sool",
        "phone": "541 555 0199",
        "drop_spot": "by the shed",
        "address": "12 Mill Street",
        "pay_how": "cash",
    }
    assert "order" in page
    return {**form, **changes}


def test_the_front_page_shows_the_wood_with_its_evidence_and_prices(client, shop):
    page = client.get("/").content.decode()

    assert "Seasoned fir" in page
    assert "17, 18, 19, 21, 18" in page
    assert "$260" in page
    assert "$100" in page  # a third


def test_a_stranger_sees_the_price_before_typing_anything_personal(client, shop):
    answer = ask(client)

    assert answer.status_code == 302
    page = client.get(answer["Location"]).content.decode()
    assert "$100" in page
    assert Quote.objects.get().total_dollars == Decimal("100.00")


def test_an_order_is_made_once_however_often_the_button_is_tapped(client, shop):
    path = ask(client)["Location"]
    form = order_form(client, path)

    first = client.post(f"{path}/order", form)
    again = client.post(f"{path}/order", form)

    assert first.status_code == again.status_code == 302
    assert first["Location"] == again["Location"]
    order = Order.objects.get()
    assert (order.cords, order.total_dollars, order.state) == (Fraction(1, 3), Decimal(100), "asked")
    assert (order.place.address, order.place.drop_spot) == ("12 Mill Street, Marrow Bridge", "by the shed")
    status = client.get(first["Location"])
    assert status.status_code == 200
    assert "We have your order" in status.content.decode()


def test_a_town_alone_is_priced_and_the_street_is_asked_for_with_the_order(client, shop):
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path, address=""))

    assert answer.status_code == 422
    assert not Order.objects.exists()


def test_a_bad_phone_is_said_and_nothing_is_kept(client, shop):
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path, phone="12"))

    assert answer.status_code == 422
    assert "does not look like a phone number" in answer.content.decode()
    assert not Order.objects.exists()


def test_the_trap_field_stops_machines(client, shop):
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path, website="http://spam.example"))

    assert answer.status_code == 422
    assert not Order.objects.exists()


def test_a_form_sent_in_no_time_is_refused(client, shop, monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", 1.0)
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path))

    assert answer.status_code == 422
    assert not Order.objects.exists()


def test_asking_without_a_place_says_so(client, shop):
    answer = ask(client, town="")

    assert answer.status_code == 422
    assert "Say where it goes" in answer.content.decode()
    assert not Quote.objects.exists()


def test_more_than_there_is_gets_a_sentence_and_no_quote(client, shop):
    shop.firm_cords = Fraction("5.5")
    shop.save(update_fields=["firm_cords"])

    answer = ask(client, amount="1")

    assert answer.status_code == 422
    assert "take less" in answer.content.decode()
    assert not Quote.objects.exists()


def test_a_pin_far_from_every_town_gets_a_kind_no_with_the_yard(client, shop):
    answer = ask(client, town="", lat="50.0", lon="-120.0")

    assert answer.status_code == 422
    assert "Siding Yard" in answer.content.decode()


def test_the_coast_is_offered_a_shared_load_with_its_rules(client, shop):
    path = ask(client, town=make_town("Sandhook", market="far").pk, amount="1/2")["Location"]

    page = client.get(path).content.decode()
    answer = client.post(f"{path}/order", order_form(client, path, pool="on", waits_until="2026-10-10"))

    assert "shared load" in page
    assert answer.status_code == 302
    order = Order.objects.get()
    assert order.is_pool
    assert order.waits_until == date(2026, 10, 10)


def test_a_price_that_has_run_out_makes_no_order(client, shop):
    path = ask(client)["Location"]
    form = order_form(client, path)
    Quote.objects.update(last_day=date(2026, 9, 1))

    answer = client.post(f"{path}/order", form)

    assert answer.status_code == 422
    assert not Order.objects.exists()


def test_too_many_prices_in_a_while_are_slowed_down(client, shop, monkeypatch):
    monkeypatch.setattr("firewood_site.customer.views.quote.QUOTES_A_WHILE", 2)

    answers = [ask(client).status_code for _ in range(3)]

    assert answers == [302, 302, 429]


def test_spanish_is_one_tap_away_and_stays(client, shop):
    page = client.get("/?lang=es").content.decode()

    assert "Leña seca, a su casa" in page
    assert "Leña seca (abeto)" in page
    assert "¿Cuánto cuesta?" in client.get("/price").content.decode()


def test_a_price_asked_in_spanish_is_explained_in_spanish(client, shop):
    client.get("/?lang=es")

    page = client.get(ask(client)["Location"]).content.decode()

    assert "1/3 de cuerda" in page or "1/3 cuerda" in page
    assert "Pedir esta leña" in page
    assert "Delivery" not in page


def test_a_refusal_is_said_in_spanish_too(client, shop):
    client.get("/?lang=es")
    shop.firm_cords = Fraction("5.5")
    shop.save(update_fields=["firm_cords"])

    page = ask(client, amount="1").content.decode()

    assert "pida menos u otra leña" in page
    assert "take less" not in page


def test_a_forged_link_shows_nothing(client, shop):
    assert client.get("/o/not-a-real-link").status_code == 404


def test_a_revoked_link_shows_nothing(client, shop):
    path = ask(client)["Location"]
    location = client.post(f"{path}/order", order_form(client, path))["Location"]
    Order.objects.update(link_secret=uuid4())

    assert client.get(location).status_code == 404


def test_the_page_has_no_inline_script_or_style(client, shop):
    path = ask(client)["Location"]

    for page in (client.get("/"), client.get("/price"), client.get(path)):
        html = page.content.decode()
        assert not re.search(r"<script(?![^>]*\bsrc=)", html)
        assert not re.search(r"\sstyle=", html)
        assert not re.search(r"\son[a-z]+=", html)


def test_a_stamp_is_of_this_moment():
    assert time.time() - float(throttle.signing.loads(throttle.stamp(), salt=throttle.STAMP_SALT)) < 5


def picks(page):
    """Amounts on the price form: value, whether it is put away, whether it is marked."""
    labels = re.findall(r'<label class="pick"( hidden)?><input [^>]*value="([^"]+)"( checked)?', page)
    return {value: (bool(away), bool(marked)) for away, value, marked in labels}


@pytest.fixture
def little_hardwood(shop):
    lot = make_lot(code="K4", cords="0.40", wood="hardwood", yard=shop.yard)
    make_reading(lot)
    return lot


def test_each_wood_offers_the_amounts_that_are_open_of_it(client, little_hardwood):
    page = client.get("/price?choice=hardwood:seasoned").content.decode()

    shown = picks(page)
    assert [value for value, (away, _marked) in shown.items() if not away] == ["1/3"]
    assert shown["1/3"] == (False, True)  # a half is not open: the nearest stands in its place
    assert shown["2"] == (True, False)  # of fir, for whoever changes their mind
    fir = re.search(r'value="fir:seasoned" data-amounts="([^"]*)"', page)
    assert fir is not None
    assert fir[1].split() == ["1/3", "1/2", "2/3", "3/4", "1", "3/2", "2", "3"]


def test_without_javascript_another_woods_amounts_are_a_tap_away(client, little_hardwood):
    asked = {"choice": "fir:seasoned", "amount": "1/3", "where": "12 Mill St", "laid": "stack", "look": "1"}

    answer = client.post("/price", asked)

    page = answer.content.decode()
    assert answer.status_code == 200
    assert picks(page)["2"] == (False, False)
    assert picks(page)["1/3"] == (False, True)
    assert 'value="12 Mill St"' in page
    assert not Quote.objects.exists()


def test_a_bad_number_of_bundles_is_said_once_and_in_words(client, shop):
    make_lot(code="K7", wood="kindling", form="kindling", yard=shop.yard)

    page = ask(client, choice="kindling:seasoned", amount="", bundles="-3").content.decode()

    assert page.count("Say how many bundles, such as 5.") == 1
    assert "Ensure this value" not in page
    assert 'value="-3"' in page


def test_what_is_missing_is_named_and_the_first_of_it_has_the_focus(client, shop):
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path, name="", phone="", note="ring twice"))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Write your name." in page
    assert "Write a phone number" in page
    assert re.search(r'<input[^>]*name="name"[^>]*autofocus', page)
    assert not re.search(r'<input[^>]*name="phone"[^>]*autofocus', page)
    assert 'value="ring twice"' in page


def test_a_bad_phone_is_said_beside_the_phone(client, shop):
    path = ask(client)["Location"]

    page = client.post(f"{path}/order", order_form(client, path, phone="12")).content.decode()

    assert "does not look like a phone number" in page.partition('id="id_phone"')[2].partition("drop_spot")[0]
    assert 'role="alert"' not in page


def test_nobody_waits_until_a_day_that_is_gone(client, shop):
    path = ask(client, town=make_town("Sandhook", market="far").pk, amount="1")["Location"]
    waiting = order_form(client, path, pool="on", waits_until="2026-09-18")

    answer = client.post(f"{path}/order", waiting)

    assert answer.status_code == 422
    assert "Choose a day that is still to come." in answer.content.decode()
    assert not Order.objects.exists()
    assert client.post(f"{path}/order", {**waiting, "waits_until": "2026-10-02"}).status_code == 302
    assert Order.objects.get().last_on == date(2026, 10, 2)


def test_a_street_read_as_another_one_is_said(client, shop, monkeypatch):
    town = make_town("Marrow Bridge")
    spot = StreetSpot(lat=town.lat + 0.001, lon=town.lon, label="12 Elm Street, Marrow Bridge", is_exact=True)
    monkeypatch.setattr("firewood_site.quoting.street_spot", lambda text, near: spot)
    monkeypatch.setattr("firewood_site.customer.views.quote.street_near", lambda lat, lon: spot.label)

    misread = client.get(ask(client, where="12 Main Street")["Location"]).content.decode()
    right = client.get(ask(client, where="12 elm street")["Location"]).content.decode()

    assert "On our map we took it for 12 Elm Street, Marrow Bridge." in misread
    assert "On our map we took it" not in right


def test_an_unknown_house_number_stands_at_the_middle_of_its_street(client, shop, monkeypatch):
    town = make_town("Marrow Bridge")
    spot = StreetSpot(lat=town.lat + 0.001, lon=town.lon, label="Mill Street, Marrow Bridge", is_exact=False)
    monkeypatch.setattr("firewood_site.quoting.street_spot", lambda text, near: spot)
    monkeypatch.setattr("firewood_site.customer.views.quote.street_near", lambda lat, lon: spot.label)

    page = client.get(ask(client, where="400 Mill Street")["Location"]).content.decode()

    assert "took the middle of the street" in page
    assert "We could not find that street" not in page


def test_a_phone_to_call_is_written_as_people_write_it(client, shop):
    page = client.get("/").content.decode()

    assert '<a href="tel:+15415550100">(541) 555-0100</a>' in page
