"""What the road and the plan disagree on, ended by the driver; and what a customer reads of a short load."""

from uuid import uuid4

import pytest
from django.urls import reverse

from orders.models import Letter, Order, Payment, Ticket
from tests.factories.day import at, commit, drive_by_the_job, drop, make_friday
from tests.routing.services.test_driver_conflicts import send


@pytest.fixture
def committed(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    return commit(make_friday(), an_instant)


@pytest.mark.parametrize(("choice", "state"), [("phone", "settled"), ("money", "confirmed")])
def test_story_4_the_driver_ends_a_conflict_in_one_tap_with_every_dollar(
    driver_client, committed, choice, state
):
    send("no_show", 202, when=at(10, 20), who="ann")
    kept = send("delivered", 202, when=at(10, 50), dollars="100", method="cash")
    page = driver_client.get(reverse("driver-told")).content.decode()
    assert "$100 cash" in page
    assert "nobody there 10:20" in page

    given = {"key": str(kept.key), "choice": choice}
    page = driver_client.post(reverse("driver-resolve"), given, follow=True).content.decode()

    assert "$100 cash" not in page
    assert Payment.objects.get().dollars == 100
    assert Order.objects.get(number=202).state == state


def test_story_3_the_text_and_the_ticket_say_what_was_delivered_and_how_it_was_paid(driver_client, committed):
    event = {
        "uuid": str(uuid4()), "kind": "delivered", "stop": drop(201).pk, "cords": "0.9", "dollars": "240",
        "method": "transfer",
    }  # fmt: skip

    driver_client.post(reverse("driver-events"), event)

    told = Letter.objects.get(kind="delivered").body
    assert "delivered 0.90 cord" in told
    assert "Paid $240, due $30" in told  # of 300, less 30 for the tenth of a cord that is missing
    fields = Ticket.objects.get().fields
    assert fields["paid_how"] == "transfer"
    assert (fields["price_dollars"], fields["due_dollars"]) == ("270.00", "30.00")
