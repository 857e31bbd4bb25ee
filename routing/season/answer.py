"""Advice as plain values that can be kept and shown: names for keys, dollars and hours rounded.

What adds up on the page adds up here: rows are rounded so that their sum is the figure they explain.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from routing.season.advice import DECISIONS, Advice, LotDecision, WorkDecision
from routing.season.block import AHEAD_PERIODS
from routing.season.course import (
    LEAST_CORDS,
    far_trips,
    lived_side_by_side,
    per_hour,
    periods_of,
    start_of,
    ways,
    wood_balance,
)
from routing.season.ledger import Ledger, What
from routing.season.lines import CENT, Row, grouped, lines, rounded, sum_of, work_lines
from routing.season.one_more import Kind, OneMore
from routing.season.plan import SeasonPlan
from routing.season.problem import GREEN, SEASONED, Ground, Season, Step
from routing.season.questions import PriceEffect, Relief
from routing.season.who import who_does_what

LEAST_ACRES = 0.02


def october_of(starts: Sequence[date]) -> int:
    """The period by which one more dry cord is priced: the first that begins in October."""
    return next((i for i, day in enumerate(starts) if day.month == 10), 0)


def answer_of(
    advice: Advice,
    season: Season,
    *,
    starts: Sequence[date],
    names: Mapping[str, str],
    rests_on: Sequence[tuple[str, str]],
    lived: Mapping[str, Ledger],
    prices: Sequence[PriceEffect] = (),
    relief: Sequence[Relief] = (),
) -> dict[str, Any]:
    """What is kept of an advice; JSON only.

    Shapes and units
        gaps: "hours", "sales" and "wood" where the books know none. decisions, more: worth most first,
        dollars, `lines` that add up to them and `work` that adds up to their hours; money: the net line by
        line; ways: the scenarios; periods: one row each with hours by step, money by column, cords by state
        and by market; net, per_hour: low, likely, high; lived: dollars of the likely year by way of deciding,
        line by line; demand: cords of the season by market and wood; one_more: an hour by period, a dry cord,
        a row, a day; wood: cords from where to where; ground: acres to thin and when; next_dry: by wood, the
        day the next of it is dry as the plan treats it, and which lot; slash_late: acres by ground; who: this
        week's hours by person, piece by piece, that add up to the week's.
    """
    plan = advice.plan
    work = [_work(decision, starts, names) for decision in advice.work]
    lots = [_lot(decision, season, starts, names) for decision in advice.lots if decision.choice != "leave"]
    decisions = sorted(work + lots, key=lambda row: (not row.get("keeps"), -row["dollars"]))
    money = lines({part: line for part, line in plan.money.items() if part.what != What.HOURS}, names)
    net, courses = sum_of(money), ways(plan)
    left = sum_of([row for row in money if row["what"] == What.LEFT])
    periods = periods_of(plan, season, starts, to=net - left)
    steps = {str(step): sum(row.hours[step] for row in plan.periods) for step in Step}
    hours = rounded([*steps.values()])
    shares = (season.demand_factor.low, season.demand_factor.likely, season.demand_factor.high)
    return {
        "gaps": _gaps(season),
        "decisions": decisions[:DECISIONS],
        "more": decisions[DECISIONS:],
        "money": money,
        "left": left,
        "net": [min(row["net"] for row in courses), net, max(row["net"] for row in courses)],
        "per_hour": per_hour(net, sum(hours), courses),
        "hours": sum(hours),
        "hours_by_step": [[step, spent] for step, spent in zip(steps, hours, strict=True) if spent],
        "ways": courses,
        "weeks": sum(season.lengths),
        **lived_side_by_side(lived, names),
        "periods": periods,
        "who": who_does_what(
            plan, season, names, hours=periods[0]["hours"], tended=[row.lot for row in advice.lots]
        ),
        "one_more": [_one_more(row, season, starts, names) for row in advice.more],
        "far": far_trips(plan, season, starts),
        "wood": wood_balance(plan, season, starts),
        "demand": [
            {"market": market.key, "kind": kind, "dryness": dryness, "dollars": price}
            | dict(zip(("low", "likely", "high"), (round(asked * share, 1) for share in shares), strict=True))
            for market in season.markets
            for (kind, dryness), price in market.price.items()
            if (asked := sum(market.demand.get((kind, dryness), ())))
        ],
        "guesses": [
            {
                "name": effect.name,
                "ends": [["low", grouped(effect.low)], ["high", grouped(effect.high)]],
                "changes_week": effect.changes_week,
            }
            for effect in advice.guesses
        ],
        "short": {name: round(cords, 2) for name, cords in plan.short.items() if cords > 0.01},
        "cash_short": round(plan.cash_short),
        "relief": [[relieved.what, round(relieved.amount, 2)] for relieved in relief],
        "prices": [
            {"pct": effect.pct, "cords": round(effect.cords, 1)} | grouped(effect.money) for effect in prices
        ],
        "ground": sorted(
            (
                _ground(ground, plan, starts, lines(advice.ground[ground.key], names))
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
        "next_dry": next_dry(season, plan, starts),
        "rests_on": [list(row) for row in rests_on],
    }


def _gaps(season: Season) -> list[str]:
    """What no season gets anywhere without."""
    hours = any(any(person.hours) for person in season.people)
    sales = season.promises or any(any(row) for market in season.markets for row in market.demand.values())
    wood = season.lots or season.rounds or any(ground.acres for ground in season.grounds)
    return [name for name, there in (("hours", hours), ("sales", sales), ("wood", wood)) if not there]


def _work(decision: WorkDecision, starts: Sequence[date], names: Mapping[str, str]) -> dict[str, Any]:
    rows, amount = lines(decision.gains, names), round(decision.amount, 2)
    return {
        "kind": "work",
        "steps": [str(step) for step in decision.steps],
        "target": decision.target,
        **_where(decision.target, names),
        "is_green": decision.target.endswith(f"@{GREEN}"),
        "hours": round(decision.hours, 1),
        "amount": amount,
        "is_acres": decision.steps[0] in (Step.FELL, Step.SLASH),
        "dollars": sum_of(rows),
        "lines": rows,
        "work": work_lines(decision.parts, hours=decision.hours, amount=amount, names=names),
        "keeps": list(decision.keeps),
        "begins": starts[decision.begins].isoformat() if decision.begins else "",
        "until": starts[AHEAD_PERIODS].isoformat() if len(starts) > AHEAD_PERIODS else "",
    }


def _lot(
    decision: LotDecision, season: Season, starts: Sequence[date], names: Mapping[str, str]
) -> dict[str, Any]:
    lot = next(row for row in season.lots if row.key == decision.lot)
    taken, instead = (
        next(choice for choice in lot.choices if choice.key == key)
        for key in (decision.choice, decision.instead)
    )
    rows = lines(decision.gains, names)
    return {
        "kind": "lot",
        "lot": lot.key,
        "name": names.get(lot.key, lot.name),
        "cords": round(lot.cords, 2),
        "choice": taken.name,
        "instead": instead.name,
        "hours": round(taken.hours, 1),
        "dry": [start_of(c.ready[1], starts) if c.becomes == SEASONED else "" for c in (taken, instead)],
        "dollars": sum_of(rows),
        "lines": rows,
    }


def _one_more(
    row: OneMore, season: Season, starts: Sequence[date], names: Mapping[str, str]
) -> dict[str, Any]:
    found = lines(row.gains, names, unit=CENT if row.kind == Kind.HOUR else 1.0)
    return {
        "kind": str(row.kind),
        "name": names.get(row.name, row.name),
        "from": starts[row.period].isoformat(),
        "weeks": season.lengths[row.period],
        "dollars": sum_of(found),
        "lines": found,
        "keeps": list(row.keeps),
        "used": round(row.used, 1),
        "of": round(row.of, 1),
    }


def _ground(ground: Ground, plan: SeasonPlan, starts: Sequence[date], worth: list[Row]) -> dict[str, Any]:
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
        "dollars": sum_of(worth),
        "lines": worth,
        "cleared": round(sum(cleared), 2),
        "slash_from": slash_begins,
        "slash_until": slash_ends,
        "share_until": "" if ground.cost_share_until is None else start_of(ground.cost_share_until, starts),
    }


def _weeks(amounts: Sequence[float], starts: Sequence[date]) -> tuple[str, str]:
    """The first day with some of it and the day it is over; empty = none, or past the season."""
    busy = [period for period, done in enumerate(amounts) if done > LEAST_ACRES]
    return (start_of(busy[0], starts), start_of(busy[-1] + 1, starts)) if busy else ("", "")


def next_dry(season: Season, plan: SeasonPlan, starts: Sequence[date]) -> list[list[str]]:
    """By wood, the first day more of it may be promised, the lot, and how the plan treats it.

    Wood it splits is known by its period only: it is safe once that is over, never from its first day.
    """
    found: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for lot in season.lots:
        choice = next(c for c in lot.choices if c.key == plan.choices[lot.key])
        ready = choice.ready[1]
        if choice.becomes == SEASONED and 0 < ready < season.periods:
            day = choice.sure_on or start_of(ready + 1, starts)
            if day:
                found[lot.kind].append((day, lot.key, "" if choice.key == "leave" else choice.name))
    for (kind, yard), cords in plan.made.items():
        for period, (_, sure, _) in enumerate(season.ready[kind, yard]):
            if cords[period] > LEAST_CORDS and sure < season.periods - 1:
                found[kind].append((start_of(sure + 1, starts), "", ""))
    return [[kind, *min(days)] for kind, days in sorted(found.items())]


def _where(target: str, names: Mapping[str, str]) -> dict[str, str]:
    """A ground or lot by its name; or a kind of wood at a yard, and where it is moved to."""
    if "@" not in target:
        return {"name": names.get(target, "")}
    kind, yard, *more = target.split("@")
    to = names.get(more[1], more[1]) if len(more) > 1 else ""
    return {"wood": kind, "yard": names.get(yard, yard), "to": to}
