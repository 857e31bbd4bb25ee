"""Weather files as sellers have them: daily or hourly CSV under many headers, EPW and TMY3.

A file says for itself which columns it has and in which units; what it leaves out is filled by `weather`.
Years stay apart. A day of an hourly file needs 20 hours to count; days left out are told as gaps.
"""

import csv
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from math import exp, isfinite, nan
from typing import Any

from inventory.core import InventoryError
from inventory.core.figures import table_of
from inventory.core.sentences import say
from inventory.drying.weather import DAYS_PER_MONTH, BadWeather, Record

LEAST_HOURS = 20
HEADER_WITHIN = 40  # lines in which a file must name its columns
FIRST_LINES_BAD = 5
MONTHS_YEAR = 2001  # months without a year are kept under this one
HOTTEST_C = 50.0  # an hour above this was not measured in Celsius
LONGEST_YEAR = 400  # days a year's months lie apart when they are of one year
FAMILY = {"temp_min": "temp", "temp_max": "temp", "dew": "temp"}
DEW_A, DEW_B = 17.625, 243.04  # Magnus form, Alduchov and Eskridge 1996


def _table() -> Mapping[str, Any]:
    return table_of("weather_columns.toml", package="inventory.drying")


@cache
def _column_of(name: str) -> str | None:
    """Our column for what a header says."""
    return next((column for column, names in _table()["names"].items() if name in names), None)


class BadLine(InventoryError):
    """A line of a weather file that can't be read; the rest of the file counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherFile:
    """What a file held. `notes`: what was left out or taken for granted, as sentences."""

    record: Record
    is_hourly: bool
    is_typical: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Column:
    place: int
    name: str
    scale: float
    shift: float
    has_unit: bool


def read_weather(text: str) -> WeatherFile:
    """The days of a weather file.

    Errors
        BadWeather: no date, temperature or humidity in it, or no line that can be read; the line is named.
    """
    text = text.lstrip("\ufeff")
    if not text.strip():
        raise BadWeather("the file is empty.")
    if text[:9].upper() == "LOCATION,":
        return _read_epw(text)
    rows = list(_split(text))
    at, columns, day_first = _header(rows)
    is_monthly = not {column.name for column in columns} & {"date", "year"}
    columns, notes = _with_usual_units(columns, rows[at + 1 :])
    hours: dict[date, list[dict[str, float]]] = defaultdict(list)
    problems: list[str] = []
    for number, row in enumerate(rows[at + 1 :], at + 2):
        if not any(cell.strip() for cell in row):
            continue
        try:
            when = _when(row, columns, day_first)
            values = _values(row, columns)
        except BadLine as error:
            problems.append(say("line {number}: {problem}", number=number, problem=error))
            continue
        if is_monthly and "rain" in values:
            values["rain"] /= DAYS_PER_MONTH
        hours[when].append(values)
    if not hours:
        first = problems[0] if problems else "it has a first line and no more"
        raise BadWeather("no line of it could be read ({first}).", first=first)
    return _days(hours, problems, notes)


def _read_epw(text: str) -> WeatherFile:
    """EnergyPlus weather: eight lines of header, then hours under fixed columns."""
    columns = tuple(
        _Column(place, name, 0.0036 if name == "sun" else 1.0, 0.0, True)
        for name, place in _table()["epw"].items()
    )
    hours: dict[date, list[dict[str, float]]] = defaultdict(list)
    problems: list[str] = []
    for number, row in enumerate(csv.reader(text.splitlines()[8:]), 9):
        try:
            values = _values(row, columns)
            hours[_when(row, columns, False)].append(values)
        except BadLine as error:
            problems.append(say("line {number}: {problem}", number=number, problem=error))
    if not hours:
        raise BadWeather("it begins like EPW and has no hour of weather after its eight lines of header.")
    return _days(hours, problems, [])


def _split(text: str) -> Iterable[list[str]]:
    lines = text.splitlines()
    sample = "\n".join(lines[:HEADER_WITHIN])
    sign = max((";", "\t", ","), key=lambda mark: (sample.count(mark), mark == ","))
    try:
        yield from csv.reader(lines, delimiter=sign)
    except csv.Error as error:
        raise BadWeather("it is no table of text ({error}).", error=error) from error


def _header(rows: Sequence[Sequence[str]]) -> tuple[int, tuple[_Column, ...], bool]:
    """Where the header stands, its columns, and whether its dates put the day before the month."""
    best: tuple[int, tuple[_Column, ...]] = (0, ())
    for at, row in enumerate(rows[:HEADER_WITHIN]):
        found = _columns(row)
        names = {column.name for column in found}
        if (names & {"date", "year", "month"}) and len(found) > len(best[1]):
            best = (at, found)
    at, columns = best
    names = {column.name for column in columns}
    if not names & {"date", "year", "month"}:
        raise BadWeather(
            "no line of it names a date. Give the first line names, such as date, temp_c, rh_pct."
        )
    if not names & {"temp", "temp_min"} or ("temp_min" in names) > bool(names & {"temp", "temp_max"}):
        raise BadWeather("it names no temperature. Call the column temp_mean_c or temp_f.")
    if not names & {"rh", "rh_min", "dew"}:
        raise BadWeather("it names no humidity and no dew point. Call the column rh_mean_pct or dew_point_c.")
    day = next((column for column in columns if column.name == "date"), None)
    first = [
        re.split(r"[./-]", row[day.place].strip())[0]
        for row in rows[at + 1 :]
        if day and len(row) > day.place
    ]
    dotted = any(
        "." in row[day.place].split(" ")[0] for row in rows[at + 1 : at + 3] if day and len(row) > day.place
    )
    day_first = dotted or any(part.isdecimal() and 12 < int(part) <= 31 for part in first)
    return at, columns, day_first


def _columns(row: Sequence[str]) -> tuple[_Column, ...]:
    """The columns a header row names, each once: the first that fits."""
    found: dict[str, _Column] = {}
    for place, cell in enumerate(row):
        name, unit = _name_and_unit(cell)
        if name is None or name in found:
            if name == "date" and "clock" not in found:
                found["clock"] = _Column(place, "clock", 1, 0, True)  # a second "time" beside the date
            continue
        units = _table()["units"].get(FAMILY.get(name, name), {})
        scale, shift = units.get(unit, (1.0, 0.0))
        found[name] = _Column(place, name, scale, shift, unit in units)
    if {"year", "month"} <= found.keys() and "dom" not in found and "date" in found:
        found["dom"] = _Column(found.pop("date").place, "dom", 1, 0, True)
    return tuple(found.values())


def _with_usual_units(
    columns: tuple[_Column, ...], rows: Sequence[Sequence[str]]
) -> tuple[tuple[_Column, ...], list[str]]:
    """A file that names no units: Fahrenheit, mph and inches when it is warmer than any Celsius."""
    bare = [
        column
        for column in columns
        if not column.has_unit and FAMILY.get(column.name, column.name) in _table()["units"]
    ]
    temps = [column for column in bare if FAMILY.get(column.name, column.name) == "temp"]
    seen = [_number(row[column.place]) for row in rows for column in temps if column.place < len(row)]
    hottest = max((value for value in seen if value is not None and not _is_filler(value)), default=0.0)
    if hottest <= HOTTEST_C:
        return columns, []
    american = {"temp": "f", "wind": "mph", "rain": "in"}
    changed = []
    for column in columns:
        family = FAMILY.get(column.name, column.name)
        if column in bare and family in american:
            scale, shift = _table()["units"][family][american[family]]
            column = _Column(column.place, column.name, scale, shift, True)
        changed.append(column)
    return tuple(changed), ["It names no units and is too warm for Celsius: read as F, mph and inches."]


def _number(text: str) -> float | None:
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return number if isfinite(number) else None


def _name_and_unit(cell: str) -> tuple[str | None, str]:
    """ "Temp (°F)", "temp_f", "precipitation_sum (mm)", "RHum (%)" -> our name and the unit said."""
    text = cell.strip().lower().replace("°", "").replace("²", "2")
    text = re.sub(r"\((mm/dd/yyyy|hh:mm)\)", lambda found: re.sub(r"\W", "", found[1]), text)
    bracket = re.search(r"[(\[]([^)\]]*)[)\]]", text)
    plain = re.sub(r"[(\[][^)\]]*[)\]]", "", text)
    parts = [word for word in re.split(r"[^a-z0-9]+", plain) if word]
    whole = "".join(parts)
    unit = re.sub(r"[^a-z0-9]", "", bracket[1]) if bracket else ""
    if name := _column_of(whole):
        return name, unit or _table()["name_units"].get(whole, "")
    for used in (1, 2, 3):  # the last parts may be the unit: temp_mean_c, wind_mean_m_s, sun_mj_m2
        head, tail = "".join(parts[:-used]), "".join(parts[-used:])
        if name := _column_of(head):
            return name, unit or tail
    return None, ""


def _when(row: Sequence[str], columns: Sequence[_Column], day_first: bool) -> date:
    cells = {column.name: row[column.place].strip() for column in columns if column.place < len(row)}
    if "date" in cells:
        return _day(cells["date"], day_first)
    try:
        if "year" not in cells:  # twelve months of a usual year
            return date(MONTHS_YEAR, int(float(cells["month"])), 15)
        found = date(*(int(float(cells[name])) for name in ("year", "month", "dom")))
    except (KeyError, ValueError, OverflowError):
        raise BadLine("year, month and day do not make a date") from None
    return found


def _day(text: str, day_first: bool) -> date:
    head = re.split(r"[T ]", text, maxsplit=1)
    try:
        if re.fullmatch(r"\d{8}", head[0]):
            found = datetime.strptime(head[0], "%Y%m%d").date()
        elif re.match(r"\d{4}[-/.]", head[0]):
            found = date(*(int(part) for part in re.split(r"[-/.]", head[0])[:3]))
        else:
            first, second, year = (int(part) for part in re.split(r"[-/.]", head[0])[:3])
            day, month = (first, second) if day_first else (second, first)
            found = date(year + 2000 if year < 100 else year, month, day)
    except (ValueError, TypeError):
        raise BadLine("{text!r} is not a date like 2026-07-01", text=text) from None
    return found


def _values(row: Sequence[str], columns: Sequence[_Column]) -> dict[str, float]:
    """A line's numbers in our units; a blank or a missing-value sign is left out."""
    found: dict[str, float] = {}
    for column in columns:
        if column.name not in _table()["limits"] or column.place >= len(row):
            continue
        text = row[column.place].strip().rstrip("s*")
        if text.lower() in ("", "na", "nan", "m", "null", "none", "-"):
            continue
        if text == "T":  # a trace of rain
            text = "0"
        number = _number(text)
        if number is None:
            raise BadLine("{text!r} is no number", text=text)
        value = number * column.scale + column.shift
        low, high = _table()["limits"][column.name]
        if low <= value <= high:
            found[column.name] = value
        elif not _is_filler(number):
            what = column.name.replace("_", " ")
            raise BadLine("{number:g} does not happen outdoors as {what}", number=number, what=what)
    return found


def _is_filler(number: float) -> bool:
    """-9999, -9900, 999 and the like stand for nothing measured."""
    return number <= -99 or str(int(abs(number))).strip("9") in ("", "00")


def _days(hours: dict[date, list[dict[str, float]]], problems: list[str], notes: list[str]) -> WeatherFile:
    most = max(len(rows) for rows in hours.values())
    is_hourly = most >= LEAST_HOURS // 3  # three-hourly files too
    needed = LEAST_HOURS * min(most, 24) / 24 if is_hourly else 1
    whole = {day: rows for day, rows in hours.items() if len(rows) >= needed}
    notes = list(notes)
    if problems:
        shown = "; ".join(problems[:FIRST_LINES_BAD])
        notes.append(f"{len(problems)} lines could not be read and were left out: {shown}.")
    days = []
    for day, rows in sorted(whole.items()):
        values = _day_values(rows, is_hourly=is_hourly)
        if values is not None:
            days.append((day, values))
    if len(hours) > len(days):
        notes.append(f"{len(hours) - len(days)} days had too few hours or no temperature or humidity.")
    record = Record.of(days)
    is_typical = _is_typical(record)
    if is_typical:
        notes.append("It stands for a usual year, not for the days of one: its years differ.")
    gaps = record.gaps()
    if gaps and not is_typical:
        told = ", ".join(f"{first} to {last}" if last > first else f"{first}" for first, last in gaps[:5])
        more = f" and {len(gaps) - 5} more" if len(gaps) > 5 else ""
        notes.append(f"It leaves out {told}{more}; other years or the months' means stand in.")
    return WeatherFile(record=record, is_hourly=is_hourly, is_typical=is_typical, notes=tuple(notes))


def _is_typical(record: Record) -> bool:
    """Months put together from different years, as TMY3 and EPW files are."""
    months = {(day.year, day.month) for day in map(date.fromordinal, record.ordinals.tolist())}
    once = len({month for _, month in months}) == len(months)
    if once and len(months) == len(record.ordinals):  # a row a month
        return True
    return once and (record.last_on - record.first_on).days > LONGEST_YEAR


def _day_values(rows: Sequence[dict[str, float]], *, is_hourly: bool) -> tuple[float, ...] | None:
    """A day's columns in the order of `weather.COLUMNS`; None without temperature or humidity."""

    def mean(name: str) -> float:
        found = [row[name] for row in rows if name in row]
        return sum(found) / len(found) if found else nan

    temp = mean("temp")
    if temp != temp:
        temp = (mean("temp_min") + mean("temp_max")) / 2
    humid = mean("rh")
    if humid != humid:
        humid = (mean("rh_min") + mean("rh_max")) / 2
    if humid != humid:
        humid = _mean_humidity(rows, temp)
    if temp != temp or humid != humid:
        return None
    rain = [row["rain"] for row in rows if "rain" in row]
    sun = [row["sun"] for row in rows if "sun" in row]
    wet_hours = sum(amount > 0.05 for amount in rain) * 24 / len(rows) if is_hourly else mean("rain_hours")
    return (
        temp, humid, mean("wind"), sum(sun) * (24 / len(sun) if is_hourly else 1) if sun else nan,
        sum(rain) if rain else nan, wet_hours if rain else nan,
    )  # fmt: skip


def _mean_humidity(rows: Sequence[dict[str, float]], temp: float) -> float:
    """From dew points, hour by hour where each hour has its temperature."""
    found = [
        100 * exp(DEW_A * row["dew"] / (DEW_B + row["dew"]) - DEW_A * warm / (DEW_B + warm))
        for row in rows
        if "dew" in row and (warm := row.get("temp", temp)) == warm
    ]
    return min(sum(found) / len(found), 100.0) if found else nan
