"""The weather of a place without a file: a city's normals, a seller's own twelve, or a guess by latitude."""

from collections.abc import Sequence
from functools import cache
from math import cos, pi

from inventory.core.figures import table_of
from inventory.core.moisture import air_for
from inventory.drying.weather import MONTHS, BadWeather, Normals, Source

MM_PER_INCH = 25.4
M_S_PER_MPH = 0.44704
LEAST_EMC, MOST_EMC = 2.0, 26.0


def celsius(temp_f: float) -> float:
    return (temp_f - 32) / 1.8


@cache
def cities() -> tuple[str, ...]:
    """Cities of the shipped table, by name; the demo's invented place is none of them."""
    return tuple(sorted(row["name"] for row in _table()["city"] if not row.get("is_invented")))


@cache
def city_weather(name: str) -> Source:
    """A city's normals.

    Errors
        BadWeather: the table has no such city.
    """
    for row in _table()["city"]:
        if row["name"] == name:
            return Source(
                name=f"{row['name']}, {row['state']}",
                description=f"{row['source']}; temperature, rain and wind: {_table()['estimates']['rain']}",
                normals=_normals(row["temp_f"], row["emc_pct"], row["rain_in"], row["wind_mph"]),
            )
    raise BadWeather(
        "there is no city {name!r} in the table. Pick one from the list, or load a weather file.", name=name
    )


@cache
def latitude_weather(lat: float, emc_pct: tuple[float, ...] = ()) -> Source:
    """A guess for a yard nobody gave weather for: temperature by latitude, its own twelve moistures if any.

    Source
        estimate: yearly mean 81 F at the equator and 1.25 F cooler for each degree past 20; months swing by
        half a degree F for each degree of latitude, warmest in late July in the north.
    """
    row = _table()["no_city"]
    mean = 81 - 1.25 * max(abs(lat) - 20, 0)
    swing = 0.5 * abs(lat)
    warmest = 6.8 if lat >= 0 else 0.8
    temp = [mean + swing * cos(2 * pi * (month + 0.5 - warmest) / MONTHS) for month in range(MONTHS)]
    emc = emc_pct or (row["emc"],) * MONTHS
    return Source(
        name="own values" if emc_pct else "no weather chosen",
        description="your own twelve values; the rest an estimate by latitude" if emc_pct else row["source"],
        normals=_normals(temp, emc, [row["rain_in"]] * MONTHS, row["wind_mph"]),
    )


def normals_from_us(rows: Sequence[Sequence[float]]) -> Normals:
    """Normals from twelve rows of month, F, % humidity, mph and inches of rain, in any order.

    Errors
        BadWeather: a month missing or twice, or a value that does not happen.
    """
    by_month = {int(row[0]): row for row in rows if len(row) == 5}
    if len(rows) != MONTHS or set(by_month) != set(range(1, MONTHS + 1)):
        raise BadWeather("normals are twelve rows of month, F, % humidity, mph and inches of rain.")
    year = [by_month[month] for month in range(1, MONTHS + 1)]
    return Normals(
        temp_c=tuple(celsius(float(row[1])) for row in year),
        rh_pct=tuple(float(row[2]) for row in year),
        wind_m_s=tuple(float(row[3]) * M_S_PER_MPH for row in year),
        rain_mm=tuple(float(row[4]) * MM_PER_INCH for row in year),
    )


def _normals(
    temp_f: Sequence[float], emc_pct: Sequence[float], rain_in: Sequence[float], wind_mph: float
) -> Normals:
    if len(emc_pct) != MONTHS or not all(LEAST_EMC <= value <= MOST_EMC for value in emc_pct):
        raise BadWeather(
            "it needs twelve moistures of {least_emc:g} to {most_emc:g}%, January first; "
            "there are {emc_pct}.",
            least_emc=LEAST_EMC,
            most_emc=MOST_EMC,
            emc_pct=len(emc_pct),
        )
    return Normals(
        temp_c=tuple(celsius(value) for value in temp_f),
        rh_pct=tuple(
            min(air_for(moisture, value), 98.0) for moisture, value in zip(emc_pct, temp_f, strict=True)
        ),
        wind_m_s=(wind_mph * M_S_PER_MPH,) * MONTHS,
        rain_mm=tuple(value * MM_PER_INCH for value in rain_in),
    )


def _table() -> dict:
    return dict(table_of("cities.toml", package="inventory.drying"))
