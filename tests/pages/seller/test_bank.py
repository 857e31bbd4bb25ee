"""Transfers of a bank's file are ticked off against the orders they pay: each line once, nothing guessed."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from orders.models import Order, Payment
from tests.factories.orders import make_customer, make_order

FILE = """Posted Date,Description,Amount
09/16/2026,TRANSFER FROM WILMA KEATS QRW-208,282.00
09/16/2026,ZELLE GRETA SOOL THANKS,100.00
09/15/2026,TRANSFER QRW 208 AGAIN,50.00
09/14/2026,HARDWARE STORE,-61.20
09/13/2026,INTEREST,0.35
total,,370
"""

pytestmark = pytest.mark.django_db


@pytest.fixture
def orders(business):
    make_order(
        number=208, customer=make_customer("Wilma Keats"), state="confirmed", total_dollars=Decimal(282)
    )
    make_order(
        number=202, customer=make_customer("Greta Sool"), state="confirmed", total_dollars=Decimal(100)
    )


def send(client, data=FILE, name="bank.csv"):
    return client.post(reverse("money-bank"), {"file": SimpleUploadedFile(name, data.encode())})


def record(client, lines):
    ticked = [str(row.key) for row in lines]
    return client.post(reverse("money-bank"), {"act": "record", "line": ticked}, follow=True)


def test_a_reference_is_sure_a_name_and_amount_wants_a_look_the_rest_has_no_order(seller_client, orders):
    lines = send(seller_client).context["lines"]

    assert [(row.dollars, row.order and row.order.number, row.is_sure) for row in lines] == [
        (Decimal("282.00"), 208, True),
        (Decimal("100.00"), 202, False),
        (Decimal("50.00"), 208, True),
        (Decimal("0.35"), None, False),
    ]
    assert not Payment.objects.exists()


def test_what_was_ticked_is_recorded_once_however_often_the_file_comes(seller_client, orders):
    lines = send(seller_client).context["lines"]

    assert "2 transfers recorded." in record(seller_client, lines[:2]).content.decode()

    paid = {row.order.number: (row.dollars, row.method) for row in Payment.objects.all()}
    assert paid == {208: (Decimal(282), "transfer"), 202: (Decimal(100), "transfer")}
    again = send(seller_client).context["lines"]
    assert [row.is_booked for row in again].count(True) == 2
    record(seller_client, again)
    assert Payment.objects.filter(order__number=208).count() == 1
    assert Order.objects.filter(state="confirmed").count() == 2


def test_two_alike_on_one_day_are_two(seller_client, orders):
    line = "09/16/2026,QRW-208,100.00\n"

    lines = send(seller_client, f"Date,Text,Amount\n{line}{line}").context["lines"]
    record(seller_client, lines)

    assert Payment.objects.filter(order__number=208).count() == 2


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ("a,b\n1,2\n", "No column of this file is called date"),
        ("date,b\n1,2\n", "No column of this file is called amount"),
        ("date\n", "at least one line below it"),
        ("date,amount\nx,y\n", "No money came in by this file"),
    ],
)
def test_a_file_that_says_nothing_is_answered_in_a_sentence(seller_client, data, said):
    assert said in send(seller_client, data).content.decode()


def test_nothing_ticked_and_no_file_is_answered_too(seller_client, orders):
    page = seller_client.post(reverse("money-bank"), {"act": "record"})

    assert page.status_code == 422
    assert "Choose the file you downloaded from your bank." in page.content.decode()
