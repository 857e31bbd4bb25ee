"""A day is committed, taken back and planned around what is fixed."""

from datetime import time

import pytest

from orders.models import Order
from orders.services.orders import cancel_order
from routing.models import Day, DriverEvent, Load, Pickup, Rig, Run, Stop
from routing.selectors.days.day_view import day_view
from routing.selectors.runs.runs import runs_of
from routing.services import commits, days, rigs, shuts
from routing.services.days import DayIsFixed
from routing.services.edits import move_drop, take_off
from routing.services.standing import NoSuchDay, PlanRefused
from tests.factories.day import FRIDAY, confirmed, lay_out


def test_committing_sets_the_orders_for_the_day_and_says_who_is_told(friday, an_instant):
    lay_out(friday, an_instant)

    done = commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert done.letters == ((201, "day_set"), (202, "day_set"), (203, "day_set"))
    greta = Order.objects.get(number=202)
    assert greta.state == Order.State.PLANNED
    assert greta.promised_on == FRIDAY
    assert greta.comes_from <= time(10, 33) <= greta.comes_to
    marlow = Order.objects.get(number=201)
    assert marlow.comes_from >= time(8, 30)  # never told hours outside their own window


def test_committing_again_tells_only_those_whose_hours_moved(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    load = Stop.objects.get(order__number=202).load
    stops = list(load.stops.order_by("sequence"))

    move_drop(on=FRIDAY, stop_id=stops[0].pk, to_load_id=load.pk, position=3, at=an_instant, who="ruth")
    again = commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    told = {number for number, _ in again.letters}
    assert 201 not in told
    assert {kind for _, kind in again.letters} == {"day_moved"}
    assert 202 in told


def test_an_order_cancelled_after_the_plan_stops_the_commit(friday, an_instant):
    lay_out(friday, an_instant)
    cancel_order(number=202, at=an_instant, who="customer")

    with pytest.raises(PlanRefused, match="Order 202 is cancelled"):
        commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Day.objects.get().state == Day.State.DRAFT

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 203), steps=100)
    assert commits.commit_day(on=FRIDAY, at=an_instant, who="ruth").letters == (
        (201, "day_set"),
        (203, "day_set"),
    )


def test_a_yard_shut_after_the_plan_stops_the_commit(friday, an_instant):
    lay_out(friday, an_instant)
    made = shuts.shut(
        kind="yard", yard_id=friday.creek.pk, from_on=FRIDAY, to_on=FRIDAY, reason="Mud", at=an_instant,
        who="ruth",
    )  # fmt: skip
    assert made.days == (FRIDAY,)

    with pytest.raises(PlanRefused, match=r"[Ss]hut"):
        commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")


def test_a_broken_rig_stops_the_commit_and_the_next_plan_does_without(friday, an_instant):
    lay_out(friday, an_instant)
    rigs.take_rig_out(rig_id=friday.big.pk, reason="Blown tire", at=an_instant, who="ruth")

    with pytest.raises(PlanRefused, match="Blown tire"):
        commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202,), steps=100)
    assert planned.drops == 1
    assert Run.objects.get().rig == friday.small


def test_a_committed_day_is_not_planned_over(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    with pytest.raises(DayIsFixed):
        days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201,), steps=50)


def test_taking_a_day_back_gives_its_orders_their_freedom(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    commits.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert Day.objects.get().state == Day.State.DRAFT
    assert {order.state for order in Order.objects.all()} == {Order.State.CONFIRMED}
    with pytest.raises(NoSuchDay):
        commits.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")


def test_what_a_run_has_aboard_stays_when_the_day_is_planned_again(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    Run.objects.update(actual_leave_at=an_instant)
    for load in Load.objects.filter(run__rig=friday.big):
        DriverEvent.objects.create(
            kind="loaded",
            load=load,
            run=load.run,
            happened_at=an_instant,
            received_at=an_instant,
        )
    late = confirmed(friday.knob_fir, number=220, name="Late Comer", at="Marrow", cords="1/3", total="100")
    before = [(s.order_id, s.load.sequence, s.sequence) for s in Stop.objects.order_by("load", "sequence")]

    days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(late.number,), steps=200, around_fixed=True
    )

    run = Run.objects.get(rig=friday.big)
    after = [
        (s.order_id, s.load.sequence, s.sequence)
        for s in Stop.objects.filter(load__run=run).order_by("load", "sequence")
    ]
    assert after[: len(before)] == before
    late_load = Stop.objects.get(order=late).load
    assert (late_load.run.rig, late_load.sequence) == (friday.big, 3)  # filled when the rig is back


def test_a_rig_that_breaks_on_the_road_keeps_what_it_did_and_frees_the_rest(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    Run.objects.update(actual_leave_at=an_instant)
    Stop.objects.filter(order__number=201).update(state=Stop.State.NO_SHOW, done_at=an_instant)
    rigs.take_rig_out(rig_id=friday.big.pk, reason="Axle", at=an_instant, who="ruth")

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202,), steps=100, around_fixed=True)

    assert Stop.objects.get(order__number=201).load.run.rig == friday.big
    assert Stop.objects.get(order__number=202).load.run.rig == friday.small


def test_a_committed_day_being_changed_stays_with_its_driver(friday, an_instant):
    lay_out(friday, an_instant)
    assert runs_of(FRIDAY) == ()
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    assert len(runs_of(FRIDAY)[0].drops) == 2

    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Order.objects.get(number=203).state == Order.State.CONFIRMED  # its wood stays held
    commits.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert runs_of(FRIDAY) == ()


def test_clearing_a_changed_day_gives_its_promises_back_but_never_a_run_under_way(friday, an_instant):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    Stop.objects.filter(order__number=201).update(state=Stop.State.DELIVERED, done_at=an_instant)

    with pytest.raises(PlanRefused, match="A rig is out"):
        commits.clear_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Stop.objects.count() == 2

    Stop.objects.update(state=Stop.State.PLANNED, done_at=None)
    commits.clear_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Stop.objects.count() == 0
    assert {order.state for order in Order.objects.all()} == {Order.State.CONFIRMED}


def test_two_trailers_behind_one_pickup_go_one_behind_the_other(friday, an_instant):
    Rig.objects.update(pickup=Pickup.objects.create(name="Pickup"))
    Order.objects.filter(number=202).update(small_rig_only=True)

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=200)

    first, second = Run.objects.order_by("leaves_at")
    assert {first.rig, second.rig} == {friday.big, friday.small}
    assert first.home_at < second.leaves_at
    assert day_view(FRIDAY).warnings == ()


def test_a_run_whose_pickup_is_out_is_no_part_of_the_plan_and_says_why(friday, an_instant):
    Rig.objects.update(pickup=Pickup.objects.create(name="Pickup"))
    Order.objects.filter(number=202).update(
        small_rig_only=True, window_from=time(8, 30), window_to=time(9, 30)
    )
    Order.objects.filter(number=203).update(window_from=time(11), window_to=time(11, 30))

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=200)

    assert [(row.order, row.code) for row in planned.postponed] == [("202", "shared")]
    back = Run.objects.get().home_at
    until = f"{back.hour}:{back.minute:02d}"
    assert str(planned.postponed[0].reason) == f"Pickup is out with Big trailer until {until}."
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
