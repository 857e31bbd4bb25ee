"""The engine against what was published and measured: logs, boards, sticks in the rain, firewood.

Misses stay in the tables; the bars are on the whole.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pytest

from inventory.drying.engine import Heap, respond
from inventory.drying.forecast import forecast
from inventory.drying.history import History, Stage
from inventory.drying.places import city_weather
from inventory.drying.start import Start
from inventory.drying.weather import Source, normals_of, weather_run
from inventory.drying.weather_files import read_weather

from . import places
from .kit import TABLES, dried, exactly, fresh, heap, rows, steady

PINE = "ponderosa_pine"
HAYFORK_SUMMER = steady(23.9, 40)  # 75 F, 40 %


def simpson_wang_days(diameter_in: float, temp_f: float, rh_pct: float, start: float, end: float) -> int:
    """Days by the published regression for pine, a day at a time (FPL-RP-613 table 1)."""
    moisture, days = start, 0
    while moisture > end:
        moisture -= 0.00117 * moisture**1.38 * temp_f**1.69 * rh_pct**-0.558 * diameter_in**-1.30
        days += 1
    return days


@pytest.mark.parametrize("diameter_in", [4, 5, 6, 8])
@pytest.mark.parametrize(("temp_f", "rh_pct"), [(75, 40), (65, 50), (55, 60)])
def test_pine_logs_under_a_roof_dry_in_the_published_days(diameter_in, temp_f, rh_pct):
    logs = heap(
        PINE, "open", shape="round", size_in=diameter_in, length_in=None, has_bark=False, cover="roof"
    )

    found = dried(exactly(120), logs, source=steady((temp_f - 32) / 1.8, rh_pct))

    days = next(day for day, pct in enumerate(found.median) if pct <= 20)
    assert 0.8 <= days / simpson_wang_days(diameter_in, temp_f, rh_pct, 120, 20) <= 1.25


def board_days(key: str, month: int, source: Source, *, inches: float = 1.0, start: float, end: float) -> int:
    board = heap(key, "stickered", shape="board", size_in=inches, length_in=None, has_bark=False, cover="top")
    found = dried(exactly(start, date(2025, month, 1)), board, source=source)
    return next((day for day, pct in enumerate(found.median) if pct <= end), 999)


BOARDS = (
    ("northern red oak", "red_oak", city_weather("Chicago"), 80),
    ("northern white oak", "white_oak", city_weather("Chicago"), 70),
    ("ash (white, black, green)", "white_ash", city_weather("Chicago"), 45),
    ("beech", "beech", city_weather("Chicago"), 65),
    ("eastern white pine", "white_pine", city_weather("Chicago"), 100),
    ("lodgepole pine", "lodgepole_pine", city_weather("Spokane"), 80),
)


@pytest.mark.slow
def test_boards_take_from_the_best_to_the_worst_of_the_published_days():
    """FPL-GTR-117 table 7: 1 in boards, green to 20 %, best and worst season.

    Missed: eastern white pine in its best season, 23 days against 60.
    """
    ratios = []
    for row, key, source, green in BOARDS:
        printed = next(line for line in rows("air_drying_days.csv") if line["species"] == row)
        days = [board_days(key, month, source, start=green, end=20) for month in (1, 4, 6, 7, 9, 10, 11)]
        ratios += [min(days) / float(printed["days_min"]), max(days) / float(printed["days_max"])]

    assert sum(0.5 <= ratio <= 2 for ratio in ratios) >= len(ratios) - 1
    assert 0.7 <= float(np.median(ratios)) <= 1.3


def test_two_inch_oak_takes_two_to_three_times_one_inch():
    """FPL-GTR-117: days go with thickness to the power 1.5; in a pile the air between takes its share."""
    one, two = (
        board_days("red_oak", 5, city_weather("Chicago"), inches=inches, start=80, end=20)
        for inches in (1, 2)
    )

    assert 1.5 <= two / one <= 3


def stick_series() -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """The engine's median of each day, and both sticks measured beside it."""
    read = read_weather((TABLES / "stick_weather_daily.csv").read_text(encoding="utf-8"))
    source = Source(name="BC1", description="", normals=normals_of(read.record), measured=read.record)
    lines = rows("stick_weather_daily.csv")
    seen = {
        site: np.array([float(line[f"{site}_stick_mean_pct_db"] or "nan") for line in lines])
        for site in ("bc1", "bc2")
    }
    stick = Heap(
        gravity=0.40, is_softwood=True, shape="round", size_in=13 / 25.4, length_in=16, has_bark=False,
        lies="open", cover="bare",
    )  # fmt: skip
    start = Start(on=read.record.first_on, likely_pct=seen["bc1"][0])
    stage = Stage(from_on=start.on, heap=stick, source=source)
    return np.array(forecast(History(start=start, stages=(stage,)), days=len(lines)).median), seen


def test_sticks_in_weather_and_rain_follow_the_measured_series():
    """One set of parameters, fitted on the first half: 4 points, a bias of 1, on all and on the second."""
    model, seen = stick_series()
    second = np.arange(len(model)) >= len(model) // 2

    for measured in seen.values():
        for part in (np.ones(len(model), bool), second):
            error = (model - measured)[part & ~np.isnan(measured)]
            assert np.sqrt((error**2).mean()) <= 4.0
            assert abs(error.mean()) <= 1.0


def test_sticks_without_rain_for_three_days_are_within_1_3_points():
    model, seen = stick_series()
    rain = np.array([float(line["rain_mm"]) for line in rows("stick_weather_daily.csv")])
    dry = np.array([not rain[max(0, at - 2) : at + 1].any() for at in range(len(rain))])

    for measured in seen.values():
        error = (model - measured)[dry & ~np.isnan(measured)]
        assert np.sqrt((error**2).mean()) <= 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A row of firewood_observations.csv and what it leaves unsaid: sizes not printed are estimates."""

    name: str
    days: int
    seen: tuple[float, float]  # the range observed; an open end is 0 or 300
    of: Heap
    start: Start
    source: Source

    def band(self) -> tuple[float, float]:
        found = forecast(
            History(
                start=self.start, stages=(Stage(from_on=self.start.on, heap=self.of, source=self.source),)
            )
        )
        return found.low[self.days], found.high[self.days]


def branches(start: float) -> tuple[Heap, Start]:
    return heap("spruce", "spread", shape="round", size_in=0.8, length_in=None), exactly(
        start, date(2010, 6, 15)
    )


def on_load_cells() -> float:
    """Points lost on the quickest of the first three days: debarked logs of E. nitens."""
    logs = heap("alder", "open", gravity=0.47, shape="round", size_in=6.0, length_in=None, has_bark=False)
    run = weather_run(places.TASMANIA, date(2020, 2, 6), 4)
    found = respond(logs, run)
    held, _ = found.follow(np.full((*found.keep.shape[1:], 1), 120.0))
    return float(np.quantile(-np.diff(held[1:4, ..., 0], axis=0).min(axis=0), 0.9))


SPRING_UA, CUT_MARYLAND = date(2010, 3, 1), date(2017, 4, 15)
TRIALS = (
    Trial(
        name="A radiata logs, warm dry site", days=168, seen=(26.6, 26.6),
        start=exactly(112.8, date(2010, 11, 15)),
        of=heap(PINE, "row", shape="round", size_in=6.0, length_in=72.0), source=places.CANTERBURY,
    ),
    Trial(
        name="A radiata logs, cold wet site", days=119, seen=(96.1, 104.1),
        start=exactly(138.1, date(2010, 6, 1)),
        of=heap(PINE, "row", shape="round", size_in=8.0, length_in=150.0), source=places.SOUTHLAND,
    ),
    Trial(name="B conifer branches, small piles", days=42, seen=(23.9, 23.9), of=branches(85.2)[0],
          start=branches(85.2)[1], source=places.FINLAND),
    Trial(name="B conifer branches, small piles", days=42, seen=(26.3, 26.3), of=branches(71.2)[0],
          start=branches(71.2)[1], source=places.FINLAND),
    Trial(
        name="B hickory rounds with bark", days=365, seen=(30, 300), source=places.MARYLAND,
        of=heap("hickory", "row", shape="round", size_in=8.0, length_in=17.0),
        start=fresh("hickory", CUT_MARYLAND, shape="round", size_in=8.0, source=places.MARYLAND),
    ),
    Trial(
        name="B hickory split", days=182, seen=(20, 20), of=heap("hickory", "row", length_in=17.0),
        start=fresh("hickory", CUT_MARYLAND, source=places.MARYLAND), source=places.MARYLAND,
    ),
    Trial(
        name="B four hardwoods split, start read by a meter that reads low there", days=198, seen=(20, 26),
        of=heap("white_oak", "row", length_in=17.0), start=Start(on=CUT_MARYLAND, likely_pct=36, spread=0.15),
        source=places.MARYLAND,
    ),
    Trial(
        name="B spruce split, Fairbanks", days=42, seen=(0, 25), of=heap("spruce", "row", cover="top"),
        start=fresh("spruce", date(2010, 6, 1), source=places.FAIRBANKS), source=places.FAIRBANKS,
    ),
    Trial(
        name="B birch split, Fairbanks", days=42, seen=(0, 25), of=heap("paper_birch", "row", cover="top"),
        start=fresh("paper_birch", date(2010, 6, 1), source=places.FAIRBANKS), source=places.FAIRBANKS,
    ),
    Trial(
        name="A spruce split in crate or bundle, Upper Austria", days=196, seen=(0, 25),
        of=heap("spruce", "row", cover="top", length_in=13.0),
        start=fresh("spruce", SPRING_UA, source=places.UPPER_AUSTRIA), source=places.UPPER_AUSTRIA,
    ),
    Trial(
        name="A beech split in crate or bundle, Upper Austria", days=196, seen=(0, 25),
        of=heap("beech", "row", cover="top", length_in=13.0),
        start=fresh("beech", SPRING_UA, source=places.UPPER_AUSTRIA), source=places.UPPER_AUSTRIA,
    ),
    Trial(
        name="B oak under a roof, Rhineland", days=365, seen=(15, 20), source=places.RHINELAND,
        of=heap("white_oak", "row", cover="roof", length_in=13.0, size_in=4.0),
        start=fresh("white_oak", SPRING_UA, source=places.RHINELAND),
    ),
    Trial(
        name="B beech under a roof, Rhineland", days=365, seen=(15, 20), source=places.RHINELAND,
        of=heap("beech", "row", cover="roof", length_in=13.0, size_in=4.0),
        start=fresh("beech", SPRING_UA, source=places.RHINELAND),
    ),
    Trial(  # 12 % of a mass of 1 + 100 % lost is 76 % left
        name="A Scots pine logs in a winter pile, Poland", days=125, seen=(76, 76),
        of=heap("lodgepole_pine", "low_heap", shape="round", size_in=6.0, length_in=48.0),
        start=exactly(100, date(2016, 11, 30)), source=places.POLAND,
    ),
)  # fmt: skip


def test_three_in_four_of_the_weighed_and_metered_trials_lie_in_the_80_percent_band():
    """A and B rows that say how long and how wet. Missed: birch in Fairbanks, dry sooner than any member.

    Taken as paper birch, which grows there, its band came 2 points nearer than as yellow birch.
    """
    missed = []
    for trial in TRIALS:
        low, high = trial.band()
        if high < trial.seen[0] or trial.seen[1] < low:
            missed.append(trial.name)

    assert len(missed) <= 0.25 * len(TRIALS)


def test_debarked_logs_in_a_tasmanian_summer_lose_about_two_points_a_day_at_first():
    """Strandgard et al. 2023: several days above 2 points a day; the quick tenth of our members does."""
    assert on_load_cells() > 2
