"""A day committed after the referee looked again, taken back to a draft, or cleared."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.core.sentences import Sentence
from inventory.services import audit
from orders.models import Order
from orders.services.orders import mark_planned, mark_unplanned
from routing.models import Day, Stop
from routing.planner.hand_edits import judged
from routing.services.days import DayIsFixed
from routing.services.memory import Step, remember
from routing.services.standing import (
    NoSuchDay,
    PlanRefused,
    in_words,
    is_under_way,
    plan_in_books,
    troubles_of,
    without_wood,
)
from routing.services.told_hours import told_hours


@dataclass(frozen=True, slots=True, kw_only=True)
class Committed:
    """Who is told what: (order number, kind of letter) of a commit or of taking it back."""

    on: date
    letters: tuple[tuple[int, str], ...]


def commit_day(*, on: date, at: datetime, who: str) -> Committed:
    """Fix the day: the referee looks again at today's rows, then the orders are set for it.

    Errors
        NoSuchDay: there is no draft.
        PlanRefused: an order was cancelled, a yard shut, a rig taken out, or a rule broken since.
    """
    day = Day.objects.filter(on=on).first()
    if day is None or not Stop.objects.filter(load__run__day=day).exists():
        raise NoSuchDay(on=on)
    troubles = troubles_of(on)
    if not troubles:
        prepared, now_planned = plan_in_books(on)
        _, verdict = judged(prepared.problem, now_planned.sketch)
        troubles = in_words(prepared, verdict) if not verdict.ok else without_wood(on, prepared)
    if troubles:
        raise PlanRefused(*troubles)
    letters: list[tuple[int, str]] = []
    with transaction.atomic():
        fixed = Day.objects.filter(pk=day.pk, version=day.version).update(
            state=Day.State.FIXED, committed_at=at, version=day.version + 1
        )
        if not fixed:
            raise PlanRefused(Sentence("Somebody changed the day just now: look at it again"))
        letters += [(number, "day_off") for number in _left_off(on, at=at, who=who)]
        for number, (first, last, order) in told_hours(day).items():
            was = (order.promised_on, order.comes_from, order.comes_to)
            mark_planned(number=number, promised_on=on, at=at, who=who, comes_from=first, comes_to=last)
            if order.state != Order.State.PLANNED or order.comes_from is None:
                letters.append((number, "day_set"))
            elif was != (on, first, last):
                letters.append((number, "day_moved"))
        audit.note(at=at, who=who, verb="committed", thing=f"day {on}")
    return Committed(on=on, letters=tuple(letters))


@transaction.atomic
def uncommit_day(*, on: date, at: datetime, who: str, reason: str = "") -> Committed:
    """Take a committed day back to a draft; its orders wait for a day again.

    Errors
        NoSuchDay: it is not committed.
        PlanRefused: wood has been delivered already.
    """
    day = Day.objects.filter(on=on, state=Day.State.FIXED).first()
    if day is None:
        raise NoSuchDay(on=on)
    stops = Stop.objects.filter(load__run__day=day)
    if stops.filter(state=Stop.State.DELIVERED).exists():
        raise PlanRefused(Sentence("Wood of this day is delivered already: plan around what is fixed"))
    numbers = []
    for order in Order.objects.filter(stops__in=stops, state=Order.State.PLANNED).distinct():
        mark_unplanned(number=order.number, at=at, who=who, reason=reason)
        numbers.append(order.number)
    day.state, day.version, day.committed_at = Day.State.DRAFT, day.version + 1, None
    day.save(update_fields=["state", "version", "committed_at"])
    audit.note(at=at, who=who, verb="taken back", thing=f"day {on}", note=reason)
    return Committed(on=on, letters=tuple((number, "day_off") for number in numbers))


@transaction.atomic
def clear_day(*, on: date, at: datetime, who: str, step: Step = "do") -> Committed:
    """Forget a draft; it can be taken back like any other step. Those it was promised to are to be told.

    Errors
        DayIsFixed: it is committed.
        PlanRefused: a run of it is under way.
    """
    day = Day.objects.filter(on=on).first()
    if day is None:
        return Committed(on=on, letters=())
    if day.state in (Day.State.FIXED, Day.State.DONE):
        raise DayIsFixed(on=on)
    if any(is_under_way(run) for run in day.runs.all()):
        raise PlanRefused(Sentence("A rig is out on this day: plan around what is fixed"))
    remember(day, step=step, at=at, verb=Sentence("cleared the day"), together=(on,))
    day.runs.all().delete()
    gone = _left_off(on, at=at, who=who)
    day.state, day.proof, day.postponed = Day.State.OPEN, "", []
    day.cost_cents = day.lower_bound_cents = day.committed_at = None
    day.version += 1
    day.save(
        update_fields=[
            "state",
            "proof",
            "postponed",
            "cost_cents",
            "lower_bound_cents",
            "version",
            "committed_at",
            "undo",
            "redo",
        ]
    )
    audit.note(at=at, who=who, verb="cleared", thing=f"day {on}")
    return Committed(on=on, letters=tuple((number, "day_off") for number in gone))


def _left_off(on: date, *, at: datetime, who: str) -> list[int]:
    """Orders promised for the day that the new plan does not bring: they wait for another day."""
    gone = Order.objects.filter(state=Order.State.PLANNED, promised_on=on).exclude(
        stops__load__run__day__on=on
    )
    numbers = [order.number for order in gone]
    for number in numbers:
        mark_unplanned(number=number, at=at, who=who, reason="taken off the day")
    return numbers
