"""Customers and delivered orders of older books. Nothing here touches a lot: that wood is gone."""

from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from uuid import NAMESPACE_URL, uuid4, uuid5

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.services import audit
from orders.core import OrdersError
from orders.models import Customer, Market, Order, Place, Town
from orders.services.customers import Phone, read_phone
from orders.services.numbering import next_number
from orders.services.payments import record_payment


class NotYetDelivered(OrdersError):
    says = "That day is still to come: quote and order it here instead."


class NoMarket(OrdersError):
    says = "Name a town you sell to first: every order belongs to a market."


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What became of a line. remark: what could not be matched, as the end of a sentence."""

    is_new: bool
    number: int = 0
    remark: str = ""


@transaction.atomic
def bring_customer(
    *,
    name: str,
    at: datetime,
    phone: str = "",
    email: str = "",
    address: str = "",
    town: str = "",
    access_note: str = "",
    owed: Decimal = Decimal(0),
) -> Brought:
    """Somebody who bought before; one whose phone, e-mail or (lacking both) name is known stays as they are.

    Errors
        BadPhone, ValidationError
    """
    read = read_phone(phone) if phone else Phone(kept="", typed="")
    if _existing_customer(name=name, phone=read.kept, email=email) is not None:
        return Brought(is_new=False)
    customer = _new(name=name, phone=read, email=email, owed=owed, at=at)
    served = _town(town)
    remark = f"; {town} is no town you sell to yet" if town and served is None else ""
    if address or town:
        place = Place(
            customer=customer,
            address=", ".join(part for part in (address, town) if part)[:200],
            town=served,
            is_exact=False,
            is_confirmed=False,
            access_note=access_note[:300],
        )
        place.full_clean()
        place.save()
    return Brought(is_new=True, remark=remark)


@transaction.atomic
def bring_order(
    *,
    name: str,
    delivered_on: date,
    wood: str,
    cords: Fraction,
    bundles: int,
    total: Decimal,
    paid: Decimal,
    on: date,
    at: datetime,
    who: str,
    phone: str = "",
    town: str = "",
) -> Brought:
    """An order that was delivered before these books began, with what was paid; the same line again is known.

    Errors
        NotYetDelivered, NoMarket, BadPhone, ValidationError
    """
    if delivered_on > on:
        raise NotYetDelivered
    line = f"{name.casefold()}|{delivered_on}|{wood}|{cords}|{bundles}|{total}"
    key = uuid5(NAMESPACE_URL, f"firewood:brought:{line}")
    known = Order.objects.filter(key=key).first()
    if known is not None:
        return Brought(is_new=False, number=known.number)
    served = _town(town)
    market = served.market if served else Market.objects.order_by("is_far", "id").first()
    if market is None:
        raise NoMarket
    read = read_phone(phone) if phone else Phone(kept="", typed="")
    customer = _existing_customer(name=name, phone=read.kept, email="") or _new(name=name, phone=read, at=at)
    moment = timezone.make_aware(datetime.combine(delivered_on, time(12)))
    order = Order(
        number=next_number(series="order", of=Order),
        key=key,
        customer=customer,
        place=_place(customer, served),
        market=market,
        state=Order.State.SETTLED if paid >= total else Order.State.DELIVERED,
        wood=wood,
        dryness="green" if wood == "logs" else "seasoned",
        cords=cords,
        bundles=bundles,
        total_dollars=total,
        wood_dollars=total,
        reasons=[{"kind": "wood", "label": "From older books", "dollars": f"{total:.2f}", "why": ""}],
        first_on=delivered_on,
        last_on=delivered_on,
        promised_on=delivered_on,
        asked_at=moment,
        asked_on=delivered_on,
        confirmed_at=moment,
        delivered_on=delivered_on,
        delivered_cords=cords,
        seller_note="From older books",
    )
    order.full_clean()
    order.save()
    if paid:
        record_payment(
            number=order.number,
            dollars=paid,
            method="other",
            on=delivered_on,
            at=at,
            who=who,
            key=uuid4(),
            keep_too_much=True,
            note="From older books",
        )
    audit.note(at=at, who=who, verb="brought in", thing=order.reference, after={"total": f"{total:.2f}"})
    remark = f"; {town} is no town you sell to yet" if town and served is None else ""
    return Brought(is_new=True, number=order.number, remark=remark)


def _existing_customer(*, name: str, phone: str, email: str) -> Customer | None:
    """Whoever this is, by phone and name, by e-mail, or by the name where nothing else is told."""
    people = Customer.objects.filter(erased_at__isnull=True).order_by("id")
    by_contact = Q()
    if phone:
        by_contact |= Q(phone=phone, name__iexact=name)
    if email:
        by_contact |= Q(email__iexact=email, name__iexact=name)
    return people.filter(by_contact or Q(name__iexact=name)).first()


def _new(*, name: str, phone: Phone, at: datetime, email: str = "", owed: Decimal = Decimal(0)) -> Customer:
    customer = Customer(
        name=name,
        phone=phone.kept,
        phone_as_typed=phone.typed[:40],
        email=email,
        is_repeat=True,
        owed_before=owed,
        made_at=at,
    )
    customer.full_clean()
    customer.save()
    return customer


def _town(name: str) -> Town | None:
    return Town.objects.select_related("market").filter(name__iexact=name.strip()).first() if name else None


def _place(customer: Customer, town: Town | None) -> Place | None:
    place = customer.places.order_by("-id").first()
    if place is not None or town is None:
        return place
    return Place.objects.create(
        customer=customer, address=town.name, town=town, is_exact=False, is_confirmed=False
    )
