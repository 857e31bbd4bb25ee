"""Words of the sale in the reader's language: woods, dryness, amounts, lines of a price."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.utils.html import json_script
from django.utils.safestring import SafeString
from django.utils.translation import gettext, gettext_noop, ngettext

from firewood_site import languages
from firewood_site.letter_names import letter_name
from firewood_site.templatetags.firewood import ISO_DAY
from firewood_site.wood_words import (
    AT_THE_YARD,
    DRYNESS,
    STATES,
    amount_in_words,
    paid_ahead,
    wood_title,
    wood_word,
)
from inventory.core.sentences import ENGLISH
from inventory.core.units import convert, cord_units
from inventory.selectors.spoken import full_date, reader_language
from orders.core.access import access_words
from orders.core.languages import loose_words, request_text
from orders.core.order_request import How, OrderRequest
from orders.core.places import GENERAL_RULE, place_rule, sells_cords
from orders.selectors.lines import retold
from routing.selectors.runs.moving_map import MovingMap

register = template.Library()
register.filter("letter_name", letter_name)
LEAST_RAIN = {"mm": 0.5, "in": 0.05}  # less is written as no rain

AMOUNTS_ON_TICKETS = (
    gettext_noop("{number} cord ({feet} cubic feet stacked)"),
    gettext_noop("{number} cords ({feet} cubic feet stacked)"),
    gettext_noop("1 bundle of {feet} cubic feet each"),
    gettext_noop("{count} bundles of {feet} cubic feet each"),
    gettext_noop("1 bundle of {inches} cubic inches each"),
    gettext_noop("{count} bundles of {inches} cubic inches each"),
    gettext_noop("1 bundle of {liters} liters each"),
    gettext_noop("{count} bundles of {liters} liters each"),
    gettext_noop("{amount} cubic feet"),
    gettext_noop("{amount} m³ stacked"),
)
FROZEN_AMOUNTS = tuple(
    (re.compile(re.sub(r"\\{(\w+)\\}", r"(?P<\1>[-\\d ./,]+)", re.escape(sentence))), sentence)
    for sentence in AMOUNTS_ON_TICKETS
)


@register.filter
def wood_name(key: Any) -> str:
    return wood_word(str(key)).replace("_", " ")


@register.filter
def sold_as(wood: Any, dryness: Any) -> str:
    """A wood under the word it is sold by: {{ choice.wood|sold_as:choice.dryness }}."""
    return wood_title(str(wood), str(dryness))


@register.filter
def dry_name(key: Any) -> str:
    return str(DRYNESS.get(str(key), str(key).replace("_", " ")))


@register.filter
def hold_name(kind: Any) -> str:
    return {"firm": gettext("promised"), "soft": gettext("tentative")}.get(str(kind), str(kind))


@register.filter
def amount(cords: Any, seller: Any = None) -> str:
    """An amount in the units of the seller's place and the reader's language: {{ x|amount:business }}."""
    return "" if cords in (None, "") else amount_in_words(Fraction(cords), seller)


@register.filter
def loose_amount(ft3: Any, seller: Any) -> str:
    """Loose wood in the units of the seller's place: {{ claim.result.loose_ft3|loose_amount:business }}."""
    rule = place_rule(seller.place_key)
    return loose_words(Decimal(str(ft3)), rule=rule, language=reader_language())


@register.filter
def stack_sides(claim: Any, seller: Any) -> str:
    """A stack as its buyer measured it, or nothing: "22 × 4 ft × 16 in", "6.71 × 1.22 m × 41 cm"."""
    if None in (claim.length_ft, claim.height_ft, claim.depth_in):
        return ""
    feet = (Fraction(claim.length_ft), Fraction(claim.height_ft))
    if not place_rule(seller.place_key).is_metric:
        long, high = (plain(size, places=2) for size in feet)
        return (
            f"{long} × {high} {gettext('ft')} × {plain(Fraction(claim.depth_in), places=2)} {gettext('in')}"
        )
    long, high = (plain(convert(size, "foot", "meter"), places=2) for size in feet)
    deep = plain(convert(Fraction(claim.depth_in), "inch", "centimeter"), places=1)
    return f"{long} × {high} m × {deep} cm"


@register.filter
def forecast_words(day: Any, seller: Any) -> str:
    """A forecast in the units of the seller's place: "about 63 °F, 0.2 in of rain, wind 9 mph"."""
    is_metric, said = place_rule(seller.place_key).is_metric, []
    if day.temp_c is not None:
        degrees = f"{day.temp_c:.0f} °C" if is_metric else f"{day.temp_c * 9 / 5 + 32:.0f} °F"
        said.append(gettext("about {degrees}").format(degrees=degrees))
    if day.rain_mm is not None:
        wet, unit = (day.rain_mm, "mm") if is_metric else (_as(day.rain_mm, "mm", "inch"), "in")
        fallen = f"{wet:.{0 if is_metric else 1}f} {gettext(unit)}"
        rain = gettext("{amount} of rain") if wet >= LEAST_RAIN[unit] else gettext("no rain")
        said.append(rain.format(amount=fallen))
    if day.wind_m_s is not None:
        unit = "km/h" if is_metric else "mph"
        speed = f"{_as(day.wind_m_s, 'm/s', unit):.0f} {unit}"
        said.append(gettext("wind {speed}").format(speed=speed))
    return ", ".join(said)


def _as(size: float, unit: str, into: str) -> float:
    return float(convert(Fraction(size), unit, into))


CLAIMS = {
    "short": gettext_noop("Stacks up short"),
    "wet": gettext_noop("Not dry"),
    "late": gettext_noop("Late"),
    "damage": gettext_noop("Damage"),
    "other_wood": gettext_noop("Not the wood that was ordered"),
    "other": gettext_noop("Something else"),
}


@register.filter
def claim_name(kind: Any) -> str:
    """What was wrong, in the reader's language."""
    return gettext(CLAIMS.get(str(kind), "Something else"))


@register.filter
def state_name(state: Any) -> str:
    return str(STATES.get(str(state), state))


@register.filter
def access(place: Any) -> str:
    """What a truck meets on the way in, ticked and written: {{ order.place|access }}."""
    return access_words(place.access, place.access_note, language=reader_language())


@register.inclusion_tag("parts/unseen_errors.html")
def unseen_errors(form: Any, *names: str) -> dict[str, Any]:
    """What is wrong with fields nobody sees: the hidden ones, and those named that are drawn by hand."""
    hidden = {bound.name for bound in form.hidden_fields()}
    wrong = [words for name, words in form.errors.items() if name in hidden or name in names]
    return {"sentences": dict.fromkeys(sentence for words in wrong for sentence in words)}


@register.filter
def pay_way(way: Any, how: Any) -> str:
    """A way to pay in the reader's language; who comes to the yard pays there."""
    at_yard = AT_THE_YARD.get(way.name) if how == How.PICK_UP else None
    return str(at_yard) if at_yard else gettext(way.name)


register.filter("paid_ahead", paid_ahead)


@register.filter
def ordered(thing: Any, seller: Any) -> str:
    """What a quote or an order is for, in the reader's language: {{ order|ordered:business }}."""
    rule = place_rule(seller.place_key)
    return request_text(_goods(thing), rule=rule, language=reader_language())


@register.simple_tag(takes_context=True)
def price_lines(context: Any, lines: Any, thing: Any) -> Any:
    """The lines of a price in the reader's language: {% price_lines order.price.reasons order as lines %}."""
    rule = place_rule(context["business"].place_key)
    return retold(lines, _goods(thing), rule=rule, language=reader_language())


def _goods(thing: Any) -> OrderRequest:
    return OrderRequest(
        wood=thing.wood,
        market=thing.market,
        cords=thing.cords,
        bundles=thing.bundles,
        dryness=thing.dryness,
        how=How.PICK_UP,
    )


@register.filter
def bundles_words(count: Any) -> str:
    number = int(count or 0)
    return ngettext("%(n)d bundle", "%(n)d bundles", number) % {"n": number}


@register.filter
def per_cord(seller: Any) -> str:
    """What a price of the sheet is for, in the words of the seller's place: {{ business|per_cord }}."""
    if place_rule(seller.place_key).volume_style == "cords_ft3":
        return gettext("a cord")
    return gettext("for %(amount)s") % {"amount": amount_in_words(1 / Fraction(cord_units()), seller)}


NO_LOT = re.compile(r"(.+) as it was sold: the books name no lot")
UNREAD = re.compile(r"(.+) by the seller's word, not read at loading")
REPLACED = re.compile(r"ticket (\d+), written (.+)")
OTHER_WOOD = re.compile(r"(.+) \(sold as (.+): ([\d.]+)% is other wood\)")
LOWERED = re.compile(r"(.+) by the readings at loading \(sold as (.+)\)")


@register.filter
def ticket_words(text: Any) -> str:
    """Words a ticket was frozen with, put in the reader's language where we have them."""
    text = ISO_DAY.sub(lambda found: full_date(date.fromisoformat(found[0])), str(text))
    if reader_language() == ENGLISH:
        return text
    known = {"seasoned": "seasoned", "part seasoned": "part_seasoned", "green": "green"}
    if text in known:
        return str(DRYNESS[known[text]])
    if found := UNREAD.fullmatch(text):
        return gettext("{word} by the seller's word, not read at loading").format(word=ticket_words(found[1]))
    if found := NO_LOT.fullmatch(text):
        return gettext("{wood} as it was sold: the books name no lot").format(wood=wood_word(found[1]))
    if found := LOWERED.fullmatch(text):
        sentence = gettext("{word} by the readings at loading (sold as {sold})")
        return sentence.format(word=ticket_words(found[1]), sold=ticket_words(found[2]))
    if found := REPLACED.fullmatch(text):
        return gettext("ticket {number}, written {day}").format(number=found[1], day=found[2])
    if found := OTHER_WOOD.fullmatch(text):
        sentence = gettext("{species} (sold as {wood}: {share}% is other wood)")
        return sentence.format(species=found[1], wood=wood_word(found[2]), share=found[3])
    if text in ("stacked", "dumped loose", "thrown off loose", "cash", "check", "transfer", "card"):
        return gettext(text)
    text = text.replace("% (dry basis) on", gettext("% (dry basis) on"))
    text = text.replace("% (wet basis) on", gettext("% (wet basis) on"))
    parts = [_frozen_amount(part) for part in text.split(" and ")]
    return (
        parts[0]
        if len(parts) == 1
        else gettext("{first} and {second}").format(first=parts[0], second=parts[1])
    )


def _frozen_amount(text: str) -> str:
    """An amount as tickets state it, in the reader's language; other words as they stand."""
    for pattern, sentence in FROZEN_AMOUNTS:
        if found := pattern.fullmatch(text):
            return gettext(sentence).format(**found.groupdict())
    return text


@register.simple_tag(takes_context=True)
def place_words(context: Any) -> dict[str, str]:
    """The legal wording of the seller's place in the reader's language, with its source."""
    seller = context.get("business")
    rule = place_rule(seller.place_key if seller else GENERAL_RULE)
    language = reader_language()
    return {
        "statement": rule.statement_in(language),
        "check_local": rule.check_local_in(language),
        "document": rule.document,
        "is_metric": "yes" if rule.is_metric else "",
        "sells_cords": "yes" if sells_cords(rule.key) else "",
        "says_cords": "yes" if rule.volume_style == "cords_ft3" else "",
    }


def plain(size: Fraction, *, places: int = 1) -> str:
    """A number with no more decimals than it needs."""
    text = f"{Decimal(size.numerator) / Decimal(size.denominator):.{places}f}"
    return text.rstrip("0").removesuffix(".") if "." in text else text


@register.simple_tag
def queue_texts() -> dict[str, str]:
    """Sentences of the offline queue in the reader's language; none for English."""
    return languages.queue_texts()


@register.simple_tag
def moving_json(moving: MovingMap, run_id: int) -> SafeString:
    """What the moving map's script reads."""
    told = {
        "legs": moving.legs,
        "halts": moving.halts,
        "names": moving.names,
        "credit": gettext(moving.credit) if moving.credit else "",
    }
    return json_script(told, f"way-{run_id}")
