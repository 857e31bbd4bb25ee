"""Open wood: on hand, promised, kept and free to sell, lot by lot and in sums; now or on a past day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, QuerySet, Sum

from inventory.core.gaps import Joined
from inventory.core.lots import GREEN, SEASONED, ListedLot, OpenLot, StockAmounts
from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from inventory.core.species import mix_words, useful_btu
from inventory.core.units import CORD_FT3
from inventory.core.units import bundles_in as whole_bundles
from inventory.core.weighing import Weighed
from inventory.core.woods import Wood
from inventory.models import Lot, Movement
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drying import DryState, dry_state
from inventory.selectors.weights import plan_lb, scale_tickets

WITHOUT_DRYING = {str(Wood.KINDLING): SEASONED, str(Wood.LOGS): GREEN}  # sold by one word, whatever was read


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow(OpenLot):
    """A lot with its amounts and its dryness, as every page reads it.

    bundle_cords: of one bundle, where they count. split_on: None while it is not split.
    """

    lot_id: int
    name: str
    yard_id: int
    form: str
    form_words: str
    piling: str
    piling_words: str
    bundles_held: int | None
    bundle_cords: Fraction | None
    split_on: date | None
    sale: str
    sale_words: str
    said_ready: str
    is_covered: bool
    dry: DryState
    plan_lb_per_cord: float

    @property
    def shares(self) -> dict[str, float]:
        """Percent by species."""
        return {species: float(share) for species, share in self.mix}

    @property
    def mix_words(self) -> Joined:
        return mix_words(self.shares)

    @property
    def btu_per_cord(self) -> float:
        """Useful heat, as dry as it is on the day."""
        return useful_btu(self.shares, max(self.dry.moisture_pct, 0.0))

    @property
    def is_for_sale(self) -> bool:
        return self.sale == Lot.Sale.FOR_SALE

    @property
    def is_for_own_use(self) -> bool:
        return self.sale == Lot.Sale.OWN_USE

    @property
    def is_oversold(self) -> bool:
        return self.open < 0

    @property
    def short(self) -> Fraction:
        """How much more is promised than is there."""
        return max(-self.open, Fraction(0))

    @property
    def wants_cover(self) -> bool:
        """Dry, outdoors and bare, with the first rain at most a month away."""
        return self.dry.is_dry and not self.is_covered and self.dry.rain_is_near


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSum(StockAmounts):
    """Amounts of one wood, dry call and yard together; bundles when all of it is counted by them."""

    wood: str
    claim: str
    yard: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenWood:
    lots: tuple[LotRow, ...]
    sums: tuple[StockSum, ...]


def lots_with_history() -> QuerySet[Lot]:
    """Lots with their yard, readings and signs: three queries, whatever their number."""
    return Lot.objects.select_related("yard__station").prefetch_related("readings", "signs").order_by("code")


@once_a_page
def lot_with_history(code: str) -> Lot | None:
    """One lot of `lots_with_history` by its code; None when there is none."""
    return lots_with_history().select_related("unit", "parent").filter(code=code).first()


@once_a_page
def open_wood(on: date) -> OpenWood:
    """Every lot that holds wood or owes some, and sums by wood, dry call and yard."""
    seller = business()
    weighed = scale_tickets()
    rows = lots_with_history().filter(Q(on_hand_cords__gt=0) | Q(short_cords__gt=0))
    lots = tuple(lot_row(lot, seller, on=on, weighed=weighed) for lot in rows)
    keys = dict.fromkeys((row.wood, row.dry.claim, row.yard) for row in lots)
    sums = tuple(
        _sum(key, [row for row in lots if (row.wood, row.dry.claim, row.yard) == key]) for key in sorted(keys)
    )
    return OpenWood(lots=lots, sums=sums)


def lot_row(lot: Lot, seller: BusinessRow, *, on: date, weighed: Iterable[Weighed]) -> LotRow:
    """One lot with its amounts and dryness. Give a lot of `lots_with_history`, and all scale tickets."""
    state = dry_state(lot, seller, on=on)
    since = lot.split_on or lot.felled_on or lot.drying_from
    free = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
    return from_row(
        LotRow,
        lot,
        lot_id=lot.pk,
        yard=lot.yard.name,
        since=since,
        dry_on=since if lot.wood == Wood.KINDLING else state.honest_on,
        call=WITHOUT_DRYING.get(lot.wood, state.claim),
        mix=tuple((key, Decimal(str(share))) for key, share in lot.mix.items()),
        form_words=lot.get_form_display(),
        piling_words=lot.get_piling_display(),
        on_hand=lot.on_hand_cords,
        firm=lot.firm_cords,
        soft=lot.soft_cords,
        kept=lot.kept_cords,
        open=free,
        bundles=bundles_in(lot, max(free, Fraction(0))),
        bundles_on_hand=bundles_in(lot, lot.on_hand_cords),
        bundles_held=bundles_in(lot, lot.firm_cords + lot.soft_cords),
        bundle_cords=Fraction(lot.bundle_ft3) / CORD_FT3 if lot.bundle_ft3 else None,
        sale_words=lot.get_sale_display(),
        is_covered=lot.is_covered or lot.exposure == Lot.Exposure.UNDER_ROOF,
        dry=state,
        plan_lb_per_cord=plan_lb(lot, state.planned_pct, weighed),
    )


def bundles_in(lot: Lot, cords: Fraction) -> int | None:
    """Whole kindling bundles in an amount; None for other wood."""
    return _bundles(lot.bundle_ft3, cords)


def _bundles(bundle_ft3: Decimal | None, cords: Fraction) -> int | None:
    return whole_bundles(cords, bundle_ft3) if bundle_ft3 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockOnDay(ListedLot):
    wood: str
    bundles: int | None  # kindling is counted


def stock_as_of(on: date) -> tuple[StockOnDay, ...]:
    """What every lot held at the end of a day, folded from its movements (for the January count)."""
    held = (
        Movement.objects.filter(on__lte=on)
        .values("lot__code", "lot__name", "lot__wood", "lot__bundle_ft3")
        .annotate(cords_then=Sum("cords"))
        .order_by("lot__code")
    )
    return tuple(
        StockOnDay(
            code=row["lot__code"],
            name=row["lot__name"],
            wood=row["lot__wood"],
            cords=row["cords_then"],
            bundles=_bundles(row["lot__bundle_ft3"], row["cords_then"]),
        )
        for row in held
        if row["cords_then"]
    )


def _sum(key: tuple[str, str, str], rows: list[LotRow]) -> StockSum:
    def total(name: str) -> Fraction:
        return sum((getattr(row, name) for row in rows), Fraction(0))

    def counted(name: str) -> int | None:
        known = [count for row in rows if (count := getattr(row, name)) is not None]
        return sum(known) if rows and len(known) == len(rows) else None

    wood, claim, yard = key
    return StockSum(
        wood=wood,
        claim=claim,
        yard=yard,
        on_hand=total("on_hand"),
        firm=total("firm"),
        soft=total("soft"),
        kept=total("kept"),
        open=sum((max(row.open, Fraction(0)) for row in rows), Fraction(0)),
        bundles=counted("bundles"),
        bundles_on_hand=counted("bundles_on_hand"),
    )
