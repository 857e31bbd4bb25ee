"""Letters go out after the step they tell of: by e-mail, or ready for the seller's phone."""

from datetime import date

import pytest
from django.core import mail

from firewood_site.letters import ready_text, tell
from orders.models import Letter
from orders.selectors.orders import order_view
from orders.tasks import send_letter
from tests.factories.inventory import an_instant
from tests.factories.orders import make_customer, make_order

pytestmark = pytest.mark.django_db


def test_somebody_with_e_mail_gets_a_letter_with_their_link(business, django_capture_on_commit_callbacks):
    order = make_order(customer=make_customer(email="greta@example.com"))

    with django_capture_on_commit_callbacks(execute=True):
        tell(order.number, "asked", at=an_instant())

    sent = mail.outbox[0]
    assert sent.to == ["greta@example.com"]
    assert "/o/" in sent.body
    assert "1/3 cord seasoned fir" in sent.body
    assert Letter.objects.get().sent_at is not None


def test_somebody_without_e_mail_gets_a_text_for_the_sellers_phone(business):
    order = make_order()

    tell(order.number, "confirmed", at=an_instant())

    letter = Letter.objects.get()
    assert (letter.way, letter.to) == ("text", order.customer.phone)
    assert not mail.outbox


def test_a_letter_is_sent_once(business, django_capture_on_commit_callbacks):
    order = make_order(customer=make_customer(email="greta@example.com"))
    with django_capture_on_commit_callbacks(execute=True):
        letter_id = tell(order.number, "asked", at=an_instant())

    assert send_letter.call(letter_id) == "nothing to send"
    assert len(mail.outbox) == 1


def test_spanish_customers_are_written_to_in_spanish(business, django_capture_on_commit_callbacks):
    order = make_order(customer=make_customer(email="ana@example.com", language="es"))

    with django_capture_on_commit_callbacks(execute=True):
        tell(order.number, "asked", at=an_instant())

    assert "Recibimos su pedido" in mail.outbox[0].subject


def test_a_letter_with_a_gap_is_not_sent_and_breaks_nothing(business):
    order = make_order()

    assert tell(order.number, "on_the_way", at=an_instant()) is None
    assert not Letter.objects.exists()


def test_a_text_is_ready_for_the_phone_with_its_words(business):
    order = make_order(state="planned", promised_on=date(2026, 9, 22))

    text = ready_text(order_view(order.number), "day_set")

    assert text.sms.startswith(f"sms:{order.customer.phone}?body=Quarrel%20Ridge%20Wood")
    assert "Tue 22 Sep" in text.text
