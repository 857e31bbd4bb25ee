"""A plan written into rows: days, runs, loads and drops. Rows of drops that happened are kept."""

from collections.abc import Iterable
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.models import Lot
from inventory.services import audit
from routing.core import RoutingError
from routing.core.plan import LoadPlan, Plan, Postponed, RunPlan
from routing.models import Day, Load, Run, Stop
from routing.selectors.parcels import PartRow
from routing.selectors.problems import Outing, Prepared

LATEST = 24 * 3600 - 1
OUT_OF_THE_WAY = 1000  # sequences of drops while they are moved


class DayChanged(RoutingError):
    """Two people at once: the day is not the one that was looked at."""

    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(f"Somebody changed {on:%a %d %b} meanwhile: look at it again, then repeat this.")


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
    verb: str,
    version: int | None = None,
) -> None:
    """Replace the drafts of the prepared dates by a plan.

    A drop that was ended or pinned keeps its state through its order and part.

    Errors
        DayChanged: `version` is given and is not the day's.
    """
    left = tuple(postponed)
    pinned = set(pins)
    for on in prepared.dates:
        day, _ = Day.objects.get_or_create(on=on)
        if version is not None and day.version != version:
            raise DayChanged(on=on)
        runs = [run for run in plan.runs if run.shift.startswith(on.isoformat())]
        _write_runs(day, prepared, runs, pinned)
        day.state = Day.State.DRAFT if runs else Day.State.OPEN
        day.cost_cents = sum(run.cost_c for run in runs) if runs else None
        day.lower_bound_cents = lower_bound_cents if len(prepared.dates) == 1 else None
        day.proof, day.engine, day.is_estimate = proof, prepared.engine[:120], prepared.is_estimate
        day.postponed = [{"order": int(row.order), "code": row.code, "reason": row.reason} for row in left]
        day.version += 1
        day.planned_at = at
        day.full_clean()
        day.save()
        audit.note(
            at=at,
            who=who,
            verb=verb,
            thing=f"day {on}",
            after={"drops": sum(len(run.parts) for run in runs), "cost": day.cost_cents or 0},
        )


def cost_of(on: date) -> int:
    """Cents the stored runs of a day cost."""
    return sum(Run.objects.filter(day__on=on).values_list("cost_cents", flat=True))


def _write_runs(day: Day, prepared: Prepared, runs: list[RunPlan], pinned: set[str]) -> None:
    """Drops are moved, not made anew: what phones told of them stays tied to them."""
    outings = {outing.shift: outing for outing in prepared.outings if outing.on == day.on}
    drops = Stop.objects.filter(load__run__day=day)
    drops.update(sequence=F("sequence") + OUT_OF_THE_WAY)
    old = {(stop.order_id, stop.part): stop for stop in drops}
    rows = {Outing(rig_id=row.rig_id, on=day.on).shift: row for row in day.runs.all()}
    for run in runs:
        outing = outings[run.shift]
        row = rows.pop(run.shift, None) or Run(day=day, rig_id=outing.rig_id)
        row.starts_at, row.ends_at = outing.starts_at, outing.ends_at
        row.longest_minutes = outing.longest_minutes
        row.driver_name = outing.driver_name or row.driver_name
        row.leaves_at, row.home_at = _clock(run.leave_s), _clock(run.home_s)
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
    for number, load in enumerate(run.loads, start=1):
        filled = _load(row, number, load, prepared, standing.get(number))
        filled.full_clean()
        filled.save()
        for place, stop in enumerate(load.stops, start=1):
            part = prepared.parts[stop.part]
            drop = old.pop((part.order_id, part.part), None) or Stop(order_id=part.order_id, part=part.part)
            drop.load, drop.sequence = filled, place
            drop.cords, drop.bundles, drop.lot_id = part.cords, part.bundles, part.lot_id
            drop.pinned = stop.part in pinned
            drop.arrive_at, drop.begin_at = _clock(stop.arrive_s), _clock(stop.begin_s)
            drop.leave_at = _clock(stop.leave_s)
            drop.leg_meters, drop.leg_seconds = stop.leg_m, stop.leg_s
            drop.unload_seconds = stop.leave_s - stop.begin_s
            drop.full_clean()
            drop.save()


def _load(row: Run, number: int, load: LoadPlan, prepared: Prepared, was: Load | None) -> Load:
    filled = was or Load(run=row, sequence=number)
    parts = [prepared.parts[part] for part in load.parts]
    if filled.yard_id != int(load.yard):
        filled.yard_id, filled.ticks = int(load.yard), []
    filled.cords = sum((part.cords for part in parts), Fraction(0))
    filled.weight_lb = load.lb
    filled.loose_ft3 = _loose(row, parts)
    filled.arrive_at, filled.begin_at = _clock(load.arrive_s), _clock(load.begin_s)
    filled.leave_at = _clock(load.leave_s)
    filled.leg_meters, filled.leg_seconds = load.leg_m, load.leg_s
    return filled


def _loose(row: Run, parts: list[PartRow]) -> Decimal:
    """Loose cubic feet in this rig's box, bundles at their own size."""
    each = dict(
        Lot.objects.filter(pk__in=[part.lot_id for part in parts if part.bundles]).values_list(
            "pk", "bundle_ft3"
        )
    )
    loose = sum((part.cords for part in parts), Fraction(0)) * Fraction(row.rig.heap_number)
    loose += sum(
        (Fraction(each.get(part.lot_id or 0) or Decimal("0.75")) * part.bundles for part in parts),
        Fraction(0),
    )
    return Decimal(round(loose * 100)) / 100


def _clock(seconds: int) -> time:
    seconds = max(0, min(seconds, LATEST))
    return time(seconds // 3600, seconds // 60 % 60, seconds % 60)
