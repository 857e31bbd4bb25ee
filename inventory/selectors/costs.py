"""What a cord of a lot took: its own work and receipts, or its parent's, or the usual; and its moves."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum
from django.utils.translation import gettext

from inventory.core.money import dollars
from inventory.core.thinning import Worked, cord_cost
from inventory.models import Expense, Lot, Movement, WorkEntry
from inventory.selectors.business import BusinessRow, business

MINUTES = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class LotCost:
    """What a cord of a lot took.

    Units
        cash, moves: dollars a cord, moves between yards apart from the rest; hours a cord, move_hours apart;
        with_hours: all of it with the hours at the target wage. source: where the figures come from.
        is_typical: neither hours nor receipts were written down, so the seller's usual figures stand in.
    """

    cash: Decimal
    moves: Decimal
    hours: Fraction
    move_hours: Fraction
    with_hours: Decimal
    source: str
    is_typical: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Books:
    """What was written down, by lot."""

    worked: dict[int, list[Worked]]
    spent: dict[int, Decimal]
    made: dict[int, Fraction]
    moves: dict[int, tuple[Decimal, int]]
    parents: Mapping[int, int | None]


def lot_costs(lot_ids: Iterable[int]) -> dict[int, LotCost]:
    """Cost of a cord by lot, in five queries. A part carved from a lot costs what its parent's cord did."""
    wanted = sorted(set(lot_ids))
    if not wanted:
        return {}
    books = _read(wanted)
    seller = business()
    return {lot_id: _cost(lot_id, books, seller) for lot_id in wanted if lot_id in books.parents}


def lot_cost(code: str) -> LotCost | None:
    """One lot's; None when there is no such lot."""
    lot_id = Lot.objects.filter(code=code).values_list("pk", flat=True).first()
    return None if lot_id is None else lot_costs((lot_id,))[lot_id]


def _read(wanted: list[int]) -> _Books:
    parents = dict(Lot.objects.filter(pk__in=wanted).values_list("pk", "parent_id"))
    ids = {*wanted, *(parent for parent in parents.values() if parent)}
    worked: dict[int, list[Worked]] = {}
    for lot_id, job, hours in WorkEntry.objects.filter(lot__in=ids).values_list(
        "lot_id", "job", "hours_likely"
    ):
        worked.setdefault(lot_id, []).append(Worked(step=job, hours=Fraction(hours)))
    spent = dict(
        Expense.objects.filter(lot__in=ids).order_by().values_list("lot_id").annotate(all=Sum("dollars"))
    )
    came = _arrived(ids)
    made = {lot_id: cords for lot_id, (cords, _, _) in came.items()}
    moves = {lot_id: (cost, minutes) for lot_id, (_, cost, minutes) in came.items()}
    return _Books(worked=worked, spent=spent, made=made, moves=moves, parents=parents)


def _arrived(ids: Iterable[int]) -> dict[int, tuple[Fraction, Decimal, int]]:
    """Cords that came to each lot, and what moving them cost; the side a part left is not charged."""
    came: dict[int, tuple[Fraction, Decimal, int]] = {}
    rows = Movement.objects.filter(lot__in=ids, cords__gte=0).exclude(logged__taken_back_at__isnull=False)
    for lot_id, cords, cost, minutes in rows.values_list("lot_id", "cords", "cost_dollars", "minutes"):
        before = came.get(lot_id, (Fraction(0), Decimal(0), 0))
        came[lot_id] = (before[0] + cords, before[1] + (cost or 0), before[2] + (minutes or 0))
    return came


def cords_made(lot_ids: Iterable[int]) -> dict[int, Fraction]:
    """Cords that ever came to each lot."""
    return {lot_id: cords for lot_id, (cords, _, _) in _arrived(lot_ids).items()}


def _cost(lot_id: int, books: _Books, seller: BusinessRow) -> LotCost:
    cords = books.made.get(lot_id, Fraction(0))
    known = _logged(lot_id, books) or _logged(books.parents[lot_id], books)
    has_hours = has_cash = False
    cash, hours = seller.production_cash_per_cord, Fraction(seller.production_hours_per_cord)
    if known is not None:
        worked, spent, made = known
        own = cord_cost(worked=worked, cash=spent or Decimal(0), cords=made)
        has_hours, has_cash = bool(worked), spent is not None
        cash = own.cash if has_cash else cash
        hours = own.hours if has_hours else hours
    cost, minutes = books.moves.get(lot_id, (Decimal(0), 0))
    moves = dollars(Fraction(cost) / cords) if cords else Decimal("0.00")
    move_hours = Fraction(minutes, MINUTES) / cords if cords else Fraction(0)
    paid = Fraction(cash) + Fraction(moves) + (hours + move_hours) * Fraction(seller.target_wage)
    return LotCost(
        cash=cash,
        moves=moves,
        hours=hours,
        move_hours=move_hours,
        with_hours=dollars(paid),
        source=_source(has_hours, has_cash),
        is_typical=not has_hours and not has_cash,
    )


def _logged(lot_id: int | None, books: _Books) -> tuple[list[Worked], Decimal | None, Fraction] | None:
    """Hours and receipts written down for a lot, and the cords they made."""
    if lot_id is None or not books.made.get(lot_id) or not (lot_id in books.worked or lot_id in books.spent):
        return None
    return books.worked.get(lot_id, []), books.spent.get(lot_id), books.made[lot_id]


def _source(has_hours: bool, has_cash: bool) -> str:
    if has_hours and has_cash:
        return gettext("the hours and receipts written down")
    if has_hours:
        return gettext("the hours written down, cash from Settings")
    if has_cash:
        return gettext("the receipts written down, hours from Settings")
    return gettext("your usual figures, from Settings")
