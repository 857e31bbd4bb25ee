"""Words of the sale in the reader's language: woods, dryness, amounts, lines of a price."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext, ngettext

from firewood_site.pictures import stack_picture
from firewood_site.wood_words import DRYNESS, STATES, WOODS, amount_in_words, wood_title
from orders.core.languages import want_words
from orders.core.places import place_rule
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


@register.simple_tag(takes_context=True)
def stack_svg(context: Any, cords: Any, key: str, with_person: bool = True) -> SafeString:
    """The drawn stack for an amount."""
    size = Fraction(cords)
    rows = size * 3
    label = gettext("%(amount)s of firewood, drawn to scale: %(rows)s rows 8 feet long and 4 feet high") % {
        "amount": amount_in_words(size, context.get("business")),
        "rows": _plain(rows),
    }
    return mark_safe(stack_picture(size, label=label, key=key, with_person=with_person))


def _plain(rows: Fraction) -> str:
    return f"{Decimal(rows.numerator) / Decimal(rows.denominator):.1f}".removesuffix(".0")
