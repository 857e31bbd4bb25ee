"""Claims that wait for an answer, and how those before were put right."""

from dataclasses import dataclass
from datetime import date

from orders.models import Claim
from orders.selectors.lines import ClaimBrief, claim_brief
from orders.selectors.parts import NamedOrder


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimRow(NamedOrder):
    """A claim with the order it is about."""

    customer_id: int
    delivered_on: date | None
    claim: ClaimBrief


def claims(*, open_only: bool = False) -> tuple[ClaimRow, ...]:
    """Claims, open ones first, then the newest; one query."""
    rows = Claim.objects.select_related("order__customer").order_by("-made_at")
    shown = rows.filter(state=Claim.State.OPEN) if open_only else rows[:200]
    return tuple(sorted(map(_row, shown), key=lambda row: row.claim.state != Claim.State.OPEN))


def claim_row(claim_id: int) -> ClaimRow | None:
    """One claim with its order."""
    row = Claim.objects.select_related("order__customer").filter(pk=claim_id).first()
    return None if row is None else _row(row)


def _row(row: Claim) -> ClaimRow:
    return ClaimRow(
        number=row.order.number,
        customer_id=row.order.customer_id,
        customer=row.order.customer.name,
        delivered_on=row.order.delivered_on,
        claim=claim_brief(row),
    )
