"""Weather for a run of days, several possible ones side by side, so that the year is one of the unknowns.

A `Source` is what is known of a place: twelve monthly normals always, measured days where a file was
loaded, and a forecast for the days ahead. Measured days stand for themselves; other days are taken from
the same calendar day of the file's years, each year kept apart, or from years made out of the normals.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache
from hashlib import sha256

import numpy as np
from numpy.typing import NDArray

from inventory.core import InventoryError
from inventory.core.sentences import FramedRefusal
from inventory.drying.parameters import figure

type Floats = NDArray[np.float64]

MONTHS = 12
DAYS_PER_MONTH = 30.44
CALENDAR = 366  # every day of a leap year
SCENARIOS = 6
MADE_YEARS = 9
FULL_YEAR = 330  # days a measured year must have to stand as a year of its own
COLUMNS = ("temp_c", "rh_pct", "wind_m_s", "sun_mj", "rain_mm", "rain_hours")
TEMP, HUMIDITY, WIND, SUN, RAIN, RAIN_HOURS = range(len(COLUMNS))
FIRST_OF_MONTH = [(date(2024, month, 1) - date(2024, 1, 1)).days for month in range(1, MONTHS + 1)]
MID_MONTH = np.array([first + 15 for first in FIRST_OF_MONTH], dtype=float)


class BadWeather(FramedRefusal, InventoryError):
    """Weather that cannot be used."""

    frame = "This weather can't be used: {problem}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Normals:
    """Twelve monthly means, January first.

    Units
        temp_c; rh_pct: 0-100; wind_m_s; rain_mm: a month.
    """

    temp_c: tuple[float, ...]
    rh_pct: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    rain_mm: tuple[float, ...]

    def __post_init__(self) -> None:
        limits = {"temp_c": (-60, 50), "rh_pct": (3, 100), "wind_m_s": (0, 30), "rain_mm": (0, 2000)}
        for name, (low, high) in limits.items():
            values = getattr(self, name)
            if len(values) != MONTHS:
                raise BadWeather(
                    "it needs twelve months, January first; there are {values}.", values=len(values)
                )
            if not all(low <= value <= high for value in values):
                raise BadWeather(
                    "a month's {name} lies outside {low} to {high}.",
                    name=name.replace("_", " "),
                    low=low,
                    high=high,
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Days of weather as measured or forecast; equal when their content is.

    Shapes
        ordinals: n sorted proleptic days (`date.toordinal`); values: n x COLUMNS, NaN where not known.
    """

    key: str
    ordinals: NDArray[np.int64] = field(compare=False, repr=False)
    values: Floats = field(compare=False, repr=False)

    @classmethod
    def of(cls, days: Iterable[tuple[date, Sequence[float]]]) -> "Record":
        """From days and their columns; the last of two equal days wins.

        Errors
            BadWeather: no day at all, or no temperature or humidity in any.
        """
        rows = dict(days)
        if not rows:
            raise BadWeather("it holds no whole day.")
        order = sorted(rows)
        ordinals = np.array([day.toordinal() for day in order], dtype=np.int64)
        values = np.array([rows[day] for day in order], dtype=float)
        if np.isnan(values[:, [TEMP, HUMIDITY]]).all(axis=0).any():
            raise BadWeather("it needs temperature and humidity.")
        return cls(
            key=sha256(ordinals.tobytes() + values.tobytes()).hexdigest(), ordinals=ordinals, values=values
        )

    @property
    def first_on(self) -> date:
        return date.fromordinal(int(self.ordinals[0]))

    @property
    def last_on(self) -> date:
        return date.fromordinal(int(self.ordinals[-1]))

    def gaps(self) -> tuple[tuple[date, date], ...]:
        """First and last day of each stretch the record leaves out."""
        steps = np.flatnonzero(np.diff(self.ordinals) > 1)
        return tuple(
            (date.fromordinal(int(self.ordinals[at]) + 1), date.fromordinal(int(self.ordinals[at + 1]) - 1))
            for at in steps
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What is known of a place's weather. `is_typical`: months put together from different years."""

    name: str
    description: str
    normals: Normals
    measured: Record | None = None
    forecast: Record | None = None
    is_typical: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weather:
    """A run of days from `first_on`; values: days x scenarios x COLUMNS, nothing missing."""

    first_on: date
    values: Floats

    @property
    def days(self) -> int:
        return len(self.values)


@lru_cache(maxsize=64)
def weather_run(source: Source, first_on: date, days: int, *, scenarios: int = SCENARIOS) -> Weather:
    """Several possible weathers for the days from a date on; each scenario is a year apart from the next,
    and the same scenario goes on where another run left off."""
    table = _year_table(source)
    dates = [first_on + timedelta(place) for place in range(days)]
    calendar = np.array([FIRST_OF_MONTH[day.month - 1] + day.day - 1 for day in dates])
    years = np.array([day.year for day in dates])
    rows = (years[:, None] + np.arange(scenarios)[None, :]) % len(table)
    values = table[rows, calendar[:, None]].copy()
    known = [record for record in (source.forecast, None if source.is_typical else source.measured) if record]
    for record in known:  # measured last: it outranks what was forecast
        _lay_over(values, record, first_on.toordinal())
    return Weather(first_on=first_on, values=values)


def months_of(source: Source) -> Floats:
    """Mean of each calendar month over the source's years; 12 x COLUMNS, rain as mm a month."""
    table = _year_table(source)
    ends = [*FIRST_OF_MONTH[1:], CALENDAR]
    found = [table[:, first:last].mean(axis=(0, 1)) for first, last in zip(FIRST_OF_MONTH, ends, strict=True)]
    months = np.array(found)
    months[:, RAIN] *= np.diff([*FIRST_OF_MONTH, CALENDAR])
    return months


def normals_of(record: Record, otherwise: Normals | None = None) -> Normals:
    """Monthly means of measured days; a month it lacks is taken from `otherwise` or its neighbors."""
    filled = _filled(record.values)
    month = np.array([date.fromordinal(int(day)).month for day in record.ordinals])
    columns: dict[int, list[float]] = {TEMP: [], HUMIDITY: [], WIND: [], RAIN: []}
    spare = _columns_of(otherwise) if otherwise else None
    if np.isnan(filled[:, RAIN]).all():
        filled[:, RAIN] = 0.0
        if spare:
            filled[:, RAIN] = np.array(spare[RAIN])[month - 1] / DAYS_PER_MONTH
    for number in range(1, MONTHS + 1):
        here = filled[month == number]
        for column, values in columns.items():
            if len(here) and not np.isnan(here[:, column]).all():
                values.append(float(np.nanmean(here[:, column])) * (DAYS_PER_MONTH if column == RAIN else 1))
            else:
                values.append(spare[column][number - 1] if spare else float("nan"))
    whole = {column: _wrapped_year(np.array(values)) for column, values in columns.items()}
    return Normals(
        temp_c=whole[TEMP], rh_pct=whole[HUMIDITY], wind_m_s=whole[WIND], rain_mm=whole[RAIN]
    )  # fmt: skip


@lru_cache(maxsize=64)
def _year_table(source: Source) -> Floats:
    """Years to draw other days from: years x CALENDAR x COLUMNS."""
    made = _made_years(source.normals)
    if source.measured is None:
        return made
    record, filled = source.measured, _filled(source.measured.values)
    found: list[Floats] = []
    dates = [date.fromordinal(int(day)) for day in record.ordinals]
    for year in sorted({0 if source.is_typical else day.year for day in dates}):
        places = [at for at, day in enumerate(dates) if year in (0, day.year)]
        if len(places) < FULL_YEAR:
            continue
        rows = np.full((CALENDAR, len(COLUMNS)), np.nan)
        for at in places:
            rows[FIRST_OF_MONTH[dates[at].month - 1] + dates[at].day - 1] = filled[at]
        found.append(np.where(np.isnan(rows), made[len(found) % len(made)], rows))
    if len(found) >= SCENARIOS:
        return np.array(found)
    return np.array([*found, *made[: SCENARIOS - len(found)]])  # too few years to know how years differ


@lru_cache(maxsize=64)
def _made_years(normals: Normals) -> Floats:
    """Years whose months average to the normals: warm and cool ones, rain on some days, dry air between."""
    rng = np.random.default_rng(20240101)
    shape = (MADE_YEARS, CALENDAR)
    day = np.arange(CALENDAR)
    month = np.repeat(np.arange(MONTHS), np.diff([*FIRST_OF_MONTH, CALENDAR]))
    made = np.zeros((*shape, len(COLUMNS)))
    temp, humid, wind = (
        _through_the_year(values, day) for values in (normals.temp_c, normals.rh_pct, normals.wind_m_s)
    )
    memory = figure("normals.day_memory").value
    noise = rng.standard_normal(shape)
    for at in range(1, CALENDAR):
        noise[:, at] = memory * noise[:, at - 1] + np.sqrt(1 - memory**2) * noise[:, at]
    by_year = rng.standard_normal((2, MADE_YEARS, MONTHS))
    by_year -= by_year.mean(axis=1, keepdims=True)
    made[..., TEMP] = (
        temp + figure("normals.temp_day").value * noise
        + figure("normals.temp_year").value * by_year[0][:, month]
    )  # fmt: skip
    length = np.diff([*FIRST_OF_MONTH, CALENDAR])
    month_mm = np.array(normals.rain_mm)
    share = np.minimum(
        month_mm / length / figure("normals.wet_day_mm").value, figure("normals.wet_share_most").value
    )
    is_wet = rng.random(shape) < share[month]
    amount = rng.exponential(1.0, shape) * is_wet
    for number in range(MONTHS):  # every made year has the month's rain, more or less by a fifth
        here = month == number
        total = amount[:, here].sum(axis=1, keepdims=True)
        wished = month_mm[number] * np.exp(0.2 * by_year[1][:, number : number + 1])
        made[:, here, RAIN] = np.where(total > 0, amount[:, here] / np.maximum(total, 1e-9) * wished, 0)
    wetter = figure("normals.wet_humidity").value * (is_wet - share[month])
    yearly = figure("normals.humidity_year").value * by_year[1][:, month]
    made[..., HUMIDITY] = np.clip(humid + wetter + yearly - noise, 5, 98)
    made[..., WIND] = wind
    made[..., SUN] = np.where(is_wet, figure("given.sun_wet").value, figure("given.sun_dry").value)
    made[..., RAIN_HOURS] = _rain_hours(made[..., RAIN])
    return made


def _lay_over(values: Floats, record: Record, first: int) -> None:
    places = record.ordinals - first
    inside = (places >= 0) & (places < len(values))
    known = _filled(record.values)[inside][:, None, :]
    under = values[places[inside]]
    values[places[inside]] = np.where(np.isnan(known), under, known)


def _filled(values: Floats) -> Floats:
    """Columns a file leaves out, from the figures; a day without temperature or humidity from those around.

    Rain it does not know stays unknown: what lies underneath, the months' rain, stands in for it.
    """
    filled = values.copy()
    place = np.arange(len(filled))
    for column in (TEMP, HUMIDITY):
        known = ~np.isnan(filled[:, column])
        filled[:, column] = np.interp(place, place[known], filled[known, column])
    filled[:, HUMIDITY] = np.clip(filled[:, HUMIDITY], 3, 99)
    rain = np.nan_to_num(filled[:, RAIN], nan=0.0)
    usual = {
        WIND: np.full(len(filled), figure("given.wind").value),
        SUN: np.where(rain > 0, figure("given.sun_wet").value, figure("given.sun_dry").value),
        RAIN_HOURS: _rain_hours(rain),
    }
    for column, otherwise in usual.items():
        filled[:, column] = np.where(np.isnan(filled[:, column]), otherwise, filled[:, column])
    filled[:, RAIN_HOURS] = np.where(rain > 0, np.clip(filled[:, RAIN_HOURS], 0.5, 24), 0)
    filled[np.isnan(filled[:, RAIN]), RAIN_HOURS] = np.nan
    return filled


def _rain_hours(rain_mm: Floats) -> Floats:
    return np.minimum(figure("surface.rain_hours").value * np.sqrt(rain_mm), 24.0)


def _through_the_year(months: Sequence[float], day: NDArray[np.int64]) -> Floats:
    return np.interp(day, MID_MONTH, months, period=CALENDAR)


def _wrapped_year(months: Floats) -> tuple[float, ...]:
    known = ~np.isnan(months)
    return tuple(
        float(value) for value in np.interp(MID_MONTH, MID_MONTH[known], months[known], period=CALENDAR)
    )


def _columns_of(normals: Normals) -> dict[int, tuple[float, ...]]:
    return {TEMP: normals.temp_c, HUMIDITY: normals.rh_pct, WIND: normals.wind_m_s, RAIN: normals.rain_mm}
