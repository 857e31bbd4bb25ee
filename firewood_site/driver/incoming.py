"""What a phone or a plain form says, read into the service's words."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from firewood_site.clock import BadMoment, now, phone_time
from firewood_site.letters import about_clock, tell
from inventory.selectors.spoken import reader_language
from orders.selectors.orders import order_view
from routing.core import DriverRefusal
from routing.core.driver_input import UnreadableFigure, dollars_given, odometer_given
from routing.selectors.runs.runs import run_of_drop
from routing.services.driver_events.record import EventOutcome, record_event
from routing.services.driver_events.values import IncomingEvent

FIELDS = (
    "order", "part", "version", "planned_cords", "parts", "cords",
    "dollars", "method", "keep_too_much", "note", "comes_home", "odometer", "ticks", "place",
)  # fmt: skip
MOST_AT_ONCE = 200
LONGEST = 500
LARGEST_ROW = 2**63 - 1  # what an id column holds


class BadEvent(DriverRefusal):
    """An event without a key, or of no form we know; the sentence says so."""


def read_event(sent: Mapping[str, Any]) -> IncomingEvent:
    """An event out of JSON or a form.

    Errors
        BadEvent: no key, no kind, no date there is, a row that is no number, or a payment without money.
    """
    try:
        key = UUID(str(sent.get("uuid", "")))
    except ValueError as error:
        raise BadEvent("This came without its own key: reload the page and send it again.") from error
    kind = str(sent.get("kind", ""))[:20]
    if not kind:
        raise BadEvent("This came without saying what happened.")
    given = {name: _plain(sent[name]) for name in FIELDS if sent.get(name) not in (None, "", [])}
    _refuse_figures(kind, given)
    for name in ("order", "part"):
        _number(given.get(name))
    return IncomingEvent(
        key=key,
        kind=kind,
        at=_moment(str(sent.get("at") or "")),
        run_id=_number(sent.get("run")),
        load_id=_number(sent.get("load")),
        stop_id=_number(sent.get("stop")),
        input=given,
    )


@transaction.atomic
def apply_event(event: IncomingEvent, *, who: str) -> EventOutcome:
    """Record the event, then write the letters it calls for.

    Errors
        UnknownKind (routing): nothing is kept.
    """
    outcome = record_event(event, received_at=now(), who=who, language=reader_language())
    for number, letter in outcome.letters:
        more: dict[str, Any] = {}
        order = order_view(number)
        if letter == "on_the_way" and event.stop_id and order is not None:
            more["time"] = time_there(event.stop_id, language=order.customer.language)
        tell(number, letter, at=now(), **more)
    return outcome


def time_there(stop_id: int, *, language: str) -> str:
    """When the rig is at a drop, as things stand now."""
    run = run_of_drop(stop_id, at=now())
    halts = run.halts if run else ()
    halt = next((halt for halt in halts if halt.drop and halt.drop.id == stop_id), None)
    return about_clock(halt.now_at, language=language) if halt else ""


def _moment(text: str) -> datetime:
    try:
        return phone_time(text)
    except BadMoment as error:
        raise BadEvent(
            "{given!r} is no time of the past year: set the phone's clock and send it again.", given=text[:40]
        ) from error


def _number(value: Any) -> int | None:
    if value in (None, ""):
        return None
    try:
        number = int(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise BadEvent("{given!r} names no run, load or drop.", given=str(value)[:40]) from error
    if not 0 <= number <= LARGEST_ROW:
        raise BadEvent("{given!r} names no run, load or drop.", given=str(value)[:40])
    return number


def _refuse_figures(kind: str, given: Mapping[str, Any]) -> None:
    """Numbers that cannot be; words in place of one are the service's to keep beside what happened."""
    try:
        dollars = dollars_given(given)
        odometer_given(given)
    except UnreadableFigure as error:
        if error.is_number or kind == "paid":
            raise BadEvent(error.sentence.english, **error.sentence.gaps) from error
        return
    if kind == "paid" and dollars is None:
        raise BadEvent("How much was paid did not come along: write the amount and send it again.")


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [_text(item)[:40] for item in value[:20]]
    return value if isinstance(value, bool) else _text(value)[:LONGEST]


def _text(value: Any) -> str:
    """Text a database keeps: without halves of letters and control characters."""
    return "".join(sign for sign in str(value) if sign.isprintable() or sign in "\n\t")
