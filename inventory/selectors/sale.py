"""What the sale and the road ask of the wood: lots to offer and pick from, and what a cord of them weighs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.rows import from_row
from inventory.core.species import useful_btu
from inventory.core.units import CORD_FT3
from inventory.core.weighing import planned_moisture_pct
from inventory.core.woods import Wood
from inventory.models import Lot
from inventory.selectors.business import business
from inventory.selectors.drying import dry_state, faces_of, last_reading, planned_start_pct
from inventory.selectors.stock import bundles_in, lots_with_history
from inventory.selectors.weights import plan_lb, scale_tickets


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleLot:
    """A lot as a buyer, a quote and the picking see it.

    Units
        open_cords: never below 0. dry_on: the first day it may be promised as seasoned (four of five such
        lots dry by then), today when its readings say so; None beyond three years.
        call: seasoned, part_seasoned or green, backed by fresh readings. btu_per_cord: useful, today.
    """

    lot_id: int
    code: str
    name: str
    wood: str
    form: str
    mix: tuple[tuple[str, Decimal], ...]
    yard: str
    yard_id: int
    is_for_sale: bool
    open_cords: Fraction
    bundles: int | None
    bundle_cords: Fraction | None
    since: date
    split_on: date | None
    dry_on: date | None
    call: str
    said_ready: str
    likely_on: date | None
    read_on: date | None
    faces: tuple[float, ...]
    basis: str
    moisture_pct: float
    btu_per_cord: float
    plan_lb_per_cord: float


def lots_for_picking(on: date, *, at_yards: tuple[int, ...] = ()) -> tuple[SaleLot, ...]:
    """Every lot for sale, oldest first; of some yards when named. Two queries and the seller's row."""
    return tuple(row for row in sale_lots(on, at_yards=at_yards) if row.is_for_sale)


def lots_for_sale(on: date) -> tuple[SaleLot, ...]:
    """What the shop may show as open today: for sale with some wood open."""
    return tuple(row for row in lots_for_picking(on) if row.open_cords > 0)


def lots_drying(on: date) -> tuple[SaleLot, ...]:
    """Wood on hand that may not be called seasoned today, soonest dry first; never logs and kindling."""
    waiting = [
        row for row in sale_lots(on) if row.call != "seasoned" and row.wood not in (Wood.LOGS, Wood.KINDLING)
    ]
    return tuple(sorted(waiting, key=lambda row: (row.likely_on or date.max, row.code)))


def sale_lots(on: date, *, at_yards: tuple[int, ...] = ()) -> tuple[SaleLot, ...]:
    """Every lot with wood on hand, oldest first."""
    seller = business()
    rows = lots_with_history().filter(on_hand_cords__gt=0).exclude(sale=Lot.Sale.OWN_USE)
    if at_yards:
        rows = rows.filter(yard__in=at_yards)
    found, weighed = [], scale_tickets()
    for lot in rows:
        state = dry_state(lot, seller, on=on)
        free = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
        found.append(
            from_row(
                SaleLot,
                lot,
                lot_id=lot.pk,
                mix=tuple((key, Decimal(str(share))) for key, share in lot.mix.items()),
                yard=lot.yard.name,
                is_for_sale=lot.sale == Lot.Sale.FOR_SALE,
                open_cords=max(free, Fraction(0)),
                bundles=bundles_in(lot, max(free, Fraction(0))),
                bundle_cords=Fraction(lot.bundle_ft3) / CORD_FT3 if lot.bundle_ft3 else None,
                since=lot.split_on or lot.felled_on or lot.drying_from,
                dry_on=state.honest_on,
                call=state.claim,
                likely_on=state.likely,
                read_on=state.read_on,
                faces=state.faces,
                basis=state.basis,
                moisture_pct=state.moisture_pct,
                btu_per_cord=useful_btu(lot.mix, max(state.moisture_pct, 0.0)),
                plan_lb_per_cord=plan_lb(lot, state.planned_pct, weighed),
            )
        )
    return tuple(sorted(found, key=lambda row: (row.since, row.code)))


def plan_weights(on: date, lots: Iterable[int] | None = None) -> dict[int, float]:
    """Lot id to the lb to plan a cord of it on, on the heavy side.

    lots: ids of those to weigh, all when not given. An empty lot, of a load long gone, is weighed at its
    last reading, or as wet as it began.
    """
    seller, weighed = business(), scale_tickets()
    wanted = lots_with_history() if lots is None else lots_with_history().filter(pk__in=set(lots))
    return {
        lot.pk: plan_lb(
            lot,
            dry_state(lot, seller, on=on).planned_pct if lot.on_hand_cords else _last_pct(lot, on),
            weighed,
        )
        for lot in wanted
    }


def _last_pct(lot: Lot, on: date) -> float:
    reading = last_reading(lot, on)
    return planned_moisture_pct(faces_of(reading), mix=lot.mix, start_pct=planned_start_pct(lot))
