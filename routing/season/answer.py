"""Advice as plain values that can be kept and shown: names for keys, dollars and hours rounded."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from routing.season.advice import DECISIONS, Advice
from routing.season.block import AHEAD_PERIODS
from routing.season.plan import SeasonPlan
from routing.season.problem import GREEN, SEASONED, Ground, Season, Step
from routing.season.questions import PriceEffect, Relief

LEAST_ACRES = 0.02
LEAST_CORDS = 0.05


def answer_of(
    advice: Advice,
    season: Season,
    *,
    starts: Sequence[date],
    names: Mapping[str, str],
    rests_on: Sequence[tuple[str, str]],
    lived: Mapping[str, float],
    prices: Sequence[PriceEffect] = (),
    relief: Sequence[Relief] = (),
) -> dict[str, Any]:
    """What is kept of an advice; JSON only.

    Shapes and units
        decisions: worth most first, dollars; periods: one row each with hours by step, cords by state and by
        market; net, per_hour: low, likely, high; hour_price: dollars an hour by period; lived: dollars of the
        likely year by way of deciding; ground: acres to thin and when; next_dry: by wood, the day the next
        of it is dry as the plan treats it, split wood and wood to be split; slash_late: acres by ground.
    """
    plan = advice.plan
    work = [
        {
            "kind": "work",
            "steps": [str(step) for step in decision.steps],
            "where": _where(decision.target, names),
            "target": decision.target,
            "is_green": decision.target.endswith(f"@{GREEN}"),
            "hours": round(decision.hours, 1),
            "amount": round(decision.amount, 2),
            "is_acres": decision.steps[0] in (Step.FELL, Step.SLASH),
            "dollars": round(decision.worth),
            "keeps": list(decision.keeps),
            "begins": starts[decision.begins].isoformat() if decision.begins else "",
            "until": starts[AHEAD_PERIODS].isoformat() if len(starts) > AHEAD_PERIODS else "",
        }
        for decision in advice.work
    ]
    lots = [
        {
            "kind": "lot",
            "lot": decision.lot,
            "where": names.get(decision.lot, decision.lot),
            "choice": _choice_name(season, decision.lot, decision.choice),
            "instead": _choice_name(season, decision.lot, decision.instead),
            "dollars": round(decision.worth),
        }
        for decision in advice.lots
        if decision.choice != "leave"
    ]
    decisions = sorted(work + lots, key=lambda row: (not row.get("keeps"), -row["dollars"]))  # type: ignore[operator]
    october = next((i for i, day in enumerate(starts) if day.month == 10), 0)
    return {
        "decisions": decisions[:DECISIONS],
        "more": decisions[DECISIONS:],
        "net": [round(advice.net_low), round(plan.mean_net), round(advice.net_high)],
        "per_hour": [round(value, 2) for value in advice.per_hour],
        "hours": round(plan.mean_hours),
        "weeks": sum(season.lengths),
        "lived": {name: round(net) for name, net in lived.items()},
        "periods": [
            {
                "from": start.isoformat(),
                "weeks": weeks,
                "hours": {str(step): round(hours, 1) for step, hours in row.hours.items() if hours > 0.05},
                "all_hours": round(sum(row.hours.values()), 1),
                SEASONED: round(row.seasoned_cords, 2),
                "drying": round(row.drying_cords, 2),
                GREEN: round(row.green_cords, 2),
                "rounds": round(row.rounds_cords, 2),
                "sold": {key: round(cords, 2) for key, cords in row.sold.items()},
                "net": round(row.net),
                "hour_price": round(price, 2),
            }
            for start, weeks, row, price in zip(
                starts, season.lengths, plan.periods, plan.hour_price, strict=True
            )
        ],
        "cord_by": starts[october].isoformat(),
        "cord_price": _best_by_kind({key: row[october] for key, row in plan.cord_price.items()}, names),
        "room_price": [
            {"yard": names.get(key, key), "dollars": round(dollars)}
            for key, dollars in plan.room_price.items()
            if any(yard.key == key and yard.room_cords is not None for yard in season.yards)
        ],
        "trip_price": round(max((max(row) for row in plan.trip_price.values()), default=0.0)),
        "day_price": round(max(plan.day_price, default=0.0)),
        "guesses": [
            {
                "name": effect.name,
                "low": round(effect.net_low),
                "high": round(effect.net_high),
                "changes_week": effect.changes_week,
            }
            for effect in advice.guesses
        ],
        "short": {name: round(cords, 2) for name, cords in plan.short.items() if cords > 0.01},
        "cash_short": round(plan.cash_short),
        "relief": [[relieved.what, round(relieved.amount, 2)] for relieved in relief],
        "prices": [[effect.pct, round(effect.net), round(effect.cords, 1)] for effect in prices],
        "ground": sorted(
            (
                _ground(ground, plan, starts, advice.ground[ground.key])
                for ground in season.grounds
                if ground.acres > LEAST_ACRES or ground.slash_left > LEAST_ACRES
            ),
            key=lambda row: -row["dollars"],
        ),
        "slash_late": [
            {"target": key, "name": names.get(key, key), "acres": round(acres, 2)}
            for key, acres in plan.slash_late.items()
            if acres > LEAST_ACRES
        ],
        "next_dry": _next_dry(season, plan, starts),
        "rests_on": [list(row) for row in rests_on],
    }


def _ground(ground: Ground, plan: SeasonPlan, starts: Sequence[date], worth: float) -> dict[str, Any]:
    """Acres of a ground the plan thins, in which weeks, when its slash goes, and what that is worth."""
    acres, cleared = plan.thinned[ground.key], plan.cleared[ground.key]
    begins, ends = _weeks(acres, starts)
    slash_begins, slash_ends = _weeks(cleared, starts)
    return {
        "target": ground.key,
        "name": ground.name,
        "left": round(ground.acres, 2),
        "thinned": round(sum(acres), 2),
        "from": begins,
        "until": ends,
        "dollars": round(worth),
        "cleared": round(sum(cleared), 2),
        "slash_from": slash_begins,
        "slash_until": slash_ends,
        "share_until": "" if ground.cost_share_until is None else _start(ground.cost_share_until, starts),
    }


def _weeks(amounts: Sequence[float], starts: Sequence[date]) -> tuple[str, str]:
    """The first day with some of it and the day it is over; empty = none, or past the season."""
    busy = [period for period, done in enumerate(amounts) if done > LEAST_ACRES]
    return (_start(busy[0], starts), _start(busy[-1] + 1, starts)) if busy else ("", "")


def _start(period: int, starts: Sequence[date]) -> str:
    return starts[period].isoformat() if period < len(starts) else ""


def _next_dry(season: Season, plan: SeasonPlan, starts: Sequence[date]) -> list[list[str]]:
    """By wood, the first day more of it may be promised: lots as the plan treats them, and what it splits."""
    first: dict[str, int] = {}
    for lot in season.lots:
        choice = next(c for c in lot.choices if c.key == plan.choices[lot.key])
        ready = choice.ready[1]
        if choice.becomes == SEASONED and 0 < ready < season.periods:
            first[lot.kind] = min(ready, first.get(lot.kind, ready))
    for (kind, yard), cords in plan.made.items():
        for period, (_, sure, _) in enumerate(season.ready[kind, yard]):
            if cords[period] > LEAST_CORDS and sure < season.periods:
                first[kind] = min(sure, first.get(kind, sure))
    return [[kind, starts[period].isoformat()] for kind, period in sorted(first.items())]


def _where(target: str, names: Mapping[str, str]) -> str:
    """A ground, a lot, or a kind of wood at a yard, in words."""
    if "@" in target:
        kind, yard, *more = target.split("@")
        if len(more) > 1:  # moved: the state it is in, and the yard it goes to
            return f"{kind}, {names.get(yard, yard)} to {names.get(more[1], more[1])}"
        return f"{kind}, {names.get(yard, yard)}"
    if target in {str(step) for step in Step} or target in ("near", "far"):
        return ""
    return names.get(target, target)


def _choice_name(season: Season, lot: str, choice: str) -> str:
    found = next(row for row in season.lots if row.key == lot)
    return next(option.name for option in found.choices if option.key == choice)


def _best_by_kind(prices: Mapping[tuple[str, str], float], names: Mapping[str, str]) -> list[dict[str, Any]]:
    """One more dry cord by kind, at the yard where it would bring most."""
    best: dict[str, tuple[float, str]] = {}
    for (kind, yard), dollars in prices.items():
        best[kind] = max(best.get(kind, (0.0, "")), (dollars, names.get(yard, yard)))
    return [
        {"kind": kind, "dollars": round(dollars)}
        for kind, (dollars, _) in sorted(best.items())
        if dollars > 0
    ]
