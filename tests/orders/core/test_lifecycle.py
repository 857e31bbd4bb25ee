"""The steps of an order, and until when the customer may change it."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.lifecycle import (
    OPEN,
    STEPS,
    State,
    TooLateToChange,
    WrongStep,
    allowed_steps,
    check_customer_change,
    cut_off_at,
    may_customer_change,
    step,
)

TUESDAY = date(2026, 9, 22)
STATES = st.sampled_from(list(State))


def test_an_order_walks_from_asked_to_settled():
    state = State.ASKED
    for to in (State.CONFIRMED, State.PLANNED, State.DELIVERED, State.SETTLED):
        state = step(state, to=to, order="order 205")

    assert state is State.SETTLED


def test_a_drop_taken_off_a_day_is_confirmed_again():
    assert step(State.PLANNED, to=State.CONFIRMED, order="order 205") is State.CONFIRMED


def test_a_returned_check_opens_a_settled_order_again():
    assert step(State.SETTLED, to=State.DELIVERED, order="order 212") is State.DELIVERED


def test_wood_fetched_at_the_yard_needs_no_planned_day():
    assert step(State.CONFIRMED, to=State.DELIVERED, order="order 209", is_pick_up=True) is State.DELIVERED
    with pytest.raises(WrongStep):
        step(State.CONFIRMED, to=State.PLANNED, order="order 209", is_pick_up=True)
    with pytest.raises(WrongStep):
        step(State.CONFIRMED, to=State.DELIVERED, order="order 205")


def test_a_wrong_step_says_what_the_order_can_become():
    with pytest.raises(WrongStep) as refusal:
        step(State.DELIVERED, to=State.CANCELLED, order="order 203")

    assert str(refusal.value) == (
        "Order 203 is delivered and cannot become cancelled: from here it can become settled."
    )
    with pytest.raises(WrongStep) as final:
        step(State.CANCELLED, to=State.CONFIRMED, order="order 203")
    assert str(final.value) == (
        "Order 203 is cancelled and cannot become confirmed: from here it can become a new request."
    )


def test_a_step_taken_twice_says_that_it_is_done():
    with pytest.raises(WrongStep) as refusal:
        step(State.CANCELLED, to=State.CANCELLED, order="order 203")

    assert str(refusal.value) == "Order 203 is cancelled already."


@given(state=STATES, to=STATES, is_pick_up=st.booleans())
def test_only_listed_steps_are_taken(state, to, is_pick_up):
    if to in allowed_steps(state, is_pick_up=is_pick_up):
        assert step(state, to=to, order="order 1", is_pick_up=is_pick_up) is to
    else:
        with pytest.raises(WrongStep):
            step(state, to=to, order="order 1", is_pick_up=is_pick_up)


def test_every_state_can_be_reached_and_closed_ones_only_open_again():
    reached = {State.ASKED}
    for _ in State:
        reached |= {to for state in reached for to in STEPS[state]}

    assert reached == set(State)
    assert STEPS[State.DECLINED] == STEPS[State.CANCELLED] == (State.ASKED,)
    assert not OPEN & {State.DECLINED, State.CANCELLED, State.SETTLED}


def test_the_cut_off_is_noon_of_the_day_before():
    assert cut_off_at(TUESDAY) == datetime(2026, 9, 21, 12, 0)
    assert cut_off_at(date(2026, 10, 1), hour=17) == datetime(2026, 9, 30, 17, 0)


@pytest.mark.parametrize(
    ("now", "may"),
    [
        (datetime(2026, 9, 21, 11, 59), True),
        (datetime(2026, 9, 21, 12, 0), True),
        (datetime(2026, 9, 21, 12, 1), False),
        (datetime(2026, 9, 22, 8, 0), False),
    ],
)
def test_a_customer_may_change_until_the_cut_off(now, may):
    assert may_customer_change(State.PLANNED, day=TUESDAY, now=now) is may


def test_without_a_day_a_customer_may_always_change():
    assert may_customer_change(State.CONFIRMED, day=None, now=datetime(2026, 9, 21, 23, 0))


@pytest.mark.parametrize("state", [State.DELIVERED, State.SETTLED, State.DECLINED, State.CANCELLED])
def test_an_order_that_is_over_cannot_be_changed(state):
    with pytest.raises(TooLateToChange, match="can no longer be changed here: call us"):
        check_customer_change(state, order="order 203", day=None, now=datetime(2026, 9, 1))


def test_a_late_change_says_when_it_was_too_late():
    with pytest.raises(TooLateToChange, match="could be changed until Mon, Sep 21 12:00 pm"):
        check_customer_change(State.PLANNED, order="order 204", day=TUESDAY, now=datetime(2026, 9, 21, 18, 0))
