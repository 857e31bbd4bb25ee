"""Hourly files read here and by pvlib give the same days.

pvlib is no dependency, it brings 380 MB along: the check runs where somebody installed it.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from inventory.drying.weather import HUMIDITY, SUN, TEMP, WIND
from inventory.drying.weather_files import read_weather

from .test_weather import epw

pvlib = pytest.importorskip("pvlib", reason="pvlib is not installed")
NAMES = {TEMP: "temp_air", HUMIDITY: "relative_humidity", WIND: "wind_speed", SUN: "ghi"}
SAMPLES = ("703165TY.csv", "723170TYA.CSV")
MJ_OF_A_DAY = 0.0864  # a mean watt over a day
HALF_AN_HOUR = timedelta(minutes=30)


def by_day(frame, *, shift: timedelta) -> dict[tuple[int, int], dict[int, float]]:
    """Daily means of pvlib's hours, by month and day; `shift` moves a stamp into its own hour."""
    at = frame.index + shift
    return {
        when: {column: float(hours[name].mean()) for column, name in NAMES.items()}
        for when, hours in frame.groupby([at.month, at.day])
    }


def compared(text: str, theirs: dict[tuple[int, int], dict[int, float]]) -> list[float]:
    """Our days less theirs, in the units of each column; sun in MJ/m2."""
    record = read_weather(text).record
    off = []
    for ordinal, values in zip(record.ordinals.tolist(), record.values, strict=True):
        day = date.fromordinal(ordinal)
        for column, mean in theirs[day.month, day.day].items():
            off.append(values[column] - mean * (MJ_OF_A_DAY if column == SUN else 1))
    return off


@pytest.mark.parametrize("name", SAMPLES)
def test_tmy3_is_read_as_pvlib_reads_it(name):
    path = Path(pvlib.__file__).parent / "data" / name
    frame, _ = pvlib.iotools.read_tmy3(path, map_variables=True, coerce_year=1990)

    off = compared(path.read_text(encoding="latin-1"), by_day(frame, shift=-HALF_AN_HOUR))

    assert len(off) == 365 * len(NAMES)
    assert np.abs(off).max() < 0.001


def test_epw_is_read_as_pvlib_reads_it(tmp_path):
    path = tmp_path / "made.epw"
    path.write_text(epw({month: 1990 + month for month in range(1, 13)}))
    frame, _ = pvlib.iotools.read_epw(path)

    off = compared(path.read_text(), by_day(frame, shift=timedelta(0)))

    assert len(off) == 24 * len(NAMES)
    assert np.abs(off).max() < 0.001
