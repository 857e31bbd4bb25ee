"""The ensemble: what is likely, how sure, and what readings and changes do to both."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from inventory.drying.calibration import Scored, forecast_before, reliability
from inventory.drying.engine import BadDrying
from inventory.drying.forecast import forecast
from inventory.drying.history import FaceReading, Stage
from inventory.drying.options import actions, changed
from inventory.drying.places import city_weather
from inventory.drying.start import Start, green_moisture_pct, likely_start, typed_start

from .kit import EUGENE, JUNE, dried, exactly, heap, history

K1_READINGS = ((date(2026, 8, 10), 31.0), (date(2026, 9, 14), 18.6))
SPLIT_K1 = date(2026, 5, 12)
FIRST_RAIN = date(2026, 10, 5)


def near(found: date | None, wished: date, days: int) -> bool:
    return found is not None and abs((found - wished).days) <= days


def test_the_worked_example_of_fir_split_in_june():
    """60 % on 10 June: 16 August in a sunny row, 8 September in a low heap, next spring in a deep one."""
    row, low, deep = (dried(exactly(60), heap(lies=lies)) for lies in ("row", "low_heap", "deep_heap"))

    assert near(row.likely, date(2026, 8, 16), 21)
    assert near(low.likely, date(2026, 9, 8), 10)
    assert deep.likely is not None
    assert date(2027, 4, 1) < deep.likely < date(2027, 7, 1)
    assert low.median_on(date(2026, 9, 1)) == pytest.approx(26.0, abs=2)
    assert low.late is not None
    assert low.late.year == 2027


def test_hardwoods_of_the_worked_example_wait_for_next_summer():
    madrone, oak = (dried(exactly(pct), heap(key)) for key, pct in (("madrone", 65), ("oak", 70)))

    assert near(madrone.likely, date(2027, 5, 19), 45)
    assert near(oak.likely, date(2027, 8, 27), 45)


def test_a_blank_start_says_about_what_sixty_percent_says():
    """Coast fir split 10 June in a low heap: not 30 April next year."""
    start = likely_start({"fir": 100}, shape="split", size_in=5, on=JUNE, felled_on=None, source=EUGENE)

    low, high = start.range_80()
    assert 50 <= start.likely_pct <= 75
    assert low < 50
    assert high > 80
    assert near(dried(start, heap()).likely, date(2026, 9, 8), 14)


def test_small_fir_rounds_spread_one_deep_in_july_take_about_two_summer_months():
    start = likely_start(
        {"fir": 100}, shape="round", size_in=4, on=date(2026, 7, 1), felled_on=None, source=EUGENE
    )

    found = dried(start, heap(lies="spread", shape="round", size_in=4.0))

    assert found.likely is not None
    assert 40 <= (found.likely - start.on).days <= 75


def test_k1_without_its_readings_is_likely_dry_before_it_was_read_dry():
    start = likely_start(
        {"fir": 100}, shape="split", size_in=5, on=SPLIT_K1, felled_on=date(2026, 3, 5), source=EUGENE
    )

    found = dried(start, heap())

    assert found.likely is not None
    assert found.likely < date(2026, 9, 14)
    for on, read in K1_READINGS:
        low, high = found.band_on(on)
        assert low <= read <= high


def test_both_readings_of_k1_lie_in_its_own_band_once_they_are_known():
    found = dried(60, heap(), on=SPLIT_K1, read=K1_READINGS)

    for on, read in K1_READINGS:
        low, high = found.band_on(on)
        assert low <= read <= high


@pytest.mark.parametrize("start_pct", [35, 60, 115])
def test_the_likely_day_lies_in_its_own_range(start_pct):
    for lies in ("row", "low_heap", "deep_heap"):
        found = dried(start_pct, heap(lies=lies))
        dates = [day or date.max for day in (found.early, found.likely, found.late)]
        assert dates == sorted(dates)
        assert all(a <= b <= c for a, b, c in zip(found.low, found.median, found.high, strict=True))


def test_a_given_start_is_known_and_a_typed_one_is_not():
    known, typed = dried(exactly(60), heap()), dried(60, heap())

    assert known.high[0] - known.low[0] < 2
    assert typed.high[0] - typed.low[0] > 8


def test_a_wet_reading_teaches_little_and_a_dry_one_much():
    """Pins mean little above about 30 %: 44 read of wood that may hold far more."""
    asked, on = dried(90, heap(), on=JUNE), date(2026, 8, 20)
    wet = dried(90, heap(), read=((on, 44.0),))
    dry = dried(90, heap(), read=((on, 26.0),))

    def width(found) -> float:
        low, high = found.band_on(on)
        return high - low

    assert width(dry) < 0.6 * width(asked)
    assert width(wet) > 1.3 * width(dry)
    assert wet.median_on(on) > 38


def test_however_often_it_is_read_the_band_is_no_narrower_than_what_stays_unknown():
    on = date(2026, 8, 20)
    often = tuple((on + timedelta(day), 22.0) for day in range(8))

    low, high = dried(60, heap(), read=often).band_on(on + timedelta(4))

    assert high - low >= 2 * 1.2816 * 1.2 * 0.9


def test_a_reading_nobody_can_explain_widens_the_band_instead_of_breaking_it():
    found = dried(60, heap(), read=((JUNE + timedelta(1), 8.0),))

    assert np.isfinite(found.median).all()
    assert found.high[30] > found.low[30]


def test_splitting_keeps_what_is_unknown():
    """A heap of rounds unsure by 35 points: split, it is as unsure as before, not 92 to 92."""
    rounds = history(
        Start(on=date(2026, 6, 1), likely_pct=92, spread=0.2),
        heap("fir", "deep_heap", shape="round", size_in=8.0),
    )
    on = date(2026, 7, 15)
    split = replace(
        rounds, stages=(*rounds.stages, Stage(from_on=on, heap=heap("fir", "deep_heap"), source=EUGENE))
    )

    before, after = forecast(rounds).band_on(on), forecast(split).band_on(on)

    assert before[1] - before[0] > 15
    assert after[1] - after[0] == pytest.approx(before[1] - before[0], rel=0.1)


def test_readings_before_a_move_still_teach_after_it():
    read = ((date(2026, 8, 20), 34.0),)
    here = history(60, heap(), read=read)
    unread = replace(here, readings=())
    moved = [
        replace(
            lot, stages=(*lot.stages, Stage(from_on=date(2026, 9, 1), heap=heap(lies="row"), source=EUGENE))
        )
        for lot in (here, unread)
    ]

    known, unknown = (forecast(lot).band_on(date(2026, 9, 10)) for lot in moved)

    assert known[1] - known[0] < unknown[1] - unknown[0]


def test_dry_means_still_dry_on_the_day():
    """Wood dry in September that lies bare all winter is not dry on a day in January."""
    found = dried(exactly(60), heap(lies="low_heap", cover="bare"), source=city_weather("Juneau"))
    covered = dried(exactly(60), heap(lies="row", cover="top"))

    assert max(found.chances) > found.chance_dry_on(date(2027, 1, 15))
    assert covered.chance_dry_through(date(2026, 9, 20), date(2026, 9, 22)) <= covered.chance_dry_on(
        date(2026, 9, 20)
    )
    assert covered.chance_dry_on(JUNE - timedelta(1)) == 0
    assert covered.first_day_with(0.8, since=JUNE) > covered.early


def test_wood_that_rewets_says_until_when_it_is_dry():
    found = dried(exactly(40), heap(lies="spread"), source=city_weather("Juneau"))

    if found.likely:
        ends = found.stays_dry_until(since=found.likely)
        assert ends is None or ends > found.likely
    assert dried(exactly(15), heap(lies="row", cover="roof")).stays_dry_until(since=JUNE) is None


def test_a_dry_stretch_begins_with_a_whole_dry_week():
    """A likely dry day or two before the likely dry week is no stretch: it would end before it began."""
    found = dried(exactly(15), heap(lies="row", cover="roof"))
    share = [0.4, 0.6, 0.4, *[0.6] * 10, 0.4, *[0.3] * (len(found.days) - 14)]
    seen = replace(found, chances=tuple(share))

    assert seen.stays_dry_until(since=found.days[0]) == found.days[12]
    assert (
        replace(found, chances=(0.6,) * 3 + (0.1,) * (len(found.days) - 3)).stays_dry_until(
            since=found.days[0]
        )
        is None
    )


@pytest.mark.parametrize("wrong", [-1.0, 301.0])
def test_a_start_that_cannot_be_is_refused(wrong):
    with pytest.raises(BadDrying, match="started"):
        history(exactly(wrong), heap())


def test_stages_must_begin_with_the_start_and_stand_in_order():
    whole = history(exactly(60), heap())
    late = replace(whole.stages[0], from_on=JUNE + timedelta(3))
    with pytest.raises(BadDrying, match="not known"):
        replace(whole, stages=(late,))
    with pytest.raises(BadDrying, match="order"):
        replace(whole, stages=(whole.stages[0], late, whole.stages[0]))


def test_thin_stems_start_wetter_than_thick_ones_and_old_cuts_drier_than_fresh():
    assert green_moisture_pct("fir", 3) > green_moisture_pct("fir", 8) > green_moisture_pct("fir", 20)
    assert green_moisture_pct("oak", 3) == green_moisture_pct("oak", 20)
    fresh, stale = (
        likely_start({"fir": 100}, shape="split", size_in=5, on=JUNE, felled_on=felled, source=EUGENE)
        for felled in (date(2026, 6, 9), date(2025, 10, 1))
    )

    assert stale.likely_pct < fresh.likely_pct


@pytest.mark.parametrize(
    ("key", "size_in", "seen"),
    [("hemlock", 14, (70, 85)), ("lodgepole_pine", 2, (112.8, 122.2))],
)
def test_measured_fresh_moistures_lie_in_the_start_range(key, size_in, seen):
    """firewood_observations.csv, A rows: Sitka hemlock logs, Finnish pine residue (of its kin).

    Missed: Finnish spruce residue, 100-108; our spruce is Engelmann, whose thin stems begin near 170.
    """
    start = likely_start({key: 100}, shape="round", size_in=size_in, on=JUNE, felled_on=JUNE, source=EUGENE)
    low, high = start.range_80()

    assert low <= seen[1]
    assert seen[0] <= high


def test_redcedar_is_no_longer_taken_for_soaked():
    assert (
        likely_start(
            {"redcedar": 100}, shape="split", size_in=5, on=JUNE, felled_on=None, source=EUGENE
        ).likely_pct
        < 150
    )


def test_splitting_and_a_row_together_dry_a_deep_heap_of_rounds_sooner_than_either_alone():
    """Both were worth hundreds of days and the two together were never offered."""
    lot = history(90, heap("fir", "deep_heap", shape="round", size_in=9.0))
    on = date(2026, 6, 20)

    dry_on = {act.keys: forecast(changed(lot, act, on)).likely for act in actions(lot.now)}

    both = dry_on["split", "lay:row"]
    assert both <= min(dry_on[("split",)], dry_on[("lay:row",)])
    assert (forecast(lot).likely - both).days > 100


def test_a_lot_with_no_date_as_it_lies_can_be_given_one():
    lot = history(120, heap("oak", "deep_heap", shape="round", size_in=16.0), source=city_weather("Juneau"))
    on = date(2026, 6, 20)

    dry_on = [forecast(changed(lot, act, on)).likely for act in actions(lot.now)]

    assert forecast(lot).likely is None
    assert any(dry_on)


def test_nothing_is_offered_twice_and_only_what_can_be_done():
    assert actions(history(60, heap(lies="row", cover="roof")).now) == ()
    many = actions(history(60, heap("fir", "deep_heap", shape="round", size_in=8.0)).now)
    assert len({action.keys for action in many}) == len(many) == 2 * 4 * 2 - 1


def test_a_dry_week_between_two_days_counts_though_the_rain_comes_back():
    lot = history(60, heap())
    seen = forecast(lot)

    by_fall = seen.chance_dry_by(date(2026, 10, 31), since=lot.start.on)

    assert by_fall >= seen.chance_dry_on(date(2026, 10, 31))
    assert seen.chance_dry_by(lot.start.on, since=date(2026, 10, 31)) == 0


def scored(code: str, lot) -> list[Scored]:
    """Every reading of a history against what was told before it."""
    found = []
    for reading in lot.readings:
        low, likely, high = forecast_before(lot, reading)
        found.append(
            Scored(
                lot=code, on=reading.on, read_pct=reading.mean_pct,
                low_pct=low, likely_pct=likely, high_pct=high,
            )
        )  # fmt: skip
    return found


def test_later_readings_score_the_band():
    lot = history(60, heap(), on=SPLIT_K1, read=K1_READINGS)

    told = reliability(scored("K1", lot))

    assert [row.on for row in told.scored] == [on for on, _ in K1_READINGS]
    assert told.inside == 2
    assert not told.is_enough
    assert str(told.text).startswith("2 of 2 later readings fell inside")


def test_an_honest_forecast_is_told_apart_from_one_that_dries_too_fast():
    """Truths spread as the forecast spreads fall inside eight times in ten; wetter ones do not."""
    plain = history(60, heap(), on=SPLIT_K1)
    known, on = forecast(plain), date(2026, 8, 1)
    low, high = known.band_on(on)
    middle = known.median_on(on)

    def score(shift: float):
        rows = []
        for share in np.linspace(0.025, 0.975, 20):
            pct = middle + shift + (share - 0.5) * (high - low) * 1.25
            one = replace(plain, readings=(FaceReading(on=on, mean_pct=pct, worst_pct=pct),))
            rows += scored("K", one)
        return reliability(rows)

    honest, fast = score(0.0), score(14.0)
    assert 14 <= honest.inside <= 20
    assert "about 8 of 10" in str(honest.text)
    assert fast.inside < 12
    assert "Trust the dates less" in str(fast.text)
    assert "wetter" in str(fast.text)
    assert sum(honest.by_rank) == 20
    assert str(reliability(()).text) == "No reading has tested the forecasts yet."


def test_a_typed_start_is_a_judgment_the_less_sure_the_wetter():
    assert typed_start(JUNE, 110).spread > typed_start(JUNE, 20).spread > 0
