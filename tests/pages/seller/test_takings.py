"""Money by month: by way of payment, by town with its tax, what is held and owed, and the file of it."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from orders.models import Order, Payment
from orders.services.orders import cancel_order
from orders.services.payments import record_credit, record_payment, undo_booking
from tests.factories.inventory import an_instant
from tests.factories.orders import make_order

AT = an_instant()


def paid(order: Order, dollars: int, method: str, on: date) -> Payment:
    record_payment(
        number=order.number, dollars=Decimal(dollars), method=method, on=on, at=AT, who="ruth", key=uuid4()
    )
    return Payment.objects.latest("id")


@pytest.fixture
def books(seller_client):
    """August 60 in cash; September 40 by check and 20 in cash, 30 undone, 25 credited, a deposit of 20."""
    there = {"state": "delivered", "delivered_on": date(2026, 9, 3), "tax_dollars": Decimal(5)}
    first, second = make_order(**there), make_order(**there)
    paid(first, 60, "cash", date(2026, 8, 30))
    paid(first, 40, "check", date(2026, 9, 4))
    mistake = paid(second, 30, "cash", date(2026, 9, 5))
    told = {"on": date(2026, 9, 6), "at": AT, "who": "ruth", "number": second.number}
    undo_booking(payment_id=mistake.pk, key=uuid4(), **told)
    record_credit(dollars=Decimal(25), key=uuid4(), note="=1+1", **told)
    paid(make_order(), 20, "cash", date(2026, 9, 7))
    gone = make_order()
    paid(gone, 15, "transfer", date(2026, 9, 8))
    cancel_order(number=gone.number, at=AT, who="ruth")
    return second


def test_the_year_adds_up_by_month_way_and_town(seller_client, books):
    page = seller_client.get("/seller/money/books")

    found = page.context["books"]
    assert found.ways == ("cash", "check", "transfer")
    assert [(row.month, row.by_way, row.total) for row in found.months] == [
        (date(2026, 8, 1), (60, 0, 0), 60),
        (date(2026, 9, 1), (20, 40, 15), 75),
    ]
    assert [(row.town, row.orders, row.before_tax, row.tax, row.credited) for row in found.towns] == [
        ("Marrow Bridge", 2, 190, 10, 25)
    ]
    assert (found.deposits_held, found.owed, found.to_pay_back) == (20, 75, 15)


def test_one_month_and_the_file_of_its_lines(seller_client, books):
    days = "from=2026-09-01&to=2026-09-30"
    assert seller_client.get(f"/seller/money/books?{days}").context["books"].total == 75

    lines = seller_client.get(f"/seller/money/books.csv?{days}").content.decode().splitlines()

    assert len(lines) == 7
    assert any("undone" in line and "-30.00" in line for line in lines)
    assert any(line.endswith(",'=1+1") for line in lines)  # never a formula


@pytest.mark.parametrize(
    "days", ["from=x&to=y", "from=2026-12-01&to=2026-01-01", "from=&to=", "from=9999-99-99"]
)
def test_days_that_are_none_show_this_year(seller_client, days):
    assert seller_client.get(f"/seller/money/books?{days}").status_code == 200
