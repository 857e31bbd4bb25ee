"""The first morning, and everything put right: each story of a new seller's week, told on pages, ends well.

1 from empty books to a sale (its set-up is test_first_start.py) · 2 an order put right · 3 a make-good once ·
4 a check that came back, and undone · 5 a lot put right and a count below its promises · 6 lapsing by itself
and wood that can be sold · 7 a quote countered, accepted by its link, and money by the year.
"""

import base64
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.contrib.auth.models import Group, User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from firewood_site import throttle
from firewood_site.access import order_path
from firewood_site.daily import daily_work
from inventory.models import Hold, Lot
from orders.models import Claim, Order, Payment, Quote, Ticket, Town
from orders.selectors.orders import order_view
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_sheet, make_town
from tests.pages.seller.sheets import log, log_heap

ON = date(2026, 9, 18)
ONE_PIXEL = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="


@pytest.fixture(autouse=True)
def _no_roads(settings):
    settings.ROAD_ENGINE = "estimate"


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    """A test fills a form faster than a hand."""
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


@pytest.fixture
def books(seller_client):
    """Two dry cords of fir for sale in one yard, one town, one sheet."""
    make_sheet()
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords=2, yard=yard, sale="for_sale"))
    return make_town()


def a_quote(seller_client, town, amount="1/2"):
    asked = {"choice": "fir:seasoned", "amount": amount, "laid": "drop", "asked_by": "Ida, 555-0144"}
    answer = seller_client.post("/seller/quote", {**asked, "town": town.pk})
    assert answer.status_code == 302
    return Quote.objects.latest("pk")


def write_down(seller_client, quote):
    """The order of somebody on the phone."""
    told = {"name": "Ida Crewe", "phone": "541 555 0144", "day": "any", "key": str(uuid4())}
    answer = seller_client.post(f"/seller/quote/{quote.token}/order", told)
    assert answer.status_code == 302, answer.context["form"].errors
    return Order.objects.latest("pk")


def pay(seller_client, order, dollars, method="cash"):
    sent = {"dollars": dollars, "method": method, "key": str(uuid4())}
    answer = seller_client.post(reverse("order-pay", args=[order.number]), sent)
    assert answer.status_code == 302
    return Payment.objects.latest("pk")


def promise(seller_client, order, lot="K1"):
    sent = {f"lot-{lot}": str(order.cords), "promised_on": ""}
    answer = seller_client.post(reverse("order-confirm", args=[order.number]), sent)
    assert answer.status_code == 302
    order.refresh_from_db()
    assert order.state == "confirmed"


def held(order):
    standing = Hold.objects.filter(reference=order.reference, state="standing")
    return {hold.lot.code: hold.cords for hold in standing}


def due(order):
    return order_view(order.number).balance.due


def shown_in(form):
    """A form's fields as they open."""
    values = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    return {
        name: value
        for name, value in values.items()
        if value is not None and value is not False and value != ""
    }


def put(client, path, /, **typed):
    """Send a page's form as it opens, with what the seller types."""
    answer = client.post(path, {**shown_in(client.get(path).context["form"]), **typed})
    assert answer.status_code == 302, answer.context["form"].errors


def put_part(client, part, **typed):
    """The same for one part of Set up."""
    form = client.get("/seller/set-up").context["forms"][part]
    answer = client.post(reverse("set-up-add", args=[part]), {**shown_in(form), **typed})
    assert answer.status_code == 302, (part, answer.context["forms"][part].errors)


@pytest.mark.django_db
def test_story_1_from_empty_books_to_wood_sold_the_same_day_without_the_admin(client):
    """Each thing that only the admin could do before has its page, and the first sale ends paid."""
    client.force_login(User.objects.create_superuser("ruth"))
    assert {group.name for group in Group.objects.all()} >= {"sellers", "drivers"}
    picture = SimpleUploadedFile("mark.png", base64.b64decode(ONE_PIXEL), content_type="image/png")
    told = {"name": "Ridge Wood", "address": "Siding Road 4", "currency": "CAD", "language": "es"}
    put(client, "/seller/set-up/settings", photo=picture, **told)
    put(client, "/seller/set-up/settings", currency="USD", language="en")
    put(client, "/seller/set-up/yards/new", name="Siding Yard", lat="44.0", lon="-150.0")
    put_part(client, "market", name="North-East", minimum_cords="1/4")
    put_part(client, "town", name="Marrow Bridge", market="north-east", lat="44.01", lon="-150.06")
    put_part(client, "way", kind="check")
    put_part(client, "limit", name="Mill bridge", whole_rig_lb="12000")
    put_part(client, "month", months="2025-10; 12; 2900")
    put_part(client, "person", name="tam", role="driver")
    assert User.objects.get(username="tam").groups.get().name == "drivers"
    nothing = client.post("/seller/set-up/prices/new", shown_without_prices(client))
    assert nothing.status_code == 422
    assert "at least one price" in nothing.text
    put(client, "/seller/set-up/prices/new", **{"price-north-east-fir-seasoned": "300"})
    yard = client.get("/seller/log").context["form"].fields["yard"].choices[1][0]
    log_heap(client, yard=yard, cords="4", on="2026-05-01", sale="for_sale")
    code = Lot.objects.get().code
    put(client, f"/seller/lots/{code}/reading", face_1="17", face_2="18", face_3="19", basis="dry")

    order = write_down(client, a_quote(client, Town.objects.get()))
    promise(client, order, lot=code)
    pay(client, order, str(order.total_dollars), "check")

    assert due(order) == 0
    assert held(order) == {code: Fraction(1, 2)}
    assert all(row.level != "bad" for row in client.get("/seller/").context["blocking"])


def shown_without_prices(client):
    shown = shown_in(client.get("/seller/set-up/prices/new").context["form"])
    return {name: value for name, value in shown.items() if not name.startswith("price-north-east-")}


def test_story_2_a_phone_order_is_put_right_on_every_side_and_ends_paid(seller_client, books):
    order = write_down(seller_client, a_quote(seller_client, books))
    promise(seller_client, order)

    put_right(seller_client, order, "It goes to 12 Mill Street", address="12 Mill Street, Marrow Bridge")
    put_right(seller_client, order, "Held: 1 cord of K1", amount="1", price="anew", **{"lot-K1": "1"})
    put_right(seller_client, order, "The price goes from", laid="stack", price="anew")
    put_right(seller_client, order, "sees it on the order's page", gate_code="4711", drop_spot="by the shed")
    put_right(seller_client, order, "", first_on="2026-09-21", last_on="2026-09-25")
    order.refresh_from_db()
    assert (order.cords, order.place.address, order.place.gate_code) == (
        1,
        "12 Mill Street, Marrow Bridge",
        "4711",
    )
    assert (order.stacked, order.first_on, held(order)) == (True, date(2026, 9, 21), {"K1": 1})

    put_right(seller_client, order, "The price goes from", laid="pick_up", price="anew")
    assert seller_client.post(reverse("order-fetched", args=[order.number])).status_code == 302
    first = make_ticket(number=order.number, at=an_instant(), who="ruth") and Ticket.objects.get()
    pay(seller_client, order, str(due(order)))
    put_right(seller_client, order, f"Ticket {first.number} is replaced", amount="5/6", price="anew")

    order.refresh_from_db()
    again = Ticket.objects.exclude(pk=first.pk).get()
    assert (order.state, again.replaces, again.cords) == ("settled", first, Fraction(5, 6))
    assert Lot.objects.get(code="K1").on_hand_cords == 2 - Fraction(5, 6)
    assert order_view(order.number).balance.owed_back > 0
    assert f"back to {order.customer.name}" in seller_client.get("/seller/").text


def put_right(client, order, told, **changes):
    """Ask what a change would touch, read it, then keep it."""
    path = reverse("order-change", args=[order.number])
    sent = {**shown_in(client.get(path).context["form"]), **changes}
    asked = client.post(path, sent)
    assert asked.context["touched"], asked.context["form"].errors
    assert told in " ".join(asked.context["touched"])
    kept = client.post(path, {**sent, "sure": "1"})
    assert kept.status_code == 302, kept.context["form"].errors


def test_story_3_a_shortfall_is_made_good_once_and_never_for_more(seller_client, client, books):
    order = make_order(number=301, cords=1, total_dollars=Decimal(300), state="delivered", delivered_on=ON)
    pay(seller_client, order, "300")
    make_ticket(number=301, at=an_instant(), who="tam")
    stack = {"kind": "short", "length_ft": "22", "height_ft": "4", "depth_in": "16", "cribbed_ends": "0"}
    claim = told(client, order, stack)
    settle = reverse("claim-settle", args=[claim.pk])

    too_much = seller_client.post(settle, {"way": "credit", "dollars": "9000", "answer": ""})
    assert too_much.status_code == 422
    assert order_view(301).balance.credited == 0
    seller_client.post(settle, {"way": "credit", "dollars": "25", "answer": ""})
    seller_client.post(settle, {"way": "credit", "dollars": "25", "answer": ""})

    assert order_view(301).balance.owed_back == 25
    today = seller_client.get("/seller/").text
    assert f"Pay $25.00 back to {order.customer.name}" in today


def told(client, order, stack):
    link = order_path(order.number, order_view(order.number).link_secret)
    answer = client.post(f"{link}/wrong", {**stack, "key": str(uuid4())})
    assert answer.status_code == 302
    return Claim.objects.get()


def test_story_4_a_check_that_came_back_is_due_again_and_the_entry_can_be_undone(seller_client, books):
    order = make_order(number=302, total_dollars=Decimal(217), state="delivered", delivered_on=ON)
    pay(seller_client, order, "100", "transfer")
    check = pay(seller_client, order, "117", "check")
    back = {"payment": str(check.pk), "key": str(uuid4())}

    seller_client.post(reverse("order-check-returned", args=[302]), back)
    assert due(order) == 117
    returned = Payment.objects.latest("pk")
    undone = reverse("order-undo-payment", args=[302, returned.pk])
    seller_client.post(undone, {"key": str(uuid4())})

    assert due(order) == 0
    assert Payment.objects.filter(order=order).count() == 4  # nothing is wiped out


def test_story_5_a_count_below_the_promises_is_kept_and_says_whom_to_call(seller_client, books):
    order = make_order(customer=make_customer("Greta Sool", phone="+15415550177"), cords=1)
    promise(seller_client, order)
    log(seller_client, "measure", wood="K1", cords="1/2", amount="all", note="by tape")

    assert "Call Greta Sool first" in seller_client.get("/seller/").text
    make_reading(make_lot(code="K2", cords=1, yard=Lot.objects.get(code="K1").yard, sale="for_sale"))
    seller_client.post(reverse("order-move-wood", args=[order.number, "K1"]))

    assert held(order) == {"K1": Fraction(1, 2), "K2": Fraction(1, 2)}
    assert Lot.objects.get(code="K1").short_cords == 0
    assert "of what is promised" not in seller_client.get("/seller/").text


def test_story_6_a_hold_without_its_deposit_lapses_by_itself_and_its_wood_is_for_sale(seller_client, books):
    order = make_order(number=303, cords=1, deposit_dollars=Decimal(60), state="asked")
    sent = {"lot-K1": "1", "lapses_on": "2026-09-19"}
    assert seller_client.post(reverse("order-confirm", args=[303]), sent).status_code == 302
    assert [row.cords for row in seller_client.get("/seller/").context["on_sale"]] == [1]

    daily_work(on=date(2026, 9, 20), at=an_instant(date(2026, 9, 20)))

    order.refresh_from_db()
    assert order.state == "cancelled"
    assert [row.cords for row in seller_client.get("/seller/").context["on_sale"]] == [2]


def test_story_7_a_countered_quote_is_accepted_by_its_link_and_the_year_adds_up(seller_client, client, books):
    quote = a_quote(seller_client, books, amount="5/8")
    counter = f"/seller/quote/{quote.token}/price"
    countered = seller_client.post(counter, {"dollars": "150"}, follow=True).context["quote"]
    waiting = seller_client.get("/seller/quote/given").context["waiting"]
    assert countered.price.total == 150
    assert {row.asked_by for row in waiting} == {"Ida, 555-0144"}

    link = Quote.objects.get(total_dollars=150).token
    assert f"/price/{link}" in seller_client.get(f"/seller/quote/{link}").context["line"]
    page = client.get(f"/price/{link}")
    assert page.status_code == 200
    assert "$150" in page.text

    key = str(uuid4())
    filled = {
        "key": key, "stamp": throttle.stamp(key), "day": "any", "window": "any", "name": "Ida Crewe",
        "phone": "541 555 0144", "address": "12 Mill Street", "drop_spot": "by the shed", "gate_code": "4711",
        "pay_how": "cash",
    }  # fmt: skip
    placed = client.post(f"/price/{link}/order", filled)
    assert placed.status_code == 302, placed.context["form"].errors
    order = Order.objects.get()
    assert (order.total_dollars, order.cords) == (150, Fraction(5, 8))
    told = (order.place.address, order.place.drop_spot, order.place.gate_code)
    assert told == ("12 Mill Street, Marrow Bridge", "by the shed", "4711")
    assert "$150" in client.get(placed["Location"]).text
    answered = seller_client.get("/seller/quote/given").context["over"]
    assert [row.order for row in answered if row.total == 150] == [order.number]

    promise(seller_client, order)
    pay(seller_client, order, "150")
    assert due(order) == 0
    books = seller_client.get("/seller/money/books").text
    assert "$150.00" in books
