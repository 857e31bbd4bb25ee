"""The shop's words: each wood with how dry it is and how we know, its prices, heat, and what is dry next."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from firewood_site.quoting import wood_choices
from firewood_site.supply import WoodEvidence, evidence_of, heat_of, lots_drying
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from firewood_site.wood_words import DRYNESS, WOODS, amount_in_words
from inventory.selectors.business import business
from orders.core.wants import KINDLING, LOGS
from orders.selectors import prices
from orders.selectors.prices import AmountPrice

MOST_WAITING = 4


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
    seller = business()
    near = {
        (row.wood, row.dryness): row.amounts
        for row in prices.price_table(in_force.sheet)
        if not in_force.sheet.market(row.market).is_far
    }
    found = evidence_of(on)
    shown = []
    for choice in wood_choices(on):
        if not choice.is_open:
            continue
        proof = found.get((choice.wood, choice.dryness), ())
        each = ""
        if choice.wood == KINDLING:
            each = _("%(one)s a bundle, %(many)s from %(count)s on") % {
                "one": whole_dollars(in_force.sheet.bundle_price),
                "many": whole_dollars(in_force.sheet.bundle_price_many),
                "count": in_force.sheet.bundles_for_many,
            }
            bundles = sum(lot.bundles for lot in proof)
            open_words = ngettext("%(n)s bundle open", "%(n)s bundles open", bundles) % {"n": bundles}
        else:
            open_words = _("%(amount)s open") % {"amount": amount_in_words(choice.open_cords, seller)}
        if choice.wood == LOGS:
            each = _("%(dollars)s a stacked cord, you fetch it at the landing") % {
                "dollars": whole_dollars(in_force.sheet.log_cord_price)
            }
        shown.append(
            ShopWood(
                key=choice.key,
                wood=choice.wood,
                dryness=choice.dryness,
                title=wood_title(choice.wood, choice.dryness),
                is_seasoned=choice.dryness == "seasoned",
                evidence=() if choice.wood == LOGS else tuple(_proof(lot) for lot in proof[:2]),
                open_words=open_words,
                heat=_heat(choice.wood, choice.dryness, choice.cord_dollars, on),
                prices=near.get((choice.wood, choice.dryness), ()),
                each=each,
            )
        )
    return tuple(shown)


def waiting_woods(on: date) -> tuple[WaitingWood, ...]:
    """Lots not yet dry, with the seller's own words or the likely month."""
    return tuple(
        WaitingWood(
            title=lot.name,
            when=lot.said_ready
            or (
                _("likely dry about %(day)s") % {"day": day_words(lot.dry_on)}
                if lot.dry_on
                else _("no date yet")
            ),
        )
        for lot in lots_drying(on)[:MOST_WAITING]
    )


def wood_title(wood: str, dryness: str) -> str:
    """ "seasoned fir"; Spanish turns it round."""
    if wood in (KINDLING, LOGS):
        return str(WOODS[wood])
    said = {"wood": WOODS.get(wood, wood), "dryness": DRYNESS.get(dryness, dryness)}
    return _("%(dryness)s %(wood)s") % said


def _proof(lot: WoodEvidence) -> str:
    if not lot.faces:
        return (
            _("Split %(day)s, not read yet.") % {"day": day_words(lot.split_on)}
            if lot.split_on
            else _("Kept dry under a roof.")
        )
    basis = _("by weight") if lot.basis == "wet" else _("on the pin, dry basis")
    return _("Fresh faces read %(faces)s %% %(basis)s on %(day)s (lot %(lot)s). %(limit)s") % {
        "faces": ", ".join(lot.faces),
        "basis": basis,
        "day": day_words(lot.read_on),
        "lot": lot.code,
        "limit": _("Dry is 25 on the pin, which is 20 by weight.") if lot.is_dry else "",
    }


def _heat(wood: str, dryness: str, cord_dollars: object, on: date) -> str:
    if cord_dollars is None or dryness != "seasoned" or wood in (KINDLING, LOGS):
        return ""
    per_million = heat_of(wood, cord_dollars=cord_dollars, on=on)
    if per_million is None:
        return ""
    language = get_language() or "en"
    return _("%(dollars)s for a million Btu of heat in a stove") % {
        "dollars": f"${per_million:.2f}" if language else ""
    }
