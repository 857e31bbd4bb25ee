"""From the front page to an order, as a stranger's browser does it without JavaScript."""

import re
import time
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from firewood_site import throttle
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
    key = str(changes.get("key", uuid4()))
    form = {
        "key": key,
        "stamp": throttle.stamp(key),
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


def test_a_stranger_sees_the_price_before_typing_anything_personal(client, shop):
    answer = ask(client)

    assert answer.status_code == 302
    page = client.get(answer["Location"]).content.decode()
    assert "$100" in page
    assert Quote.objects.get().total_dollars == Decimal("100.00")


@pytest.mark.parametrize(
    ("written", "cords"),
    [
        ("5/6", Fraction(5, 6)),
        ("7/12 cord", Fraction(7, 12)),
        ("1 1/4", Fraction(5, 4)),
        ("½", Fraction(1, 2)),
    ],
)
def test_any_fraction_can_be_written_in_place_of_a_picture(client, shop, written, cords):
    """Worked out by hand from $260 a cord: straight lines between the listed shares, to the next $5."""
    answer = ask(client, other=written)
    page = client.get(answer["Location"])
    again = client.get(f"/price?choice=fir:seasoned&amount={cords}")

    quote = Quote.objects.get()
    assert quote.cords == cords
    assert {Fraction(5, 6): 220, Fraction(7, 12): 165, Fraction(5, 4): 325, Fraction(1, 2): 145}[cords] == (
        quote.total_dollars
    )
    assert f"${quote.total_dollars:.0f}" in page.text
    assert again.status_code == 200
    assert f'value="{cords}"' in again.text


@pytest.mark.parametrize(
    ("language", "sentence"), [("en", "is not an amount of wood"), ("es", "2/3 o 1 1/2")]
)
def test_words_that_are_no_amount_are_asked_for_again(client, shop, language, sentence):
    answer = client.post(
        f"/price?lang={language}",
        {"choice": "fir:seasoned", "amount": "1/3", "other": "a lot", "town": make_town("Marrow Bridge").pk},
    )

    assert answer.status_code == 422
    assert sentence in answer.text
    assert 'value="a lot"' in answer.text


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

    assert "Leña seca a domicilio" in page
    assert "Leña de abeto de Douglas, seca" in page
    assert "¿Cuánto cuesta?" in client.get("/price").content.decode()


def test_a_price_asked_in_spanish_is_explained_in_spanish(client, shop):
    client.get("/?lang=es")

    page = client.get(ask(client)["Location"]).content.decode()

    assert "1/3 de cuerda" in page or "1/3 cuerda" in page
    assert "Hacer el pedido" in page
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


def test_a_stamp_serves_one_form_of_this_moment(client, shop):
    """One page read by a machine could order as often as it liked with keys of its own."""
    shown, key = throttle.signing.loads(throttle.stamp("a key"), salt=throttle.STAMP_SALT)
    assert time.time() - shown < 5
    assert key == "a key"
    path = ask(client)["Location"]
    form = order_form(client, path)
    assert client.post(f"{path}/order", form).status_code == 302

    again = client.post(f"{path}/order", {**form, "key": str(uuid4())})

    assert again.status_code == 422
    assert Order.objects.count() == 1


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


def test_a_phone_to_call_is_written_as_people_write_it(client, shop):
    page = client.get("/").content.decode()

    assert '<a href="tel:+15415550100">(541) 555-0100</a>' in page


def test_with_nothing_to_price_nobody_fills_in_a_form(client, business, seller_client):
    page = client.get("/price")

    assert page.status_code == 200
    assert "Nothing is for sale just now." in page.content.decode()
    assert "See the price" not in page.content.decode()
    quote = seller_client.get("/seller/quote").content.decode()
    assert "Nothing can be priced yet: prices, towns and wood are needed first." in quote
    assert 'href="/seller/set-up"' in quote
