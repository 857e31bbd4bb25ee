"""An edit of a day kept: only when no rule is broken, and with what it changed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from inventory.core.kept import keep
from inventory.core.sentences import FramedRefusal, Sentence
from routing.core import RoutingError
from routing.models import Day, Load, Run, Stop
from routing.planner.hand_edits import Edit
from routing.planner.plan import Postponed
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import Prepared
from routing.services.standing import PlanRefused, in_words
from routing.services.storing import store


class NotOnTheDay(FramedRefusal, RoutingError):
    frame = "{what} is not on this day any more: look at it again."
    of = ("what",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """What an edit did. change_cents, change_seconds of paid driving: below zero when it saves."""

    on: date
    cost_cents: int
    change_cents: int
    change_seconds: int


def keep_edit(
    on: date,
    prepared: Prepared,
    edit: Edit,
    *,
    at: datetime,
    who: str,
    verb: Sentence,
    left: tuple[int, Sentence] | None = None,
    together: tuple[date, ...] = (),
    postponed: Iterable[Postponed] = (),
) -> Adjusted:
    """Keep it.

    together: the days one step changes, when it is more than this one.

    Errors
        PlanRefused: a rule would be broken; nothing is changed.
    """
    if not edit.ok:
        raise PlanRefused(*in_words(prepared, edit.verdict))
    day = Day.objects.filter(on=on).first() or Day(on=on)
    cost = sum(run.cost_c for run in edit.plan.runs)
    was = cost_before(on)
    paid = sum(Run.objects.filter(day__on=on).values_list("paid_seconds", flat=True))
    pins = [
        part_id(stop.order.number, stop.part)
        for stop in Stop.objects.filter(load__run__day__on=on, pinned=True).select_related("order")
    ]
    brought = {prepared.parts[part].number for part in edit.plan.parts}
    left_out = [row for row in day.postponed if int(row["order"]) not in brought]
    left_out += [{"order": int(row.order), "code": row.code, "reason": keep(row.reason)} for row in postponed]
    store(
        prepared=prepared,
        plan=edit.plan,
        proof="hand",
        lower_bound_cents=day.lower_bound_cents,
        postponed=(),
        pins=pins,
        at=at,
        who=who,
        verb=verb,
        version=day.version,
        together=together or (on,),
    )
    if left is not None:
        left_out.append({"order": left[0], "code": "by hand", "reason": keep(left[1])})
    Day.objects.filter(on=on).update(postponed=left_out)
    return Adjusted(
        on=on,
        cost_cents=cost,
        change_cents=cost - was,
        change_seconds=sum(run.paid_s for run in edit.plan.runs) - paid,
    )


def cost_before(on: date) -> int:
    return sum(Run.objects.filter(day__on=on).values_list("cost_cents", flat=True))


def place_of(load: Load) -> int:
    """The load's number in its run, from 0."""
    return load.run.loads.filter(sequence__lt=load.sequence).count()


def run_key_of(run: Run, on: date) -> str:
    return OpenRun(rig_id=run.rig_id, on=on).id


def stop_on(on: date, stop_id: int) -> Stop:
    rows = Stop.objects.filter(pk=stop_id, load__run__day__on=on)
    row = rows.select_related("order__customer", "lot", "load__run").first()
    if row is None:
        raise NotOnTheDay("This drop")
    return row


def load_on(on: date, load_id: int) -> Load:
    row = Load.objects.filter(pk=load_id, run__day__on=on).select_related("run").first()
    if row is None:
        raise NotOnTheDay("This load")
    return row
