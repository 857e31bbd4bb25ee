"""Wood taken away: a hold becomes a sold movement, once, whatever is sent twice."""

from datetime import date, datetime
from fractions import Fraction
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import F

from inventory.fields import cords_value
from inventory.models import Hold, Lot, Movement
from inventory.services.holds import COLUMN, NotEnoughOpen, _ended


@transaction.atomic
def draw_wood(
    *,
    hold_id: int,
    cords: Fraction,
    on: date,
    at: datetime,
    who: str = "",
    reference: str = "",
    key: UUID | None = None,
    note: str = "",
) -> Movement:
    """Take held wood away: the hold ends, the lot has less on hand, and a sold movement says so.

    cords: what really went, which may differ from the hold. The same key again returns the first movement.

    Errors
        NoStandingHold: drawn or released before under another key.
        NotEnoughOpen: more went than the hold and the lot's open wood together.
    """
    key = key or uuid4()
    known = Movement.objects.filter(key=key).first()
    if known is not None:
        return known
    hold = _ended(hold_id, state=Hold.State.DRAWN, at=at)
    column = COLUMN[Hold.Kind(hold.kind)]
    over = cords - hold.cords
    taken = Lot.objects.filter(
        pk=hold.lot_id,
        on_hand_cords__gte=F("firm_cords") + F("soft_cords") + F("kept_cords") + cords_value(over),
    ).update(
        **{
            column: F(column) - cords_value(hold.cords),
            "on_hand_cords": F("on_hand_cords") - cords_value(cords),
            "version": F("version") + 1,
        }
    )
    if not taken:
        lot = Lot.objects.get(pk=hold.lot_id)
        left = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords + hold.cords
        raise NotEnoughOpen(lot=lot.code, wanted=cords, open_cords=left)
    return Movement.objects.create(
        lot_id=hold.lot_id,
        kind=Movement.Kind.SOLD,
        cords=-cords,
        on=on,
        made_at=at,
        who=who,
        reference=reference or hold.reference,
        note=note,
        key=key,
    )
