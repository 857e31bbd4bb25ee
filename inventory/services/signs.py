"""What was seen of a lot's dryness without a meter: kept with its range, and told at once."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.drying.forecast import forecast
from inventory.drying.without_meter import WEIGHED, BadSign, Likely, seen, weighed
from inventory.models import DrySign, Lot
from inventory.selectors.histories import history_of
from inventory.services.audit import note as audit_note
from inventory.services.ledger import lot_by_code


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One marked piece: pounds now, pounds when it was marked, and the day of that."""

    now_lb: Decimal
    then_lb: Decimal
    then_on: date


@transaction.atomic
def save_signs(
    *,
    code: str,
    seen_signs: tuple[str, ...],
    weighing: Weighing | None,
    on: date,
    at: datetime,
    who: str,
    note: str = "",
) -> tuple[Likely, ...]:
    """Keep each sign; what the wood likely holds by each, a weighed piece last.

    Errors
        NoSuchLot
        BadSign: nothing was said, or weights that cannot be.
    """
    lot = lot_by_code(code)
    if not seen_signs and weighing is None:
        raise BadSign("Say how the ends look, how it sounds, or what the piece weighs.", field="ends")
    found = [(sign, seen(sign), None) for sign in seen_signs]
    kept: list[tuple[str, Likely, Weighing | None]] = [*found]
    if weighing is not None:
        kept.append((WEIGHED, _by_weight(lot, weighing, on=on), weighing))
    for how, likely, piece in kept:
        row = DrySign(
            lot=lot, on=on, how=how, who=who, note=note, low_dry_pct=_pct(likely.low),
            likely_dry_pct=_pct(likely.likely), high_dry_pct=_pct(likely.high),
            **_weighed(piece),
        )  # fmt: skip
        row.full_clean(exclude=["lot"])
        row.save()
        audit_note(at=at, who=who, verb="read", thing=f"lot {code}", after={how: str(likely.words)})
    return tuple(likely for _, likely, _ in kept)


def _by_weight(lot: Lot, piece: Weighing, *, on: date) -> Likely:
    """By what the lot is thought to have held on the day the piece was marked, as it was known then."""
    if piece.then_on < lot.drying_from:
        raise BadSign(
            "The piece was marked before this lot's drying began. Write that day, or put the lot's facts "
            "right.",
            field="then_on",
        )
    if piece.then_on >= on:
        raise BadSign("Write the earlier day on which the piece was marked and weighed.", field="then_on")
    known = forecast(history_of(lot, on=piece.then_on))
    low, high = known.band_on(piece.then_on)
    then = Likely(low=low, likely=known.median_on(piece.then_on), high=high)
    return weighed(float(piece.now_lb), float(piece.then_lb), then=then)


def _pct(value: float) -> Decimal:
    return Decimal(str(round(value, 1)))


def _weighed(piece: Weighing | None) -> dict[str, Any]:
    """What the piece weighed, and when; nothing where none was weighed."""
    if piece is None:
        return {}
    return {"now_lb": piece.now_lb, "then_lb": piece.then_lb, "then_on": piece.then_on}
