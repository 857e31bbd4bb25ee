"""A planned day is changed by hand: checked, priced, and nothing broken is kept."""

from datetime import time

import pytest

from inventory.core.units import miles_of
from routing.models import Day, Driver, Load, Run, Stop
from routing.selectors.days.day_view import day_view
from routing.selectors.runs.runs import runs_of
from routing.services import commits, days
from routing.services.edits import bring_along, move_drop, set_hours, take_off
from routing.services.moves import drop_moves
from routing.services.standing import PlanRefused
from routing.services.yard_swaps import swap_yard
from tests.factories.day import FRIDAY, confirmed, lay_out
from tests.factories.inventory import make_lot, make_reading


def test_a_hand_edit_that_breaks_a_window_is_refused_and_changes_nothing(friday, an_instant):
    lay_out(friday, an_instant)
    marlow = Stop.objects.get(order__number=201)
    last = Stop.objects.get(order__number=203).load
    before = list(Stop.objects.order_by("pk").values())

    with pytest.raises(PlanRefused):
        move_drop(on=FRIDAY, stop_id=marlow.pk, to_load_id=last.pk, position=3, at=an_instant, who="ruth")

    assert list(Stop.objects.order_by("pk").values()) == before


def test_a_hand_edit_says_what_it_costs_and_keeps_the_drop_s_own_row(friday, an_instant):
    lay_out(friday, an_instant)
    greta = Stop.objects.get(order__number=202)

    done = move_drop(
        on=FRIDAY, stop_id=greta.pk, to_load_id=None, to_run_id=greta.load.run_id, position=1, at=an_instant,
        who="ruth",
    )  # fmt: skip

    greta.refresh_from_db()
    assert done.change_cents > 0  # a third trip to the yard
    assert greta.load.sequence == 3
    assert Day.objects.get().proof == "hand"


@pytest.mark.slow
def test_taking_an_order_off_saves_its_road_and_lists_it_as_left_out(friday, an_instant):
    lay_out(friday, an_instant)

    done = take_off(on=FRIDAY, number=203, at=an_instant, who="ruth")

    assert done.change_cents < 0
    assert [row.number for row in day_view(FRIDAY).postponed] == [203]
    load = Stop.objects.get(order__number=202).load
    bring_along(
        on=FRIDAY, number=203, to_load_id=load.pk, position=2, at=an_instant, who="ruth", run_id=load.run_id
    )
    assert day_view(FRIDAY).postponed == ()
    assert Stop.objects.get(order__number=203).load == load


def test_a_load_is_filled_at_two_yards_where_its_woods_lie_apart(friday, an_instant):
    confirmed(friday.mixed, number=204, name="Ada Orchard", at="Larch", cords="1/6", total="60.00")
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.siding.pk, (202,)),), at=an_instant, who="ruth",
        starts_at=time(7, 30),
    )  # fmt: skip
    load = Load.objects.get()
    empty_before = Run.objects.get().empty_meters

    bring_along(
        on=FRIDAY, number=204, to_load_id=load.pk, position=2, at=an_instant, who="ruth", run_id=load.run_id
    )

    load.refresh_from_db()
    [fill] = load.more_fills.all()
    assert (load.yard, fill.yard) == (friday.siding, friday.creek)
    assert (fill.leg_meters > 0, fill.begin_at >= load.leave_at) == (True, True)
    assert {stop.order.number: stop.fill for stop in load.stops.all()} == {202: None, 204: fill}
    [run] = runs_of(FRIDAY, drafts=True)
    assert [halt.name for halt in run.halts] == [
        "Siding Yard", "Creek Yard", "Greta Sool", "Ada Orchard", "Upper Yard",
    ]  # fmt: skip
    assert run.miles == round(miles_of(run.loaded_meters), 1) + round(miles_of(run.empty_meters), 1)
    legs = sum(halt.planned.leg_meters for halt in run.halts)
    assert run.loaded_meters + run.empty_meters == run.meters == legs
    assert empty_before != run.empty_meters
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    take_off(on=FRIDAY, number=204, at=an_instant, who="ruth")
    assert not load.more_fills.exists()


def test_every_move_offered_can_be_made_and_costs_what_it_said(friday, an_instant):
    lay_out(friday, an_instant)
    greta = Stop.objects.get(order__number=202)

    drop = drop_moves(on=FRIDAY, stop_id=greta.pk)

    best = drop.moves[0]
    assert str(drop.reasons[0]) == f"Another place that day would save ${-best.change_cents / 100:.2f}."
    assert str(drop.reasons[1]) == "It is loaded at Siding Yard: the wood held for it lies there (K1)."
    assert [row.change_cents for row in drop.moves] == sorted(row.change_cents for row in drop.moves)
    offered = {row.place for row in drop.moves}
    marlow_load = Stop.objects.get(order__number=201).load
    assert f"{marlow_load.pk}:1" not in offered  # a cord and a third: more than the box holds
    where, position = best.place.split(":")
    done = move_drop(
        on=FRIDAY, stop_id=greta.pk, position=int(position), at=an_instant, who="ruth",
        to_load_id=None if where.startswith("run") else int(where),
        to_run_id=int(where[3:]) if where.startswith("run") else None,
    )  # fmt: skip
    assert done.change_cents == best.change_cents
    assert done.change_seconds == best.change_seconds
    now = drop_moves(on=FRIDAY, stop_id=greta.pk)
    assert str(now.reasons[0]).startswith("It is here because any other place that day costs at least $")


def test_swapping_the_yard_moves_the_holds_to_a_lot_there(friday, an_instant):
    lay_out(friday, an_instant)
    more_fir = make_lot(code="K9", cords=3, yard=friday.upper, name="Upper fir")
    make_reading(more_fir, 19, 20, 18)
    load = Stop.objects.get(order__number=202).load

    swap_yard(on=FRIDAY, load_id=load.pk, yard_id=friday.upper.pk, at=an_instant, who="ruth")

    more_fir.refresh_from_db()
    friday.knob_fir.refresh_from_db()
    assert more_fir.firm_cords == 1
    assert friday.knob_fir.firm_cords == 0
    assert Stop.objects.get(order__number=203).lot == more_fir
    assert Stop.objects.get(order__number=203).load.yard == friday.upper


def test_other_hours_time_the_run_anew(friday, an_instant):
    lay_out(friday, an_instant)
    run, tam = Run.objects.get(), Driver.objects.create(name="Tam")

    set_hours(
        on=FRIDAY, run_id=run.pk, starts_at=time(7), ends_at=time(18), driver_id=tam.pk, at=an_instant,
        who="ruth",
    )  # fmt: skip

    run.refresh_from_db()
    assert run.leaves_at < time(7, 30)
    assert run.driver_name == "Tam"
    with pytest.raises(PlanRefused, match="is back"):
        set_hours(
            on=FRIDAY, run_id=run.pk, starts_at=time(7), ends_at=time(12), driver_id=None, at=an_instant,
            who="ruth",
        )  # fmt: skip
