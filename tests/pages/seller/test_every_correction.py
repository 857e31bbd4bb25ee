"""Every state of an order against every correction: what comes of it, or which sentence refuses it."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db.models import Sum

from inventory.models import Hold, Lot
from orders.core.access import WAYS, stored_access
from orders.models import Order, Ticket
from orders.selectors.money import balance_of_order, to_pay_back
from orders.services.orders import Picked, confirm_order, hand_over_pick_up, mark_planned
from orders.services.payments import record_payment
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town

ON, AT = date(2026, 9, 18), an_instant()
STATES = ("asked", "confirmed", "planned", "delivered", "settled", "declined", "cancelled")
OVER = ("declined", "cancelled")
EDITS = {
    "amount": {"amount": "1/2"},
    "wood": {"choice": "hardwood:seasoned"},
    "price kept": {"amount": "1/2", "price": "keep"},
    "price worked out anew": {"amount": "1/2", "price": "anew"},
    "price agreed": {"price": "agreed", "dollars": "88.50"},
    "stacking": {"laid": "stack"},
    "days": {"first_on": "2026-09-22", "last_on": "2026-09-24"},
    "lots": {"lot-K1": "0", "lot-K2": "1/3"},
    "street": {"address": "77 Mill Street, Marrow Bridge"},
    "town": {"town": "Larch Prairie", "address": "1 Pine Road, Larch Prairie", "price": "anew"},
    "gate": {"gate_code": "4711"},
    "drop spot": {"drop_spot": "by the shed"},
    "lane": {"ticked": next(iter(WAYS))},
    "access": {"access_note": "Honk at the barn"},
    "small trailer": {"ticked": "small_rig_only"},
    "pickup": {"laid": "pick_up"},
}
OF_THE_WAY = ("gate", "drop spot", "lane", "access")  # no day, ticket or price changes with them


@pytest.fixture
def wood(seller_client, settings):
    settings.ROAD_ENGINE = "estimate"
    make_sheet()
    make_town("Larch Prairie")
    yard = make_yard(name="Siding Yard")
    for code, kind in (("K1", "fir"), ("K2", "fir"), ("H1", "hardwood")):
        make_reading(make_lot(code=code, cords=2, yard=yard, wood=kind, mix={"fir": 100}, sale="for_sale"))


def an_order(state: str) -> Order:
    """A third of a cord of fir for 100, brought to where it is to stand by the app's own steps."""
    order = make_order(how="pick_up" if state in ("delivered", "settled") else "delivered")
    told = {"number": order.number, "at": AT, "who": "ruth"}
    if state in ("confirmed", "planned", "delivered", "settled"):
        confirm_order(picks=[Picked(lot="K1", cords=Fraction(1, 3))], **told)
    if state == "planned":
        mark_planned(promised_on=date(2026, 9, 19), **told)
    if state in ("delivered", "settled"):
        hand_over_pick_up(on=ON, **told)
        make_ticket(**told)
    if state == "settled":
        record_payment(dollars=Decimal(100), method="cash", on=ON, key=uuid4(), **told)
    if state in OVER:
        Order.objects.filter(pk=order.pk).update(state=state)
    return Order.objects.get(pk=order.pk)


def form_of(order: Order, changes: dict[str, str]) -> dict[str, str]:
    """What the page would send: the whole form as it is, with the changes in it."""
    town = {town.name: str(town.pk) for town in type(order.place.town).objects.all()}
    form = {
        "town": town["Marrow Bridge"], "address": order.place.address, "drop_spot": "", "gate_code": "",
        "access_note": "", "choice": "fir:seasoned", "amount": "1/3", "bundles": "0",
        "laid": "pick_up" if order.how == "pick_up" else "drop", "price": "keep", "dollars": "100.00",
        "first_on": "2026-09-18", "last_on": "2026-09-26",
    }  # fmt: skip
    changed = {**form, **changes}
    if changed["town"] in town:
        changed["town"] = town[changed["town"]]
    return changed


def check_books() -> None:
    """Whatever was done: lots fold from their ledgers, and no wood is promised twice."""
    for lot in Lot.objects.all():
        assert lot.on_hand_cords == (lot.movements.aggregate(all=Sum("cords"))["all"] or 0)
        standing = lot.holds.filter(state="standing").aggregate(all=Sum("cords"))["all"] or 0
        assert lot.firm_cords + lot.soft_cords == standing <= lot.on_hand_cords


@pytest.fixture(autouse=True)
def _business(business):
    return business


@pytest.mark.on_both
@pytest.mark.slow
@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("edit", EDITS)
def test_every_state_against_every_correction(wood, seller_client, state, edit):
    order = an_order(state)
    path = f"/seller/orders/{order.number}/change"
    form = form_of(order, EDITS[edit])

    looked = seller_client.post(path, form)
    assert looked.status_code in (200, 422)
    assert Order.objects.get(pk=order.pk).total_dollars == 100  # looking changes nothing
    if looked.status_code == 200:
        assert looked.context["touched"]  # whom it touches is read before it is kept
    kept = seller_client.post(path, {**form, "sure": "1"})

    after = Order.objects.get(pk=order.pk)
    check_books()
    if state in OVER:
        assert "reopen it on its page" in kept.content.decode()
        assert after.total_dollars == 100
        return
    if edit == "lots" and state == "asked":
        assert not Hold.objects.exists()  # nothing is held before it is confirmed: no lots are asked for
        return
    if edit == "stacking" and order.how == "pick_up":
        assert kept.status_code in (302, 422)  # what was fetched is now said to have been brought and stacked
        return
    assert kept.status_code == 302, kept.context["form"].errors
    check_kept(edit, state, after)


def check_kept(edit: str, state: str, after: Order) -> None:
    is_there = state in ("delivered", "settled")
    if edit in ("amount", "price kept", "price worked out anew"):
        assert after.cords == Fraction(1, 2)
        assert (after.total_dollars == 100) == (edit != "price worked out anew")
        if is_there:
            assert after.delivered_cords == Fraction(1, 2)
            assert Lot.objects.get(code="K1").on_hand_cords == Fraction(3, 2)
        elif state != "asked":
            assert sum(hold.cords for hold in Hold.objects.filter(state="standing")) == Fraction(1, 2)
    if edit == "wood":
        assert after.wood == "hardwood"
        if state in ("confirmed", "planned"):
            assert Hold.objects.get(state="standing").lot.code == "H1"
    if edit == "price agreed":
        assert after.total_dollars == Decimal("88.50")
        owed = [(row.number, row.due) for row in to_pay_back()]
        assert owed == ([(after.number, Decimal("11.50"))] if state == "settled" else [])
    if edit == "lots" and is_there:
        assert [Lot.objects.get(code=code).on_hand_cords for code in ("K1", "K2")] == [2, Fraction(5, 3)]
    elif edit == "lots":
        assert Hold.objects.get(state="standing").lot.code == "K2"
    if edit == "street":
        assert after.place.address.startswith("77 Mill Street") or after.how == "pick_up"
    if edit == "town":
        assert after.how == "pick_up" or after.place.town.name == "Larch Prairie"
    if edit in OF_THE_WAY:
        place = after.place
        told = {"gate": place.gate_code, "drop spot": place.drop_spot, "access": place.access_note}
        assert told.get(edit, place.access) in (*EDITS[edit].values(), stored_access(EDITS["lane"].values()))
        assert after.state == state  # words on how to get in leave the order on its day
    elif edit == "days" and not is_there:
        assert (after.first_on, after.last_on) == (date(2026, 9, 22), date(2026, 9, 24))
    if edit == "small trailer":
        assert after.small_rig_only
    if edit == "pickup":
        assert after.how == "pick_up"
    if state == "planned" and edit not in (*OF_THE_WAY, "price agreed"):
        assert (after.state, after.promised_on) in (
            ("confirmed", None), ("confirmed", date(2026, 9, 19)),
        )  # fmt: skip
    if is_there and edit not in (*OF_THE_WAY, "days", "street", "town", "small trailer", "pickup"):
        newest, first = Ticket.objects.all()
        assert newest.replaces == first
        assert newest.fields["replaces"].startswith(f"ticket {first.number},")
    due = balance_of_order(after.pk, total=after.billed_dollars).due
    if is_there:
        assert after.state == ("delivered" if due else "settled")
