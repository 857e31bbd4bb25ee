"""Why a drop is where it is, and where else it could go, that day or another: read, nothing is written."""

from dataclasses import dataclass
from datetime import date

from inventory.core.gaps import ShortDay, Stopped
from inventory.core.local import to_the_cent
from inventory.core.sentences import Sentence
from orders.selectors.parts import NamedOrder
from routing.models import Load, Run, Stop
from routing.planner.hand_edits import remove_order
from routing.planner.moves import Move, Spent, cheapest_way_in, possible_moves
from routing.planner.plan import Plan
from routing.planner.referee import check_plan
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import Prepared
from routing.services.edits import moved
from routing.services.kept_edits import NotOnTheDay, stop_on
from routing.services.standing import PlanRefused, day_with, in_words, plan_in_books
from routing.services.under_way import begun_loads


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A place to move to. place: as the day's form sends it; changes below zero save.

    change_road_cents: of the change, what is not the driver's time.
    """

    place: str
    text: Sentence | ShortDay
    change_cents: int
    change_seconds: int
    change_road_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DropMoves(NamedOrder):
    """A drop's reasons and its possible moves, cheapest first; why_not: what bars the place asked."""

    stop_id: int
    pinned: bool
    reasons: tuple[Sentence, ...]
    moves: tuple[MoveRow, ...]
    why_not: tuple[Stopped, ...] = ()

    def to(self, place: str) -> MoveRow | None:
        """The move to a place, if it can be made."""
        return next((row for row in self.moves if row.place == place), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A place that is asked about: a load, or a new one of a run. place: as the day's form sends it."""

    place: str
    load_id: int | None
    run_id: int | None
    position: int  # from 1


def drop_moves(*, on: date, stop_id: int, asked: Asked | None = None) -> DropMoves:
    """Why here, why this yard, and every other place that day that keeps all rules, with what it costs.

    Errors
        NotOnTheDay, NoSuchDay
    """
    stop = stop_on(on, stop_id)
    prepared, plan = plan_in_books(on)
    part = part_id(stop.order.number, stop.part)
    if part not in prepared.parts or plan.place_of(part) is None:
        raise NotOnTheDay("This drop")
    yard = str(prepared.parts[part].yard_id)
    moves = possible_moves(prepared.problem, plan, part=part, yard=yard, begun=begun_loads(on))
    yard_name = next(row.label for row in prepared.problem.yards if row.id == yard)
    if stop.lot:
        at_yard = {"yard": yard_name, "lot": stop.lot.code}
        why_yard = Sentence("It is loaded at {yard}: the wood held for it lies there ({lot}).", at_yard)
    else:
        why_yard = Sentence("It is loaded at {yard}: the wood held for it lies there.", {"yard": yard_name})
    rows = _rows(on, moves)
    is_refused = asked is not None and all(row.place != asked.place for row in rows)
    return DropMoves(
        stop_id=stop_id,
        number=stop.order.number,
        customer=stop.order.customer.name,
        pinned=stop.pinned,
        reasons=(_why_here(moves), why_yard),
        moves=rows,
        why_not=_why_not(prepared, plan, on, stop, asked) if asked and is_refused else (),
    )


def _why_not(prepared: Prepared, plan: Plan, on: date, stop: Stop, asked: Asked) -> tuple[Stopped, ...]:
    """The rules a move would break, as sentences."""
    try:
        edit = moved(
            prepared,
            plan,
            on=on,
            stop=stop,
            to_load_id=asked.load_id,
            to_run_id=asked.run_id,
            position=asked.position,
        )
    except (NotOnTheDay, PlanRefused) as refused:
        return (Stopped(refused),)
    broken = in_words(prepared, edit.verdict) or (Sentence("It is there already."),)
    return tuple(Stopped(rule) for rule in broken)


def day_change(*, number: int, on: date | None, to_on: date, rig_id: int) -> MoveRow | None:
    """What it costs to bring an order on another day, at the best place there; None: it fits nowhere.

    on: the day it stands on now; None while it waits. rig_id: goes out that day where no rig does yet.

    Errors
        NotOnTheDay, PlanRefused: it can't be brought at all.
    """
    prepared, plan = day_with(to_on, number=number, rig_id=rig_id)
    parts = [(row.id, str(row.yard_id)) for row in prepared.parts.values() if row.number == number]
    way = cheapest_way_in(prepared.problem, plan, parts=parts, begun=begun_loads(to_on))
    if way is None:
        return None
    change = way[1]
    if on is not None:
        here, standing = plan_in_books(on)
        left = remove_order(here.problem, standing, order=str(number))
        now = Spent.of(standing, check_plan(here.problem, standing))
        change = change.minus(now.minus(Spent.of(left.plan, left.verdict)))
    return MoveRow(
        place=f"day{to_on}",
        text=ShortDay(to_on),
        change_cents=change.cost_c,
        change_seconds=change.paid_s,
        change_road_cents=change.road_c,
    )


def _why_here(moves: tuple[Move, ...]) -> Sentence:
    if not moves:
        return Sentence(
            "It is here because no other place that day keeps everybody's hours and the rigs' limits."
        )
    best = moves[0].change_c
    if best > 0:
        return Sentence(
            "It is here because any other place that day costs at least {dollars} more.",
            {"dollars": to_the_cent(best / 100)},
        )
    if best == 0:
        return Sentence("Another place that day costs the same.")
    return Sentence("Another place that day would save {dollars}.", {"dollars": to_the_cent(-best / 100)})


def _rows(on: date, moves: tuple[Move, ...]) -> tuple[MoveRow, ...]:
    """The moves by the rows of loads and runs the day's form knows."""
    runs = {
        OpenRun(rig_id=run.rig_id, on=on).id: run
        for run in Run.objects.filter(day__on=on).select_related("rig", "day")
    }
    loads: dict[int, list[Load]] = {run.pk: [] for run in runs.values()}
    for load in Load.objects.filter(run__day__on=on).prefetch_related("stops__order__customer"):
        loads[load.run_id].append(load)
    found = []
    for move in moves:
        run = runs[move.run]
        if move.load >= len(loads[run.pk]):
            place = f"run{run.pk}:1"
            text = Sentence("{rig}, a load of its own", {"rig": run.rig.name})
        else:
            load = loads[run.pk][move.load]
            stops = list(load.stops.all())
            place, gaps = f"{load.pk}:{move.position + 1}", {"rig": run.rig.name, "number": load.sequence}
            if move.position < len(stops):
                before = stops[move.position].order.customer.name
                text = Sentence("{rig}, load {number}, before {customer}", {**gaps, "customer": before})
            else:
                text = Sentence("{rig}, load {number}, last", gaps)
        found.append(
            MoveRow(
                place=place,
                text=text,
                change_cents=move.change.cost_c,
                change_seconds=move.change.paid_s,
                change_road_cents=move.change.road_c,
            )
        )
    return tuple(found)
