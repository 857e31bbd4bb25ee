"""A day planned again while its rigs are out: what is aboard keeps its load, the rest may move."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, time

from django.db.models import Count, Exists, OuterRef, Q

from inventory.core.sentences import Sentence
from routing.models import DriverEvent, Load, Run, Stop
from routing.planner.hand_edits import Edit, judged, remove_order
from routing.planner.moves import Begun, cheapest_way_in, possible_moves
from routing.planner.plan import Plan, Postponed
from routing.selectors.planning.plans import numbers_on
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import Prepared
from routing.selectors.runs.runs import RunView, runs_of
from routing.services.kept_edits import keep_edit
from routing.services.standing import PlanRefused, in_words, is_under_way, plan_in_books

PASSES = 3  # over all drops that may still move; a further pass hardly ever finds anything
MINUTES = 60


def all_under_way(rig_ids: Collection[int], dates: Collection[date]) -> bool:
    """Whether every rig that may be planned with is on the road already."""
    runs = Run.objects.filter(day__on__in=list(dates), rig__in=list(rig_ids), rig__works=True)
    busy = sum(is_under_way(run) for run in runs.select_related("rig", "day"))
    return bool(busy) and busy == len(set(rig_ids)) * len(set(dates))


def begun_loads(on: date) -> Begun:
    """By run, its loads that are aboard or over, each with the number of its drops that are over.

    The wood of a rig that broke down is free for another, so none of its loads count.
    """
    is_on = DriverEvent.objects.filter(load=OuterRef("pk"), kind="loaded")
    reached = Stop.objects.filter(load=OuterRef("pk")).exclude(state=Stop.State.PLANNED)
    rows = (
        Load.objects.filter(run__day__on=on, run__rig__works=True)
        .annotate(
            is_begun=Exists(is_on) | Exists(reached),
            over=Count("stops", filter=~Q(stops__state__in=(Stop.State.PLANNED, Stop.State.ARRIVED))),
        )
        .order_by("run", "sequence")
        .values_list("run__rig_id", "is_begun", "over")
    )
    by_rig: dict[int, list[tuple[bool, int]]] = defaultdict(list)
    for rig_id, is_begun, over in rows:
        by_rig[rig_id].append((is_begun, over))
    found = {}
    for rig_id, loads in by_rig.items():
        last = max((place for place, (is_begun, _) in enumerate(loads) if is_begun), default=-1)
        if last >= 0:
            done = tuple(over for _, over in loads[: last + 1])
            found[OpenRun(rig_id=rig_id, on=on).id] = done
    return found


def replan(
    *, on: date, order_numbers: Collection[int] | None, at: datetime, who: str
) -> tuple[Plan, tuple[Postponed, ...]]:
    """Plan the rest of a day again and keep it as a draft; the runs go on from where their rigs are.

    Loads aboard stay with their drops. Orders newly wanted are put where they cost least, those no longer
    wanted come off unless their wood is aboard, and drops to come move where that saves. A rig that runs late
    is timed by its lateness, unless somebody's hours could then no longer be kept.

    Units
        order_numbers: all that are wanted; None: those of the day.

    Errors
        NoSuchDay
        PlanRefused: nothing can be changed without breaking a rule.
    """
    here = numbers_on((on,))
    wanted = set(order_numbers) if order_numbers is not None else set(here)
    begun = begun_loads(on)
    prepared, plan = _timed_as_it_runs(on, also=wanted - here, at=at)
    for number in sorted(here - wanted):
        if not any(_is_aboard(plan, part, begun) for part in _parts(prepared, number)):
            plan = remove_order(prepared.problem, plan, order=str(number)).plan
    plan, left = _fitted_in(prepared, plan, sorted(wanted - here), begun)
    postponed = [*prepared.impossible, *left]
    plan = _improved(prepared, plan, begun)
    plan, verdict = judged(prepared.problem, plan.sketch)
    edit = Edit(plan=plan, verdict=verdict, change_c=0)
    keep_edit(
        on, prepared, edit, at=at, who=who, verb=Sentence("planned again on the road"), postponed=postponed
    )
    return plan, tuple(postponed)


def with_later_loads(
    on: date, prepared: Prepared, plan: Plan, postponed: Collection[Postponed]
) -> tuple[Plan, tuple[Postponed, ...]]:
    """A plan made around rigs that are out, with their loads still to be filled taken in as well.

    What was left out may ride there, and drops move between those that are out and those at home where that
    saves. Runs kept by hand, and of a rig that broke down, stay as they are.
    """
    out = Run.objects.filter(day__on=on, rig__works=True, is_frozen=False).select_related("day")
    free = {OpenRun(rig_id=run.rig_id, on=on).id for run in out if is_under_way(run)}
    kept = tuple(run for run in prepared.problem.frozen if run[0] not in free)
    begun = begun_loads(on)
    looser = replace(prepared, problem=replace(prepared.problem, frozen=kept))
    plan, left = _fitted_in(looser, plan, [int(row.order) for row in postponed], begun)
    still = {row.order for row in left}
    return _improved(looser, plan, begun), tuple(row for row in postponed if row.order in still)


def _fitted_in(
    prepared: Prepared, plan: Plan, numbers: Iterable[int], begun: Begun
) -> tuple[Plan, list[Postponed]]:
    """Orders put where they cost least, one after the other, and those that fit nowhere."""
    left = []
    for number in numbers:
        ways = [(part, str(prepared.parts[part].yard_id)) for part in _parts(prepared, number)]
        way = cheapest_way_in(prepared.problem, plan, parts=ways, begun=begun) if ways else None
        if way is not None:
            plan = way[0].plan
        elif ways:
            why = Sentence("It fits into no load that is still to be filled today.")
            left.append(Postponed(order=str(number), code="under way", reason=why))
    return plan, left


def _timed_as_it_runs(on: date, *, also: Collection[int], at: datetime) -> tuple[Prepared, Plan]:
    later = {run.rig_id: start for run in runs_of(on, at=at, drafts=True) if (start := _late_start(run))}
    if later:
        prepared, plan = plan_in_books(on, also_numbers=also, starts=later)
        if judged(prepared.problem, plan.sketch)[1].ok:
            return prepared, plan
    prepared, plan = plan_in_books(on, also_numbers=also)
    verdict = judged(prepared.problem, plan.sketch)[1]
    if not verdict.ok:
        raise PlanRefused(*in_words(prepared, verdict))
    return prepared, plan


def _late_start(run: RunView) -> time | None:
    """When a late rig would have had to leave to be where it is."""
    if not run.is_behind or run.leaves_at is None:
        return None
    minutes = run.leaves_at.hour * MINUTES + run.leaves_at.minute + run.late_minutes
    return time(minutes // MINUTES, minutes % MINUTES) if minutes < 24 * MINUTES else None


def _improved(prepared: Prepared, plan: Plan, begun: Begun) -> Plan:
    for _ in range(PASSES):
        was = plan
        for part in plan.parts:
            if _is_aboard(plan, part, begun):
                continue
            yard = str(prepared.parts[part].yard_id)
            moves = possible_moves(prepared.problem, plan, part=part, yard=yard, begun=begun)
            if moves and moves[0].change_c < 0:
                plan = moves[0].edit.plan
        if plan == was:
            break
    return plan


def _parts(prepared: Prepared, number: int) -> list[str]:
    return [row.id for row in prepared.parts.values() if row.number == number]


def _is_aboard(plan: Plan, part: str, begun: Mapping[str, tuple[int, ...]]) -> bool:
    place = plan.place_of(part)
    return place is not None and place[1] < len(begun.get(place[0], ()))
