"""Where the wood of a drop lies that came home: booked there once, whoever says it first."""

from datetime import datetime
from fractions import Fraction

from django.db import transaction
from django.utils import timezone

from inventory.core.units import bundle_cords
from inventory.models import Lot
from inventory.services import audit
from orders.services.brought_home import bring_home
from orders.services.held import standing_holds
from routing.core import DriverRefusal
from routing.models import Stop
from routing.selectors.runs.brought_home import AWAY, lot_of_place, yard_of_place
from routing.services.driver_events.values import NotOnTheRun


class NoSuchPlace(DriverRefusal):
    """Neither a yard nor a lot was named."""

    says = "{place!r} is no yard and no lot: choose one from the list."
    in_words = {"place": lambda typed: typed[:40]}


class LiesElsewhere(DriverRefusal):
    """Somebody said before that the wood lies in another yard."""

    says = "The wood of order {order} is booked in {yard}, lot {lot}, already: ask the seller to move it."


@transaction.atomic
def put_back(stop: Stop, *, place: str, at: datetime, who: str) -> None:
    """Book the wood of a drop where it lies now; told again of the same place, nothing changes.

    Units
        place: "lot:K1" on a lot, or "yard:3" by itself in a yard.

    Errors
        NoSuchPlace, LiesElsewhere
        NotEnoughOpen, WillNotMerge, LotChanged (inventory): nothing is booked.
    """
    lot, yard_id = lot_of_place(place), yard_of_place(place)
    if lot is not None:
        yard_id = lot.yard_id
    if yard_id is None:
        raise NoSuchPlace(place=place)
    stop.refresh_from_db(fields=["back_lot"])
    if stop.back_lot is not None:
        if yard_id != stop.back_lot.yard_id:
            raise LiesElsewhere(order=stop.order.number, lot=stop.back_lot.code, yard=stop.back_lot.yard.name)
        return
    stop.back_lot = stop.lot
    for source, cords in _wood_of(stop):
        if yard_id == source.yard_id:
            continue  # back on the heap it was taken from, or beside it
        onto = lot.code if lot is not None and lot.form == source.form else ""
        code = bring_home(
            number=stop.order.number, lot_id=source.pk, cords=cords, yard_id=yard_id, onto=onto,
            on=timezone.localdate(at), at=at, who=who,
        )  # fmt: skip
        if source.pk == stop.lot_id:
            stop.back_lot = Lot.objects.get(code=code)
    stop.save(update_fields=["back_lot"])
    lies_in = stop.back_lot.code if stop.back_lot else ""
    audit.note(at=at, who=who, verb="came home", thing=stop.order.reference, note=f"lot {lies_in}")


def put_back_of_order(*, number: int, stop_id: int, place: str, at: datetime, who: str) -> None:
    """The same, said on the order's page.

    Errors
        NotOnTheRun: no drop of the order came home, and all of `put_back`.
    """
    stop = Stop.objects.filter(pk=stop_id, order__number=number, state__in=AWAY).select_related(
        "order", "lot"
    )
    found = stop.first()
    if found is None:
        raise NotOnTheRun("This drop is not on a run any more.")
    put_back(found, place=place, at=at, who=who)


def _wood_of(stop: Stop) -> list[tuple[Lot, Fraction]]:
    """What the drop was to bring, by lot: of the holds in its yard, its own lot first; none: of its lot."""
    if stop.lot is None:
        return []
    held = [hold for hold in standing_holds(stop.order) if hold.lot.yard_id == stop.lot.yard_id]
    held.sort(key=lambda hold: hold.lot_id != stop.lot_id)
    found: dict[Lot, Fraction] = {}
    kindling = next((hold.lot for hold in held if hold.lot.form == Lot.Form.KINDLING), None)
    left = {
        False: stop.cords,
        True: bundle_cords(stop.bundles, (kindling or stop.lot).bundle_ft3),
    }
    if not held:
        amount = left[stop.lot.form == Lot.Form.KINDLING]
        return [(stop.lot, amount)] if amount else []
    for hold in held:
        is_kindling = hold.lot.form == Lot.Form.KINDLING
        taken = min(hold.cords, left[is_kindling])
        if taken > 0:
            found[hold.lot] = found.get(hold.lot, Fraction(0)) + taken
            left[is_kindling] -= taken
    return list(found.items())
