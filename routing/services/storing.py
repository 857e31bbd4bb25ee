"""A plan written into rows: days, runs, loads and drops. Rows of drops that happened are kept."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.core.gaps import ShortDay
from inventory.core.kept import keep
from inventory.core.sentences import Sentence
from inventory.core.units import BUNDLE_FT3
from inventory.models import Lot
from inventory.services import audit
from routing.core import RoutingError
from routing.core.day_clock import time_at
from routing.models import Day, Fill, Load, Run, Stop
from routing.planner.bed import bundles_in_bed
from routing.planner.plan import LoadPlan, Plan, Postponed, RunPlan
from routing.selectors.planning.parcels import PartRow
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import Prepared
from routing.services.memory import Step, remember

OUT_OF_THE_WAY = 1000  # sequences of drops while they are moved


class DayChanged(RoutingError):
    """Two people at once: the day is not the one that was looked at."""

    says = "Somebody changed {on} meanwhile: look at it again, then repeat this."
    in_words = {"on": ShortDay}


@transaction.atomic
def store(
    *,
    prepared: Prepared,
    plan: Plan,
    proof: str,
    lower_bound_cents: int | None,
    postponed: Iterable[Postponed],
    pins: Iterable[str],
    at: datetime,
    who: str,
    verb: Sentence,
    version: int | None = None,
    gap_percent: Decimal | None = None,
    together: tuple[date, ...] = (),
    step: Step = "do",
) -> None:
    """Replace the drafts of the prepared dates by a plan; the plans before stay, to go back to.

    A drop that was ended or pinned keeps its state through its order and part.

    Units
        together: the days this step changes; none: the prepared ones.

    Errors
        DayChanged: `version` is given and is not the day's.
    """
    left = tuple(postponed)
    pinned = set(pins)
    dates = {open_run.id: open_run.on for open_run in prepared.open_runs}
    for on in prepared.dates:
        day, _ = Day.objects.get_or_create(on=on)
        if version is not None and day.version != version:
            raise DayChanged(on=on)
        runs = [run for run in plan.runs if dates[run.id] == on]
        remember(day, step=step, at=at, verb=verb, together=together or prepared.dates)
        _write_runs(day, prepared, runs, pinned)
        day.state = Day.State.DRAFT if runs else Day.State.OPEN
        day.cost_cents = sum(run.cost_c for run in runs) if runs else None
        day.lower_bound_cents = lower_bound_cents if len(prepared.dates) == 1 else None
        day.gap_percent = gap_percent
        day.proof, day.engine, day.is_estimate = proof, prepared.engine[:120], prepared.is_estimate
        day.postponed = [
            {"order": int(row.order), "code": row.code, "reason": keep(row.reason)} for row in left
        ]
        day.version += 1
        day.planned_at = at
        day.full_clean()
        day.save()
        audit.note(
            at=at,
            who=who,
            verb=str(verb)[:40],
            thing=f"day {on}",
            after={"drops": sum(len(run.parts) for run in runs), "cost": day.cost_cents or 0},
        )


def _write_runs(day: Day, prepared: Prepared, runs: list[RunPlan], pinned: set[str]) -> None:
    """Drops are moved, not made anew: what phones told of them stays tied to them."""
    open_runs = {open_run.id: open_run for open_run in prepared.open_runs if open_run.on == day.on}
    drops = Stop.objects.filter(load__run__day=day)
    drops.update(sequence=F("sequence") + OUT_OF_THE_WAY)
    old = {(stop.order_id, stop.part): stop for stop in drops}
    rows = {OpenRun(rig_id=row.rig_id, on=day.on).id: row for row in day.runs.all()}
    for run in runs:
        open_run = open_runs[run.id]
        row = rows.pop(run.id, None) or Run(day=day, rig_id=open_run.rig_id)
        row.starts_at, row.ends_at = open_run.starts_at, open_run.ends_at
        row.longest_minutes = open_run.longest_minutes
        row.driver_id = open_run.driver_id
        row.helper_id = open_run.helper_id
        row.pause_at, row.pause_seconds = (time_at(run.pause_begin_s) if run.pause_s else None), run.pause_s
        row.leaves_at, row.home_at = time_at(run.leave_s), time_at(run.home_s)
        row.loaded_meters, row.empty_meters = run.loaded_m, run.empty_m
        row.paid_seconds, row.cost_cents = run.paid_s, run.cost_c
        row.full_clean()
        row.save()
        _write_loads(row, run, prepared, old, pinned)
    Stop.objects.filter(pk__in=[stop.pk for stop in old.values()], done_at=None).delete()
    Load.objects.filter(run__day=day, stops=None).delete()
    for row in rows.values():
        if row.actual_leave_at is None and not row.loads.exists():
            row.delete()


def _write_loads(
    row: Run,
    run: RunPlan,
    prepared: Prepared,
    old: dict[tuple[int, int], Stop],
    pinned: set[str],
) -> None:
    standing = {load.sequence: load for load in row.loads.all()}
    paces = prepared.paces.of_rig(row.rig_id)
    for number, load in enumerate(run.loads, start=1):
        filled = _load(row, number, load, prepared, standing.get(number))
        filled.full_clean()
        filled.save()
        further = _further_fills(filled, load)
        bed = bundles_in_bed(prepared.problem, run.id, load)
        for place, stop in enumerate(load.stops, start=1):
            part = prepared.parts[stop.part]
            drop = old.pop((part.order_id, part.part), None) or Stop(order_id=part.order_id, part=part.part)
            drop.load, drop.sequence = filled, place
            drop.fill = further.get(stop.part)
            drop.cords, drop.bundles, drop.lot_id = part.cords, part.bundles, part.lot_id
            drop.bed_bundles = bed.get(stop.part, 0)
            drop.pinned = stop.part in pinned
            drop.arrive_at, drop.begin_at = time_at(stop.arrive_s), time_at(stop.begin_s)
            drop.leave_at = time_at(stop.leave_s)
            drop.leg_meters, drop.leg_seconds = stop.leg_m, stop.leg_s
            drop.unload_seconds = stop.leave_s - stop.begin_s
            drop.unload_percent = prepared.paces.of_customer(prepared.customers.get(part.order_id))
            drop.drive_percent = paces.percent_in(stop.leg_m, stop.leg_s)
            drop.full_clean()
            drop.save()


def _load(row: Run, number: int, load: LoadPlan, prepared: Prepared, was: Load | None) -> Load:
    filled = was or Load(run=row, sequence=number)
    parts = [prepared.parts[part] for part in load.parts]
    first = load.fills[0]
    if filled.yard_id != int(first.yard):
        filled.yard_id, filled.ticks = int(first.yard), []
    filled.cords = sum((part.cords for part in parts), Fraction(0))
    filled.weight_lb = load.lb
    filled.loose_ft3 = _loose(row, parts)
    filled.arrive_at, filled.begin_at = time_at(first.arrive_s), time_at(first.begin_s)
    filled.leave_at = time_at(first.leave_s)
    filled.leg_meters, filled.leg_seconds = first.leg_m, first.leg_s
    filled.load_percent = prepared.paces.of_yard(filled.yard_id)
    return filled


def _further_fills(filled: Load, load: LoadPlan) -> dict[str, Fill]:
    """The yards after the first, written anew; by part, where its wood is taken."""
    filled.more_fills.all().delete()
    found: dict[str, Fill] = {}
    for number, fill in enumerate(load.fills[1:], start=2):
        row = Fill(
            load=filled,
            sequence=number,
            yard_id=int(fill.yard),
            arrive_at=time_at(fill.arrive_s),
            begin_at=time_at(fill.begin_s),
            leave_at=time_at(fill.leave_s),
            leg_meters=fill.leg_m,
            leg_seconds=fill.leg_s,
        )
        row.full_clean()
        row.save()
        found |= dict.fromkeys(fill.parts, row)
    return found


def _loose(row: Run, parts: list[PartRow]) -> Decimal:
    """Loose cubic feet in this rig's box, bundles at their own size."""
    each = dict(
        Lot.objects.filter(pk__in=[part.lot_id for part in parts if part.bundles]).values_list(
            "pk", "bundle_ft3"
        )
    )
    loose = sum((part.cords for part in parts), Fraction(0)) * Fraction(row.rig.heap_number)
    loose += sum(
        (Fraction(each.get(part.lot_id or 0) or BUNDLE_FT3) * part.bundles for part in parts),
        Fraction(0),
    )
    return Decimal(round(loose * 100)) / 100
