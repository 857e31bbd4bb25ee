"""A day adjusted by hand: re-timed and put before the referee at once, kept only when no rule is broken.

An edit of a committed day makes it a draft again; its orders keep their promise until it is committed anew.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.models import Hold, Lot, Yard
from inventory.services import audit
from inventory.services.holds import hold_wood, release_hold
from orders.models import Order, OrderHold
from orders.services.orders import standing_holds
from routing.core import RoutingError
from routing.core.edit import Edit, judged, move_part, remove_order, reorder_load
from routing.core.plan import Plan
from routing.models import Day, Load, Run, Stop
from routing.selectors.parcels import part_id
from routing.selectors.plans import day_sketch
from routing.selectors.problems import Outing, Prepared, prepare
from routing.services.standing import NoSuchDay, PlanRefused, in_words, plan_in_books
from routing.services.storing import store


class NotOnTheDay(RoutingError):
    def __init__(self, *, what: str) -> None:
        self.what = what
        super().__init__(f"{what} is not on this day any more: look at it again.")


class NoLotThere(RoutingError):
    """Another yard has no open wood like it."""

    def __init__(self, *, yard: str, wood: str, cords: Fraction) -> None:
        self.yard = yard
        super().__init__(
            f"{yard} has no single lot with {float(cords):.2f} cord of {wood} open: "
            "move wood there first, or load where it is."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """What an edit did. change_cents, change_seconds of paid driving: below zero when it saves."""

    on: date
    cost_cents: int
    change_cents: int
    change_seconds: int


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
    stop = _stop(on, stop_id)
    prepared, plan = plan_in_books(on)
    part = part_id(stop.order.number, stop.part)
    if to_load_id is not None:
        load = _load(on, to_load_id)
        shift, number, yard = _shift(load.run, on), _place_of(load), str(load.yard_id)
    else:
        run = Run.objects.filter(pk=to_run_id or 0, day__on=on).first() or stop.load.run
        shift, yard = _shift(run, on), str(prepared.parts[part].yard_id)
        number = run.loads.count()
    edit = move_part(
        prepared.problem, plan, part=part, shift=shift, load=number, position=max(0, position - 1), yard=yard
    )
    return _keep(on, prepared, edit, at=at, who=who, verb=f"moved order {stop.order.number}")


def reorder(*, on: date, load_id: int, stop_ids: list[int], at: datetime, who: str) -> Adjusted:
    """Put a load's drops in another order.

    Errors
        NotOnTheDay, NoSuchDay, NoSuchPlace
        PlanRefused: a rule would be broken; nothing is changed.
    """
    load = _load(on, load_id)
    parts = {stop.pk: part_id(stop.order.number, stop.part) for stop in load.stops.select_related("order")}
    if set(stop_ids) != set(parts):
        raise NotOnTheDay(what="A drop of this load")
    prepared, plan = plan_in_books(on)
    edit = reorder_load(
        prepared.problem,
        plan,
        shift=_shift(load.run, on),
        load=_place_of(load),
        parts=[parts[stop_id] for stop_id in stop_ids],
    )
    return _keep(on, prepared, edit, at=at, who=who, verb="reordered a load")


def take_off(*, on: date, number: int, at: datetime, who: str) -> Adjusted:
    """Take an order off the day; an emptied load or run falls away.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: what is left cannot be driven; nothing is changed.
    """
    if not Stop.objects.filter(load__run__day__on=on, order__number=number).exists():
        raise NotOnTheDay(what=f"Order {number}")
    prepared, plan = plan_in_books(on)
    if any(row.number == number for row in prepared.parts.values()):
        edit = remove_order(prepared.problem, plan, order=str(number))
    else:  # cancelled, and its wood let go: the standing plan has left it out already
        _, verdict = judged(prepared.problem, plan.sketch)
        edit = Edit(plan=plan, verdict=verdict, cost_c=verdict.cost_c, change_c=0)
    return _keep(
        on,
        prepared,
        edit,
        at=at,
        who=who,
        verb=f"took off order {number}",
        left=(number, "taken off by hand"),
    )


def bring_along(
    *, on: date, number: int, to_load_id: int | None, position: int, at: datetime, who: str, run_id: int
) -> Adjusted:
    """Add an order to a load, or to a new load of a run.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: it does not fit; nothing is changed.
    """
    prepared, plan = plan_in_books(on, also_numbers=(number,))
    parts = [row for row in prepared.parts.values() if row.number == number]
    if not parts:
        reasons = [row.reason for row in prepared.impossible if row.order == str(number)]
        raise PlanRefused(sentences=tuple(reasons) or (f"Order {number} cannot go",))
    load = _load(on, to_load_id) if to_load_id else None
    run = load.run if load else Run.objects.filter(pk=run_id, day__on=on).first()
    if run is None:
        raise NotOnTheDay(what="The run")
    standing = plan
    for row in parts:
        place = _place_of(load) if load else len(_loads(standing, _shift(run, on)))
        edit = move_part(
            prepared.problem,
            standing,
            part=row.id,
            shift=_shift(run, on),
            load=place,
            position=max(0, position - 1),
            yard=str(row.yard_id),
        )
        standing = edit.plan
    return _keep(on, prepared, edit, at=at, who=who, verb=f"added order {number}")


def swap_yard(*, on: date, load_id: int, yard_id: int, at: datetime, who: str) -> Adjusted:
    """Load the same woods at another yard that has them open; the holds move to its lots.

    Errors
        NotOnTheDay, NoSuchDay
        NoLotThere: no lot of that yard has enough open.
        NotEnoughOpen (inventory): somebody took it meanwhile; nothing is changed.
        PlanRefused: a rule would be broken; nothing is changed.
    """
    load = _load(on, load_id)
    swaps = _swaps(load, yard_id)
    prepared, _ = plan_in_books(on, lot_swaps=swaps)
    changed = [
        (
            shift,
            tuple(
                (str(yard_id) if shift == _shift(load.run, on) and place == _place_of(load) else yard, parts)
                for place, (yard, parts) in enumerate(loads)
            ),
        )
        for shift, loads in day_sketch(on)
    ]
    plan, verdict = judged(prepared.problem, changed)
    edit = Edit(plan=plan, verdict=verdict, cost_c=verdict.cost_c, change_c=verdict.cost_c - _cost_before(on))
    if not edit.ok:
        raise PlanRefused(sentences=in_words(prepared, verdict))
    with transaction.atomic():
        for (number, old_lot), new_lot in swaps.items():
            _move_holds(number, old_lot, new_lot, at=at)
        kept = _keep(on, prepared, edit, at=at, who=who, verb="swapped a yard")
        audit.note(at=at, who=who, verb="swapped yard", thing=f"day {on}", note=f"load {load.sequence}")
    return kept


def set_hours(
    *, on: date, run_id: int, starts_at: time, ends_at: time, driver_name: str, at: datetime, who: str
) -> Adjusted:
    """Another start or end of a run; the whole run is timed anew.

    Errors
        NotOnTheDay, NoSuchDay
        PlanRefused: the drops do not fit those hours; nothing is changed.
    """
    run = Run.objects.filter(pk=run_id, day__on=on).first()
    if run is None:
        raise NotOnTheDay(what="The run")
    before, plan = plan_in_books(on)
    outings = tuple(
        Outing(
            rig_id=outing.rig_id,
            on=on,
            starts_at=starts_at,
            ends_at=ends_at,
            longest_minutes=outing.longest_minutes,
            driver_name=driver_name,
        )
        if outing.rig_id == run.rig_id
        else outing
        for outing in before.outings
    )
    numbers = {row.number for row in before.parts.values()}
    prepared = prepare(outings=outings, order_numbers=numbers, must_go=True, keep_parts=True)
    timed, verdict = judged(prepared.problem, plan.sketch)
    edit = Edit(
        plan=timed, verdict=verdict, cost_c=verdict.cost_c, change_c=verdict.cost_c - _cost_before(on)
    )
    return _keep(on, prepared, edit, at=at, who=who, verb="changed the hours")


@transaction.atomic
def pin_drop(*, on: date, stop_id: int, pinned: bool, at: datetime, who: str) -> None:
    """Keep a drop on its run through the next planning, or let it go.

    Errors
        NotOnTheDay
    """
    stop = _stop(on, stop_id)
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
        raise NotOnTheDay(what="The run")
    Day.objects.filter(on=on).update(version=F("version") + 1)
    audit.note(at=at, who=who, verb="kept as is" if frozen else "let go", thing=f"day {on}")


def _keep(
    on: date,
    prepared: Prepared,
    edit: Edit,
    *,
    at: datetime,
    who: str,
    verb: str,
    left: tuple[int, str] | None = None,
) -> Adjusted:
    if not edit.ok:
        raise PlanRefused(sentences=in_words(prepared, edit.verdict))
    day = Day.objects.filter(on=on).first()
    if day is None:
        raise NoSuchDay(on=on)
    cost = sum(run.cost_c for run in edit.plan.runs)
    was = _cost_before(on)
    paid = sum(Run.objects.filter(day__on=on).values_list("paid_seconds", flat=True))
    pins = [
        part_id(stop.order.number, stop.part)
        for stop in Stop.objects.filter(load__run__day=day, pinned=True).select_related("order")
    ]
    brought = {part.split(".")[0] for part in edit.plan.parts}
    postponed = [row for row in day.postponed if str(row["order"]) not in brought]
    store(
        prepared=prepared,
        plan=edit.plan,
        proof="hand",
        lower_bound_cents=day.lower_bound_cents,
        postponed=(),
        pins=pins,
        at=at,
        who=who,
        verb=verb[:40],
        version=day.version,
    )
    if left is not None:
        postponed.append({"order": left[0], "code": "by hand", "reason": f"{left[1].capitalize()}."})
    Day.objects.filter(on=on).update(postponed=postponed)
    return Adjusted(
        on=on,
        cost_cents=cost,
        change_cents=cost - was,
        change_seconds=sum(run.paid_s for run in edit.plan.runs) - paid,
    )


def _swaps(load: Load, yard_id: int) -> Mapping[tuple[int, int], int]:
    """(order number, its lot) to a lot of the other yard with the same wood and enough of it open."""
    taken: dict[int, Fraction] = {}
    swaps: dict[tuple[int, int], int] = {}
    for stop in load.stops.select_related("order", "lot"):
        if stop.lot is None or stop.lot.yard_id == yard_id:
            continue
        found = None
        rows = Lot.objects.filter(yard_id=yard_id, wood=stop.lot.wood, sale=Lot.Sale.FOR_SALE)
        for lot in rows.select_related("yard").order_by("drying_from"):
            free = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
            if free - taken.get(lot.pk, Fraction(0)) >= stop.cords:
                found = lot
                break
        if found is None:
            yard = Yard.objects.filter(pk=yard_id).first()
            raise NoLotThere(yard=yard.name if yard else "That yard", wood=stop.lot.wood, cords=stop.cords)
        taken[found.pk] = taken.get(found.pk, Fraction(0)) + stop.cords
        swaps[stop.order.number, stop.lot.pk] = found.pk
    return swaps


def _move_holds(number: int, old_lot: int, new_lot: int, *, at: datetime) -> None:
    order = Order.objects.get(number=number)
    for hold in standing_holds(order):
        if hold.lot_id != old_lot:
            continue
        moved = hold_wood(
            lot_id=new_lot,
            cords=hold.cords,
            kind=hold.kind,
            reference=order.reference,
            made_at=at,
            lapses_on=hold.lapses_on if hold.kind == Hold.Kind.SOFT else None,
        )
        release_hold(hold_id=hold.pk, at=at)
        OrderHold.objects.create(order=order, hold_id=moved)


def _cost_before(on: date) -> int:
    return sum(Run.objects.filter(day__on=on).values_list("cost_cents", flat=True))


def _loads(plan: Plan, shift: str) -> tuple[object, ...]:
    run = plan.run_of(shift)
    return run.loads if run else ()


def _place_of(load: Load) -> int:
    """The load's number in its run, from 0."""
    return load.run.loads.filter(sequence__lt=load.sequence).count()


def _shift(run: Run, on: date) -> str:
    return Outing(rig_id=run.rig_id, on=on).shift


def _stop(on: date, stop_id: int) -> Stop:
    row = Stop.objects.filter(pk=stop_id, load__run__day__on=on).select_related("order", "load__run").first()
    if row is None:
        raise NotOnTheDay(what="This drop")
    return row


def _load(on: date, load_id: int) -> Load:
    row = Load.objects.filter(pk=load_id, run__day__on=on).select_related("run").first()
    if row is None:
        raise NotOnTheDay(what="This load")
    return row
