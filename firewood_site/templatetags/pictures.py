"""Drawings of wood on a page: lots as rows of log ends, stacks to scale, lanes."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from firewood_site.pictures import bundles_picture, lane_picture, logs_picture, stack_picture
from firewood_site.templatetags.firewood import stocked
from firewood_site.templatetags.selling import plain
from firewood_site.wood_words import amount_in_words, wood_word
from inventory.core.charts.piles import Pile, cords_a_log, pile_bar
from inventory.core.woods import Wood
from inventory.selectors.stock import LotRow

register = template.Library()


@register.filter
def a_log(rows: Iterable[LotRow]) -> Fraction:
    """How many cords a log end stands for in the rows of a page."""
    return cords_a_log(max((row.on_hand for row in rows), default=Fraction(0)))


@register.simple_tag
def pile(row: LotRow, each: Fraction) -> SafeString:
    """One lot as a row of log ends."""
    is_for_sale = row.sale == "for_sale"
    left = max(row.open, Fraction(0))
    parts = Pile(
        sale=left if is_for_sale else Fraction(0),
        later=Fraction(0) if is_for_sale else left,
        soft=row.soft,
        firm=row.firm,
        kept=row.kept,
    )
    title = gettext("{lot}: {cords} on hand").format(lot=row.code, cords=stocked(row.on_hand))
    return mark_safe(pile_bar(parts, a_log=each, title=title))


@register.simple_tag(takes_context=True)
def stack_svg(context: Any, cords: Any, key: str, most: Any = None, with_pickup: bool = False) -> SafeString:
    """The drawn stack for an amount, to one scale with the largest it stands among."""
    size = Fraction(cords)
    if with_pickup:
        text = gettext(
            "%(amount)s of firewood beside a person and a pickup, drawn to scale; rows of it: %(rows)s"
        )
    else:
        text = gettext("%(amount)s of firewood beside a person, drawn to scale; rows of it: %(rows)s")
    label = text % {"amount": amount_in_words(size, context.get("business")), "rows": plain(size * 3)}
    largest = Fraction(most) if most else None
    return mark_safe(stack_picture(size, label=label, key=key, most=largest, with_pickup=with_pickup))


@register.simple_tag
def wood_svg(wood: Any, key: Any) -> SafeString:
    """A wood as it lies at the yard: a stack in its own tone, whole logs, or tied bundles."""
    label = wood_word(str(wood))
    if wood == Wood.LOGS:
        return mark_safe(logs_picture(label=label))
    if wood == Wood.KINDLING:
        return mark_safe(bundles_picture(label=label))
    picture = stack_picture(Fraction(1, 3), label=label, key=f"w{key}", with_person=False)
    return mark_safe(picture.replace('"stack-picture"', f'"stack-picture {wood}"', 1))


@register.simple_tag
def lane_svg(key: Any) -> SafeString:
    """The drawing beside the words of a lane's trouble."""
    return mark_safe(lane_picture(str(key)))
