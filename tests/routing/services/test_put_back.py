"""Wood that came home is booked where it lies, once, held for its order still."""

from uuid import uuid4

import pytest

from inventory.models import Hold, Lot, Movement
from orders.models import Order
from routing.models import Stop
from routing.selectors.runs.brought_home import waiting_home
from routing.services.driver_events.record import record_event
from routing.services.driver_events.resolve import Choice, resolve_event
from routing.services.driver_events.values import IncomingEvent
from tests.factories.day import FRIDAY, at, drop
from tests.factories.inventory import make_lot, make_reading
from tests.routing.services.test_driver_conflicts import send

pytestmark = pytest.mark.django_db


def books():
    """Cords on hand and held by lot, and where order 202 holds its wood."""
    lots = {lot.code: (lot.on_hand_cords, lot.firm_cords) for lot in Lot.objects.all()}
    held = Hold.objects.filter(reference="order 202", state="standing").values_list("lot__code", "cords")
    return lots, sorted(held)


def test_it_lies_by_itself_in_the_yard_it_came_home_to(committed):
    before = books()[0]
    send("no_show", 202, when=at(10, 20))
    assert [row.number for row in waiting_home(FRIDAY)] == [202]

    told = send("put_back", 202, when=at(13), place=f"yard:{committed.upper.pk}")
    send("put_back", 202, when=at(13, 5), who="ruth", place=f"yard:{committed.upper.pk}")

    third, lots, held = committed.greta.cords, *books()
    part = Lot.objects.get(parent=committed.knob_fir)
    assert told.outcome == "applied"
    assert (part.yard, part.on_hand_cords, part.firm_cords) == (committed.upper, third, third)
    assert lots["K1"] == (before["K1"][0] - third, before["K1"][1] - third)
    assert held == [(part.code, third)]
    assert drop(202).back_lot == part
    assert waiting_home(FRIDAY) == ()
    moved = Movement.objects.filter(kind="moved", reference="order 202")
    assert sorted(row.cords for row in moved) == [-third, third]


def test_back_on_its_own_heap_nothing_moves(committed):
    before = books()
    send("trouble", 202, when=at(10, 20), comes_home="1", note="Gate locked")

    send("put_back", 202, when=at(13), place="lot:K1")

    assert books() == before
    assert drop(202).back_lot == committed.knob_fir
    assert waiting_home(FRIDAY) == ()


def test_it_goes_on_a_lot_of_the_same_wood_there(committed):
    dry = make_lot(code="U2", cords=2, yard=committed.upper)
    make_reading(dry, 17, 18, 19, 21, 18)
    send("no_show", 202, when=at(10, 20))
    places = [place.key for place in waiting_home(FRIDAY)[0].places]
    assert places == ["lot:K1", f"yard:{committed.creek.pk}", f"yard:{committed.upper.pk}", "lot:U2"]

    send("put_back", 202, when=at(13), place="lot:U2")

    third = committed.greta.cords
    dry.refresh_from_db()
    assert (dry.on_hand_cords, dry.firm_cords) == (2 + third, third)
    assert books()[1] == [("U2", third)]


def test_told_before_the_drop_is_ended_it_is_booked_when_it_is(committed):
    send("put_back", 202, when=at(13), place=f"yard:{committed.upper.pk}")
    assert drop(202).back_lot is None

    send("no_show", 202, when=at(10, 20))

    assert drop(202).back_lot.yard == committed.upper


def test_two_phones_that_name_two_yards_are_a_conflict_and_it_lies_in_one(committed):
    send("no_show", 202, when=at(10, 20))
    send("put_back", 202, when=at(13), place=f"yard:{committed.upper.pk}")
    before = books()

    other = send("put_back", 202, when=at(13, 5), who="ann", place=f"yard:{committed.creek.pk}")

    assert other.outcome == "conflict"
    assert "is booked in Upper Yard" in other.message
    assert books() == before


@pytest.mark.parametrize("place", ["", "yard:", "yard:99999", "lot:", "lot:NO", "yard:-1", "shed", "yard:²"])
def test_no_place_at_all_is_said_and_moves_nothing(committed, place):
    send("no_show", 202, when=at(10, 20))
    before = books()

    assert send("put_back", 202, when=at(13), place=place).outcome == "conflict"
    assert books() == before


def test_wood_that_was_delivered_after_all_lies_at_the_customers(committed):
    send("no_show", 202, when=at(10, 20), who="ann")
    send("put_back", 202, when=at(13), who="ann", place=f"yard:{committed.upper.pk}")
    after_all = send("delivered", 202, when=at(10, 50), dollars="100")

    resolve_event(key=after_all.key, choice=Choice.PHONE, at=at(19), who="ruth")

    assert Order.objects.get(number=202).state == "settled"
    assert Lot.objects.get(parent=committed.knob_fir).on_hand_cords == 0
    assert send("put_back", 202, when=at(14), place="lot:K1").outcome == "conflict"


def test_an_order_called_off_leaves_open_wood_where_it_lies(committed):
    send("no_show", 202, when=at(10, 20))
    held = Hold.objects.filter(reference="order 202", state="standing")
    from orders.services.orders import cancel_order

    cancel_order(number=202, at=at(12), who="ruth")
    assert not held.exists()
    send("put_back", 202, when=at(13), place=f"yard:{committed.upper.pk}")

    part = Lot.objects.get(parent=committed.knob_fir)
    assert (part.on_hand_cords, part.firm_cords) == (committed.greta.cords, 0)


def test_only_the_part_of_a_hold_that_came_home_moves(committed):
    """An order in two drops of one lot: one was left there, the other came home."""
    hold = Hold.objects.get(reference="order 203")
    stop = drop(203)
    Stop.objects.filter(pk=stop.pk).update(cords=hold.cords / 2)
    send("no_show", 203, when=at(12))

    send("put_back", 203, when=at(13), place=f"yard:{committed.upper.pk}")

    hold.refresh_from_db()
    rest = Hold.objects.filter(reference="order 203", state="standing").order_by("pk")
    assert [row.cords for row in rest] == [committed.pilar.cords / 2] * 2
    assert {row.lot.yard for row in rest} == {committed.siding, committed.upper}


def test_a_drop_of_another_key_is_not_told_twice(committed):
    send("no_show", 202, when=at(10, 20))
    key = uuid4()
    for _ in range(2):
        record_event(
            IncomingEvent(
                key=key,
                kind="put_back",
                at=at(13),
                input={"order": "202", "place": f"yard:{committed.upper.pk}"},
                stop_id=drop(202).pk,
            ),
            received_at=at(14),
            who="tam",
        )

    assert Lot.objects.filter(parent=committed.knob_fir).count() == 1
