"""Words of the season ahead: its work, its money line by line, days kept as text, and where entries are."""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from django import template
from django.urls import reverse

from firewood_site.templatetags.firewood import cords as cords_words
from firewood_site.templatetags.firewood import stocked
from firewood_site.templatetags.measures import acres
from firewood_site.templatetags.selling import sold_as, wood_name
from inventory.core.dates import month_day
from inventory.core.local import local, whole_money
from inventory.core.units import SAID
from inventory.selectors.spoken import full_date

register = template.Library()

STEPS = {
    "fell": "fell and buck", "haul": "haul rounds", "split": "split", "stack": "stack",
    "tend": "cover or spread", "move": "move wood", "slash": "clear slash", "deliver_near": "deliver near",
    "deliver_far": "deliver far", "spare": "spare, should it go slower", "demand": "what the towns buy",
    "drying": "how fast wood dries", "yields": "cords an acre",
}  # fmt: skip
RELIEFS = {
    "hands": "somebody who saws or drives too",
    "hours": "{amount:g} more hours a week",
    "wood": "{cords} bought in, ready to deliver",
    "trips": "{amount:g} more far trips in each period",
    "days": "rig days up by {amount:g} a week",
    "bans": "the closures lifted",
    "room": "more room in the yards",
    "cash": "{money} more cash on hand, or a bill moved",
}
PARTS = {
    "drive": "driving {name}", "trip": "far loads on the road", "fell": "felling, {name}",
    "share": "cost-share, {name}", "move": "wood moved between yards", "treat": "treating {name}",
    "hours": "hours, at what they earn elsewhere", "small": "small changes",
}  # fmt: skip
LEFT = {"seasoned": "dry or drying", "green": "green", "rounds": "rounds"}
UNITS = {"trip": "trip", "fell": "acre", "share": "acre", "hours": "hour"}


@register.filter
def season_step(key: Any) -> str:
    """A step or a guess of the season planner, in words."""
    return STEPS.get(str(key), str(key))


@register.filter
def season_work(steps: Sequence[str]) -> str:
    """Steps in one breath: "fell, buck and clear slash"."""
    words = [word for step in steps for word in STEPS[step].split(" and ")]
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


@register.filter
def promised_pay(row: Mapping[str, Any]) -> int:
    """What the promised orders of a decision pay, before any drive."""
    return sum(line["dollars"] for line in row["lines"] if line.get("order") in row["keeps"])


@register.filter
def drivers_named(people: Sequence[Mapping[str, Any]]) -> bool:
    """Whether a day already planned says who drives some of the week's work."""
    return any(row.get("driver") for person in people for row in person["rows"])


@register.filter
def about_cords(amount: Any) -> str:
    """Cords as the trade says them: "3 3/4 cords", "about 1 1/8 cords"; measured where meters are counted."""
    exact = Fraction(str(amount))
    if local().is_metric:
        return cords_words(exact)
    whole, rest = divmod(exact, 1)
    near = min((Fraction(0), *sorted(SAID), Fraction(1)), key=lambda share: abs(share - rest))
    said = whole + near
    if not said:
        return stocked(amount)
    return cords_words(said) if abs(said - exact) < Fraction(1, 100) else f"about {cords_words(said)}"


@register.filter
def relief_words(pair: Any) -> str:
    """Something that alone would keep every promise and bill."""
    what, amount = pair
    return RELIEFS[what].format(amount=amount, money=whole_money(amount), cords=about_cords(amount))


@register.filter
def iso_day(text: Any, on: date) -> str:
    """A day kept as text, 2026-10-01, as readers write it; with its year where a day's is another."""
    day = date.fromisoformat(str(text))
    return month_day(day) if day.year == on.year else full_date(day)


@register.filter
def part_words(row: Mapping[str, Any]) -> str:
    """What a line of money or work is for."""
    what = row.get("what", "")
    wood = sold_as(row["kind"], row["dryness"]) if row.get("kind") and row.get("dryness") else ""
    if what == "sale":
        return f"{wood}, order {row['order']}" if row["order"] else f"{wood}, sold {row['name']}"
    if what == "left":
        return f"left at the end: {wood_name(row['kind'])}, {LEFT[row['name']]}"
    if what:
        return PARTS[what].format(name=row.get("name", ""))
    if wood:
        return f"{wood}, order {row['order']}" if row["order"] else f"{wood}, whoever asks"
    return "the drive there and back" if row["step"] == "deliver_far" else STEPS[row["step"]]


@register.filter
def piece_words(row: Mapping[str, Any]) -> str:
    """One piece of somebody's week: the step, and the order, lot, ground or yard."""
    if "order" in row:
        return (
            f"{STEPS[row['step']]}: order {row['order']}"
            if row["order"]
            else f"{STEPS[row['step']]}: whoever asks"
        )
    if row.get("lot"):
        where = f"{row['name']} ({row['lot']})"
    elif row.get("yard"):
        where = f"{wood_name(row['wood'])} at {row['yard']}"
    else:
        where = row.get("name", "")
    step = f"move wood to {row['to']}" if row.get("to") else STEPS[row["step"]]
    return f"{step}{': ' if where else ''}{where}{', to sell green' if row.get('is_green') else ''}"


@register.filter
def part_amount(row: Mapping[str, Any]) -> str:
    """How much of it: cords, acres, trips or hours."""
    amount = row.get("amount")
    if not amount:
        return ""
    unit = UNITS.get(row.get("what", "")) or ("acre" if row.get("step") in ("fell", "slash") else "")
    if not unit:
        return stocked(amount) if amount > 0 else f"−{stocked(-amount)}"
    if unit == "acre":
        return acres(amount).replace("-", "−")
    return f"{amount:g} {unit}{'' if amount == 1 else 's'}".replace("-", "−")


@register.simple_tag
def part_page(row: Mapping[str, Any]) -> str:
    """Where the entries behind a line are."""
    if row.get("order"):
        return reverse("order", args=[row["order"]])
    target, what = str(row.get("target", "")), row.get("what", "")
    if target.startswith("ground "):
        return f"{reverse('acre-sheet')}?unit={target.removeprefix('ground ')}"
    if what == "treat":
        return reverse("lot", args=[target])
    pages = {"sale": "prices", "drive": "haul", "trip": "haul", "left": "stock", "move": "yards"}
    return reverse(pages[what]) if what in pages else ""


@register.simple_tag
def decision_page(row: Mapping[str, Any]) -> str:
    """Where the entries behind one of the week's decisions, or a piece of somebody's week, are."""
    if row.get("order"):
        return reverse("order", args=[row["order"]])
    if row.get("lot"):
        return reverse("lot", args=[row["lot"]])
    target = str(row.get("target", ""))
    if target.startswith("ground "):
        return f"{reverse('acre-sheet')}?unit={target.removeprefix('ground ')}"
    return reverse("orders") if target in ("near", "far") else reverse("stock")
