"""The weather a yard's wood dries in: its station's files, its city's normals, its own values, or a guess."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import nan

from inventory.core.dates import month_day
from inventory.core.moisture import equilibrium_pct_c
from inventory.drying.places import city_weather, latitude_weather
from inventory.drying.weather import RAIN, TEMP, WIND, Record, Source, normals_of
from inventory.models import WeatherStation, WeatherYear, Yard


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    station_id: int
    name: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherRef:
    """Which weather a yard had at some time, small enough to keep with a lot's past.

    content: of the station's days, so that a changed file is read anew.
    """

    lat: float
    city: str = ""
    emc: tuple[float, ...] = ()
    station: int | None = None
    content: str = ""


def weather_ref(yard: Yard) -> WeatherRef:
    """Give yards with their station fetched."""
    return WeatherRef(
        lat=yard.lat,
        city=yard.climate_city,
        emc=tuple(float(value) for value in yard.climate_emc),
        station=yard.station_id,
        content=yard.station.content_key if yard.station else "",
    )


def yard_weather(yard: Yard) -> Source:
    """Give yards with their station fetched."""
    return source_of(weather_ref(yard))


@lru_cache(maxsize=256)
def source_of(ref: WeatherRef) -> Source:
    """The weather a reference stands for. A station's days are read once per content."""
    usual = city_weather(ref.city) if ref.city else latitude_weather(ref.lat, ref.emc)
    if ref.station is None:
        return usual
    station = WeatherStation.objects.filter(pk=ref.station).first()
    if station is None:
        return usual
    years = list(WeatherYear.objects.filter(station=station))
    measured = _record([row for row in years if not row.is_forecast])
    ahead = _record([row for row in years if row.is_forecast])
    return Source(
        name=station.name,
        description=station.description or "a weather file you loaded",
        normals=normals_of(measured, usual.normals) if measured else usual.normals,
        measured=measured,
        forecast=ahead,
        is_typical=station.is_typical,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayForecast:
    """A day of a forecast file. Units: mean Celsius, mm of rain, m/s of wind; None: the file does not say."""

    station: str
    temp_c: float | None
    rain_mm: float | None
    wind_m_s: float | None


def day_forecasts(on: date) -> tuple[DayForecast, ...]:
    """What the forecast files of the yards' stations say of a day; nothing where none reaches it."""
    rows = WeatherYear.objects.filter(is_forecast=True, station__yards__isnull=False).distinct()
    found = []
    for row in rows.select_related("station").order_by("station__name"):
        day = next((day for day in row.days if day[0] == on.isoformat()), None)
        if day is not None:
            temp_c, rain_mm, wind_m_s = (day[1 + column] for column in (TEMP, RAIN, WIND))
            found.append(
                DayForecast(station=row.station.name, temp_c=temp_c, rain_mm=rain_mm, wind_m_s=wind_m_s)
            )
    return tuple(found)


def stations() -> tuple[StationRow, ...]:
    """Every station, by name."""
    return tuple(
        StationRow(station_id=row.pk, name=row.name, description=row.description)
        for row in WeatherStation.objects.all()
    )


def weather_words(source: Source) -> str:
    """What the forecasts of a yard rest on, in a line: "Siding station, measured 2019-2025"."""
    if source.measured is None and source.forecast is None:
        return f"{source.name}: usual months, not this year's days"
    parts = []
    if source.measured is not None:
        first, last = source.measured.first_on, source.measured.last_on
        kind = "a usual year" if source.is_typical else f"measured {first:%b %Y} to {last:%b %Y}"
        parts.append(kind)
    if source.forecast is not None:
        last = source.forecast.last_on
        parts.append(f"forecast to {month_day(last)}")
    return f"{source.name}: {', '.join(parts)}"


def _record(years: list[WeatherYear]) -> Record | None:
    rows = [row for year in years for row in year.days]
    if not rows:
        return None
    return Record.of(
        (date.fromisoformat(row[0]), [nan if value is None else float(value) for value in row[1:]])
        for row in rows
    )


def air_pct(source: Source, on: date) -> float:
    """Moisture wood comes to in a month's usual air, % dry basis."""
    normals = source.normals
    return equilibrium_pct_c(normals.temp_c[on.month - 1], min(normals.rh_pct[on.month - 1], 99.0))
