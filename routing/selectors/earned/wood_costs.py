"""What a cord of a lot took to make, as the margins read it."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from inventory.core.units import rate_words
from inventory.selectors.business import BusinessRow
from inventory.selectors.costs import lot_costs
from routing.earned.margins import WoodCost


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
        f"{rate_words(seller.production_cash_per_cord)}, from Settings",
    )


def wood_costs(lot_ids: Iterable[int]) -> dict[int, WoodCostRow]:
    """Cost per cord by lot, moves between yards included."""
    return {
        lot_id: WoodCostRow(
            cost=WoodCost(cash=known.cash + known.moves, hours=known.hours + known.move_hours),
            source=known.source,
        )
        for lot_id, known in lot_costs(lot_ids).items()
    }
