"""What each kind of event changes: the run, its loads and drops, the order, the wood and the money.

One function a kind, all of one shape: `EventInput` in, `EventResult` out. They run inside
`record.record_event`, which keeps every event once and undoes all of one that cannot be applied.
"""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal

from inventory.core import InventoryError
from inventory.core.local import local
from inventory.core.sentences import Sentence
from orders.models import Order
from orders.services.orders import mark_on_the_way, mark_unplanned
from routing.core import DriverRefusal
from routing.core.driver_input import UnreadableFigure, cords_given, odometer_given, seen_drop
from routing.models import Day, Run, Stop
from routing.services.driver_events.handover import end_stop, hand_over, take_money
from routing.services.driver_events.put_back import put_back
from routing.services.driver_events.values import (
    NOTHING_LEFT,
    OPEN_STATES,
    EndedBefore,
    EventInput,
    EventResult,
    PlanChanged,
    load_of,
    run_of,
    stop_of,
)

MOST_TICKS, LONGEST_TICK, LONGEST_NOTE = 20, 40, 300
TENTH = Decimal("0.1")


def _left(event: EventInput) -> EventResult:
    run = run_of(event)
    odometer_given(event.input)  # refused here, not when the run comes home
    if run.actual_leave_at is None or event.at < run.actual_leave_at:
        run.actual_leave_at = event.at
        run.save(update_fields=["actual_leave_at"])
    return NOTHING_LEFT


def _home(event: EventInput) -> EventResult:
    run = run_of(event)
    run.actual_home_at = event.at
    miles = _miles_driven(run, event)
    if miles is not None and run.loaded_meters + run.empty_meters:
        loaded_share = Decimal(run.loaded_meters) / (run.loaded_meters + run.empty_meters)
        run.actual_loaded_miles = (miles * loaded_share).quantize(TENTH)
        run.actual_empty_miles = miles - run.actual_loaded_miles
    run.save(update_fields=["actual_home_at", "actual_loaded_miles", "actual_empty_miles"])
    day = run.day
    if day.state == Day.State.FIXED and not day.runs.filter(actual_home_at=None).exists():
        day.state = Day.State.DONE
        day.save(update_fields=["state"])
    return NOTHING_LEFT


def _ticked(event: EventInput) -> EventResult:
    load = load_of(event)
    ticks = event.input.get("ticks", [])
    listed = ticks if isinstance(ticks, list) else [ticks]
    load.ticks = sorted({str(tick)[:LONGEST_TICK] for tick in listed})[:MOST_TICKS]
    load.save(update_fields=["ticks"])
    return NOTHING_LEFT


def _loaded(event: EventInput) -> EventResult:
    if event.input.get("ticks"):
        return _ticked(event)
    load_of(event)
    return NOTHING_LEFT


def _on_the_way(event: EventInput) -> EventResult:
    stop = stop_of(event)
    mark_on_the_way(number=stop.order.number, at=event.at)
    return EventResult(letters=((stop.order.number, "on_the_way"),))


def _arrived(event: EventInput) -> EventResult:
    stop = stop_of(event)
    if stop.state == Stop.State.PLANNED:
        stop.state = Stop.State.ARRIVED
        stop.save(update_fields=["state"])
    return NOTHING_LEFT


def _delivered(event: EventInput) -> EventResult:
    stop = _open_stop(event)
    _refuse_other_plan(event, stop)
    given = cords_given(event.input)
    return hand_over(event, order=stop.order, stops=(stop,), cords=stop.cords if given is None else given)


def _paid(event: EventInput) -> EventResult:
    take_money(event, stop_of(event).order)
    return NOTHING_LEFT


def _no_show(event: EventInput) -> EventResult:
    stop = _open_stop(event)
    _refuse_other_plan(event, stop)
    return come_home(event, (stop,))


def _trouble(event: EventInput) -> EventResult:
    stop = _open_stop(event)
    if event.input.get("comes_home"):
        _refuse_other_plan(event, stop)
        return come_home(event, (stop,))
    stop.note = _note(event)
    stop.save(update_fields=["note"])
    trouble = Sentence(
        "Order {order}: {trouble}", {"order": stop.order.number, "trouble": stop.note or Sentence("trouble")}
    )
    return EventResult(sentences=(trouble,), needs_look=True)


def _put_back(event: EventInput) -> EventResult:
    """Where wood that came home lies now; told before its drop is ended, it waits for that."""
    stop = stop_of(event)
    if stop.state in OPEN_STATES:
        return NOTHING_LEFT
    if stop.state == Stop.State.DELIVERED:
        raise _ended(event, stop)
    put_back(stop, place=str(event.input.get("place", "")), at=event.at, who=event.who)
    return NOTHING_LEFT


def _photo(event: EventInput) -> EventResult:
    stop_of(event)
    return NOTHING_LEFT


APPLY: Mapping[str, Callable[[EventInput], EventResult]] = {
    "left": _left,
    "ticked": _ticked,
    "loaded": _loaded,
    "on_the_way": _on_the_way,
    "arrived": _arrived,
    "delivered": _delivered,
    "paid": _paid,
    "no_show": _no_show,
    "trouble": _trouble,
    "put_back": _put_back,
    "photo": _photo,
    "home": _home,
}


def come_home(event: EventInput, stops: Iterable[Stop]) -> EventResult:
    """The wood rides home and stays held; the order waits for another day."""
    is_no_show, failures = event.kind == "no_show", list[Exception]()
    for stop in stops:
        stop.note = _note(event)
        end_stop(stop, Stop.State.NO_SHOW if is_no_show else Stop.State.TROUBLE, event)
        order = stop.order
        order.refresh_from_db(fields=["state"])
        others = order.stops.filter(state__in=OPEN_STATES).exists()
        if order.state == Order.State.PLANNED and not others:
            reason = "nobody there" if is_no_show else "trouble at the drop"
            note = f"{reason}: {stop.note}" if stop.note else reason
            mark_unplanned(number=order.number, at=event.at, who=event.who, reason=note[:LONGEST_NOTE])
        failures += _told_place(stop)
    letters = ((stop.order.number, "no_show"),) if is_no_show else ()
    return EventResult(sentences=tuple(failures), letters=letters, needs_look=bool(failures))


def _told_place(stop: Stop) -> list[Exception]:
    """Book where the wood lies when that was told before it came home; why it cannot be."""
    told = stop.events.filter(kind="put_back").order_by("happened_at").first()
    try:
        if told is not None:
            put_back(stop, place=str(told.input.get("place", "")), at=told.happened_at, who=told.who)
    except (DriverRefusal, InventoryError) as error:
        return [error]
    return []


def _open_stop(event: EventInput) -> Stop:
    stop = stop_of(event)
    if stop.state not in OPEN_STATES:
        raise _ended(event, stop)
    return stop


def _ended(event: EventInput, stop: Stop) -> EndedBefore:
    ended_by = stop.events.filter(happened_at=stop.done_at or event.at).exclude(key=event.key)
    who = ended_by.values_list("who", flat=True).first() or ""
    return EndedBefore(order=stop.order.number, state=stop.get_state_display(), at=stop.done_at, who=who)


def _refuse_other_plan(event: EventInput, stop: Stop) -> None:
    """A drop that is another one than the driver saw is not ended by halves: both versions are shown."""
    seen, day = seen_drop(event.input), stop.load.run.day
    if seen.version == day.version:
        return
    parts = Stop.objects.filter(order=stop.order_id, load__run__day=day).count()
    same_cords = seen.cords is None or seen.cords == stop.cords
    same_parts = seen.parts is None or seen.parts == parts
    if not (same_cords and same_parts):
        raise PlanChanged(order=stop.order.number, seen=seen, parts=parts, stop=stop)


def _miles_driven(run: Run, event: EventInput) -> Decimal | None:
    """Miles between the odometer at leaving and at home; None when either was not read."""
    left = run.events.filter(kind="left").order_by("happened_at").first()
    start, end = odometer_given(left.input if left else {}), odometer_given(event.input)
    if start is None or end is None:
        return None
    if end < start:
        raise UnreadableFigure(what="an odometer reading above the one at leaving", given=end)
    return ((end - start) / local().distance(Decimal(1))).quantize(TENTH)


def _note(event: EventInput) -> str:
    return str(event.input.get("note", ""))[:LONGEST_NOTE]
