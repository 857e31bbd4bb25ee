"""Who does what this week: hours by step and place, given to people; they add up to the week's hours."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from routing.season.hands import Piece, hand_out
from routing.season.lines import TENTH, rounded
from routing.season.plan import SeasonPlan, Task
from routing.season.problem import GREEN, Season, Step

LEAST = 1e-6

type Place = dict[str, Any]


def who_does_what(
    plan: SeasonPlan,
    season: Season,
    names: Mapping[str, str],
    *,
    hours: Mapping[str, float],
    tended: Sequence[str] = (),
) -> list[dict[str, Any]]:
    """Each person's pieces of work: step, lot or ground or order, and hours.

    hours: of the week by step, as they are shown. tended: lots whose treatment is worth most, first.
    """
    pieces: list[tuple[Step, Place, float]] = []
    for name, shown in hours.items():
        step = Step(name)
        places = [*_tended(plan, season, names, tended, shown)] if step == Step.TEND else [
            found for task in plan.tasks if task.step == step for found in _places(task, season, names)
        ]  # fmt: skip
        parts = rounded([spent for _, spent in places], TENTH, to=shown)
        pieces += [(step, place, part) for (place, _), part in zip(places, parts, strict=True) if part]
    work = [Piece(step, round(spent / TENTH), _whose(place, step, season)) for step, place, spent in pieces]
    given = hand_out(season, work)
    found = []
    for number, person in enumerate(season.people):
        rows = [
            {"step": str(step), **place, "hours": round(given[number, what] * TENTH, 1)}
            for what, (step, place, _) in enumerate(pieces)
            if (number, what) in given
        ]
        if person.hours[0] > 0 or rows:
            found.append(
                {
                    "name": person.name,
                    "offered": round(person.hours[0], 1),
                    "hours": round(sum(row["hours"] for row in rows), 1),
                    "rows": rows,
                }
            )
    return found


def _whose(place: Place, step: Step, season: Season) -> int | None:
    """Whoever a planned day names as the driver: the helper of that name, else the seller."""
    if not place.get("driver"):
        return None
    names = [person.name.casefold() for person in season.people]
    driver = place["driver"].casefold()
    who = names.index(driver) if driver in names else 0
    return who if step in season.people[who].steps else None


def _places(task: Task, season: Season, names: Mapping[str, str]) -> Iterator[tuple[Place, float]]:
    """Where a task's hours go: each lot of rounds, each order, else the ground, yard or market as a whole."""
    market = next((market for market in season.markets if market.key == task.target), None)
    if market is not None:
        yield from (
            _orders(task, season) if market.trip_cords is None else [({"target": task.target}, task.hours)]
        )
    elif "@" in task.target:
        kind, yard, *more = task.target.split("@")
        place: Place = {"target": task.target, "wood": kind, "yard": names.get(yard, yard)}
        if task.step == Step.MOVE:
            yield place | {"to": names.get(more[1], more[1])}, task.hours
        else:
            yield from _rounds(task, season, place | {"is_green": GREEN in more}, names)
    else:
        yield {"target": task.target, "name": names.get(task.target, task.target)}, task.hours


def _orders(task: Task, season: Season) -> Iterator[tuple[Place, float]]:
    """Near deliveries by order; hours to spare go with each as its own do."""
    sums: defaultdict[str, float] = defaultdict(float)
    for part in task.parts:
        sums[part.sale.order if part.sale else ""] += part.hours
    whole = sum(sums.values())
    drivers = {promise.name: promise.driver for promise in season.promises if promise.driver}
    for order, spent in sums.items():
        driven = {"driver": drivers[order]} if order in drivers else {}
        yield {"target": task.target, "order": order} | driven, task.hours * spent / whole


def _rounds(
    task: Task, season: Season, place: Place, names: Mapping[str, str]
) -> Iterator[tuple[Place, float]]:
    """Splitting and stacking by the lots of rounds that lie there, as listed; what comes in after them
    is told by its yard. Wood to be kept until dry is split from the first lots, wood to sell green from the
    last."""
    kind, yard, *_ = task.target.split("@")
    lots = [lot for lot in season.rounds if (lot.kind, lot.yard) == (kind, yard)]
    each, left = task.hours / task.amount if task.amount > LEAST else 0.0, task.amount
    for lot in reversed(lots) if place["is_green"] else lots:
        cords = min(lot.cords, left)
        left -= cords
        if cords > LEAST:
            yield place | {"lot": lot.key, "name": names.get(lot.key, lot.name)}, cords * each
    if left > LEAST or not each:
        yield place, left * each if each else task.hours


def _tended(
    plan: SeasonPlan, season: Season, names: Mapping[str, str], tended: Sequence[str], shown: float
) -> Iterator[tuple[Place, float]]:
    """Lots to cover or spread this week, of all that are within the month: those worth most first."""
    order = {key: number for number, key in enumerate(tended)}
    left = shown
    for lot in sorted(season.lots, key=lambda lot: order.get(lot.key, len(order))):
        choice = next(c for c in lot.choices if c.key == plan.choices[lot.key])
        spent = min(choice.hours, left)
        left -= spent
        if spent > LEAST:
            yield {"lot": lot.key, "name": names.get(lot.key, lot.name), "choice": choice.name}, spent
