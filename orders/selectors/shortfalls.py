"""Lots that hold less than is promised of them, whom it touches, and where that wood could come from."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.models import Hold, Lot
from inventory.selectors.sale import lots_for_picking
from inventory.selectors.stock import LotRow
from orders.core import OrdersError, picking
from orders.models import OrderHold


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedRow:
    """Wood of a short lot promised to somebody; order number 0: set aside by hand.

    instead: lots and amounts that could bring what this lot cannot, itself among them where it is split.
    """

    number: int
    whom: str
    phone: str
    cords: Fraction
    promised_on: date | None
    instead: tuple[picking.Pick, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortLot:
    """A lot short of what is promised; those to call first stand first."""

    code: str
    name: str
    on_hand: Fraction
    short: Fraction
    promised: tuple[PromisedRow, ...]


def short_lots(on: date, *, code: str = "") -> tuple[ShortLot, ...]:
    """Every short lot, or one; nothing is read further while none is short."""
    rows = Lot.objects.filter(short_cords__gt=0).order_by("code")
    found = list(rows.filter(code=code) if code else rows)
    if not found:
        return ()
    others = lots_for_picking(on)
    return tuple(_short(lot, others, on=on) for lot in found)


def _short(lot: Lot, others: tuple[LotRow, ...], *, on: date) -> ShortLot:
    """Tentative promises first, then the newest: whoever was promised last is called first."""
    holds = list(Hold.objects.filter(lot=lot, state=Hold.State.STANDING))
    holds.sort(key=lambda hold: (hold.kind == Hold.Kind.SOFT, hold.made_at, hold.pk), reverse=True)
    links = OrderHold.objects.filter(hold__in=holds).select_related("order__customer")
    by_hold = {link.hold_id: link.order for link in links}
    promised = []
    for hold in holds:
        order = by_hold.get(hold.pk)
        picks: tuple[picking.Pick, ...] = ()
        if order is not None:
            day = max(order.promised_on or order.first_on, on)
            wanted = min(hold.cords, lot.short_cords)
            picks = _instead(lot, others, wanted, wood=order.wood, dryness=order.dryness, on=day)
        promised.append(
            PromisedRow(
                number=order.number if order else 0,
                whom=order.customer.name if order else hold.reference,
                phone=order.customer.phone_as_typed or order.customer.phone if order else "",
                cords=hold.cords,
                promised_on=order.promised_on if order else None,
                instead=picks,
            )
        )
    return ShortLot(
        code=lot.code,
        name=lot.name,
        on_hand=lot.on_hand_cords,
        short=lot.short_cords,
        promised=tuple(promised),
    )


def _instead(
    lot: Lot, others: tuple[LotRow, ...], cords: Fraction, *, wood: str, dryness: str, on: date
) -> tuple[picking.Pick, ...]:
    """Other lots for what this one is short of; none where there is not enough of it."""
    try:
        return picking.pick_lots(
            [row for row in others if row.code != lot.code], wood=wood, cords=cords, on=on, dryness=dryness
        )
    except OrdersError:
        return ()
