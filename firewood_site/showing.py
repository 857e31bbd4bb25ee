"""The shop's words: each wood with how dry it is and how we know, its prices, heat, and what is dry next."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from firewood_site.quoting import wood_choices
from firewood_site.supply import dollars_per_million_btu
from firewood_site.templatetags.firewood import dated, whole_dollars
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.selling import per_cord
from firewood_site.wood_words import amount_in_words, wood_title
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.sale import SaleLot, lots_drying, lots_for_sale
from orders.core.places import place_rule
from orders.core.sheets import PriceSheet
from orders.core.wants import KINDLING, LOGS
from orders.selectors import prices
from orders.selectors.prices import AmountPrice

MOST_WAITING = 4
KWH_PER_MILLION_BTU = Decimal("293.071")  # international table Btu (NIST SP 811, appendix B)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWood:
    """A wood as the front page shows it."""

    key: str
    wood: str
    dryness: str
    title: str
    is_seasoned: bool
    evidence: tuple[str, ...]
    open_words: str
    open_cords: Fraction
    heat: str
    prices: tuple[AmountPrice, ...]
    each: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingWood:
    title: str
    when: str


def shop_woods(on: date) -> tuple[ShopWood, ...]:
    """What can be ordered today."""
    in_force = prices.sheet_in_force(on)
    if in_force is None:
        return ()
    sheet, seller, lots = in_force.sheet, business(), lots_for_sale(on)
    near = {
        (row.wood, row.dryness): row.amounts
        for row in prices.price_table(sheet)
        if not sheet.market(row.market).is_far
    }
    shown = []
    for choice in wood_choices(on):
        if not choice.is_open:
            continue
        mine = [lot for lot in lots if lot.wood == choice.wood and _sold_as(lot, choice.dryness)]
        shown.append(
            ShopWood(
                key=choice.key,
                wood=choice.wood,
                dryness=choice.dryness,
                title=wood_title(choice.wood, choice.dryness),
                is_seasoned=choice.dryness == "seasoned",
                evidence=() if choice.wood == LOGS else tuple(_proof(lot) for lot in mine[:2]),
                open_words=_open_words(choice.wood, choice.open_cords, mine, seller),
                open_cords=choice.open_cords,
                heat=_heat(choice.wood, choice.dryness, choice.cord_dollars, mine, seller),
                prices=near.get((choice.wood, choice.dryness), ()),
                each=_each(choice.wood, sheet, seller),
            )
        )
    return tuple(shown)


def waiting_woods(on: date) -> tuple[WaitingWood, ...]:
    """Lots not yet dry, with the seller's own words or the likely date."""
    return tuple(
        WaitingWood(title=f"{lot.name} ({lot.code})", when=_when(lot, on))
        for lot in lots_drying(on)[:MOST_WAITING]
        if lot.is_for_sale or lot.said_ready or lot.likely_on
    )


def _sold_as(lot: SaleLot, dryness: str) -> bool:
    return lot.wood in (KINDLING, LOGS) or lot.call == dryness


def _when(lot: SaleLot, on: date) -> str:
    if lot.said_ready:
        return lot.said_ready
    if lot.likely_on is None:
        return _("no date yet")
    return _("likely dry about %(day)s") % {"day": dated(lot.likely_on, on)}


def _proof(lot: SaleLot) -> str:
    if not lot.faces:
        if lot.wood == KINDLING:
            return _("Kept dry under a roof.")
        if lot.split_on is None:
            return _("Not split yet.")
        return _("Split %(day)s, not read yet.") % {"day": day_words(lot.split_on)}
    said = _("Fresh faces read %(faces)s %% %(basis)s on %(day)s.") % {
        "faces": ", ".join(f"{face:g}" for face in lot.faces),
        "basis": _("by weight") if lot.basis == "wet" else _("on the pin"),
        "day": day_words(lot.read_on),
    }
    if lot.call == "seasoned":
        said += " " + _("Dry is 25 on the pin, which is 20 by weight.")
    return said


def _open_words(wood: str, cords: Fraction, lots: list[SaleLot], seller: BusinessRow) -> str:
    if wood == KINDLING:
        bundles = sum(lot.bundles or 0 for lot in lots)
        return ngettext("%(n)s bundle open", "%(n)s bundles open", bundles) % {"n": bundles}
    return _("%(amount)s open") % {"amount": amount_in_words(cords, seller)}


def _each(wood: str, sheet: PriceSheet, seller: BusinessRow) -> str:
    if wood == KINDLING:
        return _("%(one)s a bundle, %(many)s from %(count)s on") % {
            "one": whole_dollars(sheet.bundle_price),
            "many": whole_dollars(sheet.bundle_price_many),
            "count": sheet.bundles_for_many,
        }
    if wood == LOGS:
        return _("%(dollars)s %(whole)s, you fetch it at the landing") % {
            "dollars": whole_dollars(sheet.log_cord_price),
            "whole": per_cord(seller),
        }
    return ""


def _heat(
    wood: str, dryness: str, cord_dollars: Decimal | None, lots: list[SaleLot], seller: BusinessRow
) -> str:
    if cord_dollars is None or dryness != "seasoned" or wood in (KINDLING, LOGS):
        return ""
    per_million = dollars_per_million_btu(lots, cord_dollars=cord_dollars)
    if per_million is None:
        return ""
    if place_rule(seller.place_key).is_metric:
        each = per_million * 100 / KWH_PER_MILLION_BTU
        return _("%(dollars)s for 100 kWh of heat in a stove") % {"dollars": f"${each:.2f}"}
    return _("%(dollars)s for a million Btu of heat in a stove") % {"dollars": f"${per_million:.2f}"}
