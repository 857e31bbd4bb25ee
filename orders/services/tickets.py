"""The delivery ticket, frozen on the day from the same rows the margin is read from."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.core.sentences import Sentence
from inventory.core.species import species_of, spoken
from inventory.core.units import BUNDLE_FT3
from inventory.core.woods import english_name
from inventory.drying.dry_call import dry_call
from inventory.selectors.business import business
from inventory.services import audit
from orders.core import OrdersError, tickets
from orders.core.places import place_rule
from orders.models import Order, Payment, Ticket
from orders.selectors.drawn import Drawn, cut_at, lots_drawn, other_share, shares_of
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing
from orders.services.numbering import next_number

TOLD_APART_BY = {"number", "replaces", "measured_by"}  # fields that change without the delivery changing


class NothingToReplace(OrdersError):
    """There is no ticket yet, or the books still say what it says."""

    def __init__(self, *, number: int, ticket: int | None) -> None:
        self.number = number
        if ticket is None:
            super().__init__("Order {number} has no ticket yet: write its first one.", number=number)
        else:
            super().__init__(
                "Ticket {ticket} already says what the books say: put the order, payment, lot or "
                "reading right first, then replace it.",
                ticket=ticket,
            )


class NotDelivered(OrdersError):
    says = "Order {number} is not delivered yet: a ticket is made after the drop."


def make_ticket(
    *,
    number: int,
    at: datetime,
    who: str,
    loaded_ft3: Decimal | None = None,
    measured_by: str = "",
) -> int:
    """Make the ticket of a delivered order, or give the one it has. Returns its number.

    Units
        loaded_ft3: loose ft3 that left the yard.

    Errors
        NoSuchOrder, NotDelivered
        TicketIncomplete: names the fields the place asks for and that are missing.
    """
    with transaction.atomic():
        order = order_for_writing(number)
        if order.ticket is not None:
            return order.ticket.number
        if order.state not in (Order.State.DELIVERED, Order.State.SETTLED) or order.delivered_on is None:
            raise NotDelivered(number=number)
        row = _written(
            order, on=order.delivered_on, at=at, measured_by=measured_by or who, loaded_ft3=loaded_ft3
        )
        audit.note(
            at=at,
            who=who,
            verb="ticket made",
            thing=order.reference,
            note=Sentence("ticket {number}", {"number": row.number}),
        )
        return row.number


@transaction.atomic
def replace_ticket(*, number: int, at: datetime, who: str) -> int:
    """Write a ticket in place of one the books no longer agree with. Returns its number.

    The old one stands as it was given; the new one names it.

    Errors
        NoSuchOrder, NothingToReplace
        TicketIncomplete: names the fields the place asks for and that are missing.
    """
    order = order_for_writing(number)
    old = order.ticket
    if old is None or order.delivered_on is None:
        raise NothingToReplace(number=number, ticket=None)
    row = _written(
        order, on=order.delivered_on, at=at, measured_by=old.fields.get("measured_by", who),
        loaded_ft3=old.loaded_ft3, replaces=old,
    )  # fmt: skip
    if _substance(row.fields) == _substance(old.fields):
        raise NothingToReplace(number=number, ticket=old.number)
    note = f"ticket {row.number} replaces {old.number}"
    audit.note(at=at, who=who, verb="ticket replaced", thing=order.reference, note=note)
    return row.number


def _substance(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: said for name, said in fields.items() if name not in TOLD_APART_BY}


def _written(
    order: Order,
    *,
    on: date,
    at: datetime,
    measured_by: str,
    loaded_ft3: Decimal | None,
    replaces: Ticket | None = None,
) -> Ticket:
    """A ticket kept, filled from the books as they are."""
    ticket_number = next_number(series="ticket", of=Ticket)
    paper = _filled(
        order, ticket_number=ticket_number, measured_by=measured_by, delivered_on=on,
        replaces=f"ticket {replaces.number}, written {replaces.made_at.date()}" if replaces else "",
    )  # fmt: skip
    row = Ticket(
        order=order,
        number=ticket_number,
        replaces=replaces,
        delivered_on=on,
        cords=order.delivered_cords if order.delivered_cords is not None else order.cords,
        loaded_ft3=loaded_ft3,
        fields=paper.as_mapping(),
        made_at=at,
    )
    row.full_clean()
    row.save()
    return row


def _filled(
    order: Order,
    *,
    ticket_number: int,
    measured_by: str,
    delivered_on: date,
    replaces: str,
) -> tickets.Ticket:
    seller = business()
    lots = lots_drawn(order)
    shares = shares_of(lots)
    money = balance_of_order(order.pk, total=order.total_dollars)
    delivered = order.delivered_cords if order.delivered_cords is not None else order.cords
    kindling = next((lot for lot, _ in lots if lot.bundle_ft3), None)
    return tickets.make_ticket(
        rule=place_rule(seller.place_key),
        number=ticket_number,
        seller_name=seller.name,
        seller_address=seller.address,
        buyer_name=order.customer.name,
        buyer_address=order.place.address if order.place else seller.address,
        delivered_on=delivered_on,
        cords_delivered=delivered,
        cords_priced=min(delivered, order.cords) if money.credited else order.cords,
        bundles=order.bundles,
        bundle_ft3=(kindling and kindling.bundle_ft3) or BUNDLE_FT3,
        price_dollars=order.total_dollars - money.credited,
        mix=[(spoken(species_of(key)), percent) for key, percent in shares]
        or [(tickets.sold_without_lot(english_name(order.wood)), Decimal(100))],
        sold_as=english_name(order.wood),
        other_pct=other_share(shares, order.wood),
        dryness=order.dryness,
        read_as=_read_as(lots, delivered_on),
        tax_dollars=order.tax_dollars,
        measured_by=measured_by,
        cut_at="; ".join(sorted({cut_at(lot) for lot, _ in lots if lot.unit})),
        form="stacked" if order.stacked else "dumped loose",
        readings=_readings(lots, delivered_on),
        drop_spot=order.place.drop_spot if order.place else "",
        paid_how=_payment_methods(order),
        paid_dollars=money.received,
        due_dollars=money.due,
        credit_dollars=money.credited or None,
        replaces=replaces,
    )


def _payment_methods(order: Order) -> str:
    """How the money came, in the order it came; how it is to come while none has."""
    came = order.payments.filter(kind__in=(Payment.Kind.DEPOSIT, Payment.Kind.PAYMENT)).order_by("made_at")
    return ", ".join(dict.fromkeys(came.values_list("method", flat=True))) or order.pay_how


def _read_as(lots: Drawn, on: date) -> str:
    """What the readings of the lots allow on the day, the wettest deciding; "" where a lot was not read.

    Thin kindling beside other wood is called by its forecast and needs no reading of its own; and wood read
    too wet to sell as dry stays so, whatever was not read beside it.
    """
    claims, unread = [], False
    for lot, _ in lots:
        reading = lot.readings.filter(on__lte=on).order_by("-on", "-id").first()
        if reading is None:
            unread = unread or lot.form != lot.Form.KINDLING
            continue
        worst = float(reading.worst_dry_pct)
        call = dry_call(worst_dry_pct=worst, read_on=reading.on, faces=len(reading.faces), on=on)
        unread = unread or call.claim == "not_read"
        claims.append(call.claim)
    known = [claim for claim in claims if claim in tickets.DRIEST_FIRST]
    wettest = max(known, key=tickets.DRIEST_FIRST.index, default="")
    return "" if unread and wettest == tickets.DRIEST_FIRST[0] else wettest


def _readings(lots: Drawn, on: date) -> str:
    """The last readings of each lot up to the day, as read, with basis and date."""
    parts = []
    for lot, _ in lots:
        reading = lot.readings.filter(on__lte=on).order_by("-on", "-id").first()
        if reading is not None:
            faces = ", ".join(str(face) for face in reading.faces)
            parts.append(f"{lot.code}: {faces}% ({reading.basis} basis) on {reading.on}")
    return "; ".join(parts)
