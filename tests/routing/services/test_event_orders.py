"""Reports reach us late, twice, from two phones and in any order, with the day planned again between:
money, wood and tickets end the same.
"""

import contextlib
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid5

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from inventory.models import Hold, Lot, Movement
from orders.models import Order, Payment, Ticket
from routing.core import RoutingError
from routing.models import Load, Run, Stop
from routing.services import days
from routing.services.driver_events.record import record_event
from routing.services.driver_events.values import IncomingEvent
from tests.factories.day import FRIDAY, at

pytestmark = pytest.mark.django_db

KEYS = UUID("5f3f6a2e-6d0a-4f0e-9f57-3b8f6c1f2a11")
EXAMPLES = 20
MORE_EXAMPLES = 75
SLOW_EXAMPLES = 300


def reports(yard):
    """What Tam's phone tells of the whole Friday, in the order it happened: one drop is short, one is paid
    later by check, and at one nobody is there, so that its wood comes home and is laid in a yard.
    """
    run, loads = Run.objects.get(), list(Load.objects.order_by("sequence"))
    stops = {stop.order.number: stop.pk for stop in Stop.objects.select_related("order")}
    told = [
        ("left", at(7, 30), {"run_id": run.pk}, {"odometer": "84210"}),
        ("loaded", at(8, 20), {"load_id": loads[0].pk}, {"ticks": ["tarp"]}),
        ("arrived", at(8, 50), {"stop_id": stops[201]}, {}),
        ("delivered", at(9, 20), {"stop_id": stops[201]}, {"cords": "0.9", "dollars": "270"}),
        ("loaded", at(10), {"load_id": loads[1].pk}, {}),
        ("on_the_way", at(10, 20), {"stop_id": stops[202]}, {}),
        ("delivered", at(10, 50), {"stop_id": stops[202]}, {}),
        ("paid", at(10, 55), {"stop_id": stops[202]}, {"dollars": "100", "method": "check"}),
        ("no_show", at(12), {"stop_id": stops[203]}, {"note": "Gate locked"}),
        ("put_back", at(13, 20), {"stop_id": stops[203]}, {"place": f"yard:{yard.pk}"}),
        ("home", at(13, 30), {"run_id": run.pk}, {"odometer": "84280.5"}),
    ]
    return [
        {"key": uuid5(KEYS, f"{n}"), "kind": kind, "at": when, "input": given, **ids}
        for n, (kind, when, ids, given) in enumerate(told)
    ]


def books():
    """What must not depend on the order: money by order, wood by lot and yard, holds, tickets and states."""
    return {
        "money": sorted(Payment.objects.values_list("order__number", "kind", "dollars", "method")),
        "wood": sorted(
            Lot.objects.values_list("code", "yard__name", "on_hand_cords", "firm_cords", "soft_cords")
        ),
        "moves": sorted(Movement.objects.values_list("kind", "lot__code", "cords", "reference")),
        "holds": sorted(Hold.objects.filter(state="standing").values_list("reference", "lot__code", "cords")),
        "home": sorted(
            Stop.objects.exclude(back_lot=None).values_list("order__number", "back_lot__yard__name")
        ),
        "tickets": sorted(Ticket.objects.values_list("order__number", "cords")),
        "orders": sorted(Order.objects.values_list("number", "state", "delivered_cords")),
    }


def second_phone(yard):
    """What Ruth's phone, lent for the morning, tells of the same run: nothing that Tam's does not."""
    stops = {stop.order.number: stop.pk for stop in Stop.objects.select_related("order")}
    told = [
        ("arrived", at(8, 51), 201, {}),
        ("arrived", at(10, 40), 202, {}),
        ("on_the_way", at(11, 20), 203, {}),
        ("put_back", at(13, 25), 203, {"place": f"yard:{yard.pk}"}),
    ]
    return [
        {
            "key": uuid5(KEYS, f"b{n}"),
            "kind": kind,
            "at": when,
            "input": given,
            "stop_id": stops[number],
        }
        for n, (kind, when, number, given) in enumerate(told)
    ]


def plan_again():
    """The seller plans what is still on the day again while the reports come in."""
    still = Order.objects.filter(state=Order.State.PLANNED).values_list("number", flat=True)
    with contextlib.suppress(RoutingError):  # nothing is left to plan
        days.plan_day(
            on=FRIDAY, at=at(18), who="ruth", order_numbers=still, steps=10, around_fixed=True,
            rig_ids=Run.objects.values_list("rig", flat=True).distinct(),
        )  # fmt: skip


def sent(events, *, replans=()):
    """The books after these reports, all undone again; replans: after which the day is planned anew."""
    with transaction.atomic():
        for n, event in enumerate(events):
            record_event(IncomingEvent(**event), received_at=at(18), who="tam")
            if n in replans:
                plan_again()
        found = books()
        transaction.set_rollback(True)
    return found


@dataclass
class Told:
    """All that two phones tell of the day, and the books as they are when each report comes at once."""

    events: list[dict[str, Any]]
    online: dict[str, Any]


@pytest.fixture
def told(committed):
    events = reports(committed.upper)
    online = sent(events)
    rest = committed.pilar.cords
    assert [number for number, _ in online["tickets"]] == [201, 202]
    assert [row for row in online["money"] if row[0] == 201] == [
        (201, "credit", 30, "credit"), (201, "payment", 270, "cash"),
    ]  # fmt: skip
    assert online["home"] == [(203, "Upper Yard")]
    assert next(row for row in online["wood"] if row[1] == "Upper Yard")[2:4] == (rest, rest)
    return Told([*events, *second_phone(committed.upper)], online)


def check(told, order, again, replans):
    assert sent([told.events[n] for n in (*order, *again)], replans=replans) == told.online


ANY_ORDER = given(
    order=some.permutations(range(15)),
    again=some.lists(some.integers(0, 14), max_size=6),
    replans=some.sets(some.integers(0, 14), max_size=2),
)
ONE_DAY = [HealthCheck.function_scoped_fixture]


@pytest.mark.on_both
@pytest.mark.slow
@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=ONE_DAY)
@ANY_ORDER
def test_any_order_with_repeats_ends_in_the_same_books(told, order, again, replans):
    check(told, order, again, replans)


@pytest.mark.slow
@settings(max_examples=MORE_EXAMPLES, deadline=None, suppress_health_check=ONE_DAY)
@ANY_ORDER
def test_many_orders_end_in_the_same_books(told, order, again, replans):
    check(told, order, again, replans)


@pytest.mark.slow
@pytest.mark.long
@settings(max_examples=SLOW_EXAMPLES, deadline=None, suppress_health_check=ONE_DAY)
@ANY_ORDER
def test_three_hundred_orders_end_in_the_same_books(told, order, again, replans):
    check(told, order, again, replans)
