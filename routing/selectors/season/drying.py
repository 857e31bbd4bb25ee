"""When wood will be dry, for the season planner: lots as they lie or are treated, and wood to be split."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from inventory.core.species import slowest_wood
from inventory.drying.engine import Heap
from inventory.drying.forecast import Forecast, forecast
from inventory.drying.history import History, Stage
from inventory.drying.options import SPLIT_SIZE_IN, actions, changed
from inventory.drying.start import likely_start
from inventory.models import Lot, Yard
from inventory.selectors.business import business
from inventory.selectors.drying import HONEST_CHANCE, dry_state, limit_of
from inventory.selectors.histories import history_of
from inventory.selectors.weather import yard_weather
from routing.season.problem import GREEN, Choice, Move
from routing.selectors.heaps.hours import handling
from routing.selectors.season.periods import period_of

PIECE_INCHES = 16.0  # common practice
LOOK_DAYS = 760


def lot_choices(
    lot: Lot, *, on: date, starts: Sequence[date], chance: float, ways: Iterable[tuple[Yard, Move]] = ()
) -> tuple[Choice, ...]:
    """What could be done with a lot of splits today, "leave it" first; wood that is dry is only left.

    Shapes
        ways: yards it could be taken to, each with what a cord takes; those with other air are choices.
    """
    as_it_lies = dry_state(lot, business(), on=on)
    if as_it_lies.is_dry:
        return (Choice(key="leave", name="leave it", ready=(0, 0, 0)),)
    history = history_of(lot, on=on)
    limit, cords = limit_of(lot, history, on=on), float(lot.on_hand_cords)
    days = max((on - history.start.on).days, 0) + LOOK_DAYS

    def choice(key: str, name: str, seen: Forecast, hours: float = 0.0, cash: float = 0.0) -> Choice:
        sure = seen.first_day_with(chance, since=on)
        if key == "leave" and chance == HONEST_CHANCE:
            sure = as_it_lies.honest_on  # the day its own page says
        return Choice(
            key=key, name=name, ready=_periods(seen, starts, chance), hours=hours, cash=cash,
            sure_on=sure.isoformat() if sure else "",
        )  # fmt: skip

    found = [choice("leave", "leave it", forecast(history, limit_pct=limit, days=days))]
    for action in actions(history.now):
        if len(action.keys) > 2 or "split" in action.keys:
            continue
        after = forecast(changed(history, action, on), limit_pct=limit, days=days)
        found.append(
            choice(
                "+".join(action.keys),
                action.text,
                after,
                hours=sum(float(handling()[key.removeprefix("lay:")].likely) for key in action.keys) * cords,
                cash=float(handling()["tarp"].likely) * cords if "cover" in action.keys else 0.0,
            )
        )
    for yard, way in ways:
        source = yard_weather(yard)
        if source != history.now.source:
            there = Stage(from_on=on, heap=history.now.heap, source=source)
            moved = replace(history, stages=(*history.stages, there))
            seen = forecast(moved, limit_pct=limit, days=days)
            one = choice(
                f"move:{yard.pk}", f"take it to {yard.name}", seen, way.hours * cords, way.cash * cords
            )
            found.append(replace(one, yard=str(yard.pk)))
    sooner = [found[0], *(choice for choice in found[1:] if choice.ready < found[0].ready)]
    sooner.append(Choice(key="green", name="sell it green", ready=(0, 0, 0), becomes=GREEN))
    return tuple(sooner)


def split_ready(
    mix: Mapping[str, float], yard: Yard, *, starts: Sequence[date], chance: float
) -> tuple[tuple[int, int, int], ...]:
    """For wood split in each period and laid in a low heap under a top cover, the period it is dry by."""
    source = yard_weather(yard)
    wood = slowest_wood(mix)
    heap = Heap(
        gravity=wood.specific_gravity.value, is_softwood=wood.group == "softwood", shape="split",
        size_in=SPLIT_SIZE_IN, length_in=PIECE_INCHES, has_bark=False, lies="low_heap", cover="top",
    )  # fmt: skip
    found = []
    for start in starts:
        begin = likely_start(
            mix, shape="split", size_in=SPLIT_SIZE_IN, on=start, felled_on=None, source=source
        )
        history = History(start=begin, stages=(Stage(from_on=start, heap=heap, source=source),))
        ready = _periods(forecast(history, days=LOOK_DAYS), starts, chance)
        found.append(ready)
    return tuple(found)


def _periods(seen: Forecast, starts: Sequence[date], chance: float) -> tuple[int, int, int]:
    """The periods from which wood counts as dry: half of such lots are, as many as the seller wants, 90%."""
    sure = seen.first_day_with(chance, since=max(starts[0], seen.days[0]))
    fast, likely, slow = (
        len(starts) if day is None else period_of(day + timedelta(days=1), starts)
        for day in (seen.likely, sure, seen.late)
    )
    return min(fast, likely), likely, max(likely, slow)  # never sooner than as sure as the seller wants
