"""A day or a week is planned: who is on it, in which parts, and who is left out."""

from datetime import date, time, timedelta
from fractions import Fraction

import pytest

from inventory.core.units import METERS_PER_MILE
from orders.models import Order
from routing.earned.costs import exact_road_dollars
from routing.models import Day, Rig, Run, Stop
from routing.selectors.days.day_list import days_list
from routing.selectors.days.day_view import day_view
from routing.selectors.rigs import rates_by_rig
from routing.selectors.runs.runs import runs_of
from routing.services import days, shuts
from tests.factories.day import FRIDAY, confirmed, lay_out
from tests.factories.inventory import make_lot, make_reading
from tests.factories.orders import make_order


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
    rates = rates_by_rig([friday.big.pk])[friday.big.pk][0]
    tenths = Fraction(round(loaded * 10), 10), Fraction(round(empty * 10), 10)
    road = exact_road_dollars(loaded_miles=tenths[0], empty_miles=tenths[1], rates=rates)
    assert round(float(road), 2) == 48.86


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


def test_an_order_whose_yard_is_shut_is_left_out_with_the_reason(friday, an_instant):
    shuts.shut(
        kind="yard", yard_id=friday.creek.pk, from_on=FRIDAY, to_on=FRIDAY, reason="Mud", at=an_instant,
        who="ruth",
    )  # fmt: skip

    planned = days.plan_day(on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202, 203), steps=100)

    assert [row.order for row in planned.postponed] == ["201"]
    assert "closed on Fri, Sep 18" in str(planned.postponed[0].reason)
    assert [row.number for row in day_view(FRIDAY).postponed] == [201]


def test_a_big_order_is_split_into_parts_that_fit(friday, an_instant):
    green = make_lot(code="K6", cords="2.5", yard=friday.upper, name="August fir")
    make_reading(green, 29, 30, 28)
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


def test_a_draft_warns_of_a_past_day_and_of_dates_nobody_asked_for(friday, an_instant):
    lay_out(friday, an_instant)
    Order.objects.filter(number=203).update(first_on=date(2026, 9, 20), last_on=date(2026, 9, 22))

    warned = day_view(FRIDAY, today=date(2026, 9, 19)).warnings
    [row] = days_list(FRIDAY, days=1, today=date(2026, 9, 19))

    assert warned == (
        "This day is past: what is planned here can't be driven any more.",
        "Order 203 of Pilar Ostrander asked for Sun, Sep 20 to Tue, Sep 22, not for this day.",
    )
    assert row.warnings == warned
    assert day_view(FRIDAY, today=FRIDAY).warnings == warned[1:]


def test_a_week_s_days_know_how_far_from_the_best_they_can_be(friday, an_instant):
    Order.objects.filter(number=203).update(last_on=FRIDAY + timedelta(days=1))

    days.plan_day(on=FRIDAY, last_on=FRIDAY + timedelta(days=1), at=an_instant, who="ruth", steps=200)

    gaps = set(Day.objects.exclude(proof="").values_list("gap_percent", flat=True))
    assert len(gaps) == 1
    assert gaps.pop() >= 0


def test_a_week_is_planned_at_once_each_order_on_a_day_that_suits(friday, an_instant):
    tuesday = date(2026, 9, 22)
    Order.objects.filter(number=203).update(first_on=tuesday, last_on=tuesday)

    planned = days.plan_day(on=FRIDAY, last_on=tuesday, at=an_instant, who="ruth", steps=300)

    assert planned.drops == 3
    assert Stop.objects.get(order__number=203).load.run.day.on == tuesday


def test_the_list_of_days_asks_few_questions(friday, an_instant, django_assert_max_num_queries):
    lay_out(friday, an_instant)

    with django_assert_max_num_queries(7):
        rows = days_list(FRIDAY - timedelta(days=1), days=5)

    assert [row.drops for row in rows] == [0, 3, 0, 0, 0]


def test_a_day_is_read_with_as_many_questions_for_one_drop_as_for_three(
    friday, an_instant, django_assert_max_num_queries
):
    lay_out(friday, an_instant)

    with django_assert_max_num_queries(25):
        day_view(FRIDAY)


def test_a_day_laid_out_before_its_rig_s_box_shrank_still_shows_what_goes_on_first(friday, an_instant):
    lay_out(friday, an_instant)
    Rig.objects.filter(pk=friday.big.pk).update(box_side_ft="0.20", box_heap_ft="0.60", capacity_ft3=36)

    shown = day_view(FRIDAY).runs[0].loads[0]

    assert [line.customer for line in shown.lines] == ["Marlow Finch"]
