"""Heaps and histories for the drying tests, with published tables beside them."""

import csv
from datetime import date
from functools import cache
from pathlib import Path

from inventory.core.species import species_of
from inventory.drying.engine import Heap
from inventory.drying.forecast import Forecast, forecast
from inventory.drying.history import FaceReading, History, Stage
from inventory.drying.places import city_weather
from inventory.drying.start import Start, likely_start, typed_start
from inventory.drying.weather import Normals, Source

TABLES = Path(__file__).resolve().parents[3] / "fixtures" / "reference" / "drying"
EUGENE = city_weather("Eugene")
JUNE = date(2026, 6, 10)


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def steady(temp_c: float, rh_pct: float, *, rain_mm: float = 0.0, wind_m_s: float = 2.5) -> Source:
    """The same air all year, but for the days' own ups and downs."""
    normals = Normals(
        temp_c=(temp_c,) * 12, rh_pct=(rh_pct,) * 12, wind_m_s=(wind_m_s,) * 12, rain_mm=(rain_mm,) * 12
    )
    return Source(name="steady", description="made for a test", normals=normals)


def heap(key: str = "fir", lies: str = "low_heap", **changes: object) -> Heap:
    wood = species_of(key)
    shape = changes.get("shape", "split")
    usual = {
        "gravity": wood.specific_gravity.value, "is_softwood": wood.group == "softwood", "shape": "split",
        "size_in": 5.0, "length_in": 16.0, "has_bark": shape == "round", "lies": lies, "cover": "bare",
    }  # fmt: skip
    return Heap(**{**usual, **changes})  # type: ignore[arg-type]


def history(
    start: Start | float, of: Heap, *, on: date = JUNE, source: Source = EUGENE, read: tuple = ()
) -> History:
    """A start typed as a number is a seller's; readings are pairs of a day and a mean."""
    begun = start if isinstance(start, Start) else typed_start(on, start)
    return History(
        start=begun,
        stages=(Stage(from_on=begun.on, heap=of, source=source),),
        readings=tuple(FaceReading(on=day, mean_pct=pct, worst_pct=pct) for day, pct in read),
    )


def dried(start: Start | float, of: Heap, **how: object) -> Forecast:
    return forecast(history(start, of, **how))  # type: ignore[arg-type]


def exactly(pct: float, on: date = JUNE) -> Start:
    return Start(on=on, likely_pct=pct)


def fresh(
    key: str, on: date, *, shape: str = "split", size_in: float = 5.0, source: Source = EUGENE
) -> Start:
    return likely_start({key: 100}, shape=shape, size_in=size_in, on=on, felled_on=on, source=source)
