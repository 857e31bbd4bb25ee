"""The wood of an order: the lots it was drawn from or is held from, its species, and where it was cut."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.species import species_of, spoken
from inventory.core.units import BUNDLE_FT3
from inventory.core.woods import SOLD, is_of
from inventory.models import Lot, Movement
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drawn import OUT_AND_BACK
from orders.core.places import full_amount_words, place_rule, small_volume_words
from orders.core.tickets import identity_words
from orders.models import Order

type Drawn = tuple[tuple[Lot, Fraction], ...]  # lots with their cords
type Shares = list[tuple[str, Decimal]]  # keys of species with whole percents that add to 100


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLine:
    """Wood of one lot on its way to one buyer, in words fit to print."""

    number: int
    buyer: str
    buyer_phone: str
    address: str
    lot: str
    amount: str
    species: str
    cut_at: str
    felled_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPaper:
    """The paper that rides along with wood: who hauls whose wood from which ground to whom.

    rule: the place's rule that asks for it; empty where we know of none.
    """

    title: str
    seller: BusinessRow
    lines: tuple[CutLine, ...]
    rule: str
    check_local: str

    @property
    def gaps(self) -> tuple[str, ...]:
        """Lots whose ground nobody wrote down."""
        return tuple(dict.fromkeys(line.lot for line in self.lines if not line.cut_at))


def lots_drawn(order: Order) -> Drawn:
    """Lots an order was drawn from, with cords; before the drop the lots it is held from."""
    moved: dict[int, Fraction] = defaultdict(Fraction)
    lots: dict[int, Lot] = {}
    moves = Movement.objects.filter(reference=order.reference, kind__in=OUT_AND_BACK)
    for movement in moves.select_related("lot", "lot__unit"):
        moved[movement.lot_id] += -movement.cords
        lots[movement.lot_id] = movement.lot
    if not lots:
        for link in order.order_holds.select_related("hold__lot__unit"):
            moved[link.hold.lot_id] += link.hold.cords
            lots[link.hold.lot_id] = link.hold.lot
    return tuple((lots[key], moved[key]) for key in sorted(lots) if moved[key])


def shares_of(lots: Drawn) -> Shares:
    """Species by percent of the wood drawn."""
    parts: dict[str, Fraction] = defaultdict(Fraction)
    for lot, cords in lots:
        for species, percent in lot.mix.items():
            parts[species] += cords * Fraction(str(percent))
    whole = sum(parts.values(), Fraction(0))
    if not whole:
        return []
    shares = {species: part * 100 / whole for species, part in parts.items() if part}
    floors = {species: int(share) for species, share in shares.items()}
    left = 100 - sum(floors.values())
    by_rest = sorted(shares, key=lambda species: (floors[species] - shares[species], species))
    for species in by_rest[:left]:
        floors[species] += 1
    return [(species, Decimal(percent)) for species, percent in floors.items() if percent]


def other_share(shares: Shares, wood: str) -> Decimal:
    """Percent of the wood that is not of the kind it was sold as; a mix names no kind."""
    kinds = next((sold.named_for for key, sold in SOLD.items() if key == wood), ())
    others = (percent for key, percent in shares if kinds and not is_of(species_of(key), kinds))
    return sum(others, Decimal(0))


def cut_at(lot: Lot) -> str:
    """The ground a lot was cut on, with its description for papers."""
    return ", ".join(part for part in (lot.unit.name, lot.unit.premises) if part) if lot.unit else ""


def cut_line(order: Order, lot: Lot, *, cords: Fraction, bundles: int) -> CutLine:
    """One lot's part of an order as the paper says it."""
    rule = place_rule(business().place_key)
    amount = full_amount_words(cords, rule=rule) if cords else ""
    if bundles:
        each = small_volume_words(Fraction(lot.bundle_ft3 or BUNDLE_FT3), rule=rule)
        amount = f"{bundles} bundle{'' if bundles == 1 else 's'} of {each}"
    return CutLine(
        number=order.number,
        buyer=order.customer.name,
        buyer_phone=order.customer.phone_as_typed or order.customer.phone,
        address=order.place.address if order.place else "",
        lot=lot.code,
        amount=amount,
        species=identity_words(
            (spoken(species_of(key)), pct) for key, pct in shares_of(((lot, Fraction(1)),))
        ),
        cut_at=cut_at(lot),
        felled_on=lot.felled_on,
    )


def cut_paper(title: str, lines: Iterable[CutLine]) -> CutPaper:
    """A paper of these lines by the rule of the seller's place."""
    seller = business()
    rule = place_rule(seller.place_key)
    return CutPaper(
        title=title, seller=seller, lines=tuple(lines), rule=rule.transport_paper,
        check_local=rule.check_local,
    )  # fmt: skip


def cut_paper_of_order(number: int) -> CutPaper | None:
    """The paper of one order, before it rolls or after; None without the order or without its wood."""
    order = Order.objects.select_related("customer", "place").filter(number=number).first()
    lots = lots_drawn(order) if order else ()
    if order is None or not lots:
        return None
    bundled = [lot for lot, _ in lots if lot.bundle_ft3]
    lines = []
    for lot, cords in lots:
        if lot in bundled:
            count = order.bundles if len(bundled) == 1 else round(cords * 128 / Fraction(lot.bundle_ft3 or 1))
            lines.append(cut_line(order, lot, cords=Fraction(0), bundles=count))
        else:
            lines.append(cut_line(order, lot, cords=cords, bundles=0))
    return cut_paper(f"Order {number}", lines)
