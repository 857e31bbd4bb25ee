"""Letters are kept with the step they tell of: sent by the worker, or ready for the seller's phone."""

from datetime import date, time
from io import StringIO

import pytest
from django.core import mail
from django.core.management import call_command
from django.utils import timezone

from firewood_site.letters import about_clock, ready_text, remind, tell
from firewood_site.ticket_pdf import ticket_pdf
from orders.models import Letter
from orders.selectors.orders import order_view
from orders.selectors.tickets import ticket_of
from orders.services.letters import send_due
from orders.services.orders import Picked, confirm_order
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant, make_lot, make_reading
from tests.factories.orders import make_customer, make_order

pytestmark = pytest.mark.django_db


def test_somebody_with_e_mail_gets_a_letter_with_their_link(business):
    order = make_order(customer=make_customer(email="greta@example.com"))
    tell(order.number, "asked", at=an_instant())

    assert send_due(at=timezone.now()) == 1

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


def test_spanish_customers_are_written_to_in_spanish(business):
    order = make_order(customer=make_customer(email="ana@example.com", language="es"))

    tell(order.number, "asked", at=an_instant())

    assert "Recibimos su pedido" in Letter.objects.get().subject


def test_a_letter_with_a_gap_is_not_sent_and_breaks_nothing(business):
    order = make_order()

    assert tell(order.number, "on_the_way", at=an_instant()) is None
    assert not Letter.objects.exists()


@pytest.mark.parametrize(
    ("kind", "language", "words"),
    [
        ("day_moved", "en", "our round has changed"),
        ("day_moved", "es", "nuestra ruta ha cambiado"),
        ("no_show", "en", "nobody was there"),
        ("no_show", "es", "no había nadie"),
    ],
)
def test_a_day_that_moved_and_a_missed_drop_are_told_with_the_usual_reason(business, kind, language, words):
    order = make_order(
        state="planned", promised_on=date(2026, 9, 22), comes_from=time(10), comes_to=time(11, 30)
    )
    order.customer.language = language
    order.customer.save()

    tell(order.number, kind, at=an_instant())

    assert words in Letter.objects.get().body


def test_a_reason_that_was_given_stands(business):
    order = make_order(state="planned", promised_on=date(2026, 9, 22))

    tell(order.number, "day_moved", at=an_instant(), reason="mud on the hill")

    assert "mud on the hill" in Letter.objects.get().body


def test_on_the_way_without_a_reckoned_time_says_the_end_of_the_hours_told(business):
    order = make_order(
        state="planned", promised_on=date(2026, 9, 22), comes_from=time(10), comes_to=time(11, 30)
    )

    tell(order.number, "on_the_way", at=an_instant(), time="")

    assert "about 11:30" in Letter.objects.get().body


def test_a_text_is_ready_for_the_phone_with_its_words(business):
    order = make_order(state="planned", promised_on=date(2026, 9, 22))

    text = ready_text(order_view(order.number), "day_set")

    assert text.sms.startswith(f"sms:{order.customer.phone}?body=Quarrel%20Ridge%20Wood")
    assert "Tue, Sep 22" in text.text


def test_a_reminder_is_written_once_a_season_to_those_who_want_one(business):
    wants = make_customer("Dora Quill", wants_reminder=True)
    make_order(customer=wants, state="settled")
    make_order(customer=make_customer("Perrin Vale"), state="settled")

    first = remind(on=date(2027, 2, 20), at=an_instant())
    again = remind(on=date(2027, 2, 21), at=an_instant())
    other_month = remind(on=date(2027, 5, 1), at=an_instant())

    assert (first, again, other_month) == (1, 0, 0)
    assert "/no-more/" in Letter.objects.get().body


def test_an_unpaid_hold_lapses_in_the_morning_and_its_wood_is_open_again(business):
    lot = make_lot(code="K1")
    make_reading(lot)
    order = make_order()
    confirm_order(
        number=order.number,
        picks=[Picked(lot="K1", cords=order.cords)],
        at=an_instant(),
        who="ruth",
        lapses_on=date(2026, 9, 18),
    )

    call_command("each_morning", stdout=StringIO())

    order.refresh_from_db()
    lot.refresh_from_db()
    assert (order.state, lot.soft_cords) == ("cancelled", 0)
    assert Letter.objects.get().kind == "cancelled"


def test_a_ticket_prints_as_a_pdf_of_one_page(business):
    pytest.importorskip("typst")
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18))
    make_ticket(number=order.number, at=an_instant(), who="tam")

    paper = ticket_pdf(ticket_of(order.number))

    assert paper.startswith(b"%PDF")
    assert len(paper) < 200_000


def test_a_time_on_the_road_is_told_to_five_minutes_in_the_readers_way():
    at = time(12, 58, 40)

    assert about_clock(at, language="en") == "1:00 pm"
    assert about_clock(at, language="es") == "13:00"
    assert about_clock(time(10, 54), language="en") == "10:55 am"
    assert about_clock(time(10, 52), language="en") == "10:50 am"
