"""The customer measured it, or read it wet: what they found, what is owed, how it was put right."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from django.db import transaction

from inventory.core.measure import form_figure
from inventory.core.money import dollars_for
from inventory.services import audit
from orders.core import CustomerRefusal, OrdersError, makegood
from orders.core.makegood import MakeGood
from orders.models import Claim, Order
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing


class NoClaimYet(CustomerRefusal):
    """Nothing was delivered that could be measured."""

    says = "Order {number} is not delivered yet, so there is nothing to measure."


class NoSuchClaim(OrdersError):
    says = "There is no such claim."


class ClaimEnded(CustomerRefusal):
    """A claim that was answered is not changed any more."""

    says = "This claim is answered already: open a new one if something else is wrong."


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """The claim and, for a short one, what it comes to."""

    claim_id: int
    result: MakeGood | None
    is_new: bool = True


@transaction.atomic
def claim_short(
    *,
    number: int,
    key: UUID,
    on: date,
    at: datetime,
    length_ft: Decimal,
    height_ft: Decimal,
    depth_in: Decimal,
    cribbed_ends: int = 0,
    message: str = "",
    who: str = "customer",
    heap_number: Fraction | None = None,
) -> Claimed:
    """The buyer stacked it and measured: keep the measures and work out the shortfall.

    The same key again gives the claim it made before.

    Errors
        NoSuchOrder, NoClaimYet
        BadMeasurement: a side of nothing or less.
    """
    order = _delivered(number)
    promised = order.cords if order.delivered_cords is None else min(order.cords, order.delivered_cords)
    measured = makegood.stack_cords(
        length_ft=length_ft, height_ft=height_ft, depth_in=depth_in, cribbed_ends=cribbed_ends
    )
    ticket = order.ticket
    heap = heap_number or Fraction(form_figure("splits").value)
    loaded = Fraction(ticket.loaded_ft3) if ticket and ticket.loaded_ft3 else heap * promised
    result = makegood.make_good(
        promised_cords=promised,
        measured_cords=measured,
        wood_dollars=dollars_for(order.wood_dollars, promised / order.cords),
        balance_dollars=balance_of_order(order.pk, total=order.total_dollars).due,
        loaded_ft3=loaded,
        heap_number=heap,
    )
    known = Claim.objects.filter(key=key).first()
    if known is not None:
        return Claimed(claim_id=known.pk, result=result, is_new=False)
    claim = Claim(
        order=order,
        key=key,
        kind=Claim.Kind.SHORT,
        on=on,
        length_ft=length_ft,
        height_ft=height_ft,
        depth_in=depth_in,
        message=message.strip()[:500],
        made_at=at,
        result={
            "promised_cords": str(promised),
            "stack_cords": str(measured),
            "short_pct": f"{result.short_pct:.2f}",
            "is_owed": result.is_owed,
            "credit": f"{result.credit_dollars:.2f}",
            "balance": f"{result.balance_dollars:.2f}",
            "refund": f"{result.refund_dollars:.2f}",
            "loose_ft3": f"{result.loose_ft3:.1f}",
            "heap_number": f"{result.heap_number:.1f}",
            "loaded_ft3": f"{float(loaded):.1f}",
            "cribbed_ends": cribbed_ends,
        },
    )
    claim.full_clean()
    claim.save()
    audit.note(at=at, who=who, verb="claimed short", thing=order.reference, after=claim.result)
    return Claimed(claim_id=claim.pk, result=result)


@transaction.atomic
def claim_wet_wood(
    *,
    number: int,
    key: UUID,
    on: date,
    at: datetime,
    readings: tuple[Decimal, ...],
    basis: str,
    message: str = "",
    who: str = "customer",
) -> Claimed:
    """The buyer says it is not dry: keep their readings with the basis they were read on.

    Errors
        NoSuchOrder, NoClaimYet
    """
    order = _delivered(number)
    known = Claim.objects.filter(key=key).first()
    if known is not None:
        return Claimed(claim_id=known.pk, result=None, is_new=False)
    claim = Claim(
        order=order,
        key=key,
        kind=Claim.Kind.WET,
        on=on,
        readings=[f"{reading.normalize():f}" for reading in readings],
        basis=basis if readings else "",
        message=message.strip()[:500],
        made_at=at,
    )
    claim.full_clean()
    claim.save()
    audit.note(at=at, who=who, verb="claimed wet", thing=order.reference)
    return Claimed(claim_id=claim.pk, result=None)


@transaction.atomic
def claim_told(
    *, number: int, key: UUID, kind: str, on: date, at: datetime, message: str, who: str = "customer"
) -> Claimed:
    """Anything else that went wrong, in the buyer's words; late may be said before the wood is there.

    Errors
        NoSuchOrder, NoClaimYet
        ValidationError: no such kind.
    """
    order = order_for_writing(number) if kind == Claim.Kind.LATE else _delivered(number)
    if order.state in (Order.State.ASKED, Order.State.DECLINED, Order.State.CANCELLED):
        raise NoClaimYet(number=number)
    known = Claim.objects.filter(key=key).first()
    if known is not None:
        return Claimed(claim_id=known.pk, result=None, is_new=False)
    claim = Claim(order=order, key=key, kind=kind, on=on, message=message.strip()[:500], made_at=at)
    claim.full_clean()
    claim.save()
    audit.note(at=at, who=who, verb=f"claimed {kind}", thing=order.reference)
    return Claimed(claim_id=claim.pk, result=None)


@transaction.atomic
def answer_claim(*, claim_id: int, answer: str, at: datetime, who: str) -> None:
    """Answer a claim in words: readings at loading, what the measure came to.

    Errors
        NoSuchClaim, ClaimEnded
    """
    end_claim(open_claim(claim_id), Claim.State.ANSWERED, at=at, who=who, answer=answer)


def tolerance_words() -> str:
    """The tolerance between two people measuring one stack, in percent."""
    return f"{float(makegood.tolerance() * 100):g}"


def _delivered(number: int) -> Order:
    order = order_for_writing(number)
    if order.state not in (Order.State.DELIVERED, Order.State.SETTLED):
        raise NoClaimYet(number=number)
    return order


def open_claim(claim_id: int) -> Claim:
    claim = Claim.objects.select_related("order").filter(pk=claim_id).first()
    if claim is None:
        raise NoSuchClaim
    if claim.state != Claim.State.OPEN:
        raise ClaimEnded(state=str(claim.get_state_display()))
    return claim


def end_claim(claim: Claim, state: Claim.State, *, at: datetime, who: str, answer: str) -> None:
    claim.state, claim.answer, claim.ended_at = state, answer.strip()[:500], at
    claim.save(update_fields=["state", "answer", "ended_at"])
    audit.note(
        at=at,
        who=who,
        verb=f"claim {claim.get_state_display()}",
        thing=claim.order.reference,
        note=claim.answer[:300],
    )
