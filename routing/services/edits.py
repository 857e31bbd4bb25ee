"""A day adjusted by hand: re-timed and put before the referee at once, kept only when no rule is broken.

An edit of a committed day makes it a draft again; its orders keep their promise until it is committed anew.
"""

from dataclasses import replace
from datetime import date, datetime, time

from django.db import transaction
from django.db.models import F

from inventory.core.gaps import ShortDay
from inventory.core.sentences import Sentence
from inventory.services import audit
from routing.models import Day, Driver, Run, Stop
from routing.planner.hand_edits import Edit, judged, move_part, remove_order
from routing.planner.moves import cheapest_way_in, stays_aboard
from routing.planner.plan import Plan
from routing.planner.turns import in_turn
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.problems import Prepared, prepare
from routing.services.kept_edits import (
    Adjusted,
    NotOnTheDay,
    cost_before,
    keep_edit,
    load_on,
    place_of,
    run_key_of,
    stop_on,
)
from routing.services.standing import PlanRefused, day_with, plan_in_books
from routing.services.under_way import begun_loads


def move_drop(
    *,
    on: date,
    stop_id: int,
    to_load_id: int | None,
    position: int,
    at: datetime,
    who: str,
    to_run_id: int | None = None,
) -> Adjusted:
    """Put a drop at a place of a load (positions from 1), or in a new load of a run.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: a rule would be broken; nothing is changed.
    """
    stop = stop_on(on, stop_id)
    prepared, plan = plan_in_books(on)
    edit = moved(
        prepared, plan, on=on, stop=stop, to_load_id=to_load_id, to_run_id=to_run_id, position=position
    )
    return keep_edit(
        on,
        prepared,
        edit,
        at=at,
        who=who,
        verb=Sentence("moved order {number}", {"number": stop.order.number}),
    )


def moved(
    prepared: Prepared,
    plan: Plan,
    *,
    on: date,
    stop: Stop,
    to_load_id: int | None,
    to_run_id: int | None,
    position: int,
) -> Edit:
    """The day as it stands with a drop at another place, whether it may be there or not.

    Errors
        NotOnTheDay
        PlanRefused: that load is on the road.
    """
    part = part_id(stop.order.number, stop.part)
    if part not in prepared.parts:
        raise NotOnTheDay("The wood of this drop")
    yard = str(prepared.parts[part].yard_id)
    if to_load_id is not None:
        load = load_on(on, to_load_id)
        run_key, number = run_key_of(load.run, on), place_of(load)
    else:
        run = Run.objects.filter(pk=to_run_id or 0, day__on=on).first() or stop.load.run
        run_key, number = run_key_of(run, on), run.loads.count()
    place = (run_key, number, max(0, position - 1))
    if not stays_aboard(begun_loads(on), plan.place_of(part), place):
        raise PlanRefused(
            Sentence("That load is on the road: what is aboard keeps to it, and nothing joins it")
        )
    return move_part(
        prepared.problem, plan, part=part, run=run_key, load=number, position=place[2], yard=yard
    )


def take_off(*, on: date, number: int, at: datetime, who: str) -> Adjusted:
    """Take an order off the day; an emptied load or run falls away.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: what is left cannot be driven; nothing is changed.
    """
    if not Stop.objects.filter(load__run__day__on=on, order__number=number).exists():
        raise NotOnTheDay("Order {number}", number=number)
    prepared, plan = plan_in_books(on)
    if any(row.number == number for row in prepared.parts.values()):
        _refuse_aboard(on, plan, prepared, number)
        edit = remove_order(prepared.problem, plan, order=str(number))
    else:  # cancelled, and its wood let go: the standing plan has left it out already
        _, verdict = judged(prepared.problem, plan.sketch)
        edit = Edit(plan=plan, verdict=verdict, change_c=0)
    return keep_edit(
        on,
        prepared,
        edit,
        at=at,
        who=who,
        verb=Sentence("took off order {number}", {"number": number}),
        left=(number, Sentence("Taken off by hand.")),
    )


def move_to_day(
    *, on: date | None, number: int, to_on: date, rig_id: int, at: datetime, who: str
) -> tuple[Adjusted, ...]:
    """Bring an order on another day, where it costs least there; both days are drafts afterwards.

    Units
        on: the day it stands on now; None while it waits. rig_id: goes out where no rig does yet.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: it fits nowhere that day, or what is left cannot be driven; nothing is changed.
    """
    stops = Stop.objects.filter(load__run__day__on=on or to_on, order__number=number)
    if on is not None and not stops.exists():
        raise NotOnTheDay("Order {number}", number=number)
    if stops.filter(done_at__isnull=False).exists():
        raise PlanRefused(Sentence("Order {number} has a drop that is over already", {"number": number}))
    there, plan = day_with(to_on, number=number, rig_id=rig_id)
    parts = [(row.id, str(row.yard_id)) for row in there.parts.values() if row.number == number]
    way = cheapest_way_in(there.problem, plan, parts=parts, begun=begun_loads(to_on))
    if way is None:
        raise PlanRefused(
            Sentence(
                "Order {number} fits nowhere on {day}: plan that day again",
                {"number": number, "day": ShortDay(to_on)},
            )
        )
    days = (on, to_on) if on else (to_on,)
    verb = Sentence("moved order {number}", {"number": number})
    done = []
    with transaction.atomic():
        if on is not None:
            here, standing = plan_in_books(on)
            _refuse_aboard(on, standing, here, number)
            left = remove_order(here.problem, standing, order=str(number))
            done.append(keep_edit(on, here, left, at=at, who=who, verb=verb, together=days))
        done.append(keep_edit(to_on, there, way[0], at=at, who=who, verb=verb, together=days))
    return tuple(done)


def bring_along(
    *, on: date, number: int, to_load_id: int | None, position: int, at: datetime, who: str, run_id: int
) -> Adjusted:
    """Add an order to a load, or to a new load of a run.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: it does not fit; nothing is changed.
    """
    prepared, plan = day_with(on, number=number)
    parts = [row for row in prepared.parts.values() if row.number == number]
    load = load_on(on, to_load_id) if to_load_id else None
    run = load.run if load else Run.objects.filter(pk=run_id, day__on=on).first()
    if run is None:
        raise NotOnTheDay("The run")
    standing = plan
    for row in parts:
        place = place_of(load) if load else len(_loads(standing, run_key_of(run, on)))
        edit = move_part(
            prepared.problem,
            standing,
            part=row.id,
            run=run_key_of(run, on),
            load=place,
            position=max(0, position - 1),
            yard=str(row.yard_id),
        )
        standing = edit.plan
    return keep_edit(
        on, prepared, edit, at=at, who=who, verb=Sentence("added order {number}", {"number": number})
    )


def set_hours(
    *,
    on: date,
    run_id: int,
    starts_at: time,
    ends_at: time,
    driver_id: int | None,
    at: datetime,
    who: str,
    helper_id: int | None = None,
) -> Adjusted:
    """Another start, end or crew of a run; the whole run is timed anew.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: the drops do not fit those hours; nothing is changed.
    """
    run = Run.objects.filter(pk=run_id, day__on=on).first()
    if run is None:
        raise NotOnTheDay("The run")
    before, plan = plan_in_books(on)
    if driver_id is not None and driver_id == helper_id:
        raise PlanRefused(Sentence("Driver and helper are two people: choose another helper, or none"))
    crew = Driver.objects.in_bulk([person for person in (driver_id, helper_id) if person])
    open_runs = tuple(
        replace(
            open_run,
            starts_at=starts_at,
            ends_at=ends_at,
            driver_id=driver_id if driver_id in crew else None,
            helper_id=helper_id if helper_id in crew else None,
        )
        if open_run.rig_id == run.rig_id
        else open_run
        for open_run in before.open_runs
    )
    numbers = {row.number for row in before.parts.values()}
    prepared = prepare(open_runs=open_runs, order_numbers=numbers, must_go=True, keep_parts=True)
    timed, verdict = judged(prepared.problem, in_turn(prepared.problem, plan.sketch))
    edit = Edit(plan=timed, verdict=verdict, change_c=verdict.cost_c - cost_before(on))
    return keep_edit(on, prepared, edit, at=at, who=who, verb=Sentence("changed the hours"))


@transaction.atomic
def pin_drop(*, on: date, stop_id: int, pinned: bool, at: datetime, who: str) -> None:
    """Keep a drop on its run through the next planning, or let it go.

    Errors
        NotOnTheDay
    """
    stop = stop_on(on, stop_id)
    stop.pinned = pinned
    stop.save(update_fields=["pinned"])
    Day.objects.filter(on=on).update(version=F("version") + 1)
    verb = "pinned" if pinned else "unpinned"
    audit.note(at=at, who=who, verb=verb, thing=stop.order.reference, note=f"{on}")


@transaction.atomic
def freeze_run(*, on: date, run_id: int, frozen: bool, at: datetime, who: str) -> None:
    """Let the planner leave a whole run as it is, or let it go.

    Errors
        NotOnTheDay
    """
    if not Run.objects.filter(pk=run_id, day__on=on).update(is_frozen=frozen):
        raise NotOnTheDay("The run")
    Day.objects.filter(on=on).update(version=F("version") + 1)
    audit.note(at=at, who=who, verb="kept as is" if frozen else "let go", thing=f"day {on}")


def _refuse_aboard(on: date, plan: Plan, prepared: Prepared, number: int) -> None:
    """Wood on the road is delivered, or its drop is ended from the phone; it can't be planned away."""
    begun = begun_loads(on)
    for row in prepared.parts.values():
        place = plan.place_of(row.id) if row.number == number else None
        if place is not None and place[1] < len(begun.get(place[0], ())):
            raise PlanRefused(
                Sentence(
                    "The wood of order {number} is on the road: end its drop instead", {"number": number}
                )
            )


def _loads(plan: Plan, run_key: str) -> tuple[object, ...]:
    run = plan.run_of(run_key)
    return run.loads if run else ()
