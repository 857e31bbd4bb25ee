"""Lots that become two or one: bucking and splitting, a species sorted out, a part moved, lots merged.

Solid wood stays the same through all of it: what leaves one lot comes to another.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.core import InventoryError
from inventory.core.lot_days import check_days
from inventory.core.sentences import Sentence
from inventory.core.stock import BadMovement, next_step
from inventory.core.woods import Wood, sold_as
from inventory.fields import cords_value
from inventory.models import Hold, LoggedWork, Lot, Movement, Reading
from inventory.selectors.business import business
from inventory.selectors.drying import dry_state
from inventory.selectors.histories import lay_now
from inventory.services.audit import note as audit_note
from inventory.services.holds import NothingToHold, refuse_not_open, settle_short, take_open
from inventory.services.ledger import LotChanged, as_kept, free_code, lot_by_code, refuse_past, write_movement
from inventory.services.lots import check_code, mix_as_kept

STEPS = {
    "bucked": Movement.Kind.BUCKED,
    "hauled": Movement.Kind.HAULED,
    "split": Movement.Kind.SPLIT,
    "stacked": Movement.Kind.STACKED,
}

DONE_ALREADY = {
    ("bucked", Lot.Form.ROUNDS),
    ("bucked", Lot.Form.SPLITS),
    ("bucked", Lot.Form.KINDLING),
    ("split", Lot.Form.SPLITS),
    ("split", Lot.Form.KINDLING),
}


class WillNotMerge(InventoryError):
    """Two lots that must not become one heap."""

    says = "Lots {one} and {other} stay apart: {because}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Storage:
    """How and where wood lies from now on; None leaves it as it was."""

    piling: str | None = None
    exposure: str | None = None
    is_covered: bool | None = None

    def changes(self) -> dict[str, Any]:
        named = {"piling": self.piling, "exposure": self.exposure, "is_covered": self.is_covered}
        return {name: value for name, value in named.items() if value is not None}


def keep_lay(lot: Lot, *, on: date) -> dict[str, Any]:
    """The columns that keep how a lot lay until a day, before it lies otherwise.

    Its drying is followed through all of it, so nothing known or unknown of it is lost.
    """
    began = lot.lay_before[-1]["until"] if lot.lay_before else lot.drying_from.isoformat()
    if on.isoformat() <= began:
        return {}  # it lay so for no day
    return {"lay_before": [*lot.lay_before, {**lay_now(lot), "until": on.isoformat()}]}


def carve(
    lot: Lot, cords: Fraction, *, code: str, kind: str, on: date, at: datetime, who: str,
    note: str | Sentence,
    changes: dict[str, Any], keeps_readings: bool = True, movement: dict[str, Any] | None = None,
) -> Lot:  # fmt: skip
    """Part of a lot as a lot of its own, open wood only; inside the caller's transaction.

    Errors
        NotEnoughOpen, NothingToHold, BadCode, CodeTaken
    """
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    name = check_code(code or free_code(lot.code))
    if not take_open(lot.pk, amount, {"on_hand_cords": F("on_hand_cords") - cords_value(amount)}):
        raise refuse_not_open(lot.pk, amount)
    copied = (
        "name", "unit_id", "yard_id", "mix", "wood", "form", "piling", "exposure", "is_covered",
        "piece_inches", "across_inches", "bundle_ft3", "felled_on", "bucked_on", "split_on",
        "start_moisture_pct", "drying_from", "lay_before", "sale", "said_ready",
    )  # fmt: skip
    part = Lot(code=name, parent=lot, on_hand_cords=amount)
    for column in copied:
        setattr(part, column, changes.get(column, getattr(lot, column)))
    part.full_clean(exclude=["parent"])
    part.save()
    told = {"kind": kind, "on": on, "at": at, "who": who, "note": note, **(movement or {})}
    write_movement(lot=lot, cords=-amount, peer=part, **told)
    write_movement(lot=part, cords=amount, peer=lot, **told)
    if keeps_readings:
        copy_readings(lot, part)
    return part


def copy_readings(source: Lot, target: Lot) -> None:
    """What was read before the parting still holds for both parts; copies score no forecast again."""
    for row in source.readings.order_by("on", "pk"):
        Reading.objects.create(
            lot=target, on=row.on, faces=row.faces, basis=row.basis, worst_dry_pct=row.worst_dry_pct,
            mean_dry_pct=row.mean_dry_pct, is_fresh_split=row.is_fresh_split, who=row.who,
            note=row.note or f"Read in lot {source.code}"[:300],
        )  # fmt: skip
    copy_signs(source, target)


def copy_signs(source: Lot, target: Lot) -> None:
    """What was seen without a meter holds for both parts too."""
    for row in source.signs.order_by("on", "pk"):
        row.pk, row.lot, row._state.adding = None, target, True
        row.save()


def write_lot(lot: Lot, changes: dict[str, Any]) -> None:
    """Save some columns, only while the lot is the version that was read.

    Errors
        LotChanged
    """
    for name, value in changes.items():
        setattr(lot, name, value)
    lot.full_clean(exclude=["parent", "unit"])
    if not Lot.objects.filter(pk=lot.pk, version=lot.version).update(version=F("version") + 1, **changes):
        raise LotChanged(lot=lot.code)


@transaction.atomic
def take_step(
    *,
    code: str,
    step: str,
    on: date,
    at: datetime,
    who: str,
    cords: Fraction | None = None,
    new_code: str = "",
    storage: Storage | None = None,
    note: str = "",
    logged: LoggedWork | None = None,
) -> str:
    """Buck, haul, split or stack a lot or part of it; the code of the lot that now holds the wood.

    Its drying goes on through the step: what it lost and what is unsure of it stays so.

    Errors
        NoSuchLot, NotEnoughOpen, BadCode, CodeTaken
        BadMovement: the wood is further on than that.
        BadDay, TooLittleThere: the lot was not there on that day, or not so much of it.
        LotChanged
    """
    lot = lot_by_code(code)
    refuse_past(lot, on=on, leaving=cords or Fraction(0))
    if (step, lot.form) in DONE_ALREADY:
        raise BadMovement("lot {code} is {step} already.", code=code, step=Sentence(step))
    standing = lot.movements.exclude(logged__taken_back_at__isnull=False)
    next_step(step, done=standing.values_list("kind", flat=True))
    changes: dict[str, Any] = (storage or Storage()).changes()
    if step == "bucked":
        changes |= {"form": Lot.Form.ROUNDS, "bucked_on": on}
    elif step == "split":
        changes |= {"form": Lot.Form.SPLITS, "split_on": on, "across_inches": None}
        changes["wood"] = sold_as(lot.mix) if lot.wood == Wood.LOGS else lot.wood
    elif step == "stacked":
        changes |= {"piling": Lot.Piling.STACKED}
    if changes.keys() & {"form", "piling", "exposure", "is_covered"}:
        changes |= keep_lay(lot, on=on)
    days = {name: changes.get(name, getattr(lot, name)) for name in ("felled_on", "bucked_on", "split_on")}
    check_days(days, on=max(on, timezone.localdate(at)))
    kind = STEPS[step]
    if cords is not None and as_kept(cords) != lot.on_hand_cords:
        part = carve(
            lot, cords, code=new_code, kind=Movement.Kind.SORTED_OUT, on=on, at=at, who=who,
            note=note or Sentence("{step} apart", {"step": Sentence(kind.label.capitalize())}),
            changes=changes, movement={"logged": logged},
        )  # fmt: skip
        write_movement(lot=part, kind=kind, on=on, at=at, who=who, note=note, logged=logged)
        result = part.code
    else:
        write_lot(lot, changes)
        write_movement(lot=lot, kind=kind, on=on, at=at, who=who, note=note, logged=logged)
        result = lot.code
    audit_note(at=at, who=who, verb=kind.label, thing=f"lot {result}", note=note)
    return result


@transaction.atomic
def change_storage(
    *, code: str, storage: Storage, on: date, at: datetime, who: str, note: str = "",
    logged: LoggedWork | None = None,
) -> None:  # fmt: skip
    """Spread, cover or restack where it lies; its drying goes on through the change.

    Errors
        NoSuchLot, BadDay, LotChanged
    """
    lot = lot_by_code(code)
    refuse_past(lot, on=on)
    changes = {name: value for name, value in storage.changes().items() if getattr(lot, name) != value}
    if not changes:
        return
    before = {name: str(getattr(lot, name)) for name in changes}
    after = {name: str(value) for name, value in changes.items()}
    write_lot(lot, keep_lay(lot, on=on) | changes)
    text = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in after.items()).replace("_", " ")
    write_movement(
        lot=lot,
        kind=Movement.Kind.STACKED,
        on=on,
        at=at,
        who=who,
        note=note or Sentence("Now {storage}", {"storage": text}),
        logged=logged,
    )
    audit_note(at=at, who=who, verb="laid anew", thing=f"lot {code}", note=note, before=before, after=after)


@transaction.atomic
def sort_out(
    *,
    code: str,
    cords: Fraction,
    mix: dict[str, Decimal],
    wood: str,
    name: str,
    on: date,
    at: datetime,
    who: str,
    start_moisture_pct: Decimal | None = None,
    new_code: str = "",
    rest_mix: dict[str, Decimal] | None = None,
    storage: Storage | None = None,
) -> str:
    """Take a species out of a lot into a lot with its own drying clock; the new lot's code.

    Shapes
        mix, wood, name: of what was taken out; rest_mix: of what stays, when that changed.
        start_moisture_pct: dry basis, of what was taken out, that day; None: nobody read it, and its drying
        is followed from where the lot's began, as such wood dries.

    Errors
        NoSuchLot, NotEnoughOpen, BadCode, CodeTaken, BadMix, LotChanged
        BadDay, TooLittleThere
    """
    lot = lot_by_code(code)
    refuse_past(lot, on=on, leaving=cords)
    read: dict[str, Any] = {"drying_from": on, "start_moisture_pct": start_moisture_pct, "lay_before": []}
    changes = {
        "name": name,
        "mix": mix_as_kept(mix),
        "wood": wood,
        **(read if start_moisture_pct is not None else {"start_moisture_pct": None}),
        "sale": Lot.Sale.NOT_YET,
        "said_ready": "",
        **(storage or Storage()).changes(),
    }
    part = carve(
        lot, cords, code=new_code, kind=Movement.Kind.SORTED_OUT, on=on, at=at, who=who,
        note=Sentence("{wood} sorted out", {"wood": Sentence(name)}), changes=changes, keeps_readings=False,
    )  # fmt: skip
    if rest_mix is not None:
        fresh = lot_by_code(code)
        write_lot(fresh, {"mix": mix_as_kept(rest_mix)})
    audit_note(
        at=at,
        who=who,
        verb="sorted out",
        thing=f"lot {part.code}",
        note=Sentence("from lot {lot}", {"lot": code}),
    )
    return part.code


@transaction.atomic
def merge_lots(*, code: str, into: str, on: date, at: datetime, who: str) -> None:
    """Put a whole lot, with its holds, onto another; both keep their history.

    The merged lot dries on from the wetter one's likely moisture.

    Errors
        NoSuchLot, LotChanged
        WillNotMerge: the same lot, another yard, wood, form or dry call, or nothing left in it.
    """
    source, target = lot_by_code(code), lot_by_code(into)
    seller = business()
    states = {lot.pk: dry_state(lot, seller, on=on) for lot in (source, target)}
    _check_merge(source, target, states[source.pk].claim, states[target.pk].claim)
    wetter = max((source, target), key=lambda lot: states[lot.pk].moisture_pct)
    amount = source.on_hand_cords
    total = amount + target.on_hand_cords
    keys = {*source.mix, *target.mix}
    mix = {
        key: (
            Fraction(str(source.mix.get(key, 0))) * amount
            + Fraction(str(target.mix.get(key, 0))) * target.on_hand_cords
        )
        / total
        for key in keys
    }
    changes = {
        "mix": _whole_percents(mix),
        "drying_from": on,
        "start_moisture_pct": Decimal(str(round(states[wetter.pk].moisture_pct, 1))),
        "lay_before": [],
        "split_on": wetter.split_on,
    }
    moved = {
        name: getattr(source, name)
        for name in ("on_hand_cords", "firm_cords", "soft_cords", "kept_cords", "short_cords")
    }
    emptied = Lot.objects.filter(pk=source.pk, version=source.version).update(
        version=F("version") + 1, sale=Lot.Sale.NOT_YET, **dict.fromkeys(moved, 0)
    )
    if not emptied:
        raise LotChanged(lot=source.code)
    Hold.objects.filter(lot=source, state=Hold.State.STANDING).update(lot=target)
    sums = {name: getattr(target, name) + cords for name, cords in moved.items()}
    not_promised = sums["on_hand_cords"] - sums["firm_cords"] - sums["soft_cords"]
    sums["kept_cords"] = min(sums["kept_cords"], max(not_promised, Fraction(0)))  # own use gives way first
    write_lot(target, changes | sums)
    settle_short(target.pk)
    for lot, peer, cords in ((source, target, -amount), (target, source, amount)):
        write_movement(
            lot=lot, kind=Movement.Kind.MERGED, cords=cords, peer=peer, on=on, at=at, who=who,
            note=Sentence("Lot {one} onto {other}", {"one": source.code, "other": target.code}),
        )  # fmt: skip
    audit_note(
        at=at,
        who=who,
        verb="merged",
        thing=f"lot {target.code}",
        note=Sentence("with lot {lot}", {"lot": source.code}),
    )


def _check_merge(source: Lot, target: Lot, source_claim: str, target_claim: str) -> None:
    yards = {"here": source.yard.name, "there": target.yard.name}
    woods = {"one": Sentence(source.wood), "other": Sentence(target.wood)}
    forms = {"one": Sentence(source.get_form_display()), "other": Sentence(target.get_form_display())}
    reasons = (
        (source.pk == target.pk, Sentence("they are the same lot")),
        (source.yard_id != target.yard_id, Sentence("they lie in {here} and {there}; move one first", yards)),
        (source.wood != target.wood, Sentence("one is {one} and the other {other}", woods)),
        (source.form != target.form, Sentence("one is {one} and the other {other}", forms)),
        (source_claim != target_claim, Sentence("dry and wet wood on one heap is wet wood")),
        (source.on_hand_cords == 0, Sentence("nothing is left in {lot}", {"lot": source.code})),
    )
    for is_so, because in reasons:
        if is_so:
            raise WillNotMerge(one=source.code, other=target.code, because=because)


def _whole_percents(mix: dict[str, Fraction]) -> dict[str, float | int]:
    """Whole percents that still add to 100, the remainder to the largest part."""
    whole = {key: int(share) for key, share in mix.items()}
    largest = max(mix, key=lambda key: mix[key])
    whole[largest] += 100 - sum(whole.values())
    return mix_as_kept({key: share for key, share in whole.items() if share})
