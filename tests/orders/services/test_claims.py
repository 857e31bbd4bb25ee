"""What was short or wet is made good once: example 9, in money or in wood."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import Hold
from orders.models import Claim, Order, Payment, Ticket
from orders.selectors.money import (
    balance_of_order,
)
from orders.services.claims import ClaimEnded, NoClaimYet, claim_short, claim_wet_wood
from orders.services.make_good import (
    AlreadyMadeGood,
    MoreThanShort,
    NothingOwed,
    bring_wood_for_claim,
    credit_claim,
    undo_make_good,
)
from orders.services.payments import (
    record_payment,
)
from orders.services.tickets import make_ticket
from tests.factories.inventory import make_lot, make_reading
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


def paid(order, dollars, *, method="cash", **changes):
    fields = {"number": order.number, "dollars": Decimal(dollars), "method": method, "on": ON, "at": AT,
              "who": "tam", "key": uuid4()}  # fmt: skip
    return record_payment(**{**fields, **changes})


def mixed_cord(**changes):
    """Example 9: a mixed cord for 300.00, 60.00 deposit paid, delivered."""
    order = make_order(
        wood="mixed", cords=Fraction(1), total_dollars=Decimal(300), wood_dollars=Decimal(300),
        deposit_dollars=Decimal(60), state="confirmed", **changes,
    )  # fmt: skip
    paid(order, "60.00", is_deposit=True)
    Order.objects.filter(pk=order.pk).update(state="delivered", delivered_on=ON, delivered_cords=Fraction(1))
    order.refresh_from_db()
    return order


def test_example_9_credits_a_short_cord():
    order = mixed_cord()

    made = claim_short(
        number=order.number, key=uuid4(), on=ON, at=AT, length_ft=Decimal(22), height_ft=Decimal(4),
        depth_in=Decimal(16), heap_number=Fraction(180),
    )  # fmt: skip

    assert made.result.stack_cords == Fraction(11, 12)
    assert made.result.short_pct == Decimal("8.33")
    assert made.result.credit_dollars == Decimal("25.00")
    assert made.result.balance_dollars == Decimal("215.00")
    assert made.result.loose_ft3 == Decimal("15.0")
    assert made.result.heap_number == Decimal("196.4")
    credit_claim(claim_id=made.claim_id, on=ON, at=AT, who="ruth")
    assert balance_of_order(order.pk, total=order.total_dollars).due == Decimal("215.00")
    assert Claim.objects.get().state == "credited"


def test_a_claim_is_settled_once():
    order = mixed_cord()
    made = claim_short(
        number=order.number, key=uuid4(), on=ON, at=AT, length_ft=Decimal(22), height_ft=Decimal(4),
        depth_in=Decimal(16),
    )  # fmt: skip
    credit_claim(claim_id=made.claim_id, on=ON, at=AT, who="ruth")

    with pytest.raises(ClaimEnded):
        credit_claim(claim_id=made.claim_id, on=ON, at=AT, who="ruth")
    assert Payment.objects.filter(kind="credit").count() == 1


def test_a_stack_within_the_tolerance_is_owed_nothing():
    order = mixed_cord()
    made = claim_short(
        number=order.number, key=uuid4(), on=ON, at=AT, length_ft=Decimal("23.5"), height_ft=Decimal(4),
        depth_in=Decimal(16),
    )  # fmt: skip

    assert not made.result.is_owed
    with pytest.raises(NothingOwed):
        credit_claim(claim_id=made.claim_id, on=ON, at=AT, who="ruth")


def test_a_claim_sent_twice_is_one_claim():
    order, key = mixed_cord(), uuid4()

    for _tap in range(2):
        claim_wet_wood(number=order.number, key=key, on=ON, at=AT, readings=(Decimal(27),), basis="dry")

    assert Claim.objects.get().readings == ["27"]


def test_nobody_complains_about_wood_they_have_not_got():
    order = make_order()

    with pytest.raises(NoClaimYet):
        claim_wet_wood(number=order.number, key=uuid4(), on=ON, at=AT, readings=(), basis="")


def test_the_same_shortfall_is_not_made_good_twice():
    order = mixed_cord()
    sides = {"length_ft": Decimal(22), "height_ft": Decimal(4), "depth_in": Decimal(16)}
    first, second = (claim_short(number=order.number, key=uuid4(), on=ON, at=AT, **sides) for _ in range(2))
    credit_claim(claim_id=first.claim_id, on=ON, at=AT, who="ruth")

    with pytest.raises(AlreadyMadeGood, match="made good on the claim of"):
        credit_claim(claim_id=second.claim_id, on=ON, at=AT, who="ruth")
    with pytest.raises(AlreadyMadeGood):
        bring_wood_for_claim(claim_id=second.claim_id, on=ON, at=AT, who="ruth")

    assert balance_of_order(order.pk, total=order.total_dollars).credited == Decimal("25.00")


def short_claim(order):
    """22 by 4 feet of 16-inch pieces where a cord was promised: 11/12, so 1/12 is missing, worth 25.00."""
    sides = {"length_ft": Decimal(22), "height_ft": Decimal(4), "depth_in": Decimal(16)}
    return claim_short(number=order.number, key=uuid4(), on=ON, at=AT, **sides).claim_id


def mixed_lot():
    lot = make_lot(code="K5", cords=2, mix={"fir": 60, "oak": 40}, wood="mixed", sale="for_sale")
    make_reading(lot)
    return lot


def test_wood_to_make_good_is_a_real_order_with_its_wood_held(business):
    """ "I bring the rest" once made no hold, no drop and no task."""
    order, lot = mixed_cord(), mixed_lot()
    claim_id = short_claim(order)

    number = bring_wood_for_claim(claim_id=claim_id, on=ON, at=AT, who="ruth")

    brings = Order.objects.get(number=number)
    assert (brings.state, brings.cords, brings.total_dollars) == ("confirmed", Fraction(1, 12), 0)
    assert Hold.objects.get(reference=brings.reference).cords == Fraction(1, 12)
    assert balance_of_order(order.pk, total=order.total_dollars).credited == 0

    undo_make_good(claim_id=claim_id, on=ON, at=AT, who="ruth")

    lot.refresh_from_db()
    brings.refresh_from_db()
    assert (brings.state, lot.firm_cords, Claim.objects.get().state) == ("cancelled", 0, "open")


def test_wood_and_money_together_never_make_good_more_than_was_missing(business):
    order = mixed_cord()
    mixed_lot()
    claim_id = short_claim(order)
    told_with = {"claim_id": claim_id, "on": ON, "at": AT, "who": "ruth", "cords": Fraction(1, 24)}

    with pytest.raises(MoreThanShort, match=r"25\.00 or 1/12 cord"):
        bring_wood_for_claim(dollars=Decimal(20), **told_with)
    bring_wood_for_claim(dollars=Decimal("12.50"), **told_with)

    assert balance_of_order(order.pk, total=order.total_dollars).credited == Decimal("12.50")


def test_a_credit_undone_can_be_given_again_and_stands_on_the_ticket(business):
    order = mixed_cord()
    mixed_lot()
    make_ticket(number=order.number, at=AT, who="tam")
    claim_id = short_claim(order)
    credit_claim(claim_id=claim_id, on=ON, at=AT, who="ruth")
    assert Ticket.objects.latest("number").fields["credit_dollars"] == "25.00"

    undo_make_good(claim_id=claim_id, on=ON, at=AT, who="ruth")
    assert balance_of_order(order.pk, total=order.total_dollars).credited == 0
    credit_claim(claim_id=claim_id, on=ON, at=AT, who="ruth", dollars=Decimal(20))

    assert balance_of_order(order.pk, total=order.total_dollars).credited == 20
