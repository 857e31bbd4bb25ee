"""One step of a day back, and forth again, until the first load leaves."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from inventory.core.gaps import ShortDay
from inventory.core.kept import kept
from inventory.core.sentences import Sentence, as_sentence
from orders.models import Order
from routing.core import RoutingError
from routing.models import Day, Run
from routing.planner.hand_edits import judged
from routing.selectors.planning.problems import MAY_GO, NothingToBring, prepare
from routing.services.commits import clear_day
from routing.services.memory import Step, open_runs_in, sketch_in
from routing.services.standing import PlanRefused, in_words, is_under_way
from routing.services.storing import store


class NothingToTakeBack(RoutingError):
    says = "There is no step of {on} to take back or to repeat."
    in_words = {"on": ShortDay}


class ChangedSince(RoutingError):
    says = "That step also changed {on}, which was changed since: start there."
    in_words = {"on": ShortDay}


def take_back(*, on: date, step: Step, at: datetime, who: str) -> Sentence:
    """Put the plan before the last step in place again ("undo"), or the one taken back ("redo"); its name.

    A step that changed several days is taken back on all of them.

    Errors
        NothingToTakeBack, ChangedSince
        DayIsFixed: it would be empty again, and is committed.
        PlanRefused: a rig is out, or that plan can no longer be driven; nothing is changed.
    """
    entry = _last(on, step)
    if entry is None:
        raise NothingToTakeBack(on=on)
    days = [date.fromisoformat(day) for day in entry["days"]]
    out = [run for run in Run.objects.filter(day__on__in=days).select_related("rig") if is_under_way(run)]
    if out:
        raise PlanRefused(
            Sentence("{rig} is out: move what is still to come by hand", {"rig": out[0].rig.name})
        )
    entries = {day: _last(day, step) for day in days}
    for day, its in entries.items():
        if its is None or (its["at"], its["verb"]) != (entry["at"], entry["verb"]):
            raise ChangedSince(on=day)
    with transaction.atomic():
        for day, its in entries.items():
            _put(day, its or entry, step=step, at=at, who=who)
    return _verb(entry)


def _last(on: date, step: Step) -> dict[str, Any] | None:
    kept = Day.objects.filter(on=on).values_list(step, flat=True).first()
    return kept[-1] if kept else None


def _verb(entry: dict[str, Any]) -> Sentence:
    return as_sentence(kept(entry["verb"]))


def _put(on: date, entry: dict[str, Any], *, step: Step, at: datetime, who: str) -> None:
    if not any(row["loads"] for row in entry["runs"]):
        clear_day(on=on, at=at, who=who, step=step)
        return
    named = {int(part.split(".")[0]) for row in entry["runs"] for _, stops in row["loads"] for part in stops}
    numbers = set(Order.objects.filter(number__in=named, state__in=MAY_GO).values_list("number", flat=True))
    if not numbers:
        raise NothingToBring(on=on)
    prepared = prepare(
        open_runs=open_runs_in(entry),
        order_numbers=numbers,
        must_go=True,
        keep_parts=True,
    )
    plan, verdict = judged(prepared.problem, sketch_in(entry, prepared.parts))
    if not verdict.ok:
        raise PlanRefused(*in_words(prepared, verdict))
    store(
        prepared=prepared,
        plan=plan,
        proof="hand",
        lower_bound_cents=None,
        postponed=(),
        pins=entry["pins"],
        at=at,
        who=who,
        verb=Sentence("undo {step}" if step == "undo" else "redo {step}", {"step": _verb(entry)}),
        step=step,
    )
