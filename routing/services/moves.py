"""Why a drop is where it is, and where else it could go, that day or another: read, nothing is written."""

from dataclasses import dataclass
from datetime import date

from inventory.core.dates import short_day
from inventory.core.local import to_the_cent
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
    text: str
    change_cents: int
    change_seconds: int
    change_road_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DropMoves:
    """A drop's reasons and its possible moves, cheapest first; why_not: what bars the place asked."""

    stop_id: int
    number: int
    customer: str
    pinned: bool
    reasons: tuple[str, ...]
    moves: tuple[MoveRow, ...]
    why_not: tuple[str, ...] = ()

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
        raise NotOnTheDay(what="This drop")
    yard = str(prepared.parts[part].yard_id)
    moves = possible_moves(prepared.problem, plan, part=part, yard=yard, begun=begun_loads(on))
    yard_name = next(row.label for row in prepared.problem.yards if row.id == yard)
    lot = f" ({stop.lot.code})" if stop.lot else ""
    rows = _rows(on, moves)
    is_refused = asked is not None and all(row.place != asked.place for row in rows)
    return DropMoves(
        stop_id=stop_id,
        number=stop.order.number,
        customer=stop.order.customer.name,
        pinned=stop.pinned,
        reasons=(_why_here(moves), f"It is loaded at {yard_name}: the wood held for it lies there{lot}."),
        moves=rows,
        why_not=_why_not(prepared, plan, on, stop, asked) if asked and is_refused else (),
    )


def _why_not(prepared: Prepared, plan: Plan, on: date, stop: Stop, asked: Asked) -> tuple[str, ...]:
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
        return (str(refused),)
    return in_words(prepared, edit.verdict) or ("It is there already.",)


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
        text=short_day(to_on),
        change_cents=change.cost_c,
        change_seconds=change.paid_s,
        change_road_cents=change.road_c,
    )


def _why_here(moves: tuple[Move, ...]) -> str:
    if not moves:
        return "It is here because no other place that day keeps everybody's hours and the rigs' limits."
    best = moves[0].change_c
    if best > 0:
        return f"It is here because any other place that day costs at least {to_the_cent(best / 100)} more."
    if best == 0:
        return "Another place that day costs the same."
    return f"Another place that day would save {to_the_cent(-best / 100)}."


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
            place, text = f"run{run.pk}:1", f"{run.rig.name}, a load of its own"
        else:
            load = loads[run.pk][move.load]
            stops = list(load.stops.all())
            place, text = f"{load.pk}:{move.position + 1}", f"{run.rig.name}, load {load.sequence}"
            text += (
                f", before {stops[move.position].order.customer.name}"
                if move.position < len(stops)
                else ", last"
            )
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
