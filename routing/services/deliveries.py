"""What happens on the road, written as it is told: by a phone hours later, twice, or in another order.

Every event has the phone's own key. It is applied once; what cannot be applied is kept with the reason,
for the seller to look at. What each kind changes is in `routing.services.happenings`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inventory.core import InventoryError
from inventory.services import audit
from orders.core import OrdersError
from routing.core import RoutingError
from routing.models import DriverEvent, Load, Run, Stop
from routing.services.happenings import APPLY, Said, Told

APPLIED, CONFLICT = DriverEvent.Outcome.APPLIED, DriverEvent.Outcome.CONFLICT


class UnknownKind(RoutingError):
    def __init__(self, *, kind: str) -> None:
        self.kind = kind
        super().__init__(f"{kind!r} is nothing a driver can say happened.")


@dataclass(frozen=True, slots=True, kw_only=True)
class EventOutcome:
    """What became of an event.

    letters: (order number, kind of letter) that the step calls for; none when it was known before.
    """

    key: UUID
    outcome: str
    message: str
    is_new: bool
    letters: tuple[tuple[int, str], ...] = ()


def record_event(
    *,
    key: UUID,
    kind: str,
    happened_at: datetime,
    received_at: datetime,
    who: str,
    said: Mapping[str, Any] | None = None,
    run_id: int | None = None,
    load_id: int | None = None,
    stop_id: int | None = None,
) -> EventOutcome:
    """Apply what a driver says happened, once; keep it with the reason when it cannot be applied.

    Units
        said: by kind. delivered: cords (text), dollars, method; paid: dollars, method; left and home:
        odometer (miles); loaded: ticks; trouble and no_show: note; all of a drop: order, part.

    Errors
        UnknownKind: nothing is kept.
    """
    if kind not in APPLY:
        raise UnknownKind(kind=kind)
    known = DriverEvent.objects.filter(key=key).first()
    if known is not None:
        return EventOutcome(key=key, outcome=known.outcome, message=known.message, is_new=False)
    words = dict(said or {})
    event = Said(
        key=key,
        kind=kind,
        at=happened_at,
        who=who,
        said=words,
        stop=_stop(stop_id, words, happened_at),
        load=Load.objects.filter(pk=load_id).first() if load_id else None,
        run=Run.objects.select_related("day", "rig").filter(pk=run_id).first() if run_id else None,
    )
    with transaction.atomic():
        row, is_new = DriverEvent.objects.get_or_create(
            key=key,
            defaults={
                "kind": kind,
                "stop": event.stop,
                "load": event.load,
                "run": event.run,
                "said": words,
                "happened_at": happened_at,
                "received_at": received_at,
                "who": who[:80],
                "outcome": APPLIED,
            },
        )
        if not is_new:
            return EventOutcome(key=key, outcome=row.outcome, message=row.message, is_new=False)
        told = _applied(event)
        row.outcome = CONFLICT if told.needs_look else APPLIED
        row.message = told.message[:300]
        row.save(update_fields=["outcome", "message"])
    return EventOutcome(
        key=key, outcome=str(row.outcome), message=row.message, is_new=True, letters=told.letters
    )


def deliver_stop(
    *,
    stop_id: int,
    key: UUID,
    at: datetime,
    received_at: datetime,
    who: str,
    cords: Fraction | None = None,
    dollars: Decimal | None = None,
    method: str = "cash",
) -> EventOutcome:
    """The wood of a drop is with its customer: draw it, book what was paid, write the ticket.

    The same key again changes nothing and tells what became of it.

    Units
        cords: what was thrown off when it differs from the plan.
    """
    said: dict[str, Any] = {}
    if cords is not None:
        said["cords"] = str(cords)
    if dollars is not None:
        said |= {"dollars": str(dollars), "method": method}
    return record_event(
        key=key,
        kind="delivered",
        happened_at=at,
        received_at=received_at,
        who=who,
        said=said,
        stop_id=stop_id,
    )


@transaction.atomic
def look_done(*, key: UUID, at: datetime, who: str) -> None:
    """The seller has dealt with a kept event; it leaves the list of things to look at."""
    row = DriverEvent.objects.filter(key=key, outcome=CONFLICT).first()
    if row is None:
        return
    row.outcome = APPLIED
    row.message = f"Looked at: {row.message}"[:300]
    row.save(update_fields=["outcome", "message"])
    audit.note(at=at, who=who, verb="looked at", thing=f"driver event {row.kind}"[:40], note=row.message)


def _applied(event: Said) -> Told:
    """Apply inside a savepoint: what fails leaves the event kept and nothing else changed."""
    try:
        with transaction.atomic():
            return APPLY[event.kind](event)
    except (RoutingError, OrdersError, InventoryError) as error:
        return Told(message=str(error), needs_look=True)


def _stop(stop_id: int | None, said: Mapping[str, Any], at: datetime) -> Stop | None:
    """The drop meant: by its id, or by order and part when the day was planned anew meanwhile."""
    rows = Stop.objects.select_related("order", "lot", "load__run__rig")
    found = rows.filter(pk=stop_id).first() if stop_id else None
    if found is None and said.get("order"):
        same = rows.filter(order__number=said["order"], part=said.get("part") or 1)
        found = same.filter(load__run__day__on=timezone.localdate(at)).first()
    return found
