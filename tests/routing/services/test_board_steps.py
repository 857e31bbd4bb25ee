"""Steps of the board: a drop moved to another day with its price said before, taken back, and repeated."""

from datetime import time, timedelta

import pytest

from orders.models import Order
from routing.models import Day, Run, Stop
from routing.services import commits, days
from routing.services.edits import move_drop, move_to_day, take_off
from routing.services.history import ChangedSince, NothingToTakeBack, take_back
from routing.services.moves import day_change, drop_moves
from routing.services.standing import PlanRefused
from tests.factories.day import FRIDAY

SATURDAY = FRIDAY + timedelta(days=1)


@pytest.fixture
def laid(friday, an_instant):
    """Friday with its three drops by the big trailer."""
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    return friday


def places(on=FRIDAY):
    rows = Stop.objects.filter(load__run__day__on=on).order_by("load__run", "load__sequence", "sequence")
    return [(stop.load.sequence, stop.order.number) for stop in rows.select_related("load", "order")]


def cost(on):
    return sum(Run.objects.filter(day__on=on).values_list("cost_cents", flat=True))


def test_a_drop_goes_to_another_day_for_what_was_said_and_comes_back(laid, an_instant):
    said = day_change(number=203, on=FRIDAY, to_on=SATURDAY, rig_id=laid.big.pk)
    before, was = places(), cost(FRIDAY)

    move_to_day(on=FRIDAY, number=203, to_on=SATURDAY, rig_id=laid.big.pk, at=an_instant, who="ruth")

    assert [number for _, number in places(SATURDAY)] == [203]
    assert [number for _, number in places()] == [201, 202]
    assert cost(FRIDAY) + cost(SATURDAY) - was == said.change_cents

    assert str(take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")) == "moved order 203"
    assert (places(), places(SATURDAY)) == (before, [])
    assert cost(FRIDAY) == was
    take_back(on=SATURDAY, step="redo", at=an_instant, who="ruth")
    assert [number for _, number in places(SATURDAY)] == [203]


def test_steps_are_taken_back_one_by_one_and_a_new_one_ends_the_way_forward(laid, an_instant):
    first = places()
    greta = Stop.objects.get(order__number=202)
    where, position = drop_moves(on=FRIDAY, stop_id=greta.pk).moves[0].place.split(":")
    move_drop(
        on=FRIDAY, stop_id=greta.pk, position=int(position), at=an_instant, who="ruth",
        to_load_id=None if where.startswith("run") else int(where),
        to_run_id=int(where[3:]) if where.startswith("run") else None,
    )  # fmt: skip
    second = places()
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")

    take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")
    assert places() == second
    take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")
    assert places() == first
    take_back(on=FRIDAY, step="redo", at=an_instant, who="ruth")
    assert places() == second
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    with pytest.raises(NothingToTakeBack):
        take_back(on=FRIDAY, step="redo", at=an_instant, who="ruth")


def test_a_cleared_draft_can_be_had_back(laid, an_instant):
    before = places()
    commits.clear_day(on=FRIDAY, at=an_instant, who="ruth")

    take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")

    assert places() == before
    assert Day.objects.get(on=FRIDAY).state == Day.State.DRAFT


def test_nothing_is_taken_back_once_the_rig_is_out_or_the_other_day_has_moved_on(laid, an_instant):
    move_to_day(on=FRIDAY, number=203, to_on=SATURDAY, rig_id=laid.big.pk, at=an_instant, who="ruth")
    take_off(on=FRIDAY, number=202, at=an_instant, who="ruth")

    with pytest.raises(ChangedSince):
        take_back(on=SATURDAY, step="undo", at=an_instant, who="ruth")
    Run.objects.filter(day__on=FRIDAY).update(actual_leave_at=an_instant)
    with pytest.raises(PlanRefused, match="is out"):
        take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")
    assert [number for _, number in places()] == [201]


def test_what_was_cancelled_since_is_not_brought_back(laid, an_instant):
    take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")
    Order.objects.filter(number=203).update(state=Order.State.CANCELLED)

    take_back(on=FRIDAY, step="undo", at=an_instant, who="ruth")

    assert [number for _, number in places()] == [201, 202]
