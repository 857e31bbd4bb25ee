"""What every service of the wood shares: finding a lot to write, and writing its movements."""

import re
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from string import ascii_lowercase
from typing import Any
from uuid import UUID, uuid4

from inventory.core import InventoryError
from inventory.core.gaps import FullDate
from inventory.core.kept import at_most
from inventory.core.lot_days import BadDay
from inventory.core.sentences import Sentence
from inventory.core.stock import TooLittleThere
from inventory.fields import UNITS_PER_CORD, to_units
from inventory.models import LoggedWork, Lot, Movement
from inventory.services.holds import NoSuchLot

NUMBERED = re.compile(r"([A-Za-z-]{1,6})(\d{1,4})")


class LotChanged(InventoryError):
    """Somebody else wrote the lot between our reading and our writing."""

    says = "Lot {lot} was changed by somebody else just now: look at it again, then repeat this."


def lot_by_code(code: str) -> Lot:
    """The lot to write.

    Errors
        NoSuchLot
    """
    lot = Lot.objects.select_related("yard").filter(code=code).first()
    if lot is None:
        raise NoSuchLot(lot=code)
    return lot


def cords_on(lot: Lot, on: date) -> Fraction:
    """What a lot held at the end of a day: what it holds now, less what came after."""
    since = lot.movements.filter(on__gt=on).values_list("cords", flat=True)
    return lot.on_hand_cords - sum(since, Fraction(0))


def refuse_past(lot: Lot, *, on: date, leaving: Fraction = Fraction(0)) -> None:
    """Refuse what can't have been done on a past day: before the lot began, or with wood not there then.

    Errors
        BadDay, TooLittleThere
    """
    rows = list(lot.movements.order_by("on", "pk").values_list("on", "cords"))
    if rows and on < rows[0][0]:
        first = rows[0][0]
        raise BadDay(
            "lot {code} is in the books since {first}. Write that day or a later one.",
            code=lot.code,
            first=FullDate(first),
        )
    there = cords_on(lot, on)
    after: dict[date, Fraction] = {}
    for day, cords in rows:
        if day > on:
            after[day] = after.get(day, Fraction(0)) + cords
    least, least_on = there, on
    for day, change in after.items():
        there += change
        if there < least:
            least, least_on = there, day
    if leaving > least:
        raise TooLittleThere(lot=lot.code, on=least_on, there=least, leaving=leaving)


def as_kept(cords: Fraction) -> Fraction:
    """The amount as the column keeps it, so that both sides of a move are the same."""
    return Fraction(to_units(cords), UNITS_PER_CORD)


def free_code(stem: str) -> str:
    """The first unused code made of a lot's own and a letter: K1b, K1c, then K1bb."""
    taken = set(Lot.objects.filter(code__startswith=stem[:10]).values_list("code", flat=True))
    letters = [
        *ascii_lowercase[1:],
        *(first + second for first in ascii_lowercase for second in ascii_lowercase),
    ]
    return next(code for letter in letters if (code := f"{stem[:10]}{letter}") not in taken)


def free_lot_code() -> str:
    """A code that goes on from the last lot's: K9 after K8; A1 in empty books."""
    taken = {code.upper() for code in Lot.objects.values_list("code", flat=True)}
    last = Lot.objects.order_by("-pk").values_list("code", flat=True)
    found = next((match for code in last if (match := NUMBERED.match(code))), None)
    stem, number = (found[1], int(found[2])) if found else ("A", 0)
    while f"{stem}{number + 1}".upper() in taken:
        number += 1
    return f"{stem}{number + 1}"


def write_movement(
    *,
    lot: Lot,
    kind: str,
    on: date,
    at: datetime,
    who: str,
    cords: Fraction = Fraction(0),
    note: str | Sentence = "",
    reference: str = "",
    peer: Lot | None = None,
    miles: Decimal | None = None,
    minutes: int | None = None,
    cost_dollars: Decimal | None = None,
    key: UUID | None = None,
    logged: LoggedWork | None = None,
    **yards: Any,
) -> Movement:
    """One row of the lot's ledger, inside the caller's transaction.

    Shapes
        yards: from_yard_id and to_yard_id of a move.
    """
    movement = Movement(
        lot=lot,
        kind=kind,
        cords=cords,
        on=on,
        made_at=at,
        who=who,
        note=at_most(300, note),
        reference=reference,
        peer=peer,
        miles=miles,
        minutes=minutes,
        cost_dollars=cost_dollars,
        key=key or uuid4(),
        logged=logged,
        **yards,
    )
    movement.full_clean(exclude=["lot", "peer", "logged"])
    movement.save()
    return movement
