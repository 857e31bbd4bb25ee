"""A claim put right: money off, wood brought by an order of its own, or both; never more than was short."""

from contextlib import suppress
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import UUID, uuid5

from django.db import transaction

from inventory.core.gaps import Cords, FullDate
from inventory.core.local import to_the_cent
from inventory.core.references import named
from inventory.core.sentences import Sentence
from inventory.core.units import format_cords
from inventory.selectors.sale import lots_for_picking
from inventory.services import audit
from inventory.services.ledger import as_kept
from orders.core import OrdersError, picking
from orders.core.tickets import TicketIncomplete
from orders.models import Claim, Order, Payment
from orders.services.asking import order_for_writing
from orders.services.claims import end_claim, open_claim
from orders.services.numbering import next_number
from orders.services.orders import cancel_order, hold_picks
from orders.services.payments import record_credit, undo_booking
from orders.services.tickets import NothingToReplace, replace_ticket

BRING_WITHIN = timedelta(days=14)
A_CENT = Fraction(1, 100)
MADE_GOOD = (Claim.State.CREDITED, Claim.State.BROUGHT)


class AlreadyMadeGood(OrdersError):
    """The same shortfall was to be paid a second time."""

    says = "The shortfall of order {number} was made good on the claim of {on}: answer this one in words."
    in_words = {"on": FullDate}


class MoreThanShort(OrdersError):
    """Money and wood together would be more than what was missing."""

    says = (
        "What was missing is {credit} or {cords}: money and wood together may come to that once. Write "
        "less of one."
    )
    in_words = {"credit": to_the_cent, "cords": Cords}


class NothingOwed(OrdersError):
    says = "This stack is within the tolerance: answer it in words, or write an amount."


class NotMadeGood(OrdersError):
    says = "This claim was not put right with money or wood, so there is nothing to undo."


class WoodIsThere(OrdersError):
    says = "Order {number} has brought the wood already: the claim stays as it was answered."


@transaction.atomic
def credit_claim(
    *, claim_id: int, on: date, at: datetime, who: str, dollars: Decimal | None = None, answer: str = ""
) -> None:
    """Settle a claim with money off, by default what was worked out.

    Errors
        NoSuchClaim, ClaimEnded, BadEntry
        NothingOwed: within the tolerance and no amount given.
        AlreadyMadeGood: another claim of this order settled the same shortfall.
        CreditTooLarge (orders.services.payments)
    """
    claim = open_claim(claim_id)
    _refuse_twice(claim)
    amount = Decimal(claim.result.get("credit", "0")) if dollars is None else dollars
    if amount <= 0:
        raise NothingOwed
    _credit(claim, amount, on=on, at=at, who=who)
    end_claim(claim, Claim.State.CREDITED, at=at, who=who, answer=answer or f"{to_the_cent(amount)} credited")


@transaction.atomic
def bring_wood_for_claim(
    *,
    claim_id: int,
    on: date,
    at: datetime,
    who: str,
    cords: Fraction | None = None,
    dollars: Decimal | None = None,
    answer: str = "",
) -> int:
    """Settle a claim with wood: an order of its own that costs nothing and holds it; its number.

    Units
        cords: by default all that was missing. dollars: credited beside it, for the rest.

    Errors
        NoSuchClaim, ClaimEnded, AlreadyMadeGood
        NothingOwed: within the tolerance and no amount given.
        MoreThanShort: wood and money are more than what was missing.
        NoSuchWood, NotEnoughWood, NothingDryEnough: no lot has it.
        CreditTooLarge (orders.services.payments)
    """
    claim = open_claim(claim_id)
    _refuse_twice(claim)
    short, credit = _missing(claim)
    amount = as_kept(short if cords is None else cords)
    if amount <= 0:
        raise NothingOwed
    money = dollars or Decimal(0)
    if money and short and Fraction(money) > Fraction(credit) * max(1 - amount / short, Fraction(0)) + A_CENT:
        raise MoreThanShort(credit=credit, cords=short)
    order = _order_that_brings(claim, amount, on=on, at=at, who=who)
    if money:
        _credit(claim, money, on=on, at=at, who=who)
    also = f", {to_the_cent(money)} credited" if money else ""
    claim.brought_by = order
    claim.save(update_fields=["brought_by"])
    said = f"{format_cords(amount)} comes with order {order.number}{also}"
    end_claim(claim, Claim.State.BROUGHT, at=at, who=who, answer=answer or said)
    return order.number


@transaction.atomic
def undo_make_good(*, claim_id: int, on: date, at: datetime, who: str) -> None:
    """Open a claim again that was put right by mistake: its credit undone, its order cancelled.

    Errors
        NoSuchClaim, NotMadeGood
        WoodIsThere: the order has brought it.
    """
    claim = Claim.objects.select_related("order", "brought_by").filter(pk=claim_id).first()
    if claim is None or claim.state not in MADE_GOOD:
        raise NotMadeGood
    credit = Payment.objects.filter(key=_credit_key(claim, last=True)).first()
    if credit is not None and not credit.reversals.exists():
        undo_booking(
            number=claim.order.number, payment_id=credit.pk, on=on, at=at, who=who,
            key=uuid5(credit.key, "undone"),
        )  # fmt: skip
    if claim.brought_by is not None:
        _call_off(claim.brought_by, at=at, who=who)
    claim.state, claim.answer, claim.ended_at, claim.brought_by = Claim.State.OPEN, "", None, None
    claim.save(update_fields=["state", "answer", "ended_at", "brought_by"])
    _keep_ticket_true(claim.order.number, at=at, who=who)
    audit.note(at=at, who=who, verb="claim opened again", thing=claim.order.reference)


def _call_off(order: Order, *, at: datetime, who: str) -> None:
    if order.state in (Order.State.DELIVERED, Order.State.SETTLED):
        raise WoodIsThere(number=order.number)
    if order.state != Order.State.CANCELLED:
        cancel_order(number=order.number, at=at, who=who, reason=Sentence("The make-good was undone."))


def _missing(claim: Claim) -> tuple[Fraction, Decimal]:
    """Cords that were missing and what they cost; nothing within the tolerance or for wet wood."""
    result = claim.result
    if not result.get("is_owed"):
        return Fraction(0), Decimal(0)
    short = Fraction(result["promised_cords"]) - Fraction(result["stack_cords"])
    return short, Decimal(result["credit"])


def _order_that_brings(claim: Claim, cords: Fraction, *, on: date, at: datetime, who: str) -> Order:
    """An order for nothing, to the same place, with its wood held."""
    short = order_for_writing(claim.order.number)
    picks = picking.pick_lots(
        lots_for_picking(on), wood=short.wood, cords=cords, on=on, dryness=short.dryness
    )
    order = Order(
        number=next_number(series="order", of=Order),
        customer=short.customer, place=short.place, market=short.market, state=Order.State.CONFIRMED,
        wood=short.wood, dryness=short.dryness, cords=cords, how=short.how, stacked=False,
        small_rig_only=short.small_rig_only, total_dollars=Decimal(0), wood_dollars=Decimal(0),
        reasons=[], first_on=on, last_on=on + BRING_WITHIN, window_from=short.window_from,
        window_to=short.window_to, asked_at=at, asked_on=on, confirmed_at=at, pay_how=short.pay_how,
        seller_note=f"Make-good for order {short.number}",
    )  # fmt: skip
    order.full_clean()
    order.save()
    hold_picks(order, picks, lapses_on=None, at=at)
    audit.note(
        at=at,
        who=who,
        verb="made good",
        thing=order.reference,
        note=Sentence("for {whom}", {"whom": named(short.reference)}),
    )
    return order


def _credit(claim: Claim, amount: Decimal, *, on: date, at: datetime, who: str) -> None:
    number = claim.order.number
    key = _credit_key(claim)
    record_credit(number=number, dollars=amount, on=on, at=at, who=who, key=key, note=Sentence("make-good"))
    _keep_ticket_true(number, at=at, who=who)


def _credit_key(claim: Claim, *, last: bool = False) -> UUID:
    """The key of the claim's next credit, or of its last: one that was undone is followed by another."""
    keys = [uuid5(claim.key, "credit")]
    while Payment.objects.filter(key=keys[-1]).exists():
        keys.append(uuid5(keys[-1], "credit"))
    return keys[-2] if last and len(keys) > 1 else keys[-1]


def _keep_ticket_true(number: int, *, at: datetime, who: str) -> None:
    with suppress(NothingToReplace, TicketIncomplete):
        replace_ticket(number=number, at=at, who=who)


def _refuse_twice(claim: Claim) -> None:
    """One load has one shortfall, however often it is measured."""
    twin = Claim.objects.filter(order=claim.order, kind=Claim.Kind.SHORT, state__in=MADE_GOOD).first()
    if twin is not None and claim.kind == Claim.Kind.SHORT:
        raise AlreadyMadeGood(number=claim.order.number, on=twin.on)
