"""The shop's words: each wood with how dry it is and how we know, its prices and its heat."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from firewood_site.customer.remembered import Door
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from firewood_site.templatetags.selling import per_cord
from firewood_site.wood_words import amount_in_words, wood_title
from inventory.core.local import to_the_cent
from inventory.core.rows import from_row
from inventory.core.units import BUNDLE_FT3, CORD_FT3, by_the_unit
from inventory.core.woods import Wood
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.photos import PhotoRow, newest_photo
from inventory.selectors.sale import lots_for_sale
from inventory.selectors.spoken import reader_language
from inventory.selectors.stock import LotRow
from orders.core.places import place_rule, small_volume_words
from orders.core.sheets import PriceSheet
from orders.selectors import prices
from orders.selectors.on_sale import OnSale, WoodChoice, dollars_per_million_btu, wood_choices
from orders.selectors.prices import AmountPrice
from routing.quoting.door_prices import prices_at_door
from routing.quoting.drives import Roads

PHOTO_HOLDS = timedelta(days=60)  # an older one shows wood that is gone
KWH_PER_MILLION_BTU = Decimal("293.071")  # international table Btu (NIST SP 811, appendix B)


SAYS: dict[str, Any] = {  # read in the reader's language
    Wood.FIR: gettext_lazy("Lights fast. The everyday wood."),
    Wood.HARDWOOD: gettext_lazy("Heavy and slow. Holds a fire overnight."),
    Wood.MIXED: gettext_lazy("Softwood to start the fire, hardwood to keep it going."),
    Wood.KINDLING: gettext_lazy("Split thin, to light the stove."),
    Wood.LOGS: gettext_lazy("Cut and split it yourself. Pickup only, at our landing."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWood(WoodChoice):
    """A wood as the front page shows it: the plain words first, the figures behind them.

    Shapes
        prices: at the visitor's door, or at the yard while it is not known; each: where it is not sold by
        the cord. ready_on: when it will be dry, if that is not yet. least_words: the least amount sold in the
        visitor's town, where it is more than elsewhere or than left_words, what there is.
    """

    title: str
    ready_on: date | None
    says: str
    evidence: tuple[str, ...]
    open_words: str
    heat: str
    prices: tuple[AmountPrice, ...]
    least_words: str
    left_words: str
    each: str
    photo: PhotoRow | None
    spoken_words: str


def shop_woods(on: date, *, sale: OnSale, door: Door, roads: Roads) -> tuple[ShopWood, ...]:
    """What can be ordered today, priced to the visitor's door."""
    if sale.in_force is None:
        return ()
    sheet, seller, lots = sale.in_force.sheet, business(), lots_for_sale(on)
    table = prices.price_table(sheet)
    listed = {(row.wood, row.dryness): row.amounts for row in table if not sheet.market(row.market).is_far}
    there = {
        (row.wood, row.dryness): row.amounts for row in table if door.town and row.market == door.town.market
    }
    shown = []
    for choice in wood_choices(on, sale=sale):
        if not choice.is_open and not choice.spoken_for:
            continue
        mine = [lot for lot in lots if lot.wood == choice.wood and _sold_as(lot, choice.dryness)]
        amounts = sorted(
            (row for row in listed.get((choice.wood, choice.dryness), ()) if row.cords <= choice.open_cords),
            key=lambda row: row.cords,
        )
        if door.key:
            town_id = door.town.id if door.town else None
            sizes = [row.cords for row in amounts]
            amounts = list(prices_at_door(choice, sizes, town_id=town_id, sale=sale, on=on, roads=roads))
        is_dry_later = choice.dryness == "seasoned" and choice.first_on is not None and choice.first_on > on
        if not choice.is_open:
            amounts = []
        least = min((row.cords for row in there.get((choice.wood, choice.dryness), ())), default=None)
        smallest = min((row.cords for row in listed.get((choice.wood, choice.dryness), ())), default=least)
        is_short = least is not None and least > choice.open_cords
        is_more = is_short or (least is not None and smallest is not None and least > smallest)
        shown.append(
            from_row(
                ShopWood,
                choice,
                title=wood_title(choice.wood, choice.dryness),
                ready_on=choice.first_on if is_dry_later else None,
                says=str(SAYS.get(choice.wood, "")),
                evidence=() if choice.wood == Wood.LOGS else tuple(_proof(lot) for lot in mine[:2]),
                open_words=_open_words(choice.wood, choice.open_cords, mine, seller),
                heat=_heat(choice.wood, choice.dryness, choice.cord_dollars, mine, seller),
                prices=tuple(amounts),
                least_words=amount_in_words(least, seller) if least and is_more else "",
                left_words=amount_in_words(choice.open_cords, seller) if is_short else "",
                each=_each(choice.wood, sheet, seller, mine),
                photo=newest_photo(
                    (f"lot {lot.code}" for lot in mine), purpose="shop", since=on - PHOTO_HOLDS
                ),
                spoken_words=_spoken_words(choice, seller),
            )
        )
    return tuple(shown)


def _sold_as(lot: LotRow, dryness: str) -> bool:
    return lot.wood in (Wood.KINDLING, Wood.LOGS) or lot.call == dryness


def _proof(lot: LotRow) -> str:
    if not lot.dry.faces:
        if lot.wood == Wood.KINDLING:
            return _("Kept dry under a roof.")
        if lot.split_on is None:
            return _("Not split yet.")
        return _("Split %(day)s, not read yet.") % {"day": day_words(lot.split_on)}
    low, high = min(lot.dry.faces), max(lot.dry.faces)
    gaps = {
        "faces": f"{low:g}" if low == high else f"{low:g}–{high:g}",
        "basis": _("of the whole weight") if lot.dry.basis == "wet" else _("on a moisture meter"),
        "day": day_words(lot.dry.read_on),
    }
    text = _("Moisture %(faces)s%% (%(basis)s), measured inside fresh splits on %(day)s.") % gaps
    if lot.dry.is_dry:
        text += " " + (
            _("20% or less counts as dry.") if lot.dry.basis == "wet" else _("25% or less counts as dry.")
        )
    return text


def _open_words(wood: str, cords: Fraction, lots: list[LotRow], seller: BusinessRow) -> str:
    if wood == Wood.KINDLING:
        bundles = sum(lot.bundles or 0 for lot in lots)
        return ngettext("%(n)s bundle for sale", "%(n)s bundles for sale", bundles) % {"n": bundles}
    return _("%(amount)s for sale") % {"amount": amount_in_words(cords, seller)}


def _spoken_words(choice: WoodChoice, seller: BusinessRow) -> str:
    """What others asked for first; without it a visitor would wonder where the wood has gone."""
    if not choice.spoken_for:
        return ""
    if not choice.is_open:
        return _("All of it is spoken for just now. If an order falls through, it is for sale again.")
    return _("%(amount)s more is spoken for.") % {"amount": amount_in_words(choice.spoken_for, seller)}


def _each(wood: str, sheet: PriceSheet, seller: BusinessRow, lots: list[LotRow]) -> str:
    if wood == Wood.KINDLING:
        return _("%(one)s a bundle (%(volume)s), %(many)s each for %(count)s or more") % {
            "volume": _bundle_volume(lots, seller),
            "one": whole_dollars(sheet.bundle_price),
            "many": whole_dollars(sheet.bundle_price_many),
            "count": sheet.bundles_for_many,
        }
    if wood == Wood.LOGS:
        return _("%(dollars)s %(whole)s, pickup at the landing") % {
            "dollars": whole_dollars(by_the_unit(sheet.log_cord_price)),
            "whole": per_cord(seller),
        }
    return ""


def _bundle_volume(lots: list[LotRow], seller: BusinessRow) -> str:
    """What a bundle holds, in the words of the seller's place; the smallest, where lots differ."""
    sizes = [lot.bundle_cords * CORD_FT3 for lot in lots if lot.bundle_cords]
    least = min(sizes, default=Fraction(BUNDLE_FT3))
    return small_volume_words(least, rule=place_rule(seller.place_key), language=reader_language())


def _heat(
    wood: str, dryness: str, cord_dollars: Decimal | None, lots: list[LotRow], seller: BusinessRow
) -> str:
    if cord_dollars is None or dryness != "seasoned" or wood in (Wood.KINDLING, Wood.LOGS):
        return ""
    per_million = dollars_per_million_btu(lots, cord_dollars=cord_dollars)
    if per_million is None:
        return ""
    if place_rule(seller.place_key).is_metric:
        each = per_million * 100 / KWH_PER_MILLION_BTU
        return _("About %(dollars)s per 100 kWh of stove heat") % {"dollars": to_the_cent(each)}
    return _("About %(dollars)s per million Btu of stove heat") % {"dollars": to_the_cent(per_million)}
