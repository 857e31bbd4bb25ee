"""A day is planned, committed, taken back and planned around what is fixed; the referee watches."""

from datetime import date, time, timedelta
from fractions import Fraction

import pytest

from orders.models import Order
from orders.services.orders import cancel_order
from routing.core.costs import METERS_PER_MILE, trip_cost
from routing.models import Day, Rig, Run, Stop
from routing.selectors.days import day_view, days_list
from routing.selectors.rigs import rates_of
from routing.selectors.runs import runs_of
from routing.services import days, rigs, shuts
from routing.services.days import DayIsFixed, NoSuchDay, PlanRefused
from routing.services.edits import bring_along, move_drop, reorder, set_hours, swap_yard, take_off
from tests.factories.day import FRIDAY, Friday, confirmed
from tests.factories.inventory import make_lot
from tests.factories.orders import make_order


def lay_out(friday: Friday, an_instant, starts_at: time = time(7, 30)):
    return days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
        starts_at=starts_at,
    )


def test_worked_example_11_comes_out_to_the_minute_and_the_cent(friday, an_instant):
    lay_out(friday, an_instant)

    run = Run.objects.get()
    first, second = run.loads.order_by("sequence")
    marlow, greta, pilar = Stop.objects.order_by("load__sequence", "sequence")
    assert run.leaves_at == time(7, 30)
    assert (first.arrive_at, first.leave_at) == (time(7, 47), time(8, 33))
    assert (marlow.arrive_at, marlow.leave_at) == (
        time(8, 51),
        time(9, 31),
    )  # round by Siding, not the bridge
    assert (second.arrive_at, second.leave_at) == (time(9, 39), time(10, 25))
    assert (greta.arrive_at, greta.leave_at) == (time(10, 33), time(10, 53))
    assert (pilar.arrive_at, pilar.leave_at) == (time(11, 18), time(12, 38))
    assert run.home_at == time(13, 31)
    loaded, empty = run.loaded_meters / METERS_PER_MILE, run.empty_meters / METERS_PER_MILE
    assert round(float(loaded), 1) == 29.7
    assert round(float(empty), 1) == 40.9
    rates = rates_of(friday.big.pk)[0]
    tenths = Fraction(round(loaded * 10), 10), Fraction(round(empty * 10), 10)
    assert f"{trip_cost(loaded_miles=tenths[0], empty_miles=tenths[1], rates=rates)}" == "48.86"


def test_the_planner_finds_the_job_s_day_by_itself(friday, an_instant):
    planned = days.plan_day(
        on=FRIDAY,
        at=an_instant,
        who="ruth",
        order_numbers=(201, 202, 203),
        rig_ids=(friday.big.pk,),
        steps=200,
        seed=1,
    )

    assert planned.drops == 3
    assert planned.postponed == ()
    run = Run.objects.get()
    assert round(float((run.loaded_meters + run.empty_meters) / METERS_PER_MILE), 1) <= 70.6
    assert Day.objects.get().state == Day.State.DRAFT
    assert Order.objects.get(number=201).state == Order.State.CONFIRMED  # nobody is told before commit


def test_a_full_cord_of_mixed_wood_weighs_too_much_for_the_bridge(friday, an_instant):
    lay_out(friday, an_instant)

    first = runs_of(FRIDAY, drafts=True)[0].loads[0]
    assert first.whole_rig_lb > 12_000
    assert first.drops[0].leg_meters == pytest.approx(8.9 * 1609.344, abs=2)


def test_committing_sets_the_orders_for_the_day_and_says_who_is_told(friday, an_instant):
    lay_out(friday, an_instant)

    done = days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert done.letters == ((201, "day_set"), (202, "day_set"), (203, "day_set"))
    greta = Order.objects.get(number=202)
    assert greta.state == Order.State.PLANNED
    assert greta.promised_on == FRIDAY
    assert greta.comes_from <= time(10, 33) <= greta.comes_to
    marlow = Order.objects.get(number=201)
    assert marlow.comes_from >= time(8, 30)  # never told hours outside their own window


def test_committing_again_tells_only_those_whose_hours_moved(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    load = Stop.objects.get(order__number=202).load
    stops = list(load.stops.order_by("sequence"))

    reorder(on=FRIDAY, load_id=load.pk, stop_ids=[s.pk for s in stops[::-1]], at=an_instant, who="ruth")
    again = days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    told = {number for number, _ in again.letters}
    assert 201 not in told
    assert {kind for _, kind in again.letters} == {"day_moved"}
    assert 202 in told


def test_an_order_cancelled_after_the_plan_stops_the_commit(friday, an_instant):
    lay_out(friday, an_instant)
    cancel_order(number=202, at=an_instant, who="customer")

    with pytest.raises(PlanRefused, match="Order 202 is cancelled"):
        days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Day.objects.get().state == Day.State.DRAFT

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 203), steps=100)
    assert days.commit_day(on=FRIDAY, at=an_instant, who="ruth").letters == (
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
        days.commit_day(on=FRIDAY, at=an_instant, who="ruth")


def test_an_order_whose_yard_is_shut_is_left_out_with_the_reason(friday, an_instant):
    shuts.shut(
        kind="yard", yard_id=friday.creek.pk, from_on=FRIDAY, to_on=FRIDAY, reason="Mud", at=an_instant,
        who="ruth",
    )  # fmt: skip

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=100)

    assert [row.order for row in planned.postponed] == ["201"]
    assert "shut" in planned.postponed[0].reason
    assert [row.number for row in day_view(FRIDAY).postponed] == [201]


def test_a_broken_rig_stops_the_commit_and_the_next_plan_does_without(friday, an_instant):
    lay_out(friday, an_instant)
    rigs.take_rig_out(rig_id=friday.big.pk, reason="Blown tire", at=an_instant, who="ruth")

    with pytest.raises(PlanRefused, match="Blown tire"):
        days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202,), steps=100)
    assert planned.drops == 1
    assert Run.objects.get().rig == friday.small


def test_a_committed_day_is_not_planned_over(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    with pytest.raises(DayIsFixed):
        days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201,), steps=50)


def test_taking_a_day_back_gives_its_orders_their_freedom(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    days.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert Day.objects.get().state == Day.State.DRAFT
    assert {order.state for order in Order.objects.all()} == {Order.State.CONFIRMED}
    with pytest.raises(NoSuchDay):
        days.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")


def test_a_run_under_way_stays_as_it_is_when_the_day_is_planned_again(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    Run.objects.update(actual_leave_at=an_instant)
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
    assert after == before
    assert Stop.objects.get(order=late).load.run.rig == friday.small


def test_a_big_order_is_split_into_parts_that_fit(friday, an_instant):
    green = make_lot(code="K6", cords="2.5", yard=friday.upper, name="August fir")
    nell = confirmed(green, number=210, name="Nell Bardo", at="Marrow", cords=2, total="390")

    days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(210,), rig_ids=(friday.big.pk,), steps=100
    )

    parts = Stop.objects.filter(order=nell).order_by("part")
    assert [part.part for part in parts] == [1, 2]
    assert sum(part.cords for part in parts) == 2
    assert all(load.loose_ft3 <= 180 for run in Run.objects.all() for load in run.loads.all())


def test_bundles_take_room_but_no_cords(friday, an_instant):
    kindling = make_lot(
        code="K7", cords=Fraction(3, 4) * 85 / 128, yard=friday.siding, wood="kindling", form="kindling",
        bundle_ft3="0.75", name="Kindling",
    )  # fmt: skip
    camp = make_order(
        number=211, cords=0, bundles=40, wood="kindling", state="confirmed", place=friday.greta.place,
        customer=friday.greta.customer, first_on=FRIDAY, last_on=FRIDAY,
    )  # fmt: skip
    from orders.models import OrderHold
    from tests.factories.inventory import make_hold

    hold = make_hold(kindling, cords=Fraction(3, 4) * 40 / 128, reference=camp.reference)
    OrderHold.objects.create(order=camp, hold=hold)

    days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202, 211), rig_ids=(friday.big.pk,), steps=100
    )

    stop = Stop.objects.get(order=camp)
    assert (stop.cords, stop.bundles) == (0, 40)
    assert sum(load.loose_ft3 for load in stop.load.run.loads.all()) == 90  # 60 of fir, 30 of bundles


def test_an_order_without_held_wood_is_left_out_and_says_so(friday, an_instant):
    make_order(
        number=230, state="confirmed", place=friday.greta.place, customer=friday.greta.customer,
        first_on=FRIDAY, last_on=FRIDAY,
    )  # fmt: skip

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202, 230), steps=50)

    assert [(row.order, row.code) for row in planned.postponed] == [("230", "no wood held")]


def test_a_hand_edit_that_breaks_a_window_is_refused_and_changes_nothing(friday, an_instant):
    lay_out(friday, an_instant)
    marlow = Stop.objects.get(order__number=201)
    last = Stop.objects.get(order__number=203).load
    before = list(Stop.objects.order_by("pk").values())

    with pytest.raises(PlanRefused):
        move_drop(on=FRIDAY, stop_id=marlow.pk, to_load_id=last.pk, position=3, at=an_instant, who="ruth")

    assert list(Stop.objects.order_by("pk").values()) == before


def test_a_hand_edit_says_what_it_costs_and_keeps_the_drop_s_own_row(friday, an_instant):
    lay_out(friday, an_instant)
    greta = Stop.objects.get(order__number=202)

    done = move_drop(
        on=FRIDAY, stop_id=greta.pk, to_load_id=None, to_run_id=greta.load.run_id, position=1, at=an_instant,
        who="ruth",
    )  # fmt: skip

    greta.refresh_from_db()
    assert done.change_cents > 0  # a third trip to the yard
    assert greta.load.sequence == 3
    assert Day.objects.get().proof == "hand"


def test_taking_an_order_off_saves_its_road_and_lists_it_as_left_out(friday, an_instant):
    lay_out(friday, an_instant)

    done = take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")

    assert done.change_cents < 0
    assert [row.number for row in day_view(FRIDAY).postponed] == [203]
    load = Stop.objects.get(order__number=202).load
    bring_along(
        on=FRIDAY, number=203, to_load_id=load.pk, position=2, at=an_instant, who="ruth", run_id=load.run_id
    )
    assert day_view(FRIDAY).postponed == ()
    assert Stop.objects.get(order__number=203).load == load


def test_swapping_the_yard_moves_the_holds_to_a_lot_there(friday, an_instant):
    lay_out(friday, an_instant)
    more_fir = make_lot(code="K9", cords=3, yard=friday.upper, name="Upper fir")
    load = Stop.objects.get(order__number=202).load

    swap_yard(on=FRIDAY, load_id=load.pk, yard_id=friday.upper.pk, at=an_instant, who="ruth")

    more_fir.refresh_from_db()
    friday.knob_fir.refresh_from_db()
    assert more_fir.firm_cords == 1
    assert friday.knob_fir.firm_cords == 0
    assert Stop.objects.get(order__number=203).lot == more_fir
    assert Stop.objects.get(order__number=203).load.yard == friday.upper


def test_other_hours_time_the_run_anew(friday, an_instant):
    lay_out(friday, an_instant)
    run = Run.objects.get()

    set_hours(
        on=FRIDAY, run_id=run.pk, starts_at=time(7), ends_at=time(18), driver_name="Tam", at=an_instant,
        who="ruth",
    )  # fmt: skip

    run.refresh_from_db()
    assert run.leaves_at < time(7, 30)
    assert run.driver_name == "Tam"
    with pytest.raises(PlanRefused, match="home"):
        set_hours(
            on=FRIDAY, run_id=run.pk, starts_at=time(7), ends_at=time(12), driver_name="", at=an_instant,
            who="ruth",
        )  # fmt: skip


def test_a_week_is_planned_at_once_each_order_on_a_day_that_suits(friday, an_instant):
    tuesday = date(2026, 9, 22)
    Order.objects.filter(number=203).update(first_on=tuesday, last_on=tuesday)

    planned = days.plan_day(on=FRIDAY, last_on=tuesday, at=an_instant, who="ruth", steps=300)

    assert planned.drops == 3
    assert Stop.objects.get(order__number=203).load.run.day.on == tuesday


def test_the_list_of_days_asks_few_questions(friday, an_instant, django_assert_max_num_queries):
    lay_out(friday, an_instant)

    with django_assert_max_num_queries(6):
        rows = days_list(FRIDAY - timedelta(days=1), days=5)

    assert [row.drops for row in rows] == [0, 3, 0, 0, 0]


def test_a_day_is_read_with_as_many_questions_for_one_drop_as_for_three(
    friday, an_instant, django_assert_max_num_queries
):
    lay_out(friday, an_instant)

    with django_assert_max_num_queries(30):
        day_view(FRIDAY)


def test_a_rig_that_breaks_on_the_road_keeps_what_it_did_and_frees_the_rest(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    Run.objects.update(actual_leave_at=an_instant)
    Stop.objects.filter(order__number=201).update(state=Stop.State.NO_SHOW, done_at=an_instant)
    rigs.take_rig_out(rig_id=friday.big.pk, reason="Axle", at=an_instant, who="ruth")

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(202,), steps=100, around_fixed=True)

    assert Stop.objects.get(order__number=201).load.run.rig == friday.big
    assert Stop.objects.get(order__number=202).load.run.rig == friday.small


def test_a_committed_day_being_changed_stays_with_its_driver(friday, an_instant):
    lay_out(friday, an_instant)
    assert runs_of(FRIDAY) == ()
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    assert len(runs_of(FRIDAY)[0].drops) == 2

    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Order.objects.get(number=203).state == Order.State.CONFIRMED  # its wood stays held
    days.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert runs_of(FRIDAY) == ()


def test_clearing_a_changed_day_gives_its_promises_back_but_never_a_run_under_way(friday, an_instant):
    lay_out(friday, an_instant)
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    Stop.objects.filter(order__number=201).update(state=Stop.State.DELIVERED, done_at=an_instant)

    with pytest.raises(PlanRefused, match="A rig is out"):
        days.clear_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Stop.objects.count() == 2

    Stop.objects.update(state=Stop.State.PLANNED, done_at=None)
    days.clear_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Stop.objects.count() == 0
    assert {order.state for order in Order.objects.all()} == {Order.State.CONFIRMED}


def test_two_trailers_behind_one_pickup_go_one_behind_the_other(friday, an_instant):
    Rig.objects.update(truck="Pickup")
    Order.objects.filter(number=202).update(small_rig_only=True)

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=200)

    first, second = Run.objects.order_by("leaves_at")
    assert {first.rig, second.rig} == {friday.big, friday.small}
    assert first.home_at < second.leaves_at
    assert day_view(FRIDAY).both_out == ()


def test_trailers_that_cannot_take_turns_are_said_to_be_out_at_once(friday, an_instant):
    Rig.objects.update(truck="Pickup")
    Order.objects.filter(number=202).update(
        small_rig_only=True, window_from=time(8, 30), window_to=time(9, 30)
    )
    Order.objects.filter(number=203).update(window_from=time(11), window_to=time(11, 30))

    days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=200)

    assert "Pickup pulls both" in day_view(FRIDAY).both_out[0]
    with pytest.raises(PlanRefused, match="Pickup pulls both"):
        days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    assert Day.objects.get(on=FRIDAY).state == Day.State.DRAFT


def test_a_day_laid_out_before_its_rig_s_box_shrank_still_shows_what_goes_on_first(friday, an_instant):
    lay_out(friday, an_instant)
    Rig.objects.filter(pk=friday.big.pk).update(box_side_ft="0.20", box_heap_ft="0.60", capacity_ft3=36)

    shown = day_view(FRIDAY).runs[0].loads[0]

    assert [line.customer for line in shown.lines] == ["Marlow Finch"]
