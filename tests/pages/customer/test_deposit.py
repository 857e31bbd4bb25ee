"""The deposit: how to pay it really comes, with a reference; by card through the provider's own page."""

import hashlib
import hmac
import json
import threading
import time
from decimal import Decimal
from fractions import Fraction
from http.server import BaseHTTPRequestHandler, HTTPServer
from urllib.parse import parse_qs

import pytest

from firewood_site.access import order_path
from orders.models import Customer, Letter, Order, Payment, PaymentKind
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_sheet

pytestmark = pytest.mark.django_db

HOOK = "whsec_stand_in"
DEPOSIT = Decimal(20)


@pytest.fixture
def order(business):
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    PaymentKind.objects.filter(key="transfer").update(instructions="Account 0000 0142 at the credit union")
    return make_order(
        number=213,
        deposit_dollars=DEPOSIT,
        customer=make_customer(email="greta@example.org"),
        cords=Fraction(1, 3),
    )


def path(order):
    return order_path(order.number, order.link_secret)


def confirm(client, order):
    """The seller's own button."""
    answer = client.post(
        f"/seller/orders/{order.number}/confirm", {"cords-K1": "1/3", "lot-K1": "1/3", "K1": "1/3"}
    )
    order.refresh_from_db()
    return answer


def test_confirming_tells_how_to_pay_the_deposit_with_its_reference(order, seller_client, client):
    asked = client.get(path(order)).content.decode()
    assert "once we have confirmed" in asked
    assert "Account 0000 0142" not in asked

    confirm(seller_client, order)

    assert order.state == Order.State.CONFIRMED
    body = Letter.objects.get(kind="confirmed").body
    assert "Please pay $20 of it ahead" in body
    assert "Account 0000 0142 at the credit union" in body
    assert "QRW-213" in body
    page = client.get(path(order)).content.decode()
    for words in ("Pay $20 ahead", "Account 0000 0142 at the credit union", "QRW-213"):
        assert words in page


def test_a_check_sent_ahead_is_not_called_one_at_the_door(order, seller_client, client):
    named = {"name": "Check at the door", "instructions": "Mail it to County Road 7", "is_offered": True}
    PaymentKind.objects.update_or_create(key="check", defaults=named)
    Customer.objects.update(language="es")

    confirm(seller_client, order)

    assert "- Cheque: Mail it to County Road 7" in Letter.objects.get(kind="confirmed").body
    page = client.get(path(order)).content.decode().partition("Pay $20 ahead")[2]
    assert "<span>Check</span>" in page
    assert "at the door" not in page.partition("</section>")[0]


def test_without_words_of_the_sellers_the_letter_says_to_call(order, seller_client):
    PaymentKind.objects.update(instructions="")

    confirm(seller_client, order)

    assert "Call us and we tell you how." in Letter.objects.get(kind="confirmed").body


def test_no_card_button_and_no_card_door_while_no_provider_is_named(order, client):
    Order.objects.update(state="confirmed")

    assert "by card" not in client.get(path(order)).content.decode()
    assert client.post("/cards/event", b"{}", content_type="application/json").status_code == 404
    assert client.post(f"{path(order)}/card")["Location"] == path(order)


class StandIn(BaseHTTPRequestHandler):
    """As much of the provider as an order meets: it makes a page for a session and remembers the asking."""

    asked: list = []

    def do_POST(self):
        form = parse_qs(self.rfile.read(int(self.headers["Content-Length"])).decode())
        self.asked.append((self.path, dict(self.headers), {name: value[0] for name, value in form.items()}))
        is_known = self.headers["Authorization"] == "Bearer sk_stand_in"
        body = json.dumps(
            {"id": "cs_1", "url": "https://checkout.stripe.com/c/pay/cs_1"} if is_known else {}
        ).encode()
        self.send_response(200 if is_known else 401)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *words):
        """Quiet."""


@pytest.fixture
def provider(settings):
    server = HTTPServer(("127.0.0.1", 0), StandIn)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    StandIn.asked = []
    settings.CARD_PROVIDER = "stripe"
    settings.STRIPE_API = f"http://127.0.0.1:{server.server_port}"
    settings.STRIPE_SECRET_KEY, settings.STRIPE_WEBHOOK_SECRET = "sk_stand_in", HOOK
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def event(kind="checkout.session.completed", *, cents=2000, number=213, session="cs_1", status="paid"):
    held = {
        "id": session, "client_reference_id": str(number), "amount_total": cents, "currency": "usd",
        "payment_status": status,
    }  # fmt: skip
    return json.dumps({"id": "evt_1", "type": kind, "data": {"object": held}}).encode()


def tell(client, body, *, at=None, secret=HOOK):
    at = int(time.time()) if at is None else at
    signed = hmac.new(secret.encode(), f"{at}.".encode() + body, hashlib.sha256).hexdigest()
    return client.post(
        "/cards/event",
        body,
        content_type="application/json",
        headers={"stripe-signature": f"t={at},v1={signed}"},
    )


def test_one_tap_leads_to_the_providers_page_for_the_deposit(order, client, provider):
    Order.objects.update(state="confirmed")

    answer = client.post(f"{path(order)}/card")

    assert answer["Location"] == "https://checkout.stripe.com/c/pay/cs_1"
    asked_path, headers, form = StandIn.asked[0]
    assert asked_path == "/v1/checkout/sessions"
    assert form["line_items[0][price_data][unit_amount]"] == "2000"
    assert form["client_reference_id"] == "213"
    assert headers["Idempotency-Key"]
    assert "Pay $20 by card" in client.get(path(order)).content.decode()


def test_what_the_provider_says_came_is_booked_once(order, client, provider):
    Order.objects.update(state="confirmed")

    assert tell(client, event()).status_code == tell(client, event()).status_code == 204

    line = Payment.objects.get()
    assert (line.kind, line.method, line.dollars) == ("deposit", "card", DEPOSIT)
    assert "Pay $20 ahead" not in client.get(path(order)).content.decode()


@pytest.mark.parametrize(
    "told",
    [
        {"secret": "whsec_of_somebody_else"},
        {"at": int(time.time()) - 3600},
    ],
    ids=["forged", "old"],
)
def test_a_forged_or_old_message_books_nothing(order, client, provider, told):
    assert tell(client, event(), **told).status_code == 400
    assert client.post("/cards/event", b"\xff", content_type="application/json").status_code == 400
    assert not Payment.objects.exists()


@pytest.mark.parametrize("other", [event("charge.refunded"), event(status="unpaid"), event(number=9999)])
def test_other_events_are_heard_and_book_nothing(order, client, provider, other):
    assert tell(client, other).status_code == 204
    assert not Payment.objects.exists()


def test_a_provider_that_refuses_is_a_sentence_and_not_an_error(order, client, provider, settings):
    Order.objects.update(state="confirmed")
    settings.STRIPE_SECRET_KEY = "sk_revoked"

    answer = client.post(f"{path(order)}/card")

    assert answer.status_code == 422
    assert "Paying by card does not work just now." in answer.content.decode()
