"""Letters owed are sent in the end, once: whatever the mail server does, and whoever is killed when."""

import smtplib
import socket
from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail.backends.smtp import EmailBackend
from django.utils import timezone

from firewood_site.letters import tell
from orders.models import Letter, Order
from orders.services.letters import LEASE, WAITS, send_due
from tests.factories.inventory import an_instant, make_lot, make_reading
from tests.factories.orders import make_customer, make_order

pytestmark = pytest.mark.django_db


@pytest.fixture
def letter(business):
    order = make_order(customer=make_customer(email="greta@example.com"))
    return Letter.objects.get(pk=tell(order.number, "asked", at=an_instant()))


def refuse(monkeypatch, error):
    def send(_message):
        raise error

    monkeypatch.setattr("orders.services.letters.EmailMessage.send", send)


def test_a_letter_is_sent_once_under_one_name(letter):
    now = timezone.now()

    assert [send_due(at=now), send_due(at=now), send_due(at=now + timedelta(days=2))] == [1, 0, 0]
    assert len(mail.outbox) == 1
    assert str(letter.key) in mail.outbox[0].extra_headers["Message-ID"]


def test_a_refused_letter_is_tried_again_and_goes_in_the_end(letter, monkeypatch):
    now = timezone.now()
    with monkeypatch.context() as refusing:
        refuse(refusing, smtplib.SMTPRecipientsRefused({"greta@example.com": (450, b"later")}))
        assert send_due(at=now) == 0
        assert send_due(at=now + WAITS[0] / 2) == 0

    letter.refresh_from_db()
    assert (letter.tries, "450" in str(letter.problem)) == (1, True)
    assert send_due(at=now + WAITS[0] + timedelta(seconds=1)) == 1
    letter.refresh_from_db()
    assert (letter.problem, len(mail.outbox)) == ("", 1)


def test_after_the_last_try_the_seller_sends_it_anew_or_texts_it(letter, monkeypatch, seller_client):
    now = timezone.now()
    with monkeypatch.context() as refusing:
        refuse(refusing, ConnectionRefusedError("nobody listens"))
        for _try in range(len(WAITS) + 2):
            now += timedelta(days=1)
            send_due(at=now)
    letter.refresh_from_db()
    assert (letter.due_at, letter.tries) == (None, len(WAITS) + 1)
    address = f"/seller/orders/{letter.order.number}/letters/{letter.pk}"

    assert "nobody listens" in seller_client.get("/seller/").content.decode()
    assert address in seller_client.get(f"/seller/orders/{letter.order.number}").content.decode()
    assert seller_client.post(address).status_code == 302
    assert send_due(at=timezone.now()) == 1
    assert seller_client.post(address, {"way": "text"}).status_code == 422  # it has gone out meanwhile


def test_a_letter_left_to_the_phone_is_not_mailed_any_more(letter, seller_client):
    Letter.objects.update(problem="refused")

    seller_client.post(f"/seller/orders/{letter.order.number}/letters/{letter.pk}", {"way": "text"})

    letter.refresh_from_db()
    assert (letter.way, letter.to) == ("text", letter.customer.phone)
    assert send_due(at=timezone.now() + timedelta(days=9)) == 0


def test_a_worker_killed_while_sending_leaves_the_letter_due_again(letter, monkeypatch):
    now = timezone.now()
    with monkeypatch.context() as killed:
        refuse(killed, KeyboardInterrupt())
        with pytest.raises(KeyboardInterrupt):
            send_due(at=now)

    assert send_due(at=now + LEASE / 2) == 0
    assert send_due(at=now + LEASE + timedelta(seconds=1)) == 1
    assert len(mail.outbox) == 1


def test_a_mail_server_that_never_answers_holds_nobody_up(letter, settings, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as silent:  # it takes the call and never says a word
        port = silent.getsockname()[1]
        settings.MAILERS = {
            "default": {
                "BACKEND": f"{EmailBackend.__module__}.EmailBackend",
                "OPTIONS": {"host": "127.0.0.1", "port": port, "timeout": 0.3},
            }
        }

        assert send_due(at=timezone.now()) == 0

    letter.refresh_from_db()
    assert "timed out" in str(letter.problem)
    assert letter.due_at > timezone.now()


def test_without_e_mail_in_real_use_letters_stay_queued_and_today_says_so(letter, settings, seller_client):
    settings.SENDS_EMAIL = False

    assert send_due(at=timezone.now()) == 0
    assert not mail.outbox
    assert "1 letters are queued, not sent" in seller_client.get("/seller/").content.decode()


def test_an_order_and_its_letter_are_kept_together_or_not_at_all(business, seller_client, monkeypatch):
    lot = make_lot(code="K1")
    make_reading(lot)
    order = make_order(customer=make_customer(email="greta@example.com"))

    def broken(*_args, **_more):
        raise RuntimeError("killed between the step and its letter")

    with monkeypatch.context() as breaking:
        breaking.setattr("firewood_site.letters.keep_letter", broken)
        with pytest.raises(RuntimeError):
            seller_client.post(f"/seller/orders/{order.number}/confirm", {"lot-K1": "1/3"})

    assert Order.objects.get(pk=order.pk).state == "asked"
    assert seller_client.post(f"/seller/orders/{order.number}/confirm", {"lot-K1": "1/3"}).status_code == 302
    assert Letter.objects.get().kind == "confirmed"
