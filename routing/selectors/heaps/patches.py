"""A patch of ground from the heaps that lie from it, and ground not yet thinned with what it would give."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.bands import Band
from inventory.core.lots import ListedLot
from inventory.core.money import dollars
from inventory.models import Unit
from inventory.selectors.business import business
from inventory.selectors.stock import lots_with_history
from inventory.selectors.work import logged_rates
from orders.selectors.prices import sheet_in_force
from routing.earned.guesses import Guess
from routing.earned.heaps import WayEarned
from routing.earned.patches import GroundAhead, Projection, best_first, projection
from routing.season.problem import SEASONED, Range
from routing.selectors.heaps.hours import STEP_WORDS, StepRates, handling
from routing.selectors.heaps.prices import near_price_of
from routing.selectors.heaps.verdict import heap_of
from routing.selectors.season.work import OWN_GROUND, grounds

WOOD_WORK = ("rounds", "haul", "split", "heap", "deliver", "paper")


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingHeap(ListedLot):
    """A heap not yet sold: what it likely brings and the hours still to come, by its best way."""

    best: WayEarned | None
    brings: Band[Decimal] | None  # dollars, before the cash still to come
    is_logged: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """All of a patch's unsold wood.

    Units
        revenue: dollars at the likely price; cash: dollars still to come; to_come: hours by step; unlogged:
        usual hours that are in it though nobody wrote them down.
    """

    heaps: tuple[LyingHeap, ...]
    cords: Fraction
    revenue: Guess
    cash: Decimal
    to_come: tuple[Guess, ...]
    unlogged: tuple[Guess, ...]


def lying_on(unit: Unit, *, on: date) -> Lying:
    """What lies unsold from a patch."""
    lots = lots_with_history().select_related("unit").filter(unit=unit, on_hand_cords__gt=0)
    heaps: list[LyingHeap] = []
    ends = [Decimal(0)] * 3
    cash = Decimal(0)
    to_come: list[Guess] = []
    unlogged: list[Guess] = []
    for lot in lots:
        view = heap_of(lot, on=on)
        if view is None:
            continue
        best = view.verdict.sold
        brings = None
        if best is not None:
            spent = best.way.cash
            brings = Band(
                low=best.leaves.low + spent, likely=best.leaves.likely + spent, high=best.leaves.high + spent
            )
            ends = [
                end + more for end, more in zip(ends, (brings.low, brings.likely, brings.high), strict=True)
            ]
            cash += spent
            to_come += best.way.hours
        if not view.is_logged:
            unlogged += view.so_far
        heaps.append(
            LyingHeap(
                code=lot.code,
                name=lot.name,
                cords=lot.on_hand_cords,
                best=best,
                brings=brings,
                is_logged=view.is_logged,
            )
        )
    return Lying(
        heaps=tuple(heaps),
        cords=sum((heap.cords for heap in heaps), Fraction(0)),
        revenue=Guess(name="what lies there", low=max(ends[0], Decimal(0)), likely=ends[1], high=ends[2]),
        cash=cash,
        to_come=_by_step(to_come),
        unlogged=_by_step(unlogged),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapAhead(ListedLot):
    """A heap by its best way to money."""

    best: WayEarned


def heaps_ahead(*, on: date) -> tuple[HeapAhead, ...]:
    """Every heap that would bring money, the best paid hour first; what takes no hours stands before all."""
    found = []
    for lot in lots_with_history().select_related("unit").filter(on_hand_cords__gt=0):
        view = heap_of(lot, on=on)
        best = view.verdict.sold if view else None
        if best is not None:
            found.append(HeapAhead(code=lot.code, name=lot.name, cords=lot.on_hand_cords, best=best))
    return tuple(
        sorted(
            found,
            key=lambda heap: (
                heap.best.from_here is not None,
                -heap.best.from_here.likely if heap.best.from_here else 0,
                heap.code,
            ),
        )
    )


def patches_ahead(*, on: date) -> tuple[Projection, ...]:
    """Every patch with ground left to thin, the one to take next first."""
    seller, sheet = business(), sheet_in_force(on)
    if sheet is None:
        return ()
    rates = StepRates(asked={}, logged=logged_rates(), delivering=None)
    units = {f"ground {unit.pk}": unit for unit in Unit.objects.all()}
    found = []
    for ground in grounds([]):
        unit, kinds = units[ground.key], ground.cords_per_acre
        whole = sum(kinds.values())
        prices = {kind: near_price_of(sheet.sheet, kind, SEASONED) or Decimal(0) for kind in kinds}
        price = sum(
            (prices[kind] * Decimal(str(round(many / whole, 6))) for kind, many in kinds.items()), Decimal(0)
        )
        leaves = max(price - seller.production_cash_per_cord, Decimal(0))
        own = bool(ground.slash_hours)
        usual = handling()
        found.append(
            projection(
                GroundAhead(
                    unit_id=unit.pk,
                    name=unit.name,
                    acres=Fraction(str(ground.acres)),
                    cords=_banded("cords", whole, ground.yields),
                    leaves=Guess.known("price", dollars(leaves)),
                    hours=tuple(rates.rate(step)[0] for step in WOOD_WORK),
                    slash_hours=(
                        _banded("slash", ground.slash_hours, OWN_GROUND) if own else usual["slash_an_acre"]
                    ),
                    cost_share=dollars(Decimal(str(ground.cost_share))),
                    hire=(
                        unit.hire_out_low or usual["hire"].low,
                        unit.hire_out_high or usual["hire"].high,
                    ),
                ),
                target_wage=seller.target_wage,
            )
        )
    return best_first(found)


def _by_step(guesses: list[Guess]) -> tuple[Guess, ...]:
    return tuple(_added(words, guesses) for words in _names(guesses))


def _names(guesses: list[Guess]) -> Iterator[str]:
    known = [guess.name for guess in guesses]
    yield from (words for words in STEP_WORDS.values() if words in known)


def _added(name: str, guesses: list[Guess]) -> Guess:
    same = [guess for guess in guesses if guess.name == name]
    return Guess(
        name=name,
        low=sum((guess.low for guess in same), Decimal(0)),
        likely=sum((guess.likely for guess in same), Decimal(0)),
        high=sum((guess.high for guess in same), Decimal(0)),
    )


def _banded(name: str, likely: float, ends: Range) -> Guess:
    """A figure of the own ground, as far off as the next acre may be."""
    low, middle, high = (Decimal(str(round(likely * end, 2))) for end in (ends.low, 1.0, ends.high))
    return Guess(name=name, low=low, likely=middle, high=high)
