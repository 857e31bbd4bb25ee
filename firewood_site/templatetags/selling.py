"""Words of the sale in the reader's language: woods, dryness, amounts, lines of a price."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext, ngettext

from firewood_site.pictures import stack_picture
from firewood_site.templatetags.firewood import ISO_DAY, day_with_year
from firewood_site.wood_words import DRYNESS, STATES, WOODS, amount_in_words, wood_title
from inventory.core.units import convert
from orders.core.languages import language_table, loose_words, want_words
from orders.core.places import GENERAL_RULE, place_rule
from orders.core.wants import How, Want

register = template.Library()


@register.filter
def wood_name(key: Any) -> str:
    return str(WOODS.get(str(key), str(key).replace("_", " ")))


@register.filter
def sold_as(wood: Any, dryness: Any) -> str:
    """A wood under the word it is sold by: {{ choice.wood|sold_as:choice.dryness }}."""
    return wood_title(str(wood), str(dryness))


@register.filter
def dry_name(key: Any) -> str:
    return str(DRYNESS.get(str(key), str(key).replace("_", " ")))


@register.filter
def amount(cords: Any, seller: Any = None) -> str:
    """An amount in the units of the seller's place and the reader's language: {{ x|amount:business }}."""
    return "" if cords in (None, "") else amount_in_words(Fraction(cords), seller)


@register.filter
def loose_amount(ft3: Any, seller: Any) -> str:
    """Loose wood in the units of the seller's place: {{ claim.result.loose_ft3|loose_amount:business }}."""
    rule = place_rule(seller.place_key)
    return loose_words(Decimal(str(ft3)), rule=rule, language=get_language() or "en")


@register.filter
def stack_sides(claim: Any, seller: Any) -> str:
    """A measured stack as its buyer measured it: "22 × 4 ft × 16 in", "6.71 × 1.22 m × 41 cm"."""
    feet = (Fraction(claim.length_ft), Fraction(claim.height_ft))
    if not place_rule(seller.place_key).is_metric:
        long, high = (_plain(size, places=2) for size in feet)
        return (
            f"{long} × {high} {gettext('ft')} × {_plain(Fraction(claim.depth_in), places=2)} {gettext('in')}"
        )
    long, high = (_plain(convert(size, "foot", "meter"), places=2) for size in feet)
    deep = _plain(convert(Fraction(claim.depth_in), "inch", "centimeter"), places=1)
    return f"{long} × {high} m × {deep} cm"


@register.filter
def state_name(state: Any) -> str:
    return str(STATES.get(str(state), state))


@register.filter
def ordered(thing: Any, seller: Any) -> str:
    """What a quote or an order is for, in the reader's language: {{ order|ordered:business }}."""
    want = Want(
        wood=thing.wood,
        market=thing.market,
        cords=thing.cords,
        bundles=thing.bundles,
        dryness=thing.dryness,
        how=How.PICK_UP,
    )
    return want_words(want, rule=place_rule(seller.place_key), language=get_language() or "en")


@register.filter
def bundles_words(count: Any) -> str:
    number = int(count or 0)
    return ngettext("%(n)d bundle", "%(n)d bundles", number) % {"n": number}


@register.filter
def per_cord(seller: Any) -> str:
    """What a price of the sheet is for, in the words of the seller's place: {{ business|per_cord }}."""
    if place_rule(seller.place_key).volume_style == "cords_ft3":
        return gettext("a cord")
    return gettext("for %(amount)s") % {"amount": amount_in_words(Fraction(1), seller)}


@register.filter
def ticket_words(text: Any) -> str:
    """Words a ticket was frozen with, said in the reader's language where we have them."""
    said = ISO_DAY.sub(lambda found: day_with_year(date.fromisoformat(found[0])), str(text))
    if (get_language() or "en").startswith("en"):
        return said
    known = {"seasoned": "seasoned", "part seasoned": "part_seasoned", "green": "green"}
    if said in known:
        return str(DRYNESS[known[said]])
    if said in ("stacked", "thrown off loose", "cash", "check", "transfer", "card"):
        return gettext(said)
    said = said.replace("% (dry basis) on", gettext("% (dry basis) on"))
    said = said.replace("% (wet basis) on", gettext("% (wet basis) on"))
    for english, local in language_table(get_language() or "en")["units"]:
        said = said.replace(english, local)
    return said


@register.simple_tag(takes_context=True)
def place_words(context: Any) -> dict[str, str]:
    """The legal wording of the seller's place in the reader's language, with its source."""
    seller = context.get("business")
    rule = place_rule(seller.place_key if seller else GENERAL_RULE)
    language = get_language() or "en"
    return {
        "statement": rule.statement_in(language),
        "check_local": rule.check_local_in(language),
        "document": rule.document,
        "is_metric": "yes" if rule.is_metric else "",
    }


@register.simple_tag(takes_context=True)
def stack_svg(context: Any, cords: Any, key: str, with_person: bool = True) -> SafeString:
    """The drawn stack for an amount."""
    size = Fraction(cords)
    rows = size * 3
    label = gettext("%(amount)s of firewood beside a person, drawn to scale; rows of it: %(rows)s") % {
        "amount": amount_in_words(size, context.get("business")),
        "rows": _plain(rows),
    }
    return mark_safe(stack_picture(size, label=label, key=key, with_person=with_person))


def _plain(size: Fraction, *, places: int = 1) -> str:
    """A number with no more decimals than it needs."""
    said = f"{Decimal(size.numerator) / Decimal(size.denominator):.{places}f}"
    return said.rstrip("0").removesuffix(".") if "." in said else said
