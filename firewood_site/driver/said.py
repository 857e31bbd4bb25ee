"""What a phone or a plain form says, read into the service's words."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from firewood_site.clock import now
from firewood_site.letters import about_clock, tell
from inventory.selectors.business import business
from orders.selectors.orders import order_view
from routing.selectors.runs import run_of_drop
from routing.services.deliveries import EventOutcome, record_event

SAID = (
    "order", "part", "cords", "dollars", "method", "keep_too_much", "note", "comes_home", "odometer", "ticks",
)  # fmt: skip
MOST_AT_ONCE = 200
LONGEST = 500
AHEAD = timedelta(minutes=5)
FIGURES = ("dollars", "odometer")
MOST_DIGITS = 12
LARGEST_ROW = 2**63 - 1  # what an id column holds


class NotUnderstood(Exception):
    """An event without a key, or of no form we know; the sentence says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """One event as sent."""

    key: UUID
    kind: str
    at: datetime
    run_id: int | None
    load_id: int | None
    stop_id: int | None
    said: dict[str, Any]


def read_phrase(sent: Mapping[str, Any]) -> Phrase:
    """An event out of JSON or a form.

    Errors
        NotUnderstood: no key, no kind, a part that is not a number, or a figure without end.
    """
    try:
        key = UUID(str(sent.get("uuid", "")))
    except ValueError as error:
        raise NotUnderstood("An event came without its own key: reload the page and say it again.") from error
    kind = str(sent.get("kind", ""))[:20]
    if not kind:
        raise NotUnderstood("An event came without saying what happened.")
    said = {name: _plain(sent[name]) for name in SAID if sent.get(name) not in (None, "", [])}
    for name in FIGURES:
        _refuse_no_number(said.get(name))
    for name in ("order", "part"):
        _number(said.get(name))
    return Phrase(
        key=key,
        kind=kind,
        at=moment(str(sent.get("at") or "")),
        run_id=_number(sent.get("run")),
        load_id=_number(sent.get("load")),
        stop_id=_number(sent.get("stop")),
        said=said,
    )


def moment(text: str) -> datetime:
    """When it happened by the phone's clock; now when it says nothing sensible or lies ahead.

    On the demo's pinned day only the phone's time of day counts.
    """
    said = parse_datetime(text) if text else None
    present = now()
    if said is None:
        return present
    if timezone.is_naive(said):
        said = timezone.make_aware(said)
    if said > timezone.now() + AHEAD:
        return present
    pinned = business().pinned_today
    if pinned is not None:
        local = timezone.localtime(said)
        said = timezone.make_aware(datetime.combine(pinned, local.time().replace(microsecond=0)))
    return said


def apply_phrase(phrase: Phrase, *, who: str) -> EventOutcome:
    """Record the event, then write the letters it calls for.

    Errors
        UnknownKind (routing): nothing is kept.
    """
    outcome = record_event(
        key=phrase.key,
        kind=phrase.kind,
        happened_at=phrase.at,
        received_at=now(),
        who=who,
        said=phrase.said,
        run_id=phrase.run_id,
        load_id=phrase.load_id,
        stop_id=phrase.stop_id,
    )
    for number, letter in outcome.letters:
        more, order = {}, order_view(number)
        if letter == "on_the_way" and phrase.stop_id and order is not None:
            more["time"] = time_there(phrase.stop_id, language=order.language)
        tell(number, letter, at=now(), **more)
    return outcome


def time_there(stop_id: int, *, language: str) -> str:
    """When the rig is at a drop, as things stand now."""
    run = run_of_drop(stop_id, at=now())
    halts = run.halts if run else ()
    halt = next((halt for halt in halts if halt.drop and halt.drop.id == stop_id), None)
    return about_clock(halt.now_at, language=language) if halt and halt.now_at else ""


def _number(value: Any) -> int | None:
    if value in (None, ""):
        return None
    try:
        number = int(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise NotUnderstood(f"{str(value)[:40]!r} names no run, load or drop.") from error
    if not 0 <= number <= LARGEST_ROW:
        raise NotUnderstood(f"{str(value)[:40]!r} names no run, load or drop.")
    return number


def _refuse_no_number(said: Any) -> None:
    """Words in place of a figure are the service's to answer; "nan" or "1e99" would pass for one there."""
    try:
        figure = Decimal(str(said).replace("$", "").replace(",", "").strip())
    except InvalidOperation:
        return
    if not figure.is_finite() or figure.adjusted() >= MOST_DIGITS:
        raise NotUnderstood(f"{str(said)[:40]!r} is not a number we can book: correct it and say it again.")


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [str(item)[:40] for item in value[:20]]
    return value if isinstance(value, bool) else str(value)[:LONGEST]
