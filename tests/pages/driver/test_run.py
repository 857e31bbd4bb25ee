"""The driver's pages and what phones tell."""

import json
from datetime import UTC, datetime, time
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.models import Movement, Photo
from orders.models import Letter, Order, Payment
from routing.models import DriverEvent, Run, Stop
from routing.services import commits
from tests.factories.day import FRIDAY, commit, drive_by_the_job, drop, make_friday


@pytest.fixture
def committed(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    return commit(make_friday(), an_instant)


def send(client, *events):
    body = json.dumps({"events": list(events)})
    return client.post(reverse("driver-events"), body, content_type="application/json")


def a_picture() -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), (90, 60, 40)).save(out, "JPEG")
    return SimpleUploadedFile("heap.jpg", out.getvalue(), content_type="image/jpeg")


def test_a_day_without_a_run_says_so(driver_client):
    page = driver_client.get(reverse("run-today")).content.decode()

    assert "No run today" in page


def test_a_draft_is_not_shown_to_the_driver(driver_client, committed, an_instant):
    commits.uncommit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert "No run today" in driver_client.get(reverse("run-today")).content.decode()


def test_the_run_shows_stops_in_order_and_names_every_page_to_keep(driver_client, committed):
    page = driver_client.get(reverse("run-today")).content.decode()

    assert page.index("Creek Yard") < page.index("Marlow Finch") < page.index("Pilar Ostrander")
    for stop in Stop.objects.all():
        assert reverse("drop", args=[stop.pk]) in page.split('id="kept-pages"')[1]


def test_the_load_card_says_what_goes_on_first_and_the_bridge(driver_client, committed):
    from routing.models import RoadLimit

    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=12_000)
    load = drop(201).load

    page = driver_client.get(reverse("load-card", args=[load.pk])).content.decode()

    assert "What goes on first" in page
    assert "Old Mill Bridge is posted 12,000 lb" in page


def test_the_drop_card_has_gate_call_and_navigation(driver_client, committed):
    committed.greta.place.gate_code = "4471"
    committed.greta.place.save()

    page = driver_client.get(reverse("drop", args=[drop(202).pk])).content.decode()

    assert "4471" in page
    assert "dump it" in page
    assert f"tel:{committed.greta.customer.phone}" in page
    assert "geo:44.0087,-150.0604" in page
    assert "<b>$100</b>" in page


def test_leaving_for_a_drop_and_missing_it_are_written_to_the_customer(driver_client, committed):
    for kind in ("on_the_way", "no_show"):
        event = {"uuid": str(uuid4()), "kind": kind, "stop": drop(202).pk, "at": "2026-09-18T17:50:00Z"}
        send(driver_client, event)

    assert set(Letter.objects.values_list("kind", flat=True)) >= {"on_the_way", "no_show"}
    assert "nobody was there" in Letter.objects.get(kind="no_show").body


def test_a_drop_arrived_at_is_marked_and_not_told_it_is_late(driver_client, committed):
    stop = drop(202)

    driver_client.post(
        reverse("driver-events"),
        {"uuid": str(uuid4()), "kind": "arrived", "stop": stop.pk, "at": "2026-09-18T15:00:00"},
    )

    card = driver_client.get(reverse("drop", args=[stop.pk])).content.decode()
    run = driver_client.get(reverse("run-today")).content.decode()
    assert '<span class="badge good">arrived</span>' in card
    assert "There since" in card
    assert '<span class="badge good">arrived</span>' in run
    late = run.partition("Tell the next stops")[2]
    assert "Pilar Ostrander: about" in late
    assert "Greta Sool: about" not in late


def test_texts_are_at_hand_until_the_drop_is_done(driver_client, committed):
    stop = drop(201)
    card = reverse("drop", args=[stop.pk])
    assert "running late" in driver_client.get(card).content.decode()

    send(driver_client, {"uuid": str(uuid4()), "kind": "delivered", "stop": stop.pk, "dollars": "300"})

    page = driver_client.get(card).content.decode()
    assert "running late" not in page
    assert "Call" in page


def test_the_run_says_that_something_could_not_be_booked(driver_client, committed):
    assert "could not be recorded" not in driver_client.get(reverse("run-today")).content.decode()

    send(driver_client, {"uuid": str(uuid4()), "kind": "delivered", "stop": drop(201).pk, "cords": "lots"})

    page = driver_client.get(reverse("run-today")).content.decode()
    assert "One thing you sent could not be recorded." in page
    assert reverse("driver-told") in page


def test_a_run_under_way_asks_for_its_end_and_not_for_its_start(driver_client, committed):
    page = driver_client.get(reverse("run-today")).content.decode()
    assert "Leaving now" in page
    assert "Home again" not in page

    send(driver_client, {"uuid": str(uuid4()), "kind": "loaded", "load": drop(201).load_id})

    page = driver_client.get(reverse("run-today")).content.decode()
    assert "Leaving now" not in page
    assert "Home again" in page


def test_a_queue_of_events_is_answered_by_key_and_counts_once(driver_client, committed):
    key = str(uuid4())
    event = {
        "uuid": key, "kind": "delivered", "stop": drop(202).pk, "order": 202, "part": 1,
        "at": "2026-09-18T17:50:00Z", "dollars": "100", "method": "cash",
    }  # fmt: skip

    first = send(driver_client, event).json()
    again = send(driver_client, event).json()

    assert first["results"] == [{"uuid": key, "outcome": "applied", "message": ""}]
    assert again["results"][0]["outcome"] == "known_applied"
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert Payment.objects.count() == Movement.objects.filter(kind="sold").count() == 1
    assert Letter.objects.filter(kind="delivered").count() == 1
    assert drop(202).done_at.isoformat().startswith("2026-09-18T17:50")


def test_one_bad_event_does_not_hold_up_the_others(driver_client, committed):
    good, bad = str(uuid4()), str(uuid4())

    said = send(
        driver_client,
        {"uuid": bad, "kind": "vanished", "stop": drop(202).pk},
        {"kind": "arrived", "stop": drop(202).pk},
        {"uuid": good, "kind": "arrived", "stop": drop(202).pk},
    ).json()["results"]

    assert [row["outcome"] for row in said] == ["refused", "refused", "applied"]
    assert drop(202).state == Stop.State.ARRIVED


def test_a_body_that_is_no_queue_is_refused(driver_client, committed):
    answer = driver_client.post(reverse("driver-events"), "[", content_type="application/json")

    assert answer.status_code == 400


def test_a_conflict_is_told_and_kept(driver_client, seller_client, committed):
    Order.objects.filter(number=202).update(state=Order.State.CANCELLED)

    said = send(driver_client, {"uuid": str(uuid4()), "kind": "delivered", "stop": drop(202).pk}).json()

    assert said["results"][0]["outcome"] == "conflict"
    assert "cancelled" in said["results"][0]["message"]
    page = seller_client.get(reverse("day", args=[FRIDAY.isoformat()])).content.decode()
    assert "wants a look" in page
    key = DriverEvent.objects.get().key
    seller_client.post(reverse("day-resolve", args=[FRIDAY.isoformat()]), {"key": key})
    assert "wants a look" not in seller_client.get(reverse("day", args=[FRIDAY.isoformat()])).content.decode()


def test_plain_forms_work_without_javascript(driver_client, committed):
    stop = drop(202)
    form = {
        "uuid": str(uuid4()), "kind": "delivered", "stop": stop.pk, "dollars": "100", "method": "cash",
        "next": reverse("run", args=[Run.objects.get().pk]), "photo": a_picture(),
    }  # fmt: skip

    answer = driver_client.post(reverse("driver-events"), form)

    assert answer["Location"] == form["next"]
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert Photo.objects.get().about == "order 202"


def test_a_form_never_sends_the_driver_to_another_site(driver_client, committed):
    form = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop(202).pk, "next": "https://evil.example/"}

    assert driver_client.post(reverse("driver-events"), form)["Location"] == reverse("run-today")


@pytest.mark.parametrize("back", ["½", "2026-02-30", "run", "//evil.example", "", "\x00"])
def test_a_way_back_that_is_none_leads_to_the_run(driver_client, committed, back):
    form = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop(202).pk, "next": back}

    assert driver_client.post(reverse("driver-events"), form)["Location"] == reverse("run-today")


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "delivered", "dollars": "nan"},
        {"kind": "delivered", "dollars": "$1e99"},
        {"kind": "home", "odometer": "NaN"},
        {"kind": "arrived", "stop": "9" * 40},
        {"kind": "arrived", "stop": "-1"},
        {"kind": "arrived", "stop": None, "order": "two hundred"},
        {"kind": "arrived", "stop": None, "order": "202", "part": "first"},
        {"kind": {"a": 1}},
        {"kind": "delivered", "cords": "nan"},
        {"kind": "delivered", "cords": "inf"},
    ],
    ids=str,
)
def test_nonsense_is_answered_and_holds_up_no_other_event(driver_client, committed, changes):
    """An event that breaks the answer would be sent again and again, and all kept behind it with it."""
    run = drop(202).load.run_id
    bad = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop(202).pk, "run": run, **changes}
    good = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop(203).pk}

    answer = send(driver_client, bad, good)

    first, second = answer.json()["results"]
    assert first["outcome"] in ("refused", "conflict")
    assert first["message"]
    assert second["outcome"] == "applied"
    assert not Payment.objects.exists()
    assert drop(202).state == "planned"


def test_a_photo_sent_twice_is_kept_once(driver_client, committed):
    key = str(uuid4())
    form = {"uuid": key, "stop": drop(203).pk}

    driver_client.post(reverse("driver-photo"), {**form, "photo": a_picture()})
    again = driver_client.post(reverse("driver-photo"), {**form, "photo": a_picture()})

    assert again.json()["outcome"] == "applied"
    assert Photo.objects.count() == 1


def test_something_else_than_a_photo_is_refused(driver_client, committed):
    fake = SimpleUploadedFile("x.jpg", b"not a picture", content_type="image/jpeg")

    answer = driver_client.post(
        reverse("driver-photo"), {"uuid": str(uuid4()), "stop": drop(203).pk, "photo": fake}
    )

    assert answer.json()["outcome"] == "refused"
    assert Photo.objects.count() == 0


def test_the_route_file_is_gpx_with_the_stops(driver_client, committed):
    answer = driver_client.get(reverse("run-gpx", args=[Run.objects.get().pk]))

    assert answer["Content-Type"] == "application/gpx+xml"
    assert b"Marlow Finch" in answer.content


def test_the_phone_finds_its_helper_and_manifest_at_the_root(client, business):
    helper = client.get("/sw.js")
    manifest = client.get("/manifest.webmanifest").json()

    assert helper["Content-Type"].startswith("text/javascript")
    assert "no-cache" in helper["Cache-Control"]
    assert manifest["start_url"] == reverse("run-today")


def test_pages_of_things_that_are_gone_are_not_found(driver_client, business):
    for name in ("run", "load-card", "drop"):
        assert driver_client.get(reverse(name, args=[99])).status_code == 404
        assert driver_client.get(reverse(name, args=[99]) + "9" * 30).status_code == 404


@pytest.mark.parametrize("o_clock", [7, 23])
def test_the_run_page_asks_few_questions(
    driver_client, committed, monkeypatch, django_assert_max_num_queries, o_clock
):
    """Early in the morning, and late at night when every drop is behind and has its text ready.

    The texts' orders, with their wood and money, are read together: how many are late makes no difference.
    """
    at = datetime.combine(FRIDAY, time(o_clock), tzinfo=UTC)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)

    with django_assert_max_num_queries(29):
        driver_client.get(reverse("run-today"))
