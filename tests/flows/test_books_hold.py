"""Whatever is done in whatever order, corrections and undoings too, the books add up after every step."""

from contextlib import suppress
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.core import InventoryError
from inventory.models import Hold, Lot, Movement
from inventory.services.counts import correct_count, write_off
from inventory.services.hand_holds import hold_by_hand, release_by_hand
from inventory.services.lots import burn_kept, keep_for_own_use
from inventory.services.moves import move_wood
from inventory.services.parts import merge_lots
from orders.core import OrdersError
from orders.core.figures import Figures
from orders.models import Claim, Order, Payment
from orders.selectors.money import balance_of_order, to_pay_back
from orders.services import orders as steps
from orders.services.asking import Access
from orders.services.claims import claim_short
from orders.services.corrections import Correction, correct_order, goods_of
from orders.services.lapsing import lapse_unpaid
from orders.services.make_good import bring_wood_for_claim, credit_claim, undo_make_good
from orders.services.payments import (
    keep_money,
    record_credit,
    record_payment,
    record_refund,
    record_returned_check,
    undo_booking,
)
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db

ON, AT = date(2026, 9, 18), an_instant()
LOTS = ("K1", "K2", "K3")
SIZES = [Fraction(text) for text in ("1/12", "1/4", "1/3", "1/2", "5/6", "1")]
DOLLARS = [Decimal(text) for text in ("5", "33.33", "50", "100", "240")]
WHO = {"at": AT, "who": "ruth"}
WHAT = [
    "ask", "confirm", "confirm", "hand_over", "pay", "pay_by_check", "refund", "bounce", "undo",
    "undo", "credit", "keep", "cancel", "decline", "reopen", "amount", "lots", "price", "days",
    "count", "write_off", "own_use", "by_hand", "claim", "credit_claim", "bring", "undo_claim",
    "lapse", "unhold", "burn", "move", "merge",
]  # fmt: skip
STEP = st.tuples(
    st.sampled_from(WHAT),
    st.integers(0, 5),
    st.sampled_from(LOTS),
    st.sampled_from(SIZES),
    st.sampled_from(DOLLARS),
)


class Books:
    """Three lots and up to six orders; every method is one thing somebody may do."""

    def __init__(self) -> None:
        self.yards = [make_yard(name="Siding Yard"), make_yard(name="Upper Yard")]
        for code in LOTS:
            make_reading(make_lot(code=code, cords=2, yard=self.yards[0], sale="for_sale"))
        self.numbers = [make_order(how="pick_up").number for _ in range(2)]

    def do(self, what: str, which: int, lot: str, size: Fraction, dollars: Decimal) -> None:
        order = Order.objects.get(number=self.numbers[which % len(self.numbers)])
        with suppress(InventoryError, OrdersError), transaction.atomic():  # refused: nothing has changed
            getattr(self, what)(order, lot, size, dollars)

    def ask(self, _order: Order, _lot: str, size: Fraction, dollars: Decimal) -> None:
        if len(self.numbers) < 6:
            order = make_order(how="pick_up", cords=size, total_dollars=dollars, wood_dollars=dollars)
            self.numbers.append(order.number)

    def confirm(self, order: Order, lot: str, _size: Fraction, dollars: Decimal) -> None:
        lapses = ON + timedelta(days=3) if dollars == 50 else None
        steps.confirm_order(
            number=order.number, picks=[steps.Picked(lot=lot, cords=order.cords)], lapses_on=lapses, **WHO
        )

    def hand_over(self, order: Order, *_: Any) -> None:
        steps.hand_over_pick_up(number=order.number, on=ON, **WHO)
        make_ticket(number=order.number, **WHO)

    def pay(self, order: Order, _lot: str, _size: Fraction, dollars: Decimal, method: str = "cash") -> None:
        record_payment(
            number=order.number, dollars=dollars, method=method, on=ON, key=uuid4(), keep_too_much=True, **WHO
        )

    def pay_by_check(self, order: Order, lot: str, size: Fraction, dollars: Decimal) -> None:
        self.pay(order, lot, size, dollars, method="check")

    def refund(self, order: Order, _lot: str, _size: Fraction, dollars: Decimal) -> None:
        record_refund(number=order.number, dollars=dollars, method="check", on=ON, key=uuid4(), **WHO)

    def bounce(self, order: Order, *_: Any) -> None:
        check = Payment.objects.filter(order=order, method="check", kind="payment").first()
        record_returned_check(
            number=order.number, payment_id=check.pk if check else 0, on=ON, key=uuid4(), **WHO
        )

    def undo(self, order: Order, _lot: str, size: Fraction, _dollars: Decimal) -> None:
        lines = list(order.payments.all())
        line = lines[int(size * 12) % len(lines)].pk if lines else 0
        undo_booking(number=order.number, payment_id=line, on=ON, key=uuid4(), **WHO)

    def credit(self, order: Order, _lot: str, _size: Fraction, dollars: Decimal) -> None:
        record_credit(number=order.number, dollars=dollars, on=ON, key=uuid4(), **WHO)

    def keep(self, order: Order, *_: Any) -> None:
        keep_money(number=order.number, **WHO)

    def cancel(self, order: Order, *_: Any) -> None:
        steps.cancel_order(number=order.number, **WHO)

    def decline(self, order: Order, *_: Any) -> None:
        steps.decline_order(number=order.number, reason="away", **WHO)

    def reopen(self, order: Order, *_: Any) -> None:
        steps.reopen_order(number=order.number, **WHO)

    def amount(self, order: Order, _lot: str, size: Fraction, _dollars: Decimal) -> None:
        goods = goods_of(order)
        picks = [steps.Picked(lot=code, cords=size) for code in ("K2",) if order.state == "confirmed"]
        self._correct(order, goods=type(goods)(**{**as_dict(goods), "cords": size}), picks=tuple(picks))

    def lots(self, order: Order, lot: str, *_: Any) -> None:
        self._correct(order, picks=(steps.Picked(lot=lot, cords=goods_of(order).cords),))

    def price(self, order: Order, _lot: str, _size: Fraction, dollars: Decimal) -> None:
        figures = Figures(
            total=dollars, wood=dollars, drive=Decimal(0), tax=Decimal(0), deposit=Decimal(0), reasons=()
        )
        self._correct(order, figures=figures)

    def days(self, order: Order, *_: Any) -> None:
        self._correct(order, first_on=ON + timedelta(days=2), last_on=ON + timedelta(days=4))

    def _correct(self, order: Order, **changes: Any) -> None:
        as_it_is = {
            "goods": goods_of(order), "access": Access(), "small_rig_only": order.small_rig_only,
            "first_on": order.first_on, "last_on": order.last_on,
        }  # fmt: skip
        correct_order(number=order.number, asked=Correction(**{**as_it_is, **changes}), **WHO)

    def count(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        correct_count(code=lot, counted=2 * size, on=ON, **WHO)

    def write_off(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        write_off(code=lot, cords=size, on=ON, **WHO)

    def own_use(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        keep_for_own_use(code=lot, cords=size, **WHO)

    def by_hand(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        hold_by_hand(code=lot, cords=size, for_whom="Hob", kind="firm", **WHO)

    def lapse(self, *_: Any) -> None:
        lapse_unpaid(on=ON + timedelta(days=5), at=AT)

    def unhold(self, _order: Order, lot: str, *_: Any) -> None:
        by_hand = Hold.objects.filter(lot__code=lot, state="standing").exclude(reference__startswith="order ")
        hold = by_hand.first()
        release_by_hand(code=lot, hold_id=hold.pk if hold else 0, **WHO)

    def burn(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        burn_kept(code=lot, cords=size, on=ON, **WHO)

    def move(self, _order: Order, lot: str, size: Fraction, dollars: Decimal) -> None:
        part = None if size == 1 else size
        move_wood(code=lot, to_yard_id=self.yards[dollars > 50].pk, cords=part, on=ON, **WHO)

    def merge(self, _order: Order, lot: str, size: Fraction, _dollars: Decimal) -> None:
        every = list(Lot.objects.order_by("pk").values_list("code", flat=True))
        merge_lots(code=lot, into=every[int(size * 12) % len(every)], on=ON, **WHO)

    def claim(self, order: Order, *_: Any) -> None:
        sides = {"length_ft": Decimal(3), "height_ft": Decimal(4), "depth_in": Decimal(16)}
        claim_short(number=order.number, key=uuid4(), on=ON, at=AT, **sides)

    def credit_claim(self, order: Order, *_: Any) -> None:
        credit_claim(claim_id=self._claim(order), on=ON, **WHO)

    def bring(self, order: Order, *_: Any) -> None:
        self.numbers.append(bring_wood_for_claim(claim_id=self._claim(order), on=ON, **WHO))

    def undo_claim(self, order: Order, *_: Any) -> None:
        undo_make_good(claim_id=self._claim(order), on=ON, **WHO)

    def _claim(self, order: Order) -> int:
        found = Claim.objects.filter(order=order).first()
        return found.pk if found else 0


def as_dict(row: Any) -> dict[str, Any]:
    return {name: getattr(row, name) for name in row.__dataclass_fields__}


def check_wood() -> None:
    """Lots fold from their ledgers and promises from their holds: none twice, a shortfall always told."""
    for lot in Lot.objects.all():
        assert lot.on_hand_cords == (lot.movements.aggregate(all=Sum("cords"))["all"] or 0) >= 0
        standing = lot.holds.filter(state="standing")
        assert lot.firm_cords == (standing.filter(kind="firm").aggregate(all=Sum("cords"))["all"] or 0)
        assert lot.soft_cords == (standing.filter(kind="soft").aggregate(all=Sum("cords"))["all"] or 0)
        promised = lot.firm_cords + lot.soft_cords + lot.kept_cords
        assert lot.short_cords == max(promised - lot.on_hand_cords, 0)
    came = Movement.objects.filter(kind__in=("measured", "corrected")).aggregate(all=Sum("cords"))["all"] or 0
    went = (
        Movement.objects.exclude(kind__in=("measured", "corrected")).aggregate(all=Sum("cords"))["all"] or 0
    )
    assert sum(lot.on_hand_cords for lot in Lot.objects.all()) == came + went


def check_orders() -> None:
    """Every ledger folds to its balance; what was delivered was drawn; what is paid and there is settled."""
    owed = {row.number: row.due for row in to_pay_back()}
    for order in Order.objects.all():
        money = balance_of_order(order.pk, total=order.billed_dollars)
        ledger = sum(order.payments.values_list("dollars", flat=True))
        assert ledger == money.received + money.credited
        assert money.due - money.overpaid == order.billed_dollars - ledger
        assert 0 <= money.owed_back <= money.overpaid
        assert owed.get(order.number, 0) == money.owed_back
        assert money.received >= 0
        assert money.credited <= order.total_dollars
        drawn = Movement.objects.filter(reference=order.reference, kind__in=("sold", "returned"))
        out = -(drawn.aggregate(all=Sum("cords"))["all"] or 0)
        held = sum(hold.cords for hold in steps.standing_holds(order))
        there = order.state in ("delivered", "settled")
        assert (out, held) == (
            (order.delivered_cords, 0) if there else (0, order.cords if order.state == "confirmed" else 0)
        )
        if there:
            assert (order.state == "settled") == (money.due == 0)
            assert order.ticket is not None


def run(todo: list[tuple[str, int, str, Fraction, Decimal]]) -> None:
    with transaction.atomic():  # each example starts from the same empty books
        books = Books()
        for step in todo:
            books.do(*step)
            check_wood()
            check_orders()
        transaction.set_rollback(True)


@pytest.mark.on_both
@pytest.mark.slow
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=5, max_size=15))
def test_the_books_add_up_after_every_step(business, todo):
    run(todo)


@pytest.mark.slow
@pytest.mark.long
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=200, max_size=200))
def test_the_books_add_up_after_every_one_of_two_hundred_steps(business, todo):
    run(todo)
