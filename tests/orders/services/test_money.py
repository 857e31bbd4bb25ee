"""Money and tickets: the ledger adds up, papers lack nothing."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Hold
from inventory.models.append_only import WrittenOnce
from orders.core.tickets import TicketIncomplete
from orders.models import Customer, OrderHold, Payment, Ticket
from orders.selectors.money import (
    balance_of_order,
    checks_of,
    day_money,
    owed,
    owed_by_customer,
    pay_first_note,
    payments_of,
    to_pay_back,
)
from orders.services.customers import StillOwing, erase_customer
from orders.services.orders import Picked, cancel_order, confirm_order
from orders.services.payments import (
    CreditTooLarge,
    NotACheck,
    NothingToReturn,
    NotUndone,
    TooMuchPaid,
    keep_money,
    record_credit,
    record_refund,
    record_returned_check,
    undo_booking,
)
from orders.services.tickets import NotDelivered, make_ticket
from tests.factories.inventory import make_hold, make_lot, make_reading
from tests.factories.orders import make_customer, make_order
from tests.orders.services.test_claims import mixed_cord, paid

pytestmark = pytest.mark.django_db

ON = date(2026, 9, 18)
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


def test_cash_too_large_is_changed_and_the_order_is_settled():
    order = mixed_cord()

    booked = paid(order, "250.00")

    assert (booked.handed.applied, booked.handed.change) == (Decimal("240.00"), Decimal("10.00"))
    order.refresh_from_db()
    assert order.state == "settled"


def test_a_check_too_large_from_a_stranger_books_nothing():
    order = make_order()

    with pytest.raises(TooMuchPaid):
        paid(order, "900.00", method="check")

    assert not Payment.objects.exists()


def test_a_returned_check_makes_it_due_again_and_the_buyer_pay_first():
    order = mixed_cord()
    paid(order, "240.00", method="check")

    (check,) = checks_of(order.number)
    told = {"number": order.number, "payment_id": check.id, "on": ON, "at": AT, "who": "ruth"}
    after = record_returned_check(**told, key=uuid4())

    with pytest.raises(NotACheck):
        record_returned_check(**told, key=uuid4())
    order.refresh_from_db()
    assert (after.due, order.state) == (Decimal("240.00"), "delivered")
    assert Customer.objects.get().pay_first
    assert owed_by_customer(order.customer_id) == Decimal("240.00")
    assert [row.due for row in owed(ON)] == [Decimal("240.00")]


def test_cash_never_bounces():
    """A customer who paid in cash or by transfer was once branded for a check that came back."""
    order = mixed_cord()
    cash = Payment.objects.get()

    with pytest.raises(NotACheck):
        record_returned_check(number=order.number, payment_id=cash.pk, on=ON, at=AT, who="ruth", key=uuid4())

    assert not Customer.objects.get().pay_first


def test_a_credit_never_exceeds_what_the_order_costs():
    """9,000 dollars were once credited on an order of 217."""
    order = mixed_cord()
    told = {"number": order.number, "on": ON, "at": AT, "who": "ruth"}

    with pytest.raises(CreditTooLarge, match=r"more than the 300\.00"):
        record_credit(dollars=Decimal(9000), key=uuid4(), **told)
    record_credit(dollars=Decimal(250), key=uuid4(), **told)
    with pytest.raises(CreditTooLarge, match=r"more than the 50\.00"):
        record_credit(dollars=Decimal(51), key=uuid4(), **told)


def test_a_credit_on_a_paid_order_is_owed_back():
    order = mixed_cord()
    paid(order, "240.00")

    balance = record_credit(number=order.number, dollars=Decimal(50), on=ON, at=AT, who="ruth", key=uuid4())

    assert (balance.overpaid, balance.owed_back) == (50, 50)
    assert [(row.number, row.due) for row in to_pay_back()] == [(order.number, 50)]

    record_refund(
        number=order.number, dollars=Decimal(50), method="cash", on=ON, at=AT, who="ruth", key=uuid4()
    )

    assert to_pay_back() == ()


def test_what_was_owed_before_the_books_counts():
    """Order 212 of the scenario: 165.00 and a check returned on 12 January."""
    gus = make_customer(
        "Gus Morrow", owed_before=Decimal(165), pay_first=True, pay_first_on=date(2026, 1, 12)
    )

    note = pay_first_note(gus.pk, on=ON)

    assert (note.owed, note.days) == (Decimal(165), 249)


def test_no_more_is_given_back_than_came():
    order = mixed_cord()

    with pytest.raises(NothingToReturn):
        record_refund(
            number=order.number, dollars=Decimal(61), method="cash", on=ON, at=AT, who="ruth", key=uuid4()
        )


def test_a_line_of_the_ledger_is_never_changed():
    mixed_cord()

    with pytest.raises(WrittenOnce):
        Payment.objects.update(dollars=Decimal(1))


def test_a_deposit_firms_up_the_soft_hold():
    lot = make_lot(code="K1", cords=2)
    make_reading(lot)
    order = make_order()
    confirm_order(
        number=order.number, picks=[Picked(lot="K1", cords=Fraction(1, 3))], at=AT, who="ruth",
        lapses_on=date(2026, 9, 21),
    )  # fmt: skip
    assert Hold.objects.get().kind == "soft"

    paid(order, "20.00", is_deposit=True)

    assert Hold.objects.get().kind == "firm"


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.integers(min_value=1, max_value=9000), min_size=1, max_size=6))
def test_cash_booked_and_change_given_always_add_up_to_what_was_handed_over(cents):
    order = make_order()

    for handed in cents:
        booked = paid(order, Decimal(handed) / 100)
        assert booked.handed.applied + booked.handed.change == Decimal(handed) / 100

    assert balance_of_order(order.pk, total=order.total_dollars).overpaid == 0


def test_the_money_of_a_day_is_told_by_way_of_paying():
    order = mixed_cord()
    paid(order, "100.00", method="check")

    money = day_money(ON)

    assert dict(money.by_method) == {"cash": Decimal("60.00"), "check": Decimal("100.00")}
    assert money.total == Decimal("160.00")


def test_a_ticket_carries_every_field_and_is_made_once(business):
    order = mixed_cord()

    first = make_ticket(number=order.number, at=AT, who="tam")
    again = make_ticket(number=order.number, at=AT, who="tam")

    fields = Ticket.objects.get().fields
    assert first == again
    assert fields["amount_delivered"] == "1 cord (128 cubic feet stacked)"
    assert fields["buyer_name"] == "Greta Sool"
    assert fields["seller_name"] == "Quarrel Ridge Wood"
    assert fields["measured_by"] == "tam"


def test_a_ticket_never_claims_drier_than_it_was_read(business):
    """ "Quality: seasoned" once stood beside readings of 30 to 34 %."""
    order = mixed_cord()
    lot = make_lot(mix={"fir": 60, "oak": 40}, wood="mixed")
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords=1))
    make_reading(lot, 30, 34, 31, 33, 32, on=ON)

    make_ticket(number=order.number, at=AT, who="tam")

    fields = Ticket.objects.get().fields
    assert fields["quality"] == "part seasoned by the readings at loading (sold as seasoned)"
    assert "30, 34, 31, 33, 32" in fields["readings"]
    assert fields["identity"] == "60% Douglas-fir, 40% Oregon white oak"
    assert fields["tax_dollars"] == "0.00"


def test_a_ticket_without_the_sellers_address_is_refused_by_name(business):
    business.address = ""
    business.save()
    order = mixed_cord()

    with pytest.raises(TicketIncomplete, match="the seller's address"):
        make_ticket(number=order.number, at=AT, who="tam")

    assert not Ticket.objects.exists()


def test_there_is_no_ticket_before_the_drop(business):
    with pytest.raises(NotDelivered):
        make_ticket(number=make_order().number, at=AT, who="tam")


def test_a_debtor_is_not_erased():
    order = mixed_cord()

    with pytest.raises(StillOwing):
        erase_customer(
            customer_id=order.customer_id, owed=owed_by_customer(order.customer_id), at=AT, who="ruth"
        )


def told(order, **more):
    return {"number": order.number, "on": ON, "at": AT, "who": "ruth", "key": uuid4(), **more}


def test_a_payment_entered_by_mistake_is_undone_by_another_line():
    """A tap recorded the full price from a customer who had paid nothing."""
    order = mixed_cord()
    paid(order, "240.00")
    order.refresh_from_db()
    assert order.state == "settled"
    line = Payment.objects.latest("id")

    balance = undo_booking(payment_id=line.pk, **told(order))

    order.refresh_from_db()
    assert (balance.due, order.state) == (240, "delivered")
    assert Payment.objects.filter(pk=line.pk).exists()
    assert [row.stands for row in payments_of(order.number)] == [True, False, True]
    with pytest.raises(NotUndone, match="already"):
        undo_booking(payment_id=line.pk, **told(order))


def test_a_bounced_check_marked_by_mistake_is_undone_with_its_note_and_may_bounce_again():
    order = mixed_cord()
    paid(order, "240.00", method="check")
    check = Payment.objects.latest("id")
    record_returned_check(payment_id=check.pk, **told(order))
    assert Customer.objects.get().pay_first
    with pytest.raises(NotUndone, match="bounced"):
        undo_booking(payment_id=check.pk, **told(order))

    undo_booking(payment_id=Payment.objects.get(kind="returned").pk, **told(order))

    assert not Customer.objects.get().pay_first
    assert balance_of_order(order.pk, total=order.total_dollars).due == 0
    assert pay_first_note(order.customer_id, on=ON) is None
    record_returned_check(payment_id=check.pk, **told(order))
    assert balance_of_order(order.pk, total=order.total_dollars).due == 240


def test_a_credit_and_a_refund_are_undone():
    order = mixed_cord()
    paid(order, "240.00")
    record_credit(dollars=Decimal(50), **told(order))
    record_refund(dollars=Decimal(50), method="transfer", **told(order))

    undo_booking(payment_id=Payment.objects.get(kind="credit").pk, **told(order))
    assert balance_of_order(order.pk, total=order.total_dollars).due == 50
    undo_booking(payment_id=Payment.objects.get(kind="payment").pk, **told(order))
    with pytest.raises(NotUndone, match="undo the refund first"):
        undo_booking(payment_id=Payment.objects.get(kind="deposit").pk, **told(order))
    undo_booking(payment_id=Payment.objects.get(kind="refund").pk, **told(order))
    assert balance_of_order(order.pk, total=order.total_dollars).due == 240


def test_a_cancelled_order_is_not_due_and_its_deposit_is_owed_back_or_kept():
    order = make_order()
    paid(order, "20.00", is_deposit=True)
    cancel_order(number=order.number, at=AT, who="ruth")
    order.refresh_from_db()

    balance = balance_of_order(order.pk, total=order.billed_dollars)
    assert (balance.due, balance.owed_back) == (0, 20)
    assert [(row.number, row.due) for row in to_pay_back()] == [(order.number, 20)]

    keep_money(number=order.number, at=AT, who="ruth")
    assert to_pay_back() == ()


def test_too_much_from_a_stranger_is_never_ours_to_send_back():
    order = mixed_cord()
    paid(order, "540.00", method="check", keep_too_much=True)

    balance = balance_of_order(order.pk, total=order.total_dollars)
    assert (balance.overpaid, balance.sent_too_much, balance.owed_back) == (300, 300, 0)
    assert to_pay_back() == ()
    record_credit(dollars=Decimal(25), **told(order))
    assert balance_of_order(order.pk, total=order.total_dollars).owed_back == 25


def test_money_given_back_beyond_what_was_owed_is_due_again():
    order = mixed_cord()
    paid(order, "240.00")

    record_refund(dollars=Decimal(50), method="cash", **told(order))

    order.refresh_from_db()
    assert (order.state, [row.due for row in owed(ON)]) == ("delivered", [50])
