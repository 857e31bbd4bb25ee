"""When a lot will be dry: first-order drying with an uncertain rate, taught by readings.

The curve is M(t) = E + (M0 - E) exp(-k S(t)), with S the days since the start, each weighted by its
season and the lot's exposure. The rate k is uncertain (lognormal); readings update it by Bayes on a grid.
What changing something would gain is `what_if`. All moistures are % dry basis.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from inventory.core import InventoryError
from inventory.core.climate import Climate
from inventory.core.figures import Figure, rule, table_of
from inventory.core.moisture import READY_DRY_PCT

GRID = 161
GRID_SPREADS = 4.0  # grid reaches so many prior spreads either way
RATE_SPREAD = rule("rate_spread").value  # of ln k: 80 % of lots within about 30 % of the figure
READING_ERROR_PCT = rule("reading_error").value
HORIZON_DAYS = 1100
BAND = (0.10, 0.50, 0.90)
RAIN_ENDS_IN = 3  # uncovered wood stays slowed from the first rain to the end of March


class BadDrying(InventoryError):
    """A lot whose drying cannot be reckoned."""

    def __init__(self, trouble: str) -> None:
        super().__init__(f"The drying of this lot can't be reckoned: {trouble}")


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceReading:
    """Fresh faces read on a day: mean and worst, % dry basis."""

    on: date
    mean_pct: float
    worst_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drying:
    """A lot as it dries.

    Units
        rate: per day in high summer for splits in a sunny row; share: exposure and form together,
        1.0 = splits in a sunny row; rain_share: what the first rain leaves of it, 1.0 = covered.
    """

    start_on: date
    start_pct: float
    rate: float
    share: float
    climate: Climate
    rain_share: float = 1.0
    first_rain: tuple[int, int] = (10, 5)
    readings: tuple[FaceReading, ...] = ()
    rate_spread: float = RATE_SPREAD

    def __post_init__(self) -> None:
        if not 0 <= self.start_pct <= 300:
            raise BadDrying(f"it can't have started at {self.start_pct} % dry basis.")
        if not self.rate > 0 or not self.share > 0 or not 0 < self.rain_share <= 1:
            raise BadDrying("its rate and its exposure must be above zero.")

    def weight_on(self, on: date) -> float:
        """How much a day dries this lot, as days of a sunny row in high summer."""
        weight = self.climate.weight_on(on) * self.share
        in_rain = (on.month, on.day) >= self.first_rain or on.month <= RAIN_ENDS_IN
        return weight * self.rain_share if in_rain else weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Moisture day by day from the start, and the day it is ready.

    Shapes and units
        days: from the start on, one a day; low, median, high: % dry basis, the 10, 50 and 90 percent points;
        early, likely, late: the days by which 10, 50 and 90 of 100 such lots are ready; None = beyond the
        horizon. rate: the median rate after the readings; rate_spread: of its logarithm.
        chances: by day, the share ready by then.
    """

    days: tuple[date, ...]
    low: tuple[float, ...]
    median: tuple[float, ...]
    high: tuple[float, ...]
    chances: tuple[float, ...]
    early: date | None
    likely: date | None
    late: date | None
    rate: float
    rate_spread: float
    limit_pct: float

    def chance_dry_by(self, on: date) -> float:
        """The chance, 0 to 1, that the lot was at the limit or under on some day up to this one."""
        if on < self.days[0]:
            return 0.0
        return self.chances[min((on - self.days[0]).days, len(self.chances) - 1)]

    def median_on(self, on: date) -> float:
        return self.median[self._place(on)]

    def band_on(self, on: date) -> tuple[float, float]:
        place = self._place(on)
        return self.low[place], self.high[place]

    def _place(self, on: date) -> int:
        return min(max((on - self.days[0]).days, 0), len(self.days) - 1)


def rate_figure(species_rate: Figure | None, *, specific_gravity: float) -> Figure:
    """A wood's own rate, or the line through the three woods with known rates.

    Source
        k is 0.020 for fir (0.45), 0.011 for madrone (0.58) and 0.0075 for oak (0.64), common practice; the
        line k = 0.020 - 0.0658 (Gb - 0.45) passes within 5 % of all three.
    """
    if species_rate is not None:
        return species_rate
    rate = round(min(max(0.020 - 0.0658 * (specific_gravity - 0.45), 0.004), 0.03), 5)
    return Figure(
        value=rate,
        low=round(rate * 0.6, 5),
        high=round(rate * 1.5, 5),
        unit="per day in high summer, splits in a sunny row",
        source="line by specific gravity through the woods with known rates",
    )


def drying_share(*, exposure: str, form: str) -> Figure:
    """How fast a lot dries against splits in a sunny row, by where and in what form it lies.

    Errors
        BadDrying: an exposure or form the table does not know.
    """
    table = table_of("climate.toml")
    if exposure not in table["exposure"] or form not in table["form"]:
        raise BadDrying(f"there is no figure for {form!r} in {exposure!r}.")
    lying = Figure.read(table["exposure"][exposure], f"exposure.{exposure}")
    cut = Figure.read(table["form"][form], f"form.{form}")
    return Figure(
        value=lying.value * cut.value,
        low=lying.low * cut.low,
        high=lying.high * cut.high,
        unit=lying.unit,
        source=f"{lying.source}; {cut.source}" if cut.source != lying.source else lying.source,
    )


def rain_figure() -> Figure:
    """What the first rain leaves of an uncovered lot's rate."""
    return Figure.read(table_of("climate.toml")["uncovered_rain"], "uncovered_rain")


def moisture_on(drying: Drying, on: date) -> float:
    """Moisture on a day at the lot's own rate, readings left aside. Before the start: the start's."""
    moisture = drying.start_pct
    for place in range(max((on - drying.start_on).days, 0)):
        day = drying.start_on + timedelta(place)
        air = drying.climate.emc_on(day)
        moisture = air + (moisture - air) * exp(-drying.rate * drying.weight_on(day))
    return moisture


def ready_on(drying: Drying, *, limit_pct: float = READY_DRY_PCT) -> date | None:
    """The first day at or under the limit, at the lot's own rate; None beyond the horizon."""
    moisture = drying.start_pct
    for place in range(HORIZON_DAYS):
        day = drying.start_on + timedelta(place)
        if moisture <= limit_pct:
            return day
        air = drying.climate.emc_on(day)
        moisture = air + (moisture - air) * exp(-drying.rate * drying.weight_on(day))
    return None


def rate_from_reading(drying: Drying, reading: FaceReading) -> float:
    """The one rate that passes exactly through a reading, in a yard of steady air.

    Errors
        BadDrying: the reading is at or under the air's moisture, above the start, or before any drying.
    """
    air = drying.climate.emc_on(reading.on)
    if not air < reading.mean_pct < drying.start_pct:
        raise BadDrying(f"a reading of {reading.mean_pct} % does not lie between air ({air} %) and start.")
    span = (reading.on - drying.start_on).days
    days = sum(drying.weight_on(drying.start_on + timedelta(place)) for place in range(span))
    if days <= 0:
        raise BadDrying("it was read before any drying.")
    return log((drying.start_pct - air) / (reading.mean_pct - air)) / days


@lru_cache(maxsize=512)
def forecast(drying: Drying, *, limit_pct: float = READY_DRY_PCT) -> Forecast:
    """Median and 80 percent band day by day, and the day the lot is ready with its range.

    The grid holds rates around the lot's own; each reading multiplies the weights by how well each rate's
    curve explains its mean. Pure and cached: equal lots are reckoned once.
    """
    rates = drying.rate * np.exp(np.linspace(-GRID_SPREADS, GRID_SPREADS, GRID) * drying.rate_spread)
    curves = _curves(drying, rates)
    logs = -0.5 * (np.log(rates / drying.rate) / drying.rate_spread) ** 2
    for reading in drying.readings:
        place = (reading.on - drying.start_on).days
        if 0 <= place < HORIZON_DAYS:
            logs = logs - 0.5 * ((curves[place] - reading.mean_pct) / READING_ERROR_PCT) ** 2
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    below = curves <= limit_pct
    ready = np.where(below.any(axis=0), below.argmax(axis=0), HORIZON_DAYS)  # first day at or under, by rate
    chances = np.cumsum(np.bincount(ready, weights=weights, minlength=HORIZON_DAYS + 1))[:HORIZON_DAYS]
    low, median, high = _quantiles(curves, weights)
    logs_of_rate = np.log(rates)
    spread = float(np.sqrt(weights @ (logs_of_rate - weights @ logs_of_rate) ** 2))
    days = tuple(drying.start_on + timedelta(place) for place in range(HORIZON_DAYS))
    early, likely, late = (_first(chances, share, days) for share in BAND)
    middle = rates[np.searchsorted(np.cumsum(weights), 0.5)]
    return Forecast(
        days=days,
        low=tuple(low.tolist()),
        median=tuple(median.tolist()),
        high=tuple(high.tolist()),
        chances=tuple(np.minimum(chances, 1.0).tolist()),
        early=early,
        likely=likely,
        late=late,
        rate=float(middle),
        rate_spread=spread,
        limit_pct=limit_pct,
    )


def from_now(
    drying: Drying,
    on: date,
    *,
    share: float | None = None,
    rain_share: float | None = None,
    climate: Climate | None = None,
) -> Drying:
    """The same lot from its present median on, with its share of the sun, its cover or its air changed.

    What the readings taught about the rate is kept: its median and its spread go on as the lot's own.
    The band starts at nothing on that day; it leaves out what is not known of the present moisture.
    """
    if on <= drying.start_on:
        start_on, start_pct, rate, spread = drying.start_on, drying.start_pct, drying.rate, drying.rate_spread
    else:
        known = forecast(drying)
        start_on, start_pct = on, known.median_on(on)
        rate, spread = known.rate, known.rate_spread
    return replace(
        drying,
        start_on=start_on,
        start_pct=start_pct,
        rate=rate,
        rate_spread=spread,
        readings=(),
        share=drying.share if share is None else share,
        rain_share=drying.rain_share if rain_share is None else rain_share,
        climate=drying.climate if climate is None else climate,
    )


def _curves(drying: Drying, rates: NDArray[np.float64]) -> NDArray[np.float64]:
    """HORIZON_DAYS x rates of moisture, row 0 the start. Air is steady within a month: one step each."""
    curves = np.empty((HORIZON_DAYS, len(rates)))
    moisture = np.full(len(rates), drying.start_pct)
    place = 0
    while place < HORIZON_DAYS:
        first = drying.start_on + timedelta(place)
        left = (date(first.year + first.month // 12, first.month % 12 + 1, 1) - first).days
        weights = np.cumsum([0.0, *(drying.weight_on(first + timedelta(step)) for step in range(left))])
        air = drying.climate.emc_on(first)
        month = air + (moisture - air) * np.exp(-np.outer(weights, rates))
        shown = min(left, HORIZON_DAYS - place)
        curves[place : place + shown] = month[:shown]
        moisture = month[-1]
        place += left
    return curves


def _quantiles(
    curves: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Weighted 10, 50 and 90 percent points of each row, driest first."""
    heavier = np.cumsum(weights[::-1])
    places = [len(weights) - 1 - int(np.searchsorted(heavier, share)) for share in BAND]
    points = curves[:, places].T.copy()  # right wherever faster is drier
    turned = (np.diff(curves, axis=1) > 0).any(axis=1)  # days when wood takes on water, the quick most
    if turned.any():
        order = np.argsort(curves[turned], axis=1)
        heavy = np.cumsum(weights[order], axis=1)
        rows = np.arange(len(order))
        for point, share in enumerate(BAND):
            points[point, turned] = curves[turned][rows, order[rows, (heavy >= share).argmax(axis=1)]]
    return points[0], points[1], points[2]


def _first(chances: NDArray[np.float64], share: float, days: Sequence[date]) -> date | None:
    place = int(np.searchsorted(chances, share))
    return days[place] if place < len(days) else None
