"""The customer measured it, or read it wet: what they found, what is owed, how it was put right."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import UUID, uuid5

from django.db import transaction

from inventory.services import audit
from orders.core import OrdersError, makegood
from orders.core.makegood import MakeGood
from orders.models import Claim, Order
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing
from orders.services.payments import record_credit

DEFAULT_HEAP_NUMBER = Fraction(180)


class NoClaimYet(OrdersError):
    def __init__(self, *, number: int) -> None:
        self.number = number
        super().__init__(f"Order {number} is not delivered yet, so there is nothing to measure.")


class NoSuchClaim(OrdersError):
    def __init__(self) -> None:
        super().__init__("There is no such claim.")


class ClaimEnded(OrdersError):
    def __init__(self, *, state: str) -> None:
        self.state = state
        super().__init__(f"This claim is already {state}: open a new one if something else is wrong.")


class NothingOwed(OrdersError):
    def __init__(self) -> None:
        super().__init__("This stack is within the tolerance: answer it in words, or credit it by hand.")


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
    words: str = "",
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
    promised = order.cords
    measured = makegood.stack_cords(
        length_ft=length_ft, height_ft=height_ft, depth_in=depth_in, cribbed_ends=cribbed_ends
    )
    ticket = getattr(order, "ticket", None)
    heap = heap_number or DEFAULT_HEAP_NUMBER
    loaded = Fraction(ticket.loaded_ft3) if ticket and ticket.loaded_ft3 else heap * promised
    result = makegood.make_good(
        promised_cords=promised,
        measured_cords=measured,
        wood_dollars=order.wood_dollars,
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
        words=words.strip()[:500],
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
def claim_wet(
    *,
    number: int,
    key: UUID,
    on: date,
    at: datetime,
    readings: tuple[Decimal, ...],
    basis: str,
    words: str = "",
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
        words=words.strip()[:500],
        made_at=at,
    )
    claim.full_clean()
    claim.save()
    audit.note(at=at, who=who, verb="claimed wet", thing=order.reference)
    return Claimed(claim_id=claim.pk, result=None)


@transaction.atomic
def credit_claim(
    *, claim_id: int, on: date, at: datetime, who: str, dollars: Decimal | None = None, answer: str = ""
) -> None:
    """Settle a claim with money off, by default what was worked out.

    Errors
        NoSuchClaim, ClaimEnded, BadEntry
        NothingOwed: within the tolerance and no amount given.
    """
    claim = _open(claim_id)
    amount = Decimal(claim.result.get("credit", "0")) if dollars is None else dollars
    if amount <= 0:
        raise NothingOwed
    record_credit(
        number=claim.order.number,
        dollars=amount,
        on=on,
        at=at,
        who=who,
        key=uuid5(claim.key, "credit"),
        note="make-good",
    )
    _end(claim, Claim.State.CREDITED, at=at, who=who, answer=answer or f"{amount:.2f} credited")


@transaction.atomic
def bring_wood_for_claim(*, claim_id: int, at: datetime, who: str, answer: str = "") -> None:
    """Settle a claim with more wood, brought.

    Errors
        NoSuchClaim, ClaimEnded
    """
    claim = _open(claim_id)
    loose = claim.result.get("loose_ft3", "")
    said = answer or (f"{loose} loose cubic feet brought" if loose else "wood brought")
    _end(claim, Claim.State.BROUGHT, at=at, who=who, answer=said)


@transaction.atomic
def answer_claim(*, claim_id: int, answer: str, at: datetime, who: str) -> None:
    """Answer a claim in words: readings at loading, what the measure came to.

    Errors
        NoSuchClaim, ClaimEnded
    """
    _end(_open(claim_id), Claim.State.ANSWERED, at=at, who=who, answer=answer)


def tolerance_words() -> str:
    """The tolerance between two people measuring one stack, in percent."""
    return f"{float(makegood.tolerance() * 100):g}"


def _delivered(number: int) -> Order:
    order = order_for_writing(number)
    if order.state not in (Order.State.DELIVERED, Order.State.SETTLED):
        raise NoClaimYet(number=number)
    return order


def _open(claim_id: int) -> Claim:
    claim = Claim.objects.select_related("order").filter(pk=claim_id).first()
    if claim is None:
        raise NoSuchClaim
    if claim.state != Claim.State.OPEN:
        raise ClaimEnded(state=str(claim.get_state_display()))
    return claim


def _end(claim: Claim, state: Claim.State, *, at: datetime, who: str, answer: str) -> None:
    claim.state, claim.answer, claim.ended_at = state, answer.strip()[:500], at
    claim.save(update_fields=["state", "answer", "ended_at"])
    audit.note(
        at=at,
        who=who,
        verb=f"claim {claim.get_state_display()}",
        thing=claim.order.reference,
        note=claim.answer[:300],
    )
