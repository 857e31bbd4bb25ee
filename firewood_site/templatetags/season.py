"""Words of the season ahead: steps, days kept as text, and where a decision's entries are."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import template
from django.urls import reverse

from inventory.core.dates import month_day
from inventory.core.local import whole_money
from inventory.selectors.spoken import full_date

register = template.Library()

STEPS = {
    "fell": "fell and buck", "haul": "haul rounds", "split": "split", "stack": "stack or heap",
    "tend": "cover or spread", "move": "move wood", "slash": "clear slash", "deliver_near": "deliver near",
    "deliver_far": "deliver far", "demand": "what the towns buy", "drying": "how fast wood dries",
    "yields": "cords an acre",
}  # fmt: skip
RELIEFS = {
    "hours": "{amount:g} more hours a week",
    "wood": "{amount:.2f} cords bought in, ready to deliver",
    "trips": "{amount:g} more far trips in each period",
    "days": "rig days up by {amount:g} a week",
    "bans": "the closures lifted",
    "room": "more room in the yards",
    "cash": "{money} more cash on hand, or a bill moved",
}


@register.filter
def season_step(key: Any) -> str:
    """A step or a guess of the season planner, in words."""
    return STEPS.get(str(key), str(key))


@register.filter
def relief_words(pair: Any) -> str:
    """Something that alone would keep every promise and bill."""
    what, amount = pair
    return RELIEFS[what].format(amount=amount, money=whole_money(amount))


@register.filter
def iso_day(text: Any, on: date) -> str:
    """A day kept as text, 2026-10-01, as readers write it; with its year where a day's is another."""
    day = date.fromisoformat(str(text))
    return month_day(day) if day.year == on.year else full_date(day)


@register.simple_tag
def decision_page(row: Mapping[str, Any]) -> str:
    """Where the entries behind one of the week's decisions are."""
    if row.get("kind") == "lot":
        return reverse("lot", args=[row["lot"]])
    target = str(row.get("target", ""))
    if target.startswith("ground "):
        return f"{reverse('acre-sheet')}?unit={target.removeprefix('ground ')}"
    return reverse("orders") if target in ("near", "far") else reverse("stock")
