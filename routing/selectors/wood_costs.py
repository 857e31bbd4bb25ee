"""What a cord of a lot took to make: its own work and receipts if written down, else the seller's figure."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.core.thinning import Worked, cord_cost
from inventory.models import Expense, Movement, WorkEntry
from inventory.selectors.business import BusinessRow
from routing.core.margins import WoodCost


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodCostRow:
    """A cord's cost and where the figure comes from."""

    cost: WoodCost
    source: str


def usual_wood_cost(seller: BusinessRow) -> WoodCostRow:
    """The seller's own figure for any cord."""
    return WoodCostRow(
        cost=WoodCost(cash=seller.production_cash_per_cord, hours=Fraction(seller.production_hours_per_cord)),
        source=f"your usual {seller.production_hours_per_cord:f} h and "
        f"${seller.production_cash_per_cord:f} a cord, from Settings",
    )


def wood_costs(lot_ids: Iterable[int], seller: BusinessRow) -> dict[int, WoodCostRow]:
    """Cost per cord of the lots that have work written down and cords to spread it over, in three queries.

    A figure the lot itself lacks (no receipts, no hours) is the seller's usual one.
    """
    wanted = sorted(set(lot_ids))
    if not wanted:
        return {}
    worked: dict[int, list[Worked]] = {}
    for lot_id, job, hours in WorkEntry.objects.filter(lot_id__in=wanted).values_list(
        "lot_id", "job", "hours_likely"
    ):
        worked.setdefault(lot_id, []).append(Worked(step=job, hours=Fraction(hours)))
    spent = dict(
        Expense.objects.filter(lot_id__in=wanted)
        .order_by()
        .values_list("lot_id")
        .annotate(sum=Sum("dollars"))
    )
    made: dict[int, Fraction] = {}
    for lot_id, cords in Movement.objects.filter(lot_id__in=wanted, cords__gt=0).values_list(
        "lot_id", "cords"
    ):
        made[lot_id] = made.get(lot_id, Fraction(0)) + cords
    usual = usual_wood_cost(seller)
    return {
        lot_id: _own(worked.get(lot_id), spent.get(lot_id), made[lot_id], usual)
        for lot_id in wanted
        if made.get(lot_id) and (lot_id in worked or lot_id in spent)
    }


def _own(
    worked: list[Worked] | None, spent: Decimal | None, cords: Fraction, usual: WoodCostRow
) -> WoodCostRow:
    own = cord_cost(worked=worked or (), cash=spent or Decimal(0), cords=cords)
    said = "the hours and receipts written down for this lot"
    if spent is None:
        said = "the hours written down for this lot, cash from Settings"
    elif not worked:
        said = "the receipts of this lot, hours from Settings"
    return WoodCostRow(
        cost=WoodCost(
            cash=own.cash if spent is not None else usual.cost.cash,
            hours=own.hours if worked else usual.cost.hours,
        ),
        source=said,
    )
