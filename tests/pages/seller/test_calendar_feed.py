"""A seller's calendar asks for the committed days by a signed link."""

from datetime import time

import pytest
from django.urls import reverse
from icalendar import Calendar

from firewood_site.calendar_feed import feed_link
from routing.services import commits, days
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday


@pytest.fixture
def laid(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    made = make_friday()
    days.lay_out_day(
        on=FRIDAY, rig_id=made.big.pk, loads=((made.creek.pk, (201,)), (made.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    return made


def path_of(page):
    start = page.index("/calendar/")
    return page[start : page.index(".ics", start) + 4]


def test_the_link_on_the_days_page_gives_the_committed_runs_and_no_draft(
    seller_client, client, laid, an_instant
):
    path = path_of(seller_client.get(reverse("days")).content.decode())
    assert b"VEVENT" not in client.get(path).content

    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    answer = client.get(path)
    [event] = Calendar.from_ical(answer.content).walk("VEVENT")
    assert answer["Content-Type"].startswith("text/calendar")
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert event["summary"] == "Big trailer: 3 drops, 2 cords"
    assert event.decoded("dtstart").isoformat() == "2026-09-18T14:30:00+00:00"
    assert "Marlow Finch" in event["description"]
    assert "555" not in event["description"]


def test_a_new_password_or_a_stranger_s_link_ends_it(seller, client, laid):
    path = feed_link(seller).partition("/calendar/")[2]
    assert client.get(f"/calendar/{path}").status_code == 200

    seller.set_password("other-than-before")
    seller.save()

    assert client.get(f"/calendar/{path}").status_code == 404
    assert client.get("/calendar/made-up.ics").status_code == 404


def test_a_driver_s_link_opens_nothing(driver, client, laid):
    assert client.get(f"/calendar/{feed_link(driver).partition('/calendar/')[2]}").status_code == 404
