"""A lot's beginning and what is said about it: opened, offered, kept for own use, described."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.gaps import Cords
from inventory.core.lot_days import DAYS, LotFacts, check_days
from inventory.core.species import check_mix
from inventory.fields import cords_value
from inventory.models import LoggedWork, Lot, Movement
from inventory.services.audit import note as audit_note
from inventory.services.holds import refuse_not_open, settle_short, take_open
from inventory.services.ledger import LotChanged, as_kept, lot_by_code, write_movement

CODE = re.compile(r"[A-Za-z0-9-]{1,12}")
DESCRIBED = ("name", "note", "said_ready", "piece_inches", "across_inches")
SALE_WORDS = dict(Lot.Sale.choices)


class BadCode(InventoryError):
    """A lot's code that cannot stand on a tag or in an address."""

    says = "{code!r} cannot be a lot's code: write up to twelve letters and numbers, such as K9."


class CodeTaken(InventoryError):
    says = "There is a lot {code} already: give this one another code."


class KeptTooMuch(InventoryError):
    """More wood was to be taken from what is kept than is kept."""

    says = "Lot {lot} has {kept} kept for own use and {wanted} was to come off it: write what is really kept."
    in_words = {"kept": Cords, "wanted": Cords}


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLot(LotFacts):
    """What is known of a lot when it is opened.

    Shapes
        mix: species keys and whole or tenth percents adding to 100.
        start_moisture_pct: dry basis, on `drying_from`; None = what such wood usually holds.
    """

    code: str
    name: str
    yard_id: int
    cords: Fraction
    mix: dict[str, Decimal]
    wood: str
    form: str
    start_moisture_pct: Decimal | None
    bundle_ft3: Decimal | None = None
    sale: str = Lot.Sale.NOT_YET
    said_ready: str = ""


def check_code(code: str) -> str:
    """The code, fit for a tag.

    Errors
        BadCode, CodeTaken
    """
    if not CODE.fullmatch(code):
        raise BadCode(code=code)
    if Lot.objects.filter(code__iexact=code).exists():
        raise CodeTaken(code=code)
    return code


def mix_as_kept(mix: Mapping[str, float | int | Decimal]) -> dict[str, float | int]:
    """Percents as JSON, largest first.

    Errors
        BadMix, UnknownWood (inventory.core.species)
    """
    shares = check_mix({key: float(percent) for key, percent in mix.items()})
    ordered = sorted(shares.items(), key=lambda part: -part[1])
    return {key: int(percent) if percent == int(percent) else percent for key, percent in ordered}


@transaction.atomic
def open_lot(*, lot: NewLot, on: date, at: datetime, who: str, logged: LoggedWork | None = None) -> str:
    """Begin a lot with its first amount as a movement; its code.

    Errors
        BadCode, CodeTaken, BadMix
        BadDay: a day to come, or days out of order.
    """
    check_days({name: getattr(lot, name) for name in DAYS}, on=on)
    amount = as_kept(lot.cords)
    row = Lot(
        code=check_code(lot.code),
        mix=mix_as_kept(lot.mix),
        on_hand_cords=amount,
        **{
            name: getattr(lot, name)
            for name in NewLot.__dataclass_fields__
            if name not in ("code", "mix", "cords")
        },
    )
    row.full_clean()
    row.save()
    kind = Movement.Kind.FELLED if lot.form == Lot.Form.LOGS else Movement.Kind.MEASURED
    write_movement(lot=row, kind=kind, cords=amount, on=on, at=at, who=who, note="Lot opened", logged=logged)
    audit_note(at=at, who=who, verb="opened", thing=f"lot {row.code}", after={"cords": str(amount)})
    return row.code


@transaction.atomic
def describe_lot(*, code: str, values: dict[str, Any], at: datetime, who: str) -> None:
    """Change what is said about a lot: name, note, own ready words, size of its pieces.

    Errors
        NoSuchLot
    """
    lot = lot_by_code(code)
    changed = [name for name in DESCRIBED if name in values and getattr(lot, name) != values[name]]
    if not changed:
        return
    before = {name: str(getattr(lot, name)) for name in changed}
    for name in changed:
        setattr(lot, name, values[name])
    lot.version = F("version") + 1
    lot.full_clean(exclude=["version"])
    lot.save(update_fields=[*changed, "version"])
    after = {name: str(values[name]) for name in changed}
    audit_note(at=at, who=who, verb="described", thing=f"lot {code}", before=before, after=after)


@transaction.atomic
def keep_guesses(
    *, code: str, guesses: Mapping[str, tuple[Fraction, Fraction, Fraction]], at: datetime, who: str
) -> None:
    """Keep the seller's guesses with a heap, in place of those kept before: hours a cord by step, "price".

    Errors
        NoSuchLot
    """
    lot = lot_by_code(code)
    before = lot.guesses
    lot.guesses = {name: [str(end) for end in ends] for name, ends in guesses.items()}
    lot.version = F("version") + 1
    lot.save(update_fields=["guesses", "version"])
    audit_note(
        at=at, who=who, verb="guessed", thing=f"lot {code}",
        before={name: " to ".join(ends) for name, ends in before.items()},
        after={name: " to ".join(map(str, ends)) for name, ends in guesses.items()},
    )  # fmt: skip


@transaction.atomic
def set_sale(*, code: str, sale: str, at: datetime, who: str) -> None:
    """Offer a lot, or take it off the list.

    Errors
        NoSuchLot
    """
    lot = lot_by_code(code)
    before, lot.sale, lot.version = lot.sale, Lot.Sale(sale), F("version") + 1
    lot.save(update_fields=["sale", "version"])
    verb = "offered" if sale == Lot.Sale.FOR_SALE else "taken off sale"
    audit_note(
        at=at, who=who, verb=verb, thing=f"lot {code}",
        before={"sale": SALE_WORDS[before]}, after={"sale": SALE_WORDS[sale]},
    )  # fmt: skip


@transaction.atomic
def keep_for_own_use(*, code: str, cords: Fraction, at: datetime, who: str) -> None:
    """Set how much of a lot is kept for own use: more is taken from the open wood, less is given back.

    Units
        cords: what is kept after this; 0 keeps none.

    Errors
        NoSuchLot
        NotEnoughOpen: the rest is promised. LotChanged.
    """
    lot = lot_by_code(code)
    wanted = as_kept(cords)
    more = wanted - lot.kept_cords
    as_read, change = {"kept_cords": lot.kept_cords}, {"kept_cords": cords_value(wanted)}
    if more > 0:
        changed = take_open(lot.pk, more, change, while_=as_read)
    else:  # given back, even of a lot that is short of its promises
        rows = Lot.objects.filter(pk=lot.pk, **as_read)
        changed = bool(rows.update(version=F("version") + 1, **change))
    if not changed:
        raise refuse_not_open(lot.pk, more) if more > 0 else LotChanged(lot=code)
    settle_short(lot.pk)
    audit_note(
        at=at, who=who, verb="kept for own use", thing=f"lot {code}",
        before={"kept": str(lot.kept_cords)}, after={"kept": str(wanted)},
    )  # fmt: skip


@transaction.atomic
def burn_kept(*, code: str, cords: Fraction, on: date, at: datetime, who: str, note: str = "") -> None:
    """Kept wood went into our own stove.

    Errors
        NoSuchLot
        KeptTooMuch: less is kept; keep it first.
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    changed = Lot.objects.filter(pk=lot.pk, kept_cords__gte=cords_value(amount)).update(
        version=F("version") + 1,
        kept_cords=F("kept_cords") - cords_value(amount),
        on_hand_cords=F("on_hand_cords") - cords_value(amount),
    )
    if not changed or amount <= 0:
        raise KeptTooMuch(lot=code, kept=lot.kept_cords, wanted=amount)
    write_movement(lot=lot, kind=Movement.Kind.OWN_USE, cords=-amount, on=on, at=at, who=who, note=note)
    audit_note(at=at, who=who, verb="burned at home", thing=f"lot {code}", after={"cords": str(amount)})
