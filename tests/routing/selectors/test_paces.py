"""What taps teach, read from the books."""

import re
from datetime import datetime, timedelta
from fractions import Fraction
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firewood_site.daily import daily_work
from inventory.models import Lot
from orders.models import Order
from routing.core.road_engine import RoadPaces
from routing.core.roads import Leg
from routing.models import LearnedPace, Rig, Run, Stop
from routing.quoting.drives import Cargo, drive_to
from routing.selectors.learned_paces import pace_rows, paces_in_use
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import prepare
from routing.selectors.runs.paces import Subject, taught
from routing.services.driver_events.record import record_event
from routing.services.driver_events.values import IncomingEvent
from routing.services.paces import learn_paces
from tests.factories.day import FRIDAY, SPOTS, commit, confirmed, drive_by_the_job, make_friday


@pytest.fixture
def driven(db, business, monkeypatch, an_instant):
    """Friday driven to the end: every halt takes half as long again as planned, every drive as planned."""
    drive_by_the_job(monkeypatch)
    commit(make_friday(), an_instant)
    run = Run.objects.get(day__on=FRIDAY)
    now = at(run.leaves_at)
    tell("left", when=now, run_id=run.pk)
    for load in run.loads.order_by("sequence"):
        now += timedelta(seconds=load.leg_seconds) + 1.5 * stay(load)
        tell("loaded", when=now, load_id=load.pk)
        for stop in load.stops.order_by("sequence"):
            now += timedelta(seconds=stop.leg_seconds)
            tell("arrived", when=now, stop_id=stop.pk)
            now += 1.5 * stay(stop)
            tell("delivered", when=now, stop_id=stop.pk, dollars="1", method="cash")
    return run


def at(clock):
    return timezone.make_aware(datetime.combine(FRIDAY, clock))


def stay(halt):
    return at(halt.leave_at) - at(halt.begin_at)


def tell(kind, *, when, **given):
    ids = {name: given.pop(name, None) for name in ("stop_id", "load_id", "run_id")}
    done = record_event(
        IncomingEvent(key=uuid4(), kind=kind, at=when, input=given, **ids), received_at=when, who="tam"
    )
    assert done.outcome == "applied"


def learned():
    """Percent of what is learned, by kind, name and road class."""
    return {(row.kind, row.name, row.road_class): row.percents[0] + 100 for row in pace_rows()}


def test_halts_are_learned_to_be_slower_and_drives_as_planned(driven):
    found = {(subject.kind, subject.id, subject.road_class): pace for subject, pace in taught().items()}

    assert Stop.objects.filter(state="delivered").count() == 3
    assert found["unload", None, ""].count == 3
    assert 1.1 < found["unload", None, ""].ratio < 1.5
    assert 1.05 < found["load", None, ""].ratio < 1.5
    assert found["drive", driven.rig_id, ""].ratio == pytest.approx(1, abs=0.02)


@pytest.mark.slow
def test_the_rigs_page_says_what_was_taught_and_it_can_be_switched_off(driven, seller_client):
    daily_work(on=FRIDAY, at=timezone.now())
    page = seller_client.get(reverse("rigs")).content.decode()
    assert "Learned from the phones" in page
    assert "Driving with Big trailer" in page
    assert "as planned" in page
    drawn = re.findall(r'<svg class="range".*?</svg></svg>', page)  # planned, dashed, beside what was ticked
    assert len(drawn) == len(pace_rows())
    assert all('<line class="limit" x1="50%"' in picture for picture in drawn)
    for row, picture in zip(pace_rows(), drawn, strict=True):
        assert f'x="{(100 + row.percents[0]) / 2:g}%"' in picture
    assert paces_in_use().of_customer(None) == learned()["unload", "", ""] > 100

    kept = [row.id for row in pace_rows() if row.kind != "unload"]
    answer = seller_client.post(reverse("paces"), {"used": kept}, follow=True).content.decode()

    assert "go by the ticked times from now on" in answer
    assert paces_in_use().of_customer(None) == 100
    learn_paces(on=FRIDAY)
    assert paces_in_use().of_customer(None) == 100  # tomorrow too


def test_nothing_is_said_before_a_tap(seller_client):
    assert taught() == {}
    assert learn_paces(on=FRIDAY) == 0
    assert "Learned from the phones" not in seller_client.get(reverse("rigs")).content.decode()


def test_what_was_taught_takes_few_questions(driven, django_assert_num_queries):
    with django_assert_num_queries(4):
        taught()


def problem_of_saturday():
    """Another order, planned for the day after."""
    return prepare(
        open_runs=[OpenRun(rig_id=Run.objects.get().rig_id, on=FRIDAY + timedelta(days=1))],
        order_numbers=[301], must_go=True,
    ).problem  # fmt: skip


def test_plans_go_by_what_was_taught(driven):
    greta = Order.objects.get(number=202)
    lot = Lot.objects.get(code="K1")
    later = confirmed(lot, number=301, name="Nell", at="Marrow", cords="1/3", total="100.00")
    Order.objects.filter(pk=later.pk).update(customer=greta.customer)
    before = problem_of_saturday()

    learn_paces(on=FRIDAY)
    after, percent = problem_of_saturday(), paces_in_use()

    unloading, loading = percent.of_customer(greta.customer_id), percent.of_yard(lot.yard_id)
    assert unloading > 110
    assert loading > 104
    assert after.orders[0].stop_s == int(before.orders[0].stop_s * unloading / 100)
    was, now = (
        next(yard for yard in problem.yards if yard.id == str(lot.yard_id)) for problem in (before, after)
    )
    assert now.load_s_per_cord == int(was.load_s_per_cord * loading / 100)


def test_a_pace_that_is_planned_by_does_not_feed_on_itself(driven):
    before = taught()[Subject("unload", None)].ratio

    for stop in Stop.objects.all():  # as if it had been planned by the pace it was driven at
        longer = at(stop.begin_at) + 1.5 * stay(stop)
        Stop.objects.filter(pk=stop.pk).update(leave_at=timezone.localtime(longer).time(), unload_percent=150)

    assert taught()[Subject("unload", None)].ratio == pytest.approx(before, rel=0.01)


def test_quote_and_plan_drive_alike_by_a_learned_pace(driven):
    """The drive of a drop alone is the same to the second in its quote and in its plan."""
    rig = driven.rig
    for name, percent in (("", 120), ("country", 150)):
        LearnedPace.objects.create(
            kind="drive", rig=rig, road_class=name, percent=percent, count=9, learned_on=FRIDAY
        )
    Rig.objects.exclude(pk=rig.pk).update(works=False)  # so that quote and plan take the same
    lot = Lot.objects.get(code="K1")
    confirmed(lot, number=301, name="Nell", at="Larch", cords="1/3", total="100.00")
    problem = problem_of_saturday()
    lat, lon = SPOTS["Larch"]

    trip = drive_to(
        lat=lat, lon=lon, yards=[lot.yard.name], cargo=Cargo(cords=Fraction(1, 3), wood_lb=900), on=FRIDAY
    )

    table = dict(problem.roads)[problem.rigs[0].roads[-1].table]
    row = next(yard.loc for yard in problem.yards if yard.id == str(lot.yard_id))
    assert table.seconds[row][problem.orders[0].loc] == trip.out.seconds == 29 * 60 * 150 // 100


@settings(suppress_health_check=[HealthCheck.too_slow])  # a busy machine draws slowly
@given(
    meters=st.integers(1, 200_000), seconds=st.integers(60, 10_000),
    percents=st.tuples(*[st.integers(50, 200)] * 3),
)  # fmt: skip
def test_the_percent_in_a_drive_is_told_from_its_seconds(meters, seconds, percents):
    """Unless two classes could have given the same time, and then it is one of theirs."""
    paces = RoadPaces(slow=percents[0], country=percents[1], fast=percents[2])
    paced = paces.paced(Leg(meters=meters, seconds=seconds))

    assert paces.percent_in(meters, paced.seconds) in (*percents, 100)
    assert RoadPaces().percent_in(meters, paced.seconds) == 100
