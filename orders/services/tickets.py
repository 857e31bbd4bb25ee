"""The delivery ticket, frozen on the day from the same rows the margin is read from."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from inventory.models import Lot, Movement
from inventory.selectors.business import business
from inventory.services import audit
from orders.core import OrdersError, tickets
from orders.core.places import place_rule
from orders.models import Order, Ticket
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing
from orders.services.numbering import next_number

SPECIES_WORDS = {"fir": "fir", "oak": "oak", "madrone": "madrone"}


class NotDelivered(OrdersError):
    def __init__(self, *, number: int) -> None:
        self.number = number
        super().__init__(f"Order {number} is not delivered yet: a ticket is made after the drop.")


def make_ticket(
    *,
    number: int,
    at: datetime,
    who: str,
    loaded_ft3: Decimal | None = None,
    measured_by: str = "",
    species_names: Mapping[str, str] | None = None,
) -> int:
    """Make the ticket of a delivered order, or give the one it has. Returns its number.

    Units
        loaded_ft3: loose ft3 that left the yard; species_names: species key to the name printed.

    Errors
        NoSuchOrder, NotDelivered
        TicketIncomplete: names the fields the place asks for and that are missing.
    """
    with transaction.atomic():
        order = order_for_writing(number)
        known = Ticket.objects.filter(order=order).first()
        if known is not None:
            return known.number
        if order.state not in (Order.State.DELIVERED, Order.State.SETTLED) or order.delivered_on is None:
            raise NotDelivered(number=number)
        ticket_number = next_number(series="ticket", of=Ticket)
        paper = _filled(
            order,
            ticket_number=ticket_number,
            measured_by=measured_by or who,
            species_names=species_names or {},
            delivered_on=order.delivered_on,
        )
        row = Ticket(
            order=order,
            number=ticket_number,
            delivered_on=order.delivered_on,
            cords=order.delivered_cords if order.delivered_cords is not None else order.cords,
            loaded_ft3=loaded_ft3,
            fields=paper.as_mapping(),
            made_at=at,
        )
        row.full_clean()
        row.save()
        audit.note(at=at, who=who, verb="ticket made", thing=order.reference, note=f"ticket {ticket_number}")
        return ticket_number


def _filled(
    order: Order,
    *,
    ticket_number: int,
    measured_by: str,
    species_names: Mapping[str, str],
    delivered_on: date,
) -> tickets.Ticket:
    seller = business()
    lots = _lots_drawn(order)
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
        cords_priced=order.cords,
        bundles=order.bundles,
        bundle_ft3=kindling.bundle_ft3 if kindling and kindling.bundle_ft3 else Decimal("0.75"),
        price_dollars=order.total_dollars,
        mix=_mix(order, lots, species_names),
        dryness=order.dryness,
        measured_by=measured_by,
        cut_at=", ".join(sorted({lot.unit.name for lot, _ in lots if lot.unit})),
        form="stacked" if order.stacked else "thrown off loose",
        readings=_readings(lots),
        drop_spot=order.place.drop_spot if order.place else "",
        paid_how=order.pay_how,
        paid_dollars=money.received,
        due_dollars=money.due,
    )


def _lots_drawn(order: Order) -> list[tuple[Lot, Fraction]]:
    moved: dict[int, Fraction] = defaultdict(Fraction)
    lots: dict[int, Lot] = {}
    sold = Movement.objects.filter(reference=order.reference, kind=Movement.Kind.SOLD)
    for movement in sold.select_related("lot", "lot__unit"):
        moved[movement.lot_id] += -movement.cords
        lots[movement.lot_id] = movement.lot
    if not lots:
        for link in order.order_holds.select_related("hold__lot__unit"):
            moved[link.hold.lot_id] += link.hold.cords
            lots[link.hold.lot_id] = link.hold.lot
    return [(lots[key], moved[key]) for key in sorted(lots)]


def _mix(
    order: Order, lots: list[tuple[Lot, Fraction]], names: Mapping[str, str]
) -> list[tuple[str, Decimal]]:
    """Species by percent of the wood drawn, whole percents that add to 100."""
    parts: dict[str, Fraction] = defaultdict(Fraction)
    for lot, cords in lots:
        for species, percent in lot.mix.items():
            parts[species] += cords * Fraction(str(percent))
    whole = sum(parts.values(), Fraction(0))
    if not whole:
        return [(order.wood, Decimal(100))]
    shares = {species: part * 100 / whole for species, part in parts.items() if part}
    floors = {species: int(share) for species, share in shares.items()}
    left = 100 - sum(floors.values())
    by_rest = sorted(shares, key=lambda species: (floors[species] - shares[species], species))
    for species in by_rest[:left]:
        floors[species] += 1
    return [
        (names.get(species, SPECIES_WORDS.get(species, species.replace("_", " "))), Decimal(percent))
        for species, percent in floors.items()
        if percent
    ]


def _readings(lots: list[tuple[Lot, Fraction]]) -> str:
    """The last readings of each lot, as read, with basis and date."""
    said = []
    for lot, _ in lots:
        reading = lot.readings.order_by("-on", "-id").first()
        if reading is not None:
            faces = ", ".join(str(face) for face in reading.faces)
            said.append(f"{lot.code}: {faces} % ({reading.basis} basis) on {reading.on}")
    return "; ".join(said)
