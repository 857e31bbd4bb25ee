"""What phones tell is applied once, in any order, and never lost."""

from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from inventory.core import local
from inventory.core.local import Local
from inventory.models import Hold, Movement
from orders.models import Order, Payment, Ticket
from orders.services.orders import cancel_order
from routing.models import Day, DriverEvent, Run, Stop
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.runs.runs import runs_of
from routing.services import commits, days
from routing.services.driver_events.record import UnknownKind, record_event
from routing.services.driver_events.resolve import Choice, resolve_event
from routing.services.driver_events.values import IncomingEvent
from routing.services.edits import take_off
from tests.factories.day import FRIDAY, at, drop
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db


def deliver(number: int, *, key=None, **kwargs):
    given = {name: str(value) for name, value in kwargs.items()}
    return record_event(
        IncomingEvent(
            key=key or uuid4(), kind="delivered", at=at(10, 50), input=given, stop_id=drop(number).pk
        ),
        received_at=at(18),
        who="tam",
    )


def tell(kind: str, *, when: datetime, **kwargs):
    return record_event(
        IncomingEvent(key=kwargs.pop("key", uuid4()), kind=kind, at=when, **kwargs),
        received_at=when,
        who="tam",
    )


def test_a_delivery_draws_the_wood_books_the_money_and_writes_the_ticket(committed):
    done = deliver(202, dollars=Decimal("100.00"))

    committed.knob_fir.refresh_from_db()
    greta = Order.objects.get(number=202)
    assert (done.outcome, done.message) == ("applied", "")
    assert done.letters == ((202, "delivered"),)
    assert greta.state == Order.State.SETTLED
    assert greta.delivered_on == FRIDAY
    assert committed.knob_fir.on_hand_cords == Fraction("6.05") - Fraction(1, 3)
    assert committed.knob_fir.firm_cords == Fraction(2, 3)  # Pilar's stays held
    assert Payment.objects.get().dollars == 100
    assert Ticket.objects.get(order=greta).cords == Fraction(1, 3)
    assert drop(202).done_at == at(10, 50)


def test_the_same_event_told_twice_is_one_delivery(committed):
    key = uuid4()
    deliver(202, key=key, dollars=Decimal(100))

    again = deliver(202, key=key, dollars=Decimal(100))

    assert not again.is_new
    assert again.letters == ()
    assert DriverEvent.objects.count() == Payment.objects.count() == Ticket.objects.count() == 1
    assert Movement.objects.filter(kind="sold").count() == 1


def test_a_second_phone_telling_the_same_drop_is_kept_for_a_look(committed):
    deliver(202)

    other = deliver(202)

    assert other.outcome == "conflict"
    assert "ended before" in other.message
    assert Movement.objects.filter(kind="sold").count() == 1
    row = events_to_look_at(on=FRIDAY)[0]
    assert (row.order, row.who) == (202, "tam")
    resolve_event(key=other.key, choice=Choice.PLAN, at=at(19), who="ruth")
    assert events_to_look_at() == ()


def test_another_amount_is_drawn_and_written_as_it_was(committed):
    deliver(202, cords=Fraction(2, 5))

    committed.knob_fir.refresh_from_db()
    assert Order.objects.get(number=202).delivered_cords == Fraction(2, 5)
    assert committed.knob_fir.on_hand_cords == Fraction("6.05") - Fraction(2, 5)


def test_too_much_money_does_not_undo_the_delivery(committed):
    done = deliver(202, dollars=Decimal("150.00"), method="check")

    assert done.outcome == "conflict"
    assert done.message.startswith("Delivered.")
    assert Order.objects.get(number=202).state == Order.State.DELIVERED
    assert Payment.objects.count() == 0


def test_money_taken_later_is_booked_on_the_same_drop(committed):
    deliver(202)

    tell("paid", when=at(12), stop_id=drop(202).pk, input={"dollars": "$100", "method": "cash"})

    assert Order.objects.get(number=202).state == Order.State.SETTLED


def test_a_drop_cancelled_while_the_phone_was_offline_is_kept_and_draws_nothing(committed):
    cancel_order(number=202, at=at(10), who="customer")

    done = deliver(202)

    assert done.outcome == "conflict"
    assert Movement.objects.filter(kind="sold").count() == 0
    assert drop(202).state == Stop.State.PLANNED
    assert DriverEvent.objects.get().input == {}


def test_an_event_finds_its_drop_again_after_the_day_was_planned_anew(committed, an_instant):
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")

    done = tell("delivered", when=at(10, 50), stop_id=999_999, input={"order": 202, "part": 1})

    assert done.outcome == "applied"
    assert Order.objects.get(number=202).state == Order.State.DELIVERED
    lost = tell("delivered", when=at(12), stop_id=999_999, input={"order": 203, "part": 1})
    assert lost.outcome == "conflict"
    assert "203" in lost.message


def test_nobody_there_brings_the_wood_home_still_held(committed):
    done = tell("no_show", when=at(10, 40), stop_id=drop(202).pk, input={"note": "Called twice"})

    greta = Order.objects.get(number=202)
    assert greta.state == Order.State.CONFIRMED
    assert greta.promised_on is None
    assert Hold.objects.get(reference="order 202").state == Hold.State.STANDING
    assert drop(202).state == Stop.State.NO_SHOW
    assert done.letters == ((202, "no_show"),)


def test_trouble_alone_changes_nothing_but_wants_a_look(committed):
    done = tell("trouble", when=at(10, 40), stop_id=drop(202).pk, input={"note": "Gate locked"})

    assert done.outcome == "conflict"
    assert "Gate locked" in done.message
    assert drop(202).state == Stop.State.PLANNED


def test_an_order_in_two_parts_is_delivered_with_its_last_part(friday, an_instant):
    from tests.factories.day import at, confirmed
    from tests.factories.inventory import make_lot, make_reading

    green = make_lot(code="K6", cords="2.5", yard=friday.upper, name="August fir")
    make_reading(green, 29, 30, 28)
    nell = confirmed(green, number=210, name="Nell Bardo", at="Marrow", cords=2, total="390")
    days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(210,), rig_ids=(friday.big.pk,), steps=50
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    first, second = Stop.objects.filter(order=nell).order_by("part")

    tell("delivered", when=at(9), stop_id=second.pk)
    nell.refresh_from_db()
    green.refresh_from_db()
    assert nell.state == Order.State.PLANNED
    assert (green.on_hand_cords, green.firm_cords) == (Fraction(3, 2), 1)

    tell("delivered", when=at(12), stop_id=first.pk)
    nell.refresh_from_db()
    green.refresh_from_db()
    assert nell.state == Order.State.DELIVERED
    assert nell.delivered_cords == 2
    assert (green.on_hand_cords, green.firm_cords) == (Fraction(1, 2), 0)


def test_left_and_home_with_the_odometer_give_actual_miles(committed):
    run = Run.objects.get()
    tell("left", when=at(7, 40), run_id=run.pk, input={"odometer": "84210.0"})
    for number in (201, 202, 203):
        deliver(number)

    tell("home", when=at(13, 45), run_id=run.pk, input={"odometer": "84281.6"})

    run.refresh_from_db()
    assert run.actual_leave_at == at(7, 40)
    assert run.actual_loaded_miles + run.actual_empty_miles == Decimal("71.6")
    assert Day.objects.get().state == Day.State.DONE


def test_a_driver_who_counts_in_meters_reads_the_dial_in_km_and_writes_cubic_meters(committed):
    local.remember(Local(is_metric=True))
    run = Run.objects.get()
    tell("left", when=at(7, 40), run_id=run.pk, input={"odometer": "84210"})
    deliver(202, cords="0.91")
    tell("home", when=at(13, 45), run_id=run.pk, input={"odometer": "84290.5"})

    run.refresh_from_db()
    assert run.actual_loaded_miles + run.actual_empty_miles == Decimal("50.0")  # 80.5 km
    assert Order.objects.get(number=202).delivered_cords == Fraction(1, 4)  # 0.91 m³


def test_an_odometer_that_ran_backward_is_kept_for_a_look(committed):
    run = Run.objects.get()
    tell("left", when=at(7, 40), run_id=run.pk, input={"odometer": "84210"})

    done = tell("home", when=at(13, 45), run_id=run.pk, input={"odometer": "100"})

    assert done.outcome == "conflict"


def test_ticks_stay_on_the_load(committed):
    load = drop(202).load

    tell("loaded", when=at(10, 20), load_id=load.pk, input={"ticks": ["tarp", "straps"]})

    view = runs_of(FRIDAY)[0].loads[1]
    assert view.is_loaded
    assert [said for said, _, on in view.ticks if on] == ["straps", "tarp"]


def test_a_late_run_shows_new_times_for_the_stops_to_come(committed):
    run = Run.objects.get()
    tell("left", when=at(8), run_id=run.pk)

    view = runs_of(FRIDAY, at=at(8, 5))[0]

    assert view.late_minutes == 30
    assert {halt.late_minutes for halt in view.halts} == {30}
    tell("loaded", when=at(9), load_id=view.loads[0].id)
    tell("delivered", when=at(9, 31), stop_id=drop(201).pk)
    caught_up = runs_of(FRIDAY, at=at(9, 32))[0]
    assert caught_up.late_minutes == 0
    assert caught_up.next_halt.name == "Siding Yard"


def test_a_word_we_do_not_know_is_refused_and_not_kept(committed):
    with pytest.raises(UnknownKind):
        tell("vanished", when=at(9), stop_id=drop(202).pk)
    assert DriverEvent.objects.count() == 0


def test_a_delivery_with_no_wood_held_is_kept_with_the_way_to_mend_it(committed):
    bare = make_order(
        number=299, state="planned", customer=committed.greta.customer, place=committed.greta.place,
        promised_on=FRIDAY,
    )  # fmt: skip
    stop = Stop.objects.create(load=drop(202).load, sequence=9, order=bare, cords=Fraction(1, 3))

    done = tell("delivered", when=at(11) + timedelta(minutes=1), stop_id=stop.pk)

    assert done.outcome == "conflict"
    assert "hold a lot" in done.message
