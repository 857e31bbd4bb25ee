"""A thousand events no phone should send: each is refused alone with a sentence, and the rest go through."""

import json
from uuid import uuid4

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.models import Order, Payment
from routing.models import DriverEvent, Stop
from tests.pages.driver.test_run import committed  # noqa: F401  the committed Friday

BATCHES, EACH = 100, 10
KINDS = [
    "left", "ticked", "loaded", "on_the_way", "arrived", "delivered", "paid", "no_show", "trouble",
    "put_back", "photo", "home", "vanished", "", None, 7, ["paid"],
]  # fmt: skip
NONSENSE = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=30),
    st.sampled_from(
        ["nan", "-50", "inf", "1e400", "\ud800", "\x00", "2026-02-30", "0001-01-01T00:00:00+14:00", "½½", "$"]
    ),
    st.lists(st.text(max_size=5), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)  # fmt: skip
FIELDS = (
    "at", "run", "load", "stop", "order", "part", "version", "planned_cords", "parts", "cords", "dollars",
    "method", "note", "comes_home", "odometer", "ticks", "place",
)  # fmt: skip
EVENT = st.builds(
    lambda kind, key, fields: {"kind": kind, **({"uuid": key} if key is not None else {}), **fields},
    st.sampled_from(KINDS),
    st.one_of(st.uuids().map(str), NONSENSE),
    st.dictionaries(st.sampled_from(FIELDS), NONSENSE, max_size=8),
)
ANYTHING = st.one_of(EVENT, NONSENSE)


def send(client, events):
    return client.post(
        reverse("driver-events"), json.dumps({"events": events}), content_type="application/json"
    )


def test_a_date_that_is_none_is_refused_alone(driver_client, committed):  # noqa: F811
    drop = Stop.objects.get(order__number=202)
    bad = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop.pk, "at": "2026-02-30T10:00:00Z"}
    good = {"uuid": str(uuid4()), "kind": "arrived", "stop": drop.pk}

    results = send(driver_client, [bad, good]).json()["results"]

    assert [row["outcome"] for row in results] == ["refused", "applied"]
    assert "2026-02-30" in results[0]["message"]
    drop.refresh_from_db()
    assert drop.state == Stop.State.ARRIVED


def test_money_below_nothing_is_refused_with_a_sentence(driver_client, committed):  # noqa: F811
    drop = Stop.objects.get(order__number=202)
    paid = {"uuid": str(uuid4()), "kind": "paid", "stop": drop.pk, "dollars": "-50"}

    result = send(driver_client, [paid]).json()["results"][0]

    assert result["outcome"] == "refused"
    assert result["message"] == "'-50' is not an amount of money: correct it and send it again."
    assert DriverEvent.objects.count() == Payment.objects.count() == 0


def test_a_payment_without_an_amount_is_refused(driver_client, committed):  # noqa: F811
    drop = Stop.objects.get(order__number=202)

    result = send(driver_client, [{"uuid": str(uuid4()), "kind": "paid", "stop": drop.pk}]).json()["results"][
        0
    ]

    assert result["outcome"] == "refused"


@pytest.mark.slow
@settings(max_examples=BATCHES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(events=st.lists(ANYTHING, min_size=EACH, max_size=EACH))
def test_a_thousand_malformed_events_are_each_answered(driver_client, committed, events):  # noqa: F811
    key = str(uuid4())
    good = {"uuid": key, "kind": "arrived", "stop": Stop.objects.get(order__number=202).pk}

    answer = send(driver_client, [*events, good])

    assert answer.status_code == 200
    results = answer.json()["results"]
    assert len(results) == EACH + 1
    assert all(row["message"] for row in results[:-1] if row["outcome"] in ("refused", "conflict"))
    assert results[-1] == {"uuid": key, "outcome": "applied", "message": ""}
    assert Order.objects.get(number=202).state != Order.State.CANCELLED
