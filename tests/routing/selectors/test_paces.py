"""What taps teach, read from the books."""

from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from routing.models import Run, Stop
from routing.selectors.runs.paces import taught
from routing.services.driver_events.record import record_event
from tests.factories.day import FRIDAY, commit, drive_by_the_job, make_friday


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
        key=uuid4(), kind=kind, happened_at=when, received_at=when, who="tam", input=given, **ids
    )
    assert done.outcome == "applied"


def test_halts_are_learned_to_be_slower_and_drives_as_planned(driven):
    found = {(row.kind, row.name): row.pace for row in taught()}

    assert Stop.objects.filter(state="delivered").count() == 3
    assert found["unload", ""].count == 3
    assert 1.1 < found["unload", ""].ratio < 1.5
    assert 1.05 < found["load", ""].ratio < 1.5
    assert found["drive", "Big trailer"].ratio == pytest.approx(1, abs=0.02)


def test_the_rigs_page_says_what_was_taught(driven, seller_client):
    page = seller_client.get(reverse("rigs")).content.decode()

    assert "What the phones taught" in page
    assert "Driving with Big trailer" in page
    assert "as planned" in page


def test_nothing_is_said_before_a_tap(seller_client):
    assert taught() == ()
    assert "What the phones taught" not in seller_client.get(reverse("rigs")).content.decode()


def test_what_was_taught_takes_few_questions(driven, django_assert_num_queries):
    with django_assert_num_queries(4):
        taught()
