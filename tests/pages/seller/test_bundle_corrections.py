"""An order with kindling bundles, put right wherever it stands: bundles come from kindling, not from wood."""

from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from inventory.core.units import bundle_cords
from inventory.models import Hold, Lot
from orders.models import Order, Ticket
from orders.services.orders import Picked, confirm_order, hand_over_pick_up, mark_planned
from orders.services.payments import record_payment
from orders.services.tickets import make_ticket
from tests.factories.inventory import make_lot
from tests.factories.orders import make_order
from tests.pages.seller.test_every_correction import AT, ON, check_books, form_of, wood

__all__ = ["wood"]

THIRD = Fraction(1, 3)
STATES = ("asked", "confirmed", "planned", "delivered", "settled")
THERE = ("delivered", "settled")
EDITS = {  # what is changed, then the wood and the bundles it comes to
    "more bundles": ({"bundles": "15"}, {"K1": THIRD, "B1": 15}),
    "fewer bundles": ({"bundles": "4"}, {"K1": THIRD, "B1": 4}),
    "no bundles": ({"bundles": "0"}, {"K1": THIRD}),
    "more wood": ({"amount": "1/2"}, {"K1": Fraction(1, 2), "B1": 10}),
    "both": ({"amount": "1/4", "bundles": "12"}, {"K1": Fraction(1, 4), "B1": 12}),
    "bundles alone": ({"choice": "kindling:seasoned", "amount": ""}, {"B1": 10}),
    "the gate": ({"gate_code": "4711"}, {"K1": THIRD, "B1": 10}),
}

pytestmark = pytest.mark.usefixtures("business", "wood")


@pytest.fixture(autouse=True)
def kindling(wood):
    return make_lot(
        code="B1", name="Kindling", wood="kindling", form=Lot.Form.KINDLING, bundle_ft3=Decimal("0.75"),
        cords=bundle_cords(85), yard=Lot.objects.get(code="K1").yard,
    )  # fmt: skip


def an_order(state: str, *, bundles: int = 10) -> Order:
    """A third of a cord of fir and ten bundles for 100, brought to where it is to stand."""
    order = make_order(bundles=bundles, how="pick_up" if state in THERE else "delivered")
    told = {"number": order.number, "at": AT, "who": "ruth"}
    if state != "asked":
        picks = [Picked(lot="K1", cords=THIRD)]
        if bundles:
            picks.append(Picked(lot="B1", cords=bundle_cords(bundles)))
        confirm_order(picks=picks, **told)
    if state == "planned":
        mark_planned(promised_on=ON, **told)
    if state in THERE:
        hand_over_pick_up(on=ON, **told)
        make_ticket(**told)
    if state == "settled":
        record_payment(dollars=Decimal(100), method="cash", on=ON, key=uuid4(), **told)
    return Order.objects.get(pk=order.pk)


def taken(order: Order) -> dict[str, Fraction]:
    """Cords by lot that are held for it, or that went out of the lots."""
    if order.state in THERE:
        lots = {lot.code: lot.movements.first().cords - lot.on_hand_cords for lot in Lot.objects.all()}
        return {code: cords for code, cords in lots.items() if cords}
    return {hold.lot.code: hold.cords for hold in Hold.objects.filter(state="standing")}


def as_cords(wanted: dict[str, Fraction | int]) -> dict[str, Fraction]:
    return {code: bundle_cords(int(much)) if code == "B1" else much for code, much in wanted.items()}


@pytest.mark.slow
@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("edit", EDITS)
def test_every_state_of_an_order_with_bundles_against_what_may_be_wrong(seller_client, state, edit):
    order = an_order(state)
    changes, wanted = EDITS[edit]
    form = {**form_of(order, {}), "bundles": "10", **changes}
    path = f"/seller/orders/{order.number}/change"

    touched = " ".join(seller_client.post(path, form).context["touched"])
    kept = seller_client.post(path, {**form, "sure": "1"})

    assert kept.status_code == 302, kept.context["form"].errors
    after = Order.objects.get(pk=order.pk)
    check_books()
    assert after.bundles == int(form["bundles"])
    assert taken(after) == ({} if state == "asked" else as_cords(wanted))
    assert order.customer.name in touched
    if edit == "the gate":
        assert after.state == state
        return
    assert ("comes off" in touched) == (state == "planned")
    assert ("is replaced by a new one" in touched) == (state in THERE)
    if state in ("confirmed", "planned"):
        assert "of B1" in touched  # the kindling it holds, or held
    if state in THERE:
        newest, first = Ticket.objects.all()
        assert newest.replaces == first


@pytest.mark.parametrize("state", ["confirmed", "delivered"])
def test_bundles_forgotten_at_first_come_from_the_kindling_not_from_the_wood(seller_client, state):
    order = an_order(state, bundles=0)
    form = {**form_of(order, {}), "bundles": "6", "sure": "1"}

    kept = seller_client.post(f"/seller/orders/{order.number}/change", form)

    assert kept.status_code == 302, kept.context["form"].errors
    assert taken(Order.objects.get(pk=order.pk)) == as_cords({"K1": THIRD, "B1": 6})


@pytest.mark.parametrize("state", ["confirmed", "delivered"])
def test_more_bundles_than_there_are_is_a_sentence_and_changes_nothing(seller_client, state):
    order = an_order(state)
    form = {**form_of(order, {}), "bundles": "90", "sure": "1"}

    refused = seller_client.post(f"/seller/orders/{order.number}/change", form)

    assert refused.status_code == 422
    assert "error" in refused.content.decode() or "note bad" in refused.content.decode()
    assert Order.objects.get(pk=order.pk).bundles == 10
    assert taken(order) == as_cords({"K1": THIRD, "B1": 10})


def test_much_less_than_was_drawn_goes_back_to_every_lot_that_gave(seller_client):
    """Less than one of two lots gave: the first took back more than it had given."""
    order = an_order("delivered", bundles=0)
    form = {**form_of(order, {}), "lot-K1": "1/6", "lot-K2": "1/6", "sure": "1"}
    path = f"/seller/orders/{order.number}/change"
    assert seller_client.post(path, form).status_code == 302
    less = {**form_of(order, {"amount": "1/12"}), "lot-K1": "1/6", "lot-K2": "1/6", "sure": "1"}

    kept = seller_client.post(path, less)

    assert kept.status_code == 302, kept.context["form"].errors
    assert taken(Order.objects.get(pk=order.pk)) == {"K2": Fraction(1, 12)}
