"""People who buy: found by phone, kept as little as possible, handed out or erased when they ask."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

import phonenumbers
from django.db import transaction
from django.db.models import Q, QuerySet

from inventory.core.sentences import Sentence
from inventory.services import audit
from orders.core import CustomerRefusal, OrdersError
from orders.models import Customer, Letter, Order, Payment, Place, Quote, WaitingEntry

HOME_REGION = "US"
ERASED_NAME = "Erased at their wish"
PHONE_DIGITS = 7  # of a number's end: enough to know it by, however it was written


class BadPhone(CustomerRefusal):
    """A phone number nobody could call."""

    field = "phone"

    says = "'{typed}' does not look like a phone number: write it with its area code, such as 541 555 0123."


class NoSuchCustomer(OrdersError):
    says = "There is no such customer any more."


class StillOwing(OrdersError):
    """A person with an open order or money owed is not erased yet."""

    says = "{name} cannot be erased yet: {why}. Settle that first."


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """A number as kept (E.164, or empty when it could not be read) and as typed."""

    kept: str
    typed: str


def read_phone(typed: str) -> Phone:
    """A phone number read forgivingly.

    Errors
        BadPhone: too short, too long, or no digits at all.
    """
    text = typed.strip()
    try:
        number = phonenumbers.parse(text, HOME_REGION)
    except phonenumbers.NumberParseException as error:
        raise BadPhone(typed=text) from error
    if not phonenumbers.is_possible_number(number):
        raise BadPhone(typed=text)
    return Phone(kept=phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164), typed=text)


def phone_words(kept: str) -> str:
    """A kept number as people write it: their own way at home, with its country elsewhere.

    >>> phone_words("+15415550142"), phone_words("+34911234567"), phone_words("ask Ruth")
    ('(541) 555-0142', '+34 911 23 45 67', 'ask Ruth')
    """
    try:
        number = phonenumbers.parse(kept, HOME_REGION)
    except phonenumbers.NumberParseException:
        return kept
    at_home = number.country_code == phonenumbers.country_code_for_region(HOME_REGION)
    form = phonenumbers.PhoneNumberFormat
    return phonenumbers.format_number(number, form.NATIONAL if at_home else form.INTERNATIONAL)


def customer_of_order(
    *,
    name: str,
    phone: str,
    at: datetime,
    email: str = "",
    language: str = "en",
    is_landline: bool = False,
    proven: Customer | None = None,
    typed_by_staff: bool = False,
) -> Customer:
    """The customer an order is for. Runs inside the caller's transaction.

    Name and phone prove nothing: what a stranger types makes a new customer, and the seller, who sees both,
    merges them. A known customer is taken only where staff typed the order, or where a signed link named
    the person (`proven`) and the form repeats their details; their row is not written to.

    Errors
        BadPhone: as `read_phone`.
    """
    read = read_phone(phone)
    known = [proven] if proven is not None else []
    if typed_by_staff:
        known += Customer.objects.filter(phone=read.kept, erased_at__isnull=True).order_by("id")
    for customer in known:
        same_name = customer.name.casefold() == name.strip().casefold()
        if same_name and customer.phone == read.kept and email.strip() in ("", customer.email):
            return customer
    customer = Customer(
        name=name.strip(),
        phone=read.kept,
        phone_as_typed=read.typed[:40],
        email=email.strip(),
        language=language,
        is_landline=is_landline,
        made_at=at,
    )
    customer.full_clean()
    customer.save()
    return customer


def customer_paying_first(customer: Customer) -> Customer | None:
    """Whoever with this phone is asked to pay first: another name does not shake it off."""
    if customer.pay_first or not customer.phone:
        return customer if customer.pay_first else None
    return Customer.objects.filter(phone=customer.phone, pay_first=True, erased_at__isnull=True).first()


@transaction.atomic
def merge_customers(*, keep_id: int, other_id: int, at: datetime, who: str) -> None:
    """Two rows are one person: the other's orders, places, letters and quotes go to the one that is kept.

    What is known of the kept one stands. Debts from before the books add up, and a note to pay first stays.

    Errors
        NoSuchCustomer: either is gone, or both are the same.
    """
    keep, other = _customer(keep_id), _customer(other_id)
    if keep.pk == other.pk:
        raise NoSuchCustomer(customer_id=other_id)
    for rows in (Order, Place, Letter, Quote, WaitingEntry):
        rows.objects.filter(customer=other).update(customer=keep)
    keep.is_repeat = keep.is_repeat or other.is_repeat
    keep.owed_before += other.owed_before
    if other.pay_first and not keep.pay_first:
        keep.pay_first, keep.pay_first_on = True, other.pay_first_on
        keep.pay_first_reason = other.pay_first_reason
    keep.save()
    other.delete()
    audit.note(
        at=at,
        who=who,
        verb="merged",
        thing=f"customer {keep_id}",
        note=Sentence("with customer {number}", {"number": other_id}),
    )


@transaction.atomic
def set_pay_first(*, customer_id: int, reason: str, on: date, at: datetime, who: str) -> None:
    """Ask a customer to pay before loading. The reason is dated facts; it is private and can be taken away.

    Errors
        NoSuchCustomer
    """
    customer = _customer(customer_id)
    customer.pay_first, customer.pay_first_reason, customer.pay_first_on = True, reason.strip(), on
    customer.full_clean()
    customer.save(update_fields=["pay_first", "pay_first_reason", "pay_first_on"])
    audit.note(at=at, who=who, verb="pay first", thing=f"customer {customer_id}", note=reason.strip())


@transaction.atomic
def clear_pay_first(*, customer_id: int, at: datetime, who: str) -> None:
    """Take the note away again, and with it its words.

    Errors
        NoSuchCustomer
    """
    customer = _customer(customer_id)
    customer.pay_first, customer.pay_first_reason, customer.pay_first_on = False, "", None
    customer.save(update_fields=["pay_first", "pay_first_reason", "pay_first_on"])
    audit.note(at=at, who=who, verb="pay first cleared", thing=f"customer {customer_id}")


@transaction.atomic
def change_customer(
    *, customer_id: int, name: str, phone: str, email: str, is_landline: bool, at: datetime, who: str
) -> None:
    """Correct what we know of a person.

    Errors
        NoSuchCustomer, BadPhone
    """
    customer = _customer(customer_id)
    read = read_phone(phone) if phone.strip() else Phone(kept="", typed="")
    customer.name, customer.phone, customer.phone_as_typed = name.strip(), read.kept, read.typed[:40]
    customer.email, customer.is_landline = email.strip(), is_landline
    customer.full_clean()
    customer.save(update_fields=["name", "phone", "phone_as_typed", "email", "is_landline"])
    audit.note(at=at, who=who, verb="corrected", thing=f"customer {customer_id}")


@transaction.atomic
def set_reminder(*, customer_id: int, wanted: bool, at: datetime, who: str = "customer") -> None:
    """Write to them before next season, or never again.

    Errors
        NoSuchCustomer
    """
    customer = _customer(customer_id)
    customer.wants_reminder = wanted
    customer.save(update_fields=["wants_reminder"])
    verb = "reminder on" if wanted else "reminder off"
    audit.note(at=at, who=who, verb=verb, thing=f"customer {customer_id}")


@transaction.atomic
def mark_reminded(*, customer_id: int, season: str) -> bool:
    """Note that this season's reminder is written; False when it was before, or is not wanted any more."""
    wanting = Customer.objects.filter(pk=customer_id, wants_reminder=True, erased_at__isnull=True)
    return bool(wanting.exclude(reminder_season=season).update(reminder_season=season))


@transaction.atomic
def mark_called(*, customer_id: int, on: date | None, at: datetime, who: str) -> None:
    """Note that somebody was called before the season; None takes the note away.

    Errors
        NoSuchCustomer
    """
    customer = _customer(customer_id)
    customer.called_on = on
    customer.save(update_fields=["called_on"])
    audit.note(
        at=at, who=who, verb="called" if on else "not called after all", thing=f"customer {customer_id}"
    )


@transaction.atomic
def erase_customer(*, customer_id: int, owed: Decimal, at: datetime, who: str) -> None:
    """Forget a person: name, phone, mail, addresses, gate codes, letters. The sale's figures stay.

    `erase_person` (routing) does this and what the road knows; it is what pages call.
    Tickets already handed over are kept as the law's paper, with the buyer's name and address taken out.

    Errors
        NoSuchCustomer
        StillOwing: an order is still open, or money is owed.
    """
    customer = _customer(customer_id)
    open_states = [Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED]
    waiting = Order.objects.filter(customer=customer, state__in=open_states).first()
    if waiting is not None:
        raise StillOwing(
            name=customer.name, why=Sentence("order {number} is still open", {"number": waiting.number})
        )
    if owed > 0:
        raise StillOwing(name=customer.name, why=Sentence("{dollars:.2f} is still owed", {"dollars": owed}))
    Letter.objects.filter(customer=customer).delete()
    WaitingEntry.objects.filter(customer=customer).delete()
    _forget_who_asked(customer)
    for place in customer.places.all():
        place.address, place.lat, place.lon, place.is_exact = ERASED_NAME, None, None, False
        place.access_note = place.access = place.gate_code = place.drop_spot = ""
        place.save(
            update_fields=[
                "address",
                "lat",
                "lon",
                "is_exact",
                "access_note",
                "access",
                "gate_code",
                "drop_spot",
            ]
        )
    for order in Order.objects.filter(customer=customer).prefetch_related("tickets"):
        order.note = order.seller_note = order.ended_reason = ""
        order.save(update_fields=["note", "seller_note", "ended_reason"])
        for ticket in order.tickets.all():
            ticket.fields = {**ticket.fields, "buyer_name": ERASED_NAME, "buyer_address": ERASED_NAME}
            ticket.fields.pop("drop_spot", None)
            ticket.save(update_fields=["fields"])
        order.claims.update(message="")
        QuerySet(Payment).filter(order=order).update(note="")  # the ledger's own would refuse
    customer.name, customer.phone, customer.phone_as_typed, customer.email = ERASED_NAME, "", "", ""
    customer.pay_first, customer.pay_first_reason, customer.pay_first_on = False, "", None
    customer.wants_reminder, customer.called_on, customer.erased_at = False, None, at
    customer.save()
    orders = Order.objects.filter(customer=customer)
    audit.forget([f"customer {customer_id}", *(order.reference for order in orders)])
    audit.note(at=at, who=who, verb="erased", thing=f"customer {customer_id}")


def _forget_who_asked(customer: Customer) -> None:
    """Take a person out of what the seller noted beside prices: their own, and those by name or number."""
    own = Q(customer=customer) | Q(orders__customer=customer)
    theirs = set(Quote.objects.filter(own).exclude(asked_by="").values_list("pk", flat=True))
    digits = "".join(sign for sign in customer.phone_as_typed if sign.isdigit())[-PHONE_DIGITS:]
    for pk, asked_by in Quote.objects.exclude(asked_by="").values_list("pk", "asked_by"):
        noted = "".join(sign for sign in asked_by if sign.isdigit())
        if customer.name.casefold() in asked_by.casefold() or (
            len(digits) == PHONE_DIGITS and digits in noted
        ):
            theirs.add(pk)
    Quote.objects.filter(pk__in=theirs).update(asked_by="")


def _customer(customer_id: int) -> Customer:
    customer = Customer.objects.filter(pk=customer_id, erased_at__isnull=True).first()
    if customer is None:
        raise NoSuchCustomer(customer_id=customer_id)
    return customer
