"""A load filled at another yard; the holds move to its lots."""

from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction

from django.db import transaction

from inventory.core.sentences import Sentence
from inventory.models import Hold, Lot, Yard
from inventory.services import audit
from inventory.services.holds import hold_wood, release_hold
from orders.models import Order, OrderHold
from orders.services.held import standing_holds
from routing.core import RoutingError
from routing.models import Load
from routing.planner.hand_edits import Edit, judged
from routing.selectors.planning.plans import day_sketch
from routing.services.kept_edits import Adjusted, cost_before, keep_edit, load_on, place_of, run_key_of
from routing.services.standing import PlanRefused, in_words, plan_in_books


class NoLotThere(RoutingError):
    """Another yard has no open wood like it."""

    says = (
        "{yard} has no single lot with {cords:.2f} cord of {wood} not promised: move wood there "
        "first, or load where it is."
    )
    in_words = {"cords": float}


def swap_yard(*, on: date, load_id: int, yard_id: int, at: datetime, who: str) -> Adjusted:
    """Load the same woods at another yard that has them open; the holds move to its lots.

    Errors
        NotOnTheDay, NoSuchDay
        NoLotThere: no lot of that yard has enough open.
        NotEnoughOpen (inventory): somebody took it meanwhile; nothing is changed.
        PlanRefused: a rule would be broken; nothing is changed.
    """
    load = load_on(on, load_id)
    swaps = _swaps(load, yard_id)
    prepared, _ = plan_in_books(on, lot_swaps=swaps)
    swapped = (run_key_of(load.run, on), place_of(load))
    changed = [
        (run, tuple((str(yard_id), row[1]) if (run, n) == swapped else row for n, row in enumerate(loads)))
        for run, loads in day_sketch(on)
    ]
    plan, verdict = judged(prepared.problem, changed)
    edit = Edit(plan=plan, verdict=verdict, change_c=verdict.cost_c - cost_before(on))
    if not edit.ok:
        raise PlanRefused(*in_words(prepared, verdict))
    with transaction.atomic():
        for (number, old_lot), new_lot in swaps.items():
            _move_holds(number, old_lot, new_lot, at=at)
        kept = keep_edit(on, prepared, edit, at=at, who=who, verb=Sentence("swapped a yard"))
        audit.note(at=at, who=who, verb="swapped yard", thing=f"day {on}", note=f"load {load.sequence}")
    return kept


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
