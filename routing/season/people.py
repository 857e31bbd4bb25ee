"""Who can do what: which hours by step people can be given, and how much of them is still free.

Hours by step can be handed out to people exactly when, for every set of steps, they fit the hours of those
who do any of them. So a program needs a row for each such set and no column for each person, and loses
nothing by it. Of the sets only those are kept that others do not imply.

Source
    Max-flow min-cut: Ford and Fulkerson 1956, Canadian Journal of Mathematics 8: 399-404; supply and demand:
    Gale 1957, Pacific Journal of Mathematics 7(2): 1073-1082. Cited from memory.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf

from routing.season.problem import Season, Step

SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Hours of all these steps together fit this share of each person's hours."""

    steps: frozenset[Step]
    shares: tuple[float, ...]

    def hours(self, offered: Sequence[float]) -> float:
        return sum(share * hours for share, hours in zip(self.shares, offered, strict=True))


def limits(season: Season, period: int) -> tuple[Limit, ...]:
    """The rows that hours by step have to keep in a period, whatever hours people offer in it."""
    return _limits(
        tuple(person.steps for person in season.people),
        tuple(season.share_allowed(step, period) for step in Step),
    )


def offered(season: Season, period: int) -> tuple[float, ...]:
    """Hours each person offers in a period."""
    return tuple(person.hours[period] for person in season.people)


@lru_cache(maxsize=256)
def _limits(skills: tuple[frozenset[Step], ...], allowed: tuple[float, ...]) -> tuple[Limit, ...]:
    share_of = dict(zip(Step, allowed, strict=True))
    alike: defaultdict[tuple[object, ...], list[Step]] = defaultdict(list)
    for step in Step:  # steps the same people do at any time are one
        who = tuple(step in skill for skill in skills)
        alike[(who,) if share_of[step] >= 1.0 else (who, step)].append(step)
    classes = tuple(frozenset(steps) for steps in alike.values())

    def shares(chosen: Iterable[int]) -> tuple[float, ...]:
        steps = [step for number in chosen for step in classes[number]]
        return tuple(min(1.0, sum(share_of[step] for step in steps if step in skill)) for skill in skills)

    found: dict[frozenset[int], tuple[float, ...]] = {}
    for size in range(1, len(classes) + 1):
        for chosen in combinations(range(len(classes)), size):
            whole = shares(chosen)
            if not any(_same(whole, _added(shares(a), shares(b))) for a, b in _in_two(chosen)):
                found[frozenset(chosen)] = whole
    return tuple(
        Limit(steps=frozenset[Step]().union(*(classes[number] for number in chosen)), shares=whole)
        for chosen, whole in found.items()
        if not any(chosen < other and _same(whole, more) for other, more in found.items())
    )


def _in_two(chosen: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Every way to part some things in two, each once."""
    first, *rest = chosen
    for size in range(len(rest)):
        for beside in combinations(rest, size):
            yield (first, *beside), tuple(number for number in rest if number not in beside)


def _added(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(a + b for a, b in zip(one, other, strict=True))


def _same(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(a - b) <= SAME for a, b in zip(one, other, strict=True))


class HoursLeft:
    """Hours of a period as they are spent, step by step: what people can still be given."""

    def __init__(self, season: Season, period: int, found: float) -> None:
        hours = tuple(each * found for each in offered(season, period))
        self._rows = {limit.steps: limit.hours(hours) for limit in limits(season, period)}

    def units(self, each: Mapping[Step, float]) -> float:
        """How much can still be done of something that takes these hours a unit; below zero where too much
        was spent."""
        return min(
            (
                left / takes
                for steps, left in self._rows.items()
                if (takes := sum(hours for step, hours in each.items() if step in steps)) > 0
            ),
            default=inf,
        )

    def spend(self, step: Step, hours: float) -> None:
        for steps in self._rows:
            if step in steps:
                self._rows[steps] -= hours
