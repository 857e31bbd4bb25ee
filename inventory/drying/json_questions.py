"""One question about drying as a line of JSON asks it, and its answer."""

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from inventory.core import InventoryError
from inventory.core.species import species_of
from inventory.drying.engine import Heap
from inventory.drying.forecast import FULL, Forecast, forecast
from inventory.drying.history import FaceReading, History, Stage
from inventory.drying.places import normals_from_us
from inventory.drying.start import Start, likely_start
from inventory.drying.weather import FULL_YEAR, BadWeather, Source, normals_of
from inventory.drying.weather_files import read_weather

LONGEST_DAYS = 3660
THIN_IN = 1.0  # thinner than this nobody stacks with its bark on: dowels, kindling


class BadQuestion(InventoryError):
    """A question that lacks something or holds what it should not."""


def required(asked: Mapping[str, Any], name: str) -> Any:
    """A field that must be there.

    Errors
        BadQuestion
    """
    if asked.get(name) is None:
        raise BadQuestion('"{name}" is missing.', name=name)
    return asked[name]


def number(asked: Mapping[str, Any], name: str, low: float, high: float) -> float:
    """A number within limits.

    Errors
        BadQuestion
    """
    value = required(asked, name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise BadQuestion(
            '"{name}" must be a number from {low:g} to {high:g}, not {value}.',
            name=name,
            low=low,
            high=high,
            value=json.dumps(value),
        )
    return float(value)


def drying_asked(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Moisture day by day with its 80 percent band, and when it is dry.

    Errors
        BadQuestion, BadWeather, BadDrying, UnknownWood
    """
    start_on, until = _date(required(asked, "start_on"), "start_on"), _date(required(asked, "until"), "until")
    days = (until - start_on).days + 1
    if not 1 <= days <= LONGEST_DAYS:
        raise BadQuestion('"until" must lie from "start_on" to ten years after it.')
    source, notes = _source(asked, start_on, until)
    heap = _heap(asked)
    felled = asked.get("felled_on")
    if asked.get("start_dry_pct") is not None:
        start = Start(on=start_on, likely_pct=number(asked, "start_dry_pct", 0, 300))
    else:
        start = likely_start(
            {asked["wood"]: 100}, shape=heap.shape, size_in=heap.size_in, on=start_on, source=source,
            felled_on=None if felled is None else _date(felled, "felled_on"),
        )  # fmt: skip
    history = History(
        start=start,
        stages=(Stage(from_on=start_on, heap=heap, source=source),),
        readings=_readings(asked.get("readings") or (), start_on),
    )
    return {
        **_answer(forecast(history, days=days, detail=FULL)),
        **({"notes": notes} if notes else {}),
    }


def _answer(found: Forecast) -> dict[str, Any]:
    def day(on: date | None) -> str | None:
        return on.isoformat() if on else None

    return {
        "days": [on.isoformat() for on in found.days],
        "p10": [round(value, 2) for value in found.low],
        "p50": [round(value, 2) for value in found.median],
        "p90": [round(value, 2) for value in found.high],
        "dry_on_p10": day(found.early),
        "dry_on_p50": day(found.likely),
        "dry_on_p90": day(found.late),
    }


def _heap(asked: Mapping[str, Any]) -> Heap:
    wood = species_of(str(required(asked, "wood")))
    form = required(asked, "form")
    if form not in ("split", "round", "board"):
        raise BadQuestion('"form" is split or round, not {form}.', form=json.dumps(form))
    size = number(asked, "size_in", 0.1, 60)
    bark = asked.get("bark", form == "round" and size >= THIN_IN)
    if not isinstance(bark, bool):
        raise BadQuestion('"bark" is true or false.')
    cover = asked.get("cover", "bare")
    lies = asked.get("lies") or ("open" if form == "round" and not bark else "row")
    length = asked.get("length_in")
    return Heap(
        gravity=wood.specific_gravity.value,
        is_softwood=wood.group == "softwood",
        shape=form,
        size_in=size,
        length_in=None if length is None else number(asked, "length_in", 1, 1000),
        has_bark=bark,
        lies=str(lies),
        cover=str(cover),
    )


def _source(asked: Mapping[str, Any], start_on: date, until: date) -> tuple[Source, list[str]]:
    if asked.get("normals") is not None:
        if not isinstance(asked["normals"], list) or not all(_are_numbers(row) for row in asked["normals"]):
            raise BadQuestion('"normals" are twelve rows of numbers.')
        return Source(name="normals", description="asked", normals=normals_from_us(asked["normals"])), []
    name = required(asked, "weather")
    try:
        read = read_weather(Path(str(name)).read_text(encoding="utf-8", errors="replace"))
    except OSError as error:
        raise BadWeather(
            "{name} could not be read ({strerror}).", name=name, strerror=error.strerror
        ) from error
    record = read.record
    source = Source(
        name=str(name),
        description=str(name),
        normals=normals_of(record),
        measured=record,
        is_typical=read.is_typical,
    )
    is_short = len(record.ordinals) < FULL_YEAR
    if is_short and not record.first_on <= start_on <= until <= record.last_on:
        raise BadWeather(
            "it runs from {first_on} to {last_on}; {start_on} to {until} was asked. Give a "
            "whole year or ask for days it holds.",
            first_on=record.first_on,
            last_on=record.last_on,
            start_on=start_on,
            until=until,
        )
    return source, list(read.notes)


def _readings(rows: Any, start_on: date) -> tuple[FaceReading, ...]:
    if not isinstance(rows, list | tuple):
        raise BadQuestion('"readings" are pairs of a date and a percent.')
    found = []
    for row in rows:
        if not isinstance(row, list) or len(row) != 2 or not _are_numbers(row[1:]) or not 3 <= row[1] <= 200:
            raise BadQuestion("a reading is a date and 3 to 200% dry basis, not {row}.", row=json.dumps(row))
        on = _date(row[0], "readings")
        if on < start_on:
            raise BadQuestion("the reading of {on} is older than the start.", on=on)
        found.append(FaceReading(on=on, mean_pct=float(row[1]), worst_pct=float(row[1])))
    return tuple(sorted(found, key=lambda reading: reading.on))


def _are_numbers(row: Any) -> bool:
    return isinstance(row, list) and all(
        isinstance(value, int | float) and not isinstance(value, bool) for value in row
    )


def _date(text: Any, name: str) -> date:
    try:
        return date.fromisoformat(str(text))
    except ValueError:
        raise BadQuestion(
            '"{name}" must be a date like 2026-07-01, not {text}.', name=name, text=json.dumps(text)
        ) from None
