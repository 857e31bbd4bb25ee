"""Lots drawn as rows of log ends."""

from collections.abc import Iterable
from fractions import Fraction

from django import template
from django.utils.safestring import SafeString, mark_safe

from firewood_site.templatetags.firewood import stocked
from inventory.core.charts.piles import Pile, cords_a_log, pile_bar
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
    return mark_safe(pile_bar(parts, a_log=each, title=f"{row.code}: {stocked(row.on_hand)} on hand"))
