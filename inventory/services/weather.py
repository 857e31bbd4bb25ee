"""Weather given to a yard: a city, its own twelve values, a station, or a file that feeds one."""

import json
from datetime import date, datetime
from hashlib import sha256
from math import isnan

from django.db import transaction

from inventory.core import InventoryError
from inventory.drying.places import city_weather, latitude_weather
from inventory.drying.weather import Record
from inventory.drying.weather_files import read_weather
from inventory.models import WeatherStation, WeatherYear, Yard
from inventory.services.audit import note as audit_note
from inventory.services.moves import NoSuchYard

NAME_LENGTH = 80
WORDS_LENGTH = 300


class NoSuchStation(InventoryError):
    says = "There is no such weather station: choose one from the list."


@transaction.atomic
def set_weather(
    *,
    yard_id: int,
    at: datetime,
    who: str,
    city: str = "",
    emc_pct: tuple[float, ...] = (),
    station_id: int | None = None,
) -> None:
    """Let a yard dry in a city's weather, in its own twelve moistures, or in a station's; in one of them.

    A station keeps the yard's city or values beside it, for what its files leave out.

    Errors
        NoSuchYard, NoSuchStation
        BadWeather: no such city, or values that are not twelve moistures.
    """
    row = _yard(yard_id)
    before = {"weather": _told(row)}
    if station_id is not None:
        row.station = _station(station_id)
    elif city:
        city_weather(city)
        row.climate_city, row.climate_emc, row.station = city, [], None
    else:
        latitude_weather(row.lat, emc_pct)
        row.climate_city, row.climate_emc, row.station = "", list(emc_pct), None
    _save(row, before=before, at=at, who=who)


@transaction.atomic
def load_weather(
    *,
    yard_id: int,
    text: str,
    name: str,
    on: date,
    at: datetime,
    who: str,
    station_id: int | None = None,
) -> tuple[str, ...]:
    """Read a weather file into a station, and let the yard dry in it: the one chosen, else that of the name.

    Years the file holds replace the same years of the station. A file that begins today or later is a
    forecast: it goes to the yard's own station unless another is chosen, and replaces the last forecast.
    Gives back what the file left out, as sentences.

    Errors
        NoSuchYard, NoSuchStation
        BadWeather: the file can't be read; nothing is changed.
    """
    row = _yard(yard_id)
    before = {"weather": _told(row)}
    read = read_weather(text)
    is_forecast = read.record.first_on >= on
    if station_id is not None:
        station = _station(station_id)
    elif is_forecast and row.station is not None:
        station = row.station
    else:
        station, _ = WeatherStation.objects.get_or_create(name=name.strip()[:NAME_LENGTH] or "My station")
    if is_forecast:
        _keep(station, read.record, year=read.record.first_on.year, is_forecast=True)
    else:
        for year in sorted({day.year for day in _days(read.record)}):
            _keep(station, read.record, year=year, is_forecast=False)
        station.is_typical = read.is_typical
        station.description = f"{len(read.record.ordinals)} days of {name}. {' '.join(read.notes)}".strip()[
            :WORDS_LENGTH
        ]
    kept = list(station.years.order_by("is_forecast", "year").values_list("days", flat=True))
    station.content_key = sha256(json.dumps(kept).encode()).hexdigest()
    station.save()
    row.station = station
    _save(row, before=before, at=at, who=who)
    return read.notes


def _keep(station: WeatherStation, record: Record, *, year: int, is_forecast: bool) -> None:
    same = {"station": station, "is_forecast": is_forecast} | ({} if is_forecast else {"year": year})
    WeatherYear.objects.filter(**same).delete()
    rows = [
        [day.isoformat(), *(None if isnan(value) else round(value, 3) for value in values.tolist())]
        for day, values in zip(_days(record), record.values, strict=True)
        if is_forecast or day.year == year
    ]
    WeatherYear.objects.create(station=station, year=year, is_forecast=is_forecast, days=rows)


def _days(record: Record) -> list[date]:

    return [date.fromordinal(day) for day in record.ordinals.tolist()]


def _yard(yard_id: int) -> Yard:
    row = Yard.objects.select_related("station").filter(pk=yard_id).first()
    if row is None:
        raise NoSuchYard(yard=yard_id)
    return row


def _station(station_id: int) -> WeatherStation:
    row = WeatherStation.objects.filter(pk=station_id).first()
    if row is None:
        raise NoSuchStation
    return row


def _told(row: Yard) -> str:
    if row.station:
        return f"station {row.station.name}"
    return row.climate_city or ("own values" if row.climate_emc else "none chosen")


def _save(row: Yard, *, before: dict[str, str], at: datetime, who: str) -> None:
    row.full_clean()
    row.save(update_fields=["climate_city", "climate_emc", "station"])
    audit_note(
        at=at, who=who, verb="set the weather", thing=f"yard {row.name}"[:40], before=before,
        after={"weather": _told(row)},
    )  # fmt: skip
