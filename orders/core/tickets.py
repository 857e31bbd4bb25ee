"""The delivery ticket: every field the place asks for, or no ticket.

The fields are those of NIST Handbook 130 section 2.4.5 and of the place's own rule (places.toml).
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.gaps import joined
from inventory.core.sentences import Sentence
from orders.core import OrdersError
from orders.core.places import PlaceRule, check_words, full_amount_words, small_volume_words

WHOLE_PERCENT = 100
DRIEST_FIRST = ("seasoned", "part_seasoned", "green")

FIELD_WORDS = {
    "seller_name": "the seller's name",
    "seller_address": "the seller's address",
    "buyer_name": "the buyer's name",
    "buyer_address": "the buyer's address",
    "delivered_on": "the day it was delivered",
    "amount_delivered": "the amount delivered",
    "amount_priced": "the amount the price is for",
    "price_dollars": "the price",
    "identity": "what wood it is",
    "quality": "how dry it is",
    "tax_dollars": "sales tax in the price",
    "measured_by": "who measured it",
    "cut_at": "where it was cut",
}


class TicketIncomplete(OrdersError):
    """A ticket cannot be made: names the fields that are missing."""

    def __init__(self, *, missing: tuple[str, ...], place: str) -> None:
        self.missing = missing
        self.place = place
        listed = joined(Sentence(FIELD_WORDS.get(name, name.replace("_", " "))) for name in missing)
        super().__init__(
            "The ticket still needs {listed} ({place}): fill that in first.", listed=listed, place=place
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """A delivery ticket as handed over, every field in words fit to print.

    Units
        amount_delivered, amount_priced: in the place's words, such as "1/2 cord (64 cubic feet stacked)".
        price_dollars: the whole price; paid_dollars and due_dollars at the door.
        credit_dollars: already taken off the price for wood that was short.
    """

    number: int
    seller_name: str
    seller_address: str
    buyer_name: str
    buyer_address: str
    delivered_on: date | None
    amount_delivered: str
    amount_priced: str
    price_dollars: Decimal | None
    identity: str
    quality: str
    tax_dollars: Decimal | None = None
    measured_by: str = ""
    cut_at: str = ""
    form: str = ""
    readings: str = ""
    drop_spot: str = ""
    paid_how: str = ""
    paid_dollars: Decimal | None = None
    due_dollars: Decimal | None = None
    credit_dollars: Decimal | None = None
    replaces: str = ""
    statement: str = ""
    document: str = ""
    check_local: str = ""

    def as_mapping(self) -> dict[str, str]:
        """The fields as text by name, fit to store and to print; empty ones are left out."""
        text = {}
        for spec in fields(self):
            value = getattr(self, spec.name)
            if value is None or value == "":
                continue
            text[spec.name] = f"{value:.2f}" if isinstance(value, Decimal) else str(value)
        return text


def make_ticket(
    *,
    rule: PlaceRule,
    number: int,
    seller_name: str,
    seller_address: str,
    buyer_name: str,
    buyer_address: str,
    delivered_on: date | None,
    cords_delivered: Fraction,
    cords_priced: Fraction,
    bundles: int = 0,
    bundle_ft3: Decimal = Decimal(0),
    price_dollars: Decimal | None,
    mix: Iterable[tuple[str, Decimal]],
    dryness: str,
    read_as: str = "",
    tax_dollars: Decimal | None = None,
    measured_by: str = "",
    cut_at: str = "",
    form: str = "",
    readings: str = "",
    drop_spot: str = "",
    paid_how: str = "",
    paid_dollars: Decimal | None = None,
    due_dollars: Decimal | None = None,
    credit_dollars: Decimal | None = None,
    sold_as: str = "",
    other_pct: Decimal = Decimal(0),
    replaces: str = "",
) -> Ticket:
    """A ticket with every field the place asks for.

    Units
        mix: species in words and percent; bundle_ft3: volume of one bundle, which stands on the ticket.
        dryness: what it was sold as; read_as: what the readings at loading allow, "" when nobody read it.
        sold_as: the wood it was sold as; other_pct: the share of it that is another wood.
        replaces: the ticket this one stands in for, in words.

    Errors
        TicketIncomplete: names every missing field at once.
        ForbiddenWord: a free field sells by words the place does not allow.
    """
    ticket = Ticket(
        number=number,
        seller_name=seller_name.strip(),
        seller_address=seller_address.strip(),
        buyer_name=buyer_name.strip(),
        buyer_address=buyer_address.strip(),
        delivered_on=delivered_on,
        amount_delivered=_amount(cords_delivered, bundles, bundle_ft3, rule),
        amount_priced=_amount(cords_priced, bundles, bundle_ft3, rule),
        price_dollars=price_dollars,
        identity=_identity(mix, sold_as=sold_as, other_pct=other_pct, rule=rule),
        quality=quality_words(dryness.strip(), read_as=read_as, rule=rule),
        tax_dollars=tax_dollars,
        measured_by=measured_by.strip(),
        cut_at=cut_at.strip(),
        form=form.strip(),
        readings=readings.strip(),
        drop_spot=drop_spot.strip(),
        paid_how=paid_how.strip(),
        paid_dollars=paid_dollars,
        due_dollars=due_dollars,
        credit_dollars=credit_dollars,
        replaces=replaces,
        statement=rule.statement,
        document=rule.document,
        check_local=rule.check_local,
    )
    missing = tuple(name for name in rule.ticket_fields if getattr(ticket, name) in (None, ""))
    if missing:
        raise TicketIncomplete(missing=missing, place=rule.name)
    check_words(ticket.form, rule=rule)
    check_words(ticket.identity, rule=rule)
    check_words(ticket.measured_by, rule=rule)
    return ticket


def quality_words(dryness: str, *, read_as: str, rule: PlaceRule) -> str:
    """How dry it is, never drier than it was read: a ticket that says more than its own readings is a claim
    against the seller.

    >>> quality_words("seasoned", read_as="part_seasoned", rule=place_rule())
    'part seasoned by the readings at loading (sold as seasoned)'
    """
    if not dryness:
        return ""
    word = rule.dry_word(dryness)
    if dryness not in DRIEST_FIRST[:-1]:
        return word
    if read_as not in DRIEST_FIRST:
        return f"{word} by the seller's word, not read at loading"
    if DRIEST_FIRST.index(read_as) > DRIEST_FIRST.index(dryness):
        return f"{rule.dry_word(read_as)} by the readings at loading (sold as {word})"
    return word


def sold_without_lot(wood: str) -> str:
    """What wood it is where the books name no lot: its kind of tree is not known, and not claimed."""
    return f"{wood} as it was sold: the books name no lot"


def identity_words(mix: Iterable[tuple[str, Decimal]]) -> str:
    """What wood it is: the species, with percents where there are several; empty when they do not add to 100.

    >>> identity_words([("oak", Decimal(40)), ("Douglas-fir", Decimal(60))])
    '60% Douglas-fir, 40% oak'
    """
    parts = sorted(mix, key=lambda part: (-part[1], part[0]))
    if sum(percent for _, percent in parts) != WHOLE_PERCENT:
        return ""
    if len(parts) == 1:
        return parts[0][0]
    return ", ".join(f"{percent.normalize():f}% {species}" for species, percent in parts)


def _identity(
    mix: Iterable[tuple[str, Decimal]], *, sold_as: str, other_pct: Decimal, rule: PlaceRule
) -> str:
    """The species, and what was said at the sale where more of another wood came than the place lets pass.

    Source
        NIST Handbook 130 section 2.4.2: percentages of the groups right within 10 percent.
    """
    words = identity_words(mix)
    if words and sold_as and other_pct > rule.identity_within_pct:
        return f"{words} (sold as {sold_as}: {other_pct.normalize():f}% is other wood)"
    return words


def _amount(cords: Fraction, bundles: int, bundle_ft3: Decimal, rule: PlaceRule) -> str:
    text = [full_amount_words(cords, rule=rule)] if cords else []
    if bundles and bundle_ft3 > 0:
        each = small_volume_words(Fraction(bundle_ft3), rule=rule)
        text.append(f"{bundles} bundle{'' if bundles == 1 else 's'} of {each} each")
    return " and ".join(text)
