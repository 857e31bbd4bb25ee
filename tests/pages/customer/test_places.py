"""Units, legal wording and its source follow the seller's place on every page a customer sees."""

import html
import json
import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from firewood_site import ticket_pdf
from firewood_site.access import order_path
from firewood_site.ticket_pdf import can_print
from inventory.models import Business
from orders.core.places import place_rule, place_rules
from orders.models import Order
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant, make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    make_sheet()
    yard = make_yard(name="Siding Yard", pick_up_here=True)
    lot = make_lot(code="K1", cords="6.05", yard=yard)
    make_reading(lot)
    make_lot(code="K8", cords=4, yard=yard, wood="logs", form="logs", name="Fir logs")
    make_town("Marrow Bridge")
    return lot


def seen(answer):
    """The words of a page a person can read or hear; its links left out."""
    text = re.sub(r"<(script|style).*?</\1>", " ", answer.content.decode(), flags=re.DOTALL)
    spoken = " ".join(re.findall(r'(?:aria-label|alt|title|placeholder)="([^"]*)"', text))
    return html.unescape(re.sub(r"<[^>]+>", " ", text) + " " + spoken)


def pages(client, lot, *, language):
    """Shop, price form, a price, the same refused, an order delivered, its ticket and its claim form."""
    asked = {"choice": "fir:seasoned", "amount": "1/2", "how": "delivered", "laid": "stack"}
    yield client.get(f"/?lang={language}")
    yield client.get("/price?choice=fir:seasoned")
    priced = client.post("/price", {**asked, "town": make_town("Marrow Bridge").pk})
    yield client.get(priced["Location"])
    yield client.post("/price", {**asked, "amount": "3", "where": "nowhere at all"})
    order = make_order(cords=Fraction(1, 2))
    make_hold(lot, cords="1/2", reference=order.reference)
    Order.objects.update(
        state="delivered", delivered_on=date(2026, 9, 18), reasons=[], total_dollars=Decimal("145.00")
    )
    make_ticket(number=order.number, at=an_instant(), who="tam")
    order.refresh_from_db()
    link = order_path(order.number, order.link_secret)
    yield client.get(link)
    yield client.get(f"{link}/ticket")
    yield client.get(f"{link}/wrong")


@pytest.mark.parametrize("language", ["en", "es"])
def test_massachusetts_never_reads_the_word_cord(client, shop, language):
    Business.objects.update(place_key="massachusetts")

    for answer in pages(client, shop, language=language):
        words = seen(answer)
        assert not re.search(r"\b(cords?|cuerdas?)\b", words, re.IGNORECASE), (
            answer.request["PATH_INFO"],
            re.findall(r".{40}\b(?:cords?|cuerdas?)\b.{20}", words, re.IGNORECASE),
        )


def test_massachusetts_reads_cubic_feet(client, shop):
    Business.objects.update(place_key="massachusetts")

    shop_page, _form, price_page, *_rest, ticket, _claim = pages(client, shop, language="en")

    assert "64 cubic feet" in seen(shop_page)
    assert "64 cubic feet" in seen(price_page)
    assert "64 cubic feet" in seen(ticket)


def test_a_metric_place_reads_stacked_cubic_meters_and_kilowatt_hours(client, shop):
    Business.objects.update(place_key="metric")

    shop_page, form, price_page, *_rest, ticket, _claim = pages(client, shop, language="en")

    words = seen(shop_page)
    assert "1.81 m³ stacked" in words
    assert "per 100 kWh of stove heat" in words
    assert "1.70 m tall" in words
    assert "3.62 m³ stacked of firewood beside a person" in seen(form)
    assert "Amount, in stacked m³" in seen(form)
    assert "1.81 m³ stacked" in seen(price_page)
    assert "1.81 m³ stacked" in seen(ticket)


@pytest.mark.parametrize("rule", place_rules(), ids=lambda rule: rule.key)
def test_each_place_shows_its_wording_its_source_and_where_to_check(client, shop, rule):
    Business.objects.update(place_key=rule.key)

    english, spanish = seen(client.get("/")), seen(client.get("/?lang=es"))

    assert rule.statement in english
    assert rule.document in english
    assert "check your local rule" in english
    assert rule.statement_in("es") in spanish
    assert "consulte la regla de su lugar" in spanish


def test_an_amount_beyond_what_is_open_is_not_offered(client, shop):
    Business.objects.update(place_key="handbook_130")
    make_hold(shop, cords="5.55", reference="order 1")

    page = client.get("/").content.decode()

    assert "amount=1/2" in page
    assert "amount=3/4" not in page


@pytest.mark.skipif(not can_print(), reason="typst is an extra")
def test_the_paper_ticket_has_the_pages_fields_in_the_customers_language(client, shop, monkeypatch):
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18))
    make_hold(shop, cords="1/3", reference=order.reference)
    make_ticket(number=order.number, at=an_instant(), who="tam")
    order.refresh_from_db()
    link = order_path(order.number, order.link_secret)
    printed = []
    real = ticket_pdf._compiler()

    class Listening:
        def compile(self, *, format, sys_inputs):
            printed.append(json.loads(sys_inputs["data"]))
            return real.compile(format=format, sys_inputs=sys_inputs)

    monkeypatch.setattr(ticket_pdf, "_compiler", Listening)

    for code in ("en", "es"):
        assert client.get(f"{link}/ticket.pdf?lang={code}").content.startswith(b"%PDF")

    english, spanish = printed
    shown = {value.removeprefix("$") for _label, value in english["rows"]}
    assert order.ticket.fields["delivered_on"] == "2026-09-18"
    fields = {**order.ticket.fields, "delivered_on": "Sep 18, 2026"}  # as people write it
    assert {fields[name] for name in place_rule().ticket_fields} <= shown
    assert ["How dry", "seasoned by the seller's word, not read at loading"] in english["rows"]
    assert ["Qué tan seca", "seca según el vendedor, sin medir al cargar"] in spanish["rows"]
    assert ["Entregada", "18 sep 2026"] in spanish["rows"]


def test_the_ticket_shows_every_field_the_handbook_asks_for(client, shop):
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18))
    make_hold(shop, cords="1/3", reference=order.reference)
    make_ticket(number=order.number, at=an_instant(), who="tam")
    order.refresh_from_db()

    page = seen(client.get(order_path(order.number, order.link_secret) + "/ticket"))

    fields = order.ticket.fields
    for name in place_rule().ticket_fields:
        value = fields[name]
        assert value in page or name in ("delivered_on", "price_dollars"), name
    assert "18" in page
    assert f"${fields['price_dollars']}" in page


@pytest.mark.parametrize(
    ("place", "language", "volume"),
    [
        ("handbook_130", "en", "a bundle (1,296 cubic inches)"),
        ("metric", "en", "a bundle (21 liters)"),
        ("handbook_130", "es", "el atado de 1296 pulgadas cúbicas"),
    ],
)
def test_a_bundle_is_offered_by_the_measure_of_the_place(client, shop, place, language, volume):
    """Cubic inches below one cubic foot, liters where wood is metric (NIST Handbook 130 section 2.4.3)."""
    Business.objects.update(place_key=place)
    make_lot(
        code="K9", cords=1, wood="kindling", form="kindling", bundle_ft3=Decimal("0.75"), name="Kindling"
    )

    assert volume in seen(client.get(f"/?lang={language}"))
