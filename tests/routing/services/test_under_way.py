"""A day planned again while the rig is out: wood aboard keeps its load, the phone's later word ends well."""

from datetime import datetime, time
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from orders.models import Order, Payment
from orders.selectors.orders import order_view
from routing.models import Day, Stop
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.runs.runs import runs_of
from routing.services import commits, days
from routing.services.driver_events.record import record_event
from routing.services.driver_events.values import IncomingEvent
from routing.services.edits import move_drop, move_to_day, take_off
from routing.services.moves import drop_moves
from routing.services.standing import PlanRefused
from tests.factories.day import FRIDAY, confirmed

pytestmark = pytest.mark.django_db


def at(hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(FRIDAY, time(hour, minute)))


@pytest.fixture
def on_the_road(friday, an_instant):
    """Friday committed, load 1 (order 201) aboard since 8:20."""
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    load = Stop.objects.get(order__number=201).load
    tell("loaded", when=at(8, 20), load_id=load.pk)
    return friday


def tell(kind, *, when, **given):
    stop = given.pop("stop_id", None)
    load = given.pop("load_id", None)
    return record_event(
        IncomingEvent(key=uuid4(), kind=kind, at=when, input=given, stop_id=stop, load_id=load),
        received_at=when,
        who="tam",
    )


def plan_again(friday, *numbers):
    return days.plan_day(
        on=FRIDAY,
        at=at(8, 40),
        who="ruth",
        order_numbers=numbers,
        rig_ids=(friday.big.pk,),
        around_fixed=True,
    )


def test_load_1_stays_aboard_and_the_phone_s_later_word_ends_well(on_the_road):
    before = Stop.objects.get(order__number=201)
    day = Day.objects.get()
    phone_saw = {"order": "201", "version": str(day.version), "part": "1", "parts": "1", "planned_cords": "1"}
    late = confirmed(
        on_the_road.knob_fir, number=220, name="Late Comer", at="Marrow", cords="1/6", total="60"
    )

    planned = plan_again(on_the_road, 201, 202, 203, late.number)

    after = Stop.objects.get(order__number=201)
    assert (after.pk, after.load_id, after.part, after.cords) == (before.pk, before.load_id, 1, before.cords)
    assert after.load.sequence == 1
    assert planned.drops == 4
    assert Stop.objects.get(order=late).load.sequence > 1
    done = tell("delivered", when=at(9, 20), stop_id=after.pk, **phone_saw, dollars="240", method="cash")
    assert done.outcome == "applied"
    assert Order.objects.get(number=201).state in ("delivered", "settled")
    assert sum(Payment.objects.filter(order__number=201).values_list("dollars", flat=True)) == Decimal(240)
    assert order_view(201).delivered_cords in (None, before.cords)
    assert events_to_look_at(on=FRIDAY) == ()


def test_what_is_not_wanted_any_more_comes_off_unless_it_is_aboard(on_the_road):
    plan_again(on_the_road, 202)

    assert set(Stop.objects.values_list("order__number", flat=True)) == {201, 202}


def test_no_edit_by_hand_touches_what_is_aboard(on_the_road, an_instant):
    marlow, greta = (Stop.objects.get(order__number=number) for number in (201, 202))
    by = {"on": FRIDAY, "at": an_instant, "who": "ruth"}
    saturday, big = FRIDAY.replace(day=19), on_the_road.big.pk

    offered = drop_moves(on=FRIDAY, stop_id=greta.pk).moves
    assert all(not row.place.startswith(f"{marlow.load_id}:") for row in offered)
    assert drop_moves(on=FRIDAY, stop_id=marlow.pk).moves == ()
    for refused in (
        lambda: move_drop(stop_id=marlow.pk, to_load_id=greta.load_id, position=1, **by),
        lambda: move_drop(stop_id=greta.pk, to_load_id=marlow.load_id, position=1, **by),
        lambda: take_off(number=201, **by),
        lambda: move_to_day(number=201, to_on=saturday, rig_id=big, **by),
    ):
        with pytest.raises(PlanRefused, match="on the road"):
            refused()


def test_a_late_rig_is_timed_by_its_lateness_and_those_who_wait_are_told_anew(on_the_road):
    Order.objects.filter(number__in=(202, 203)).update(window_to=time(18))
    planned = Stop.objects.get(order__number=203).begin_at
    first = Stop.objects.get(order__number=201)
    tell("arrived", when=at(9, 40), stop_id=first.pk)  # fifty minutes behind

    days.plan_day(
        on=FRIDAY, at=at(9, 41), who="ruth", order_numbers=(201, 202, 203), rig_ids=(on_the_road.big.pk,),
        around_fixed=True,
    )  # fmt: skip

    assert Stop.objects.get(order__number=203).begin_at > planned
    done = commits.commit_day(on=FRIDAY, at=at(9, 42), who="ruth")
    assert {number for number, kind in done.letters if kind == "day_moved"} <= {202, 203}
    assert runs_of(FRIDAY, at=at(9, 45))[0].loads[0].drops[0].order.number == 201


def test_a_load_that_is_over_keeps_its_place_and_the_next_may_still_change(on_the_road):
    marlow = Stop.objects.get(order__number=201)
    creek = marlow.load.yard
    tell("delivered", when=at(9, 20), stop_id=marlow.pk, dollars="300", method="cash")
    lot = on_the_road.knob_fir
    late = confirmed(lot, number=220, name="Late Comer", at="Marrow", cords="1/6", total="60")

    plan_again(on_the_road, 201, 202, 203, late.number)

    marlow.refresh_from_db()
    assert (marlow.load.sequence, marlow.load.yard, marlow.state) == (1, creek, "delivered")
    later = Stop.objects.exclude(pk=marlow.pk)
    assert {stop.load.sequence for stop in later} == {2} or min(stop.load.sequence for stop in later) == 2
    [run] = runs_of(FRIDAY, at=at(9, 30), drafts=True)
    assert [drop.order.number for drop in run.loads[0].drops] == [201]
    assert run.next_halt.name == "Siding Yard"


def test_with_one_rig_out_the_other_need_not_go_where_one_on_the_road_can_fill_another(on_the_road):
    """Only the small rig is at home; Late Comer rides on a load that the big one is still to fill."""
    marlow = Stop.objects.get(order__number=201)
    lot = on_the_road.knob_fir
    late = confirmed(lot, number=220, name="Late Comer", at="Marrow", cords="1/6", total="60")

    days.plan_day(
        on=FRIDAY, at=at(8, 40), who="ruth", order_numbers=(201, 202, 203, late.number),
        rig_ids=(on_the_road.big.pk, on_the_road.small.pk), around_fixed=True,
    )  # fmt: skip

    theirs = Stop.objects.get(order=late)
    assert theirs.load.run.rig == on_the_road.big
    assert theirs.load.sequence > 1
    assert Stop.objects.get(order__number=201).load_id == marlow.load_id
