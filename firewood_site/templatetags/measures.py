"""Weights, lengths, heaps, ground and heat in the units of the seller's place."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.utils.translation import gettext

from inventory.core.local import local, to_the_cent
from inventory.core.local_measures import MEASURES, bare_here, unit_here

register = template.Library()


@register.simple_tag
def is_metric() -> bool:
    """Whether the place counts in meters."""
    return local().is_metric


@register.filter
def lb(weight: Any) -> str:
    """A weight in the unit of the place: "5,100 lb", "2,313 kg"."""
    return measured(weight, "lb")


@register.filter
def ft3(volume: Any) -> str:
    """Loose or solid wood in the unit of the place: "180 ft³", "5.1 m³"."""
    return measured(volume, "ft3")


@register.filter
def measured(amount: Any, kept: str) -> str:
    """What the books keep in lb, ft, in, ft3 or mph, as the place reads it: {{ piece|measured:"in" }}."""
    if amount is None or amount == "":
        return ""
    return f"{bare_here(amount, kept)} {gettext(unit_here(kept))}"


@register.filter
def bare(amount: Any, kept: str) -> str:
    """The figure alone, beside another with its unit or below a head that says it."""
    return "" if amount is None or amount == "" else bare_here(amount, kept)


@register.filter
def acres(amount: Any) -> str:
    """Ground in the unit of the place: "1.5 acres", "1 acre", "0.61 ha"."""
    text = measured(amount, "acre")
    return text.removesuffix("s") if text.startswith("1 ") else text


@register.filter
def by_ground(rate: Any) -> Any:
    """What an acre holds, costs or takes, by the hectare where the place counts those."""
    if rate is None or rate == "" or not local().is_metric:
        return rate
    return Fraction(str(rate)) * MEASURES["by_acre"].each


@register.filter
def heat_rate(dollars: Any) -> str:
    """What heat costs, a million Btu or 100 kWh of it: "$19.33 a million", "€6.60 for 100 kWh"."""
    if dollars in (None, ""):
        return ""
    if not local().is_metric:
        return f"{to_the_cent(dollars)} a million"
    each = MEASURES["mbtu"].each
    return f"{to_the_cent(Decimal(str(dollars)) * 100 * each.denominator / each.numerator)} for 100 kWh"
