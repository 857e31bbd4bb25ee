"""A phone and the plan disagree: nothing is applied by halves, both versions and every dollar are shown."""

from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from firewood_site.seller.today_tasks import conflict_tasks, short_tasks
from orders.models import Order, Payment, Ticket
from orders.selectors.orders import order_view
from routing.models import Day, Run, Stop
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.days.today import short_drops
from routing.selectors.runs.runs import runs_of
from routing.services import commits, days
from routing.services.driver_events.record import record_event
from routing.services.driver_events.resolve import Choice, NothingToResolve, resolve_event
from routing.services.driver_events.values import IncomingEvent
from tests.factories.day import FRIDAY, at, confirmed, drop
from tests.factories.inventory import make_lot

pytestmark = pytest.mark.django_db


def send(kind: str, number: int, *, when: datetime, who: str = "tam", **given: str):
    return record_event(
        IncomingEvent(
            key=uuid4(), kind=kind, at=when, input={"order": str(number), **given}, stop_id=drop(number).pk
        ),
        received_at=when,
        who=who,
    )


def resolve(outcome, choice: Choice):
    return resolve_event(key=outcome.key, choice=choice, at=at(19), who="ruth")


@pytest.fixture
def two_phones(committed):
    """Ann said nobody was there; Tam, hours later, that he delivered and took $100."""
    send("no_show", 202, when=at(10, 20), who="ann")
    return send("delivered", 202, when=at(10, 50), dollars="100", method="cash")


def test_the_money_of_a_second_phone_is_kept_and_shown(committed, two_phones):
    row = events_to_look_at(on=FRIDAY)[0]

    assert two_phones.outcome == "conflict"
    assert "10:20 by ann (nobody there)" in two_phones.message
    assert "$100.00 cash is not booked yet" in two_phones.message
    assert Payment.objects.count() == 0
    assert (row.dollars, row.customer) == (Decimal("100.00"), "Greta Sool")
    assert "$100 cash" in row.phone
    assert "nobody there 10:20" in row.plan
    assert [value for value, _ in row.choices] == ["phone", "money", "plan"]


def test_the_second_phones_version_is_booked_in_one_tap(committed, two_phones):
    result = resolve(two_phones, Choice.PHONE)

    committed.knob_fir.refresh_from_db()
    greta = Order.objects.get(number=202)
    assert greta.state == Order.State.SETTLED
    assert greta.delivered_cords == Fraction(1, 3)
    assert committed.knob_fir.on_hand_cords == Fraction("6.05") - Fraction(1, 3)
    assert Payment.objects.get().dollars == 100
    assert Ticket.objects.get().order == greta
    assert result.letters == ((202, "delivered"),)
    assert events_to_look_at() == ()


def test_the_plan_may_stay_with_the_money_booked(committed, two_phones):
    resolve(two_phones, Choice.MONEY)

    assert Payment.objects.get().dollars == 100
    assert Order.objects.get(number=202).state == Order.State.CONFIRMED
    assert drop(202).state == Stop.State.NO_SHOW
    assert events_to_look_at() == ()


def test_a_second_tap_on_the_same_conflict_books_nothing_more(committed, two_phones):
    resolve(two_phones, Choice.MONEY)
    resolve(two_phones, Choice.PHONE)

    assert Payment.objects.count() == 1
    assert Order.objects.get(number=202).state == Order.State.CONFIRMED


def test_a_drop_delivered_already_is_not_delivered_again(committed):
    send("delivered", 202, when=at(10, 20), who="ann")
    again = send("delivered", 202, when=at(10, 50), dollars="100")

    with pytest.raises(NothingToResolve):
        resolve(again, Choice.PHONE)

    assert [value for value, _ in events_to_look_at()[0].choices] == ["money", "plan"]
    resolve(again, Choice.MONEY)
    assert Order.objects.get(number=202).state == Order.State.SETTLED


@pytest.fixture
def halved(friday, an_instant):
    """Nell's two cords ride as several drops; the phone still shows them as one."""
    green = make_lot(code="K6", cords="2.5", yard=friday.upper, name="August fir")
    confirmed(green, number=210, name="Nell Bardo", at="Marrow", cords=2, total="390.00")
    days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(210,), rig_ids=(friday.big.pk,), steps=50
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    first = Stop.objects.filter(order__number=210).order_by("part").first()
    outcome = record_event(
        IncomingEvent(
            key=uuid4(),
            kind="delivered",
            at=at(10),
            input={
                "order": "210",
                "part": "1",
                "version": "1",
                "planned_cords": "2",
                "parts": "1",
                "dollars": "390",
                "method": "cash",
            },
            stop_id=first.pk,
        ),
        received_at=at(12),
        who="tam",
    )
    return green, outcome


def test_a_delivery_of_another_plan_is_not_booked_by_halves(halved):
    green, outcome = halved

    green.refresh_from_db()
    assert outcome.outcome == "conflict"
    assert "The phone saw 2 cords for order 210" in outcome.message
    parts = Stop.objects.filter(order__number=210).count()
    assert parts > 1
    assert f"part 1 of {parts}" in outcome.message
    assert green.on_hand_cords == Fraction("2.5")
    assert Payment.objects.count() == 0
    row = events_to_look_at()[0]
    assert row.phone == "Delivered, 2 cords, $390 cash"
    assert f"part {parts} of {parts}, " in row.plan
    assert row.plan.endswith("still to come")


def test_the_phones_whole_order_is_booked_in_one_tap(halved):
    green, outcome = halved

    resolve(outcome, Choice.PHONE)

    green.refresh_from_db()
    nell = order_view(210)
    assert (nell.state, nell.delivered_cords) == ("settled", 2)
    assert (green.on_hand_cords, green.firm_cords) == (Fraction(1, 2), 0)
    assert {stop.state for stop in Stop.objects.filter(order__number=210)} == {Stop.State.DELIVERED}
    assert Payment.objects.get().dollars == 390


def test_the_same_plan_under_a_newer_number_is_no_conflict(committed):
    Day.objects.update(version=99)

    done = send("delivered", 202, when=at(10, 50), version="3", planned_cords="1/3", parts="1")

    assert done.outcome == "applied"


def test_short_wood_is_priced_drawn_and_written_as_delivered(committed):
    done = send("delivered", 201, when=at(9, 30), cords="0.9", dollars="270", method="check")

    committed.mixed.refresh_from_db()
    marlow = order_view(201)
    ticket = Ticket.objects.get()
    assert done.outcome == "applied"
    assert "$30.00 is taken off" in done.message
    assert (marlow.balance.credited, marlow.balance.due) == (Decimal("30.00"), 0)
    assert marlow.state == "settled"
    assert (committed.mixed.on_hand_cords, committed.mixed.firm_cords) == (Fraction(2) - Fraction(9, 10), 0)
    assert ticket.cords == Fraction(9, 10)
    assert ticket.fields["price_dollars"] == "270.00"
    assert ticket.fields["paid_how"] == "check"
    assert ticket.fields["due_dollars"] == "0.00"


@pytest.mark.parametrize("dollars", ["-50", "nan", "inf", "1e99", "fifty"])
def test_money_that_cannot_be_read_leaves_the_delivery_and_is_kept(committed, dollars):
    done = send("delivered", 202, when=at(10, 50), dollars=dollars)

    assert done.outcome == "conflict"
    assert f"{dollars!r} is not an amount of money" in done.message
    assert Order.objects.get(number=202).state == Order.State.DELIVERED
    assert Payment.objects.count() == 0


def test_a_load_nobody_ticked_is_not_next_once_its_drop_is_reached(committed):
    send("arrived", 201, when=at(9))

    view = runs_of(FRIDAY, at=at(9, 5))[0]

    assert view.next_halt.name == "Marlow Finch"


def test_a_run_that_is_home_has_nothing_next(committed):
    run = Run.objects.get()
    for number in (201, 202, 203):
        send("delivered", number, when=at(12))
    record_event(
        IncomingEvent(key=uuid4(), kind="home", at=at(15), run_id=run.pk), received_at=at(15), who="tam"
    )

    assert runs_of(FRIDAY, at=at(15, 1))[0].next_halt is None


def test_today_shows_the_conflict_and_what_was_short(committed, two_phones):
    send("delivered", 201, when=at(9, 30), cords="0.9")

    assert [(row.number, row.credited) for row in short_drops(FRIDAY)] == [(201, Decimal("30.00"))]
    conflict = next(conflict_tasks(events_to_look_at()))
    assert "Greta Sool" in conflict.what
    assert "$100.00 is not booked" in conflict.why
    short = next(short_tasks(short_drops(FRIDAY)))
    assert short.what == "Marlow Finch got 0.90 cord of 1 cord"
