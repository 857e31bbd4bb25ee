"""Rigs as the seller keeps them: box, weights, what a mile costs, and whether they run today."""

from dataclasses import fields
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.core.money import to_cents
from inventory.selectors.work import heap_number
from inventory.services import audit
from inventory.services.measures import save_restack
from routing.core import RoutingError, rigs
from routing.models import Pickup, Rig, RunningCost

COLUMNS = ("pickup", "capacity_ft3", *(column.name.removesuffix("_id") for column in fields(rigs.Rig)))


class NoSuchRig(RoutingError):
    says = "This rig is not in the books any more: choose one from the list."


class RigNameTaken(RoutingError):
    says = "There is a rig called {name} already: give this one another name."


@transaction.atomic
def save_rig(
    *,
    rig: rigs.Rig,
    truck: str,
    hitch_minutes: int,
    at: datetime,
    who: str,
    rig_id: int | None = None,
) -> int:
    """Write a rig and the pickup that pulls it, which other rigs may share. Returns its id.

    Errors
        NoSuchRig, RigNameTaken
        ValidationError: a figure a column refuses.
    """
    row = _rig(rig_id) if rig_id is not None else Rig()
    if Rig.objects.filter(name=rig.name).exclude(pk=row.pk).exists():
        raise RigNameTaken(name=rig.name)
    before = _columns(row)
    for column in fields(rig):
        setattr(row, column.name, getattr(rig, column.name))
    row.pickup = _pickup(truck.strip(), hitch_minutes)
    row.capacity_ft3 = Decimal(to_cents(rig.box_ft3)) / 100
    row.full_clean()
    row.save()
    after = _columns(row)
    changed = [name for name in after if before[name] != after[name]]
    audit.note(
        at=at,
        who=who,
        verb="added" if rig_id is None else "changed",
        thing=f"rig {row.name}"[:40],
        before={} if rig_id is None else {name: _plain(before[name]) for name in changed},
        after={name: _plain(after[name]) for name in changed},
    )
    return row.pk


@transaction.atomic
def set_running_cost(
    *,
    rig_id: int,
    from_on: date,
    loaded_mile: Decimal,
    empty_mile: Decimal,
    fixed_run: Decimal,
    wage_hour: Decimal,
    at: datetime,
    who: str,
) -> None:
    """What the rig's mile and its driver's hour cost from a day on; the same day again is corrected.

    Errors
        NoSuchRig
        ValidationError: a cost below zero.
    """
    rig = _rig(rig_id)
    row = RunningCost.objects.filter(rig=rig, from_on=from_on).first() or RunningCost(
        rig=rig, from_on=from_on
    )
    row.loaded_mile, row.empty_mile = loaded_mile, empty_mile
    row.fixed_run, row.wage_hour = fixed_run, wage_hour
    row.full_clean()
    row.save()
    audit.note(
        at=at,
        who=who,
        verb="repriced",
        thing=f"rig {rig.name}"[:40],
        after={"from": str(from_on), "loaded": str(loaded_mile), "empty": str(empty_mile)},
    )


@transaction.atomic
def take_rig_out(*, rig_id: int, reason: str, at: datetime, who: str) -> None:
    """The rig is broken or away: no plan counts on it until it is put back.

    Errors
        NoSuchRig
    """
    rig = _rig(rig_id)
    rig.works, rig.out_reason = False, reason.strip()[:120]
    rig.save(update_fields=["works", "out_reason"])
    audit.note(at=at, who=who, verb="taken out", thing=f"rig {rig.name}"[:40], note=rig.out_reason)


@transaction.atomic
def put_rig_back(*, rig_id: int, at: datetime, who: str) -> None:
    """The rig runs again.

    Errors
        NoSuchRig
    """
    rig = _rig(rig_id)
    rig.works, rig.out_reason = True, ""
    rig.save(update_fields=["works", "out_reason"])
    audit.note(at=at, who=who, verb="put back", thing=f"rig {rig.name}"[:40])


@transaction.atomic
def learn_heap_number(
    *,
    rig_name: str,
    form: str,
    loose_ft3: Decimal,
    stacked_ft3: Decimal,
    on: date,
    at: datetime,
    who: str,
    reference: str = "",
    note: str = "",
) -> Decimal:
    """Keep a restack and plan with what the rig's restacks of splits taught so far; this load's own number.

    Errors
        BadRestack, UnknownForm (inventory.core)
    """
    number = save_restack(
        rig_name=rig_name, form=form, loose_ft3=loose_ft3, stacked_ft3=stacked_ft3, on=on, at=at, who=who,
        reference=reference, note=note,
    )  # fmt: skip
    rig = Rig.objects.filter(name=rig_name).first()
    if rig is None or form != "splits":
        return number
    known = Decimal(round(heap_number(rig_name).now.mean))  # a whole ft3: loads differ by several
    if known != rig.heap_number:
        before = {"heap_number": str(rig.heap_number)}
        rig.heap_number = known
        rig.full_clean()
        rig.save(update_fields=["heap_number"])
        audit.note(
            at=at, who=who, verb="learned", thing=f"rig {rig.name}"[:40], before=before,
            after={"heap_number": str(known)},
        )  # fmt: skip
    return number


def _pickup(name: str, hitch_minutes: int) -> Pickup | None:
    """The pickup by its name, new when nobody named it yet."""
    if not name:
        return None
    row = Pickup.objects.filter(name=name).first() or Pickup(name=name)
    row.hitch_minutes = hitch_minutes
    row.full_clean()
    row.save()
    return row


def _rig(rig_id: int) -> Rig:
    row = Rig.objects.filter(pk=rig_id).first()
    if row is None:
        raise NoSuchRig(rig_id=rig_id)
    return row


def _columns(row: Rig) -> dict[str, Any]:
    pulled = {"hitch_minutes": row.pickup.hitch_minutes} if row.pickup else {"hitch_minutes": None}
    return {name: getattr(row, name, None) for name in COLUMNS} | pulled


def _plain(value: object) -> str:
    return "" if value is None else str(value)
