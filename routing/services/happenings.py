"""What each thing a driver says happened changes: the wood, the money, the order, the run.

One function a kind, all of one shape: `Said` in, `Told` out. They run inside `deliveries.record_event`,
which keeps every event once.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from inventory.core.units import parse_cords
from inventory.services.draws import draw_wood
from orders.core import OrdersError
from orders.models import Order
from orders.services.orders import mark_delivered, mark_on_the_way, mark_unplanned, standing_holds
from orders.services.payments import record_payment
from orders.services.tickets import make_ticket
from routing.core import RoutingError
from routing.models import Day, Load, Run, Stop

STACKED_FT3 = 128
OPEN_STATES = (Stop.State.PLANNED, Stop.State.ARRIVED)


class NotOnTheRun(RoutingError):
    """The drop, load or run that the phone speaks of is not in the plan any more."""

    def __init__(self, *, thing: str) -> None:
        self.thing = thing
        super().__init__(f"{thing} is not on a run any more: look at the day, then mark the order by hand.")


class DoneBefore(RoutingError):
    """The drop was ended before under another key."""

    def __init__(self, *, order: int, state: str, at: datetime | None) -> None:
        self.order = order
        self.state = state
        when = f" at {timezone.localtime(at):%H:%M}" if at else ""
        super().__init__(f"The drop of order {order} was ended before{when} ({state}); nothing was changed.")


class NoWoodHeld(RoutingError):
    def __init__(self, *, order: int) -> None:
        self.order = order
        super().__init__(
            f"No wood is held for order {order}: hold a lot for it, then mark the drop delivered again."
        )


class BadSaying(RoutingError):
    """A figure in an event that cannot be read."""

    def __init__(self, *, what: str, said: object) -> None:
        self.what = what
        super().__init__(f"{said!r} is not {what}: correct it and say it again.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """An event as it reached us, its parts found."""

    key: UUID
    kind: str
    at: datetime
    who: str
    said: Mapping[str, Any]
    run: Run | None
    load: Load | None
    stop: Stop | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What applying an event left to say."""

    message: str = ""
    letters: tuple[tuple[int, str], ...] = ()
    needs_look: bool = False


NOTHING_TO_SAY = Told()


def _left(event: Said) -> Told:
    run = _run(event)
    if run.actual_leave_at is None or event.at < run.actual_leave_at:
        run.actual_leave_at = event.at
        run.save(update_fields=["actual_leave_at"])
    return NOTHING_TO_SAY


def _home(event: Said) -> Told:
    run = _run(event)
    run.actual_home_at = event.at
    miles = _miles_driven(run, event)
    if miles is not None and run.loaded_meters + run.empty_meters:
        loaded_share = Decimal(run.loaded_meters) / (run.loaded_meters + run.empty_meters)
        run.actual_loaded_miles = (miles * loaded_share).quantize(Decimal("0.1"))
        run.actual_empty_miles = miles - run.actual_loaded_miles
    run.save(update_fields=["actual_home_at", "actual_loaded_miles", "actual_empty_miles"])
    day = run.day
    if day.state == Day.State.FIXED and not day.runs.filter(actual_home_at=None).exists():
        day.state = Day.State.DONE
        day.save(update_fields=["state"])
    return NOTHING_TO_SAY


def _ticked(event: Said) -> Told:
    load = _load(event)
    load.ticks = sorted({str(tick)[:40] for tick in event.said.get("ticks", [])})[:20]
    load.save(update_fields=["ticks"])
    return NOTHING_TO_SAY


def _loaded(event: Said) -> Told:
    if event.said.get("ticks"):
        return _ticked(event)
    _load(event)
    return NOTHING_TO_SAY


def _on_the_way(event: Said) -> Told:
    stop = _drop(event)
    mark_on_the_way(number=stop.order.number, at=event.at)
    return Told(letters=((stop.order.number, "on_the_way"),))


def _arrived(event: Said) -> Told:
    stop = _drop(event)
    if stop.state == Stop.State.PLANNED:
        stop.state = Stop.State.ARRIVED
        stop.save(update_fields=["state"])
    return NOTHING_TO_SAY


def _delivered(event: Said) -> Told:
    """Draw, book, mark, write the ticket. Money comes first: a buyer is known only once wood was left."""
    stop = _open_drop(event)
    order = stop.order
    given = parse_cords(str(event.said["cords"])) if event.said.get("cords") else stop.cords
    _end(stop, Stop.State.DELIVERED, event)
    is_last = not order.stops.filter(state__in=OPEN_STATES).exists()
    _draw(stop, event, cords=given + _bundle_cords(stop), is_last=is_last)
    troubles = [_tried(_money, event, stop)]
    letters: tuple[tuple[int, str], ...] = ()
    if is_last:
        earlier = order.stops.filter(state=Stop.State.DELIVERED).exclude(pk=stop.pk)
        mark_delivered(
            number=order.number,
            delivered_on=timezone.localdate(event.at),
            at=event.at,
            who=event.who,
            cords=given + sum((other.cords for other in earlier), Fraction(0)),
        )
        letters = ((order.number, "delivered"),)
        troubles.append(_tried(_paper, event, stop))
    said = [trouble for trouble in troubles if trouble]
    message = " ".join(["Delivered.", *said]) if said else ""
    return Told(message=message, letters=letters, needs_look=bool(said))


def _paid(event: Said) -> Told:
    stop = _drop(event)
    _money(event, stop)
    return NOTHING_TO_SAY


def _no_show(event: Said) -> Told:
    return _comes_home(event, Stop.State.NO_SHOW, "nobody there")


def _trouble(event: Said) -> Told:
    if event.said.get("comes_home"):
        return _comes_home(event, Stop.State.TROUBLE, "trouble at the drop")
    stop = _open_drop(event)
    stop.note = str(event.said.get("note", ""))[:300]
    stop.save(update_fields=["note"])
    return Told(message=f"Order {stop.order.number}: {stop.note or 'trouble'}", needs_look=True)


def _photo(event: Said) -> Told:
    _drop(event)
    return NOTHING_TO_SAY


APPLY: Mapping[str, Callable[[Said], Told]] = {
    "left": _left,
    "ticked": _ticked,
    "loaded": _loaded,
    "on_the_way": _on_the_way,
    "arrived": _arrived,
    "delivered": _delivered,
    "paid": _paid,
    "no_show": _no_show,
    "trouble": _trouble,
    "photo": _photo,
    "home": _home,
}


def _comes_home(event: Said, state: str, why: str) -> Told:
    """The wood rides home and stays held; the order waits for another day."""
    stop = _open_drop(event)
    stop.note = str(event.said.get("note", ""))[:300]
    _end(stop, state, event)
    words = f"{why}{': ' + stop.note if stop.note else ''}"
    others = stop.order.stops.filter(state__in=OPEN_STATES).exists()
    if stop.order.state == Order.State.PLANNED and not others:
        mark_unplanned(number=stop.order.number, at=event.at, who=event.who, reason=words[:300])
    kind = "no_show" if state == Stop.State.NO_SHOW else ""
    return Told(letters=((stop.order.number, kind),) if kind else ())


def _end(stop: Stop, state: str, event: Said) -> None:
    stop.state, stop.done_at = state, event.at
    stop.save(update_fields=["state", "done_at", "note"])


def _draw(stop: Stop, event: Said, *, cords: Fraction, is_last: bool) -> None:
    """Take the drop's wood out of the order's holds; what other drops still need stays held."""
    order = stop.order
    held = standing_holds(order)
    own = [hold for hold in held if stop.lot_id in (None, hold.lot_id)] or held
    if not own:
        raise NoWoodHeld(order=order.number)
    left = cords
    for hold in own:
        takes_all = is_last and hold is own[-1]
        taken = left if takes_all else min(hold.cords, left)
        if taken <= 0:
            continue
        draw_wood(
            hold_id=hold.pk,
            cords=taken,
            on=timezone.localdate(event.at),
            at=event.at,
            who=event.who,
            reference=order.reference,
            key=uuid5(event.key, f"hold {hold.pk}"),
            keep_rest=not is_last,
        )
        left -= taken
    if left > 0 and not is_last:
        raise NoWoodHeld(order=order.number)


def _money(event: Said, stop: Stop) -> None:
    said = str(event.said.get("dollars", "")).strip()
    if not said:
        return
    try:
        dollars = Decimal(said.replace("$", "").replace(",", "")).quantize(Decimal("0.01"))
    except InvalidOperation as error:
        raise BadSaying(what="an amount of money", said=said) from error
    if dollars <= 0:
        return
    record_payment(
        number=stop.order.number,
        dollars=dollars,
        method=str(event.said.get("method") or "cash"),
        on=timezone.localdate(event.at),
        at=event.at,
        who=event.who,
        key=uuid5(event.key, "money"),
        keep_too_much=bool(event.said.get("keep_too_much")),
    )


def _paper(event: Said, stop: Stop) -> None:
    rig = stop.load.run.rig
    loose = (stop.order.cords * Fraction(rig.heap_number)).limit_denominator(100)
    make_ticket(
        number=stop.order.number,
        at=event.at,
        who=event.who,
        loaded_ft3=round(Decimal(loose.numerator) / loose.denominator, 2),
    )


def _tried(step: Callable[[Said, Stop], None], event: Said, stop: Stop) -> str:
    """Run a step that must not undo the delivery; its sentence when it fails."""
    try:
        with transaction.atomic():
            step(event, stop)
    except (OrdersError, RoutingError) as error:
        return str(error)
    return ""


def _bundle_cords(stop: Stop) -> Fraction:
    if not stop.bundles:
        return Fraction(0)
    each = stop.lot.bundle_ft3 if stop.lot and stop.lot.bundle_ft3 else Decimal("0.75")
    return Fraction(each) * stop.bundles / STACKED_FT3


def _miles_driven(run: Run, event: Said) -> Decimal | None:
    """Miles between the odometer at leaving and at home; None when either was not said."""
    left = run.events.filter(kind="left").order_by("happened_at").first()
    start, end = (left.said if left else {}).get("odometer"), event.said.get("odometer")
    if not start or not end:
        return None
    try:
        miles = Decimal(str(end)) - Decimal(str(start))
    except InvalidOperation as error:
        raise BadSaying(what="an odometer reading", said=f"{start} and {end}") from error
    if miles < 0:
        raise BadSaying(what="an odometer reading above the one at leaving", said=end)
    return miles.quantize(Decimal("0.1"))


def _drop(event: Said) -> Stop:
    if event.stop is None:
        order = event.said.get("order")
        raise NotOnTheRun(thing=f"The drop of order {order}" if order else "This drop")
    return event.stop


def _open_drop(event: Said) -> Stop:
    stop = _drop(event)
    if stop.state not in OPEN_STATES:
        raise DoneBefore(order=stop.order.number, state=stop.get_state_display(), at=stop.done_at)
    return stop


def _load(event: Said) -> Load:
    if event.load is None:
        raise NotOnTheRun(thing="This load")
    return event.load


def _run(event: Said) -> Run:
    if event.run is None:
        raise NotOnTheRun(thing="This run")
    return event.run
