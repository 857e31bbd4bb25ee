"""When a lot will be dry: an ensemble over weather years, start moisture and rate, weighed by its readings.

A lot's history is followed from its start through every way it has lain, so a move, a split or a cover
changes how it goes on and nothing of what is known or unknown of it. All moistures are % dry basis.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from inventory.core.lots import DryDays
from inventory.core.moisture import READY_DRY_PCT, most_water_pct
from inventory.drying.engine import Heap, Response, equilibrium, respond
from inventory.drying.history import FaceReading, History, Sign
from inventory.drying.parameters import figure, normal_scores
from inventory.drying.weather import Source, weather_run

type Floats = NDArray[np.float64]

HORIZON_DAYS = 1100


@dataclass(frozen=True, slots=True)
class Detail:
    """How many weathers and members are followed; each with STARTS starts. `shown`: counted from."""

    scenarios: int
    members: int
    shown: int


FULL, PAGE = Detail(6, 48, 2000), Detail(4, 32, 400)
STARTS = 9
LEAST_EFFECTIVE = 60.0  # readings never leave fewer members than this to count
STAYS_DRY_DAYS = 7  # a lot is dry when it stays so for a week
BAND = (0.10, 0.50, 0.90)
DRIEST_AIR_PCT = 1.0
WET_READING_PCT = 28.0  # pins mean little from here up


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast(DryDays):
    """Moisture day by day from the start, and the day it is dry and stays so.

    Shapes and units
        days: from the start on, one a day; low, median, high: mean of each day, % dry basis, the 10, 50 and
        90 percent points; chances: by day, the share of such lots dry on it (not: by it).
        dry_bits: days x members, packed: dry on the day.
    """

    days: tuple[date, ...]
    low: tuple[float, ...]
    median: tuple[float, ...]
    high: tuple[float, ...]
    chances: tuple[float, ...]
    limit_pct: float
    dry_bits: NDArray[np.uint8] = field(compare=False, repr=False)
    members: int

    def chance_dry_on(self, on: date) -> float:
        """The chance, 0 to 1, that the lot is at the limit or under on a day."""
        return self.chances[self._place(on)] if on >= self.days[0] else 0.0

    def chance_dry_through(self, first: date, last: date) -> float:
        """The chance that it is dry on every day of a promised window."""
        if first < self.days[0]:
            return 0.0
        bits = self.dry_bits[self._place(first) : self._place(last) + 1]
        return float(np.unpackbits(np.bitwise_and.reduce(bits, axis=0), count=self.members).mean())

    def chance_dry_by(self, by: date, *, since: date) -> float:
        """The chance that a dry week begins between two days: that it can be sold as dry in between."""
        first = self._place(since)
        if by < since or by < self.days[0]:
            return 0.0
        bits = self.dry_bits[first : self._place(by) + STAYS_DRY_DAYS]
        is_dry = np.unpackbits(bits, axis=1, count=self.members).astype(np.bool_)
        return float((_first_dry_week(is_dry) <= self._place(by) - first).mean())

    def first_day_with(self, chance: float, *, since: date) -> date | None:
        """The first day from one on with at least that chance of being dry all of the week it begins."""
        for day in self.days[self._place(since) :]:
            week = day + timedelta(STAYS_DRY_DAYS - 1)
            if self.chance_dry_on(day) >= chance and self.chance_dry_through(day, week) >= chance:
                return day
        return None

    def stays_dry_until(self, *, since: date) -> date | None:
        """The last day of the likely dry stretch that holds or follows a day; None without an end.

        A stretch begins with a whole likely dry week, as being dry does.
        """
        begin = self._place(since)
        dry = np.array(self.chances[begin:]) >= 0.5
        weeks = np.convolve(dry, np.ones(STAYS_DRY_DAYS, dtype=int))[STAYS_DRY_DAYS - 1 :]
        whole = np.flatnonzero(weeks == STAYS_DRY_DAYS)
        if not len(whole):
            return None
        first = int(whole[0])
        ends = np.flatnonzero(~dry[first:])
        return self.days[begin + first + int(ends[0]) - 1] if len(ends) else None

    def median_on(self, on: date) -> float:
        return self.median[self._place(on)]

    def band_on(self, on: date) -> tuple[float, float]:
        place = self._place(on)
        return self.low[place], self.high[place]

    def _place(self, on: date) -> int:
        return min(max((on - self.days[0]).days, 0), len(self.days) - 1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ensemble:
    """Every scenario, member and start: the core's mean of each day, and the surface beside it."""

    core: Floats  # days x scenarios x members x starts
    surface: Floats  # days x scenarios x members
    driest: Floats  # days x scenarios, the lowest equilibrium so far


@lru_cache(maxsize=256)
def forecast(
    history: History, *, limit_pct: float = READY_DRY_PCT, days: int = HORIZON_DAYS, detail: Detail = PAGE
) -> Forecast:
    """Median and 80 percent band day by day, and when the lot is dry. Equal histories are worked out once."""
    shown = detail.shown
    ensemble = _run(history, days, detail)
    weights = _weights(history, ensemble)
    moisture = _members(history, ensemble, weights, shown)
    ordered = np.sort(moisture, axis=1)
    low, median, high = (ordered[:, _at(share, shown)] for share in BAND)
    is_dry = moisture <= limit_pct
    dates = tuple(history.start.on + timedelta(place) for place in range(days))
    early, likely, late = (_day(dates, share, _first_dry_week(is_dry)) for share in BAND)
    return Forecast(
        days=dates,
        low=tuple(low.tolist()),
        median=tuple(median.tolist()),
        high=tuple(high.tolist()),
        chances=tuple(is_dry.mean(axis=1).tolist()),
        early=early,
        likely=likely,
        late=late,
        limit_pct=limit_pct,
        dry_bits=np.packbits(is_dry, axis=1),
        members=shown,
    )


@lru_cache(maxsize=4)
def _stored(
    heap: Heap, source: Source, first_on: date, length: int, detail: Detail
) -> tuple[Response, Floats]:
    """A heap through some days, and their equilibrium; kept a while, for the questions what would help."""
    weather = weather_run(source, first_on, length, scenarios=detail.scenarios)
    return respond(heap, weather, members=detail.members), equilibrium(weather)


def _run(history: History, days: int, detail: Detail) -> _Ensemble:
    """All stages one after the other; what a stage leaves, the next begins with."""
    shape = (days, detail.scenarios, detail.members)
    core, surface, air = np.empty((*shape, STARTS)), np.empty(shape), np.empty(shape[:2])
    start = history.start
    now = np.broadcast_to(
        start.likely_pct * np.exp(normal_scores(STARTS) * start.spread), (*shape[1:], STARTS)
    )
    last_on = start.on + timedelta(days)
    until = [*(stage.from_on for stage in history.stages[1:]), last_on]
    for stage, ends_on in zip(history.stages, until, strict=True):
        first_on = max(stage.from_on, start.on)
        length = (min(ends_on, last_on) - first_on).days
        if length <= 0:
            continue
        place = (first_on - start.on).days
        here = slice(place, place + length)
        found, air[here] = _stored(stage.heap, stage.source, first_on, length, detail)
        core[here], now = found.follow(now)
        surface[here] = found.surface_mean
    return _Ensemble(core=core, surface=surface, driest=np.minimum.accumulate(air, axis=0))


def reading_error(reading_pct: float, core: Floats) -> Floats:
    """How far a reading may lie from wood of a moisture, one standard deviation in points.

    Pins mean little above fiber saturation: they read low there, so the wood may be far wetter than read.
    """
    if reading_pct <= 20:
        return np.full_like(core, figure("reading.dry").value)
    if reading_pct <= WET_READING_PCT:
        return np.full_like(core, figure("reading.near").value)
    below = figure("reading.wet").value
    above = below + figure("reading.wet_above").value * (reading_pct - WET_READING_PCT)
    return np.where(core > reading_pct, above, below)


def _off_the_curve(core: Floats, driest: Floats) -> Floats:
    """How far a lot's mean may stand off any one curve: its pieces differ, and its pace is not even."""
    losing = figure("reading.pace").value * np.maximum(core - driest, 0)
    return np.hypot(figure("reading.piece").value, losing)


def _weights(history: History, ensemble: _Ensemble) -> Floats:
    """Scenario x member x start, adding to 1: how well each explains the readings."""
    shape = ensemble.core.shape[1:]
    logs = np.zeros(shape)
    seen_then: tuple[FaceReading | Sign, ...] = (*history.readings, *history.signs)
    for seen in seen_then:
        place = (seen.on - history.start.on).days
        if not 0 <= place < len(ensemble.core):
            continue
        core = ensemble.core[place]
        driest = ensemble.driest[place][:, None, None]
        if isinstance(seen, Sign):
            pct, error = seen.likely_pct, np.full_like(core, seen.error_pct)
        else:
            pct, error = seen.mean_pct, reading_error(seen.mean_pct, core)
        logs -= 0.5 * ((core - pct) / np.hypot(error, _off_the_curve(core, driest))) ** 2
    if not history.is_known:
        return np.full(shape, 1 / np.prod(shape))
    for softer in (1.0, 0.7, 0.5, 0.35, 0.25, 0.15, 0.1, 0.05, 0.02):
        weights = np.exp(softer * (logs - logs.max()))
        weights /= weights.sum()
        if 1 / (weights**2).sum() >= LEAST_EFFECTIVE:
            break  # readings no member explains well are believed less, not more
    return np.asarray(weights, dtype=np.float64)


def _members(history: History, ensemble: _Ensemble, weights: Floats, shown: int) -> Floats:
    """Days x `shown` equally likely members, drawn in proportion at even steps."""
    flat = np.cumsum(weights.ravel())
    places = np.searchsorted(flat, (np.arange(shown) + 0.5) / shown * flat[-1])
    scenario, member, start = np.unravel_index(np.minimum(places, flat.size - 1), weights.shape)
    core = ensemble.core[:, scenario, member, start]
    driest = np.minimum(ensemble.driest[:, scenario], history.start.likely_pct)
    if history.start.spread > 0 or history.is_known:
        rng = np.random.default_rng(5)
        core += rng.permutation(normal_scores(shown)) * _off_the_curve(core, driest)
    full = most_water_pct(history.now.heap.gravity)
    return np.clip(np.maximum(core, driest) + ensemble.surface[:, scenario, member], DRIEST_AIR_PCT, full)


def _first_dry_week(is_dry: NDArray[np.bool_]) -> NDArray[np.int64]:
    """For each member the first day of a dry week, or the number of days when there is none."""
    stays = is_dry.copy()
    for ahead in range(1, STAYS_DRY_DAYS):
        stays[:-ahead] &= is_dry[ahead:]
    return np.where(stays.any(axis=0), stays.argmax(axis=0), len(is_dry))


def _at(share: float, count: int) -> int:
    return min(int(share * count), count - 1)


def _day(dates: tuple[date, ...], share: float, first: NDArray[np.int64]) -> date | None:
    place = int(np.sort(first)[_at(share, len(first))])
    return dates[place] if place < len(dates) else None
