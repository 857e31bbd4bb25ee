"""What covering, splitting, spreading or moving a lot would gain."""

from dataclasses import replace
from datetime import date

import pytest

from inventory.core.climate import climate_of_city, steady_climate
from inventory.core.drying import Drying, FaceReading, drying_share, forecast, from_now
from inventory.core.what_if import gain, gains

SPLIT_ON = date(2026, 6, 10)
TODAY = date(2026, 8, 1)
FIRST_RAIN = date(2026, 10, 5)


def deep_heap(**rest):
    return Drying(
        start_on=SPLIT_ON,
        start_pct=60,
        rate=0.020,
        share=drying_share(exposure="deep_or_shade", form="splits").value,
        climate=steady_climate(),
        rain_share=0.7,
        **rest,
    )


def options(drying, *, exposure="deep_or_shade", form="splits", on=TODAY, **rest):
    found = gains(drying, on=on, by=FIRST_RAIN, exposure=exposure, form=form, **rest)
    return {option.what: option for option in found}


def test_a_deep_heap_may_be_covered_spread_or_stacked():
    assert set(options(deep_heap())) == {"cover", "spread", "stack"}


def test_stacking_in_the_sun_gains_most_and_comes_first():
    """Example 8: 12 April as a deep heap, 16 August as a sunny row from the start."""
    found = gains(deep_heap(), on=TODAY, by=FIRST_RAIN, exposure="deep_or_shade", form="splits")

    assert found[0].what == "stack"
    assert found[0].days > 180
    assert found[0].chance_after > 0.8 > 0.1 > found[0].chance_before
    assert found[0].is_worth_telling


def test_covering_gains_days_only_after_the_rain_and_no_chance_before():
    cover = options(deep_heap())["cover"]

    assert cover.days > 0
    assert cover.chance_after == pytest.approx(cover.chance_before, abs=0.001)


def test_covered_splits_in_the_sun_can_be_bettered_only_by_moving():
    drying = replace(deep_heap(), share=1.0, rain_share=1.0)

    assert options(drying, exposure="sun_row") == {}
    desert = options(drying, exposure="sun_row", other_yards=(("Phoenix", climate_of_city("Phoenix")),))
    assert desert["move:Phoenix"].days > 0
    assert desert["move:Phoenix"].words == "move it to Phoenix"


def test_moving_to_damper_air_is_told_as_a_loss():
    coast = options(deep_heap(), other_yards=(("the coast", climate_of_city("Juneau")),))["move:the coast"]

    assert coast.chance_after <= coast.chance_before
    assert not coast.is_worth_telling


def test_rounds_gain_from_splitting():
    rounds = replace(deep_heap(), share=drying_share(exposure="low_heap", form="rounds").value)
    split = options(rounds, exposure="low_heap", form="rounds")["split"]

    assert split.days > 60
    assert split.likely_after < split.likely_before


def test_a_share_of_the_sellers_own_is_kept_in_proportion():
    """A heap the seller knows to dry a fifth quicker than the table stays so when spread."""
    own = replace(deep_heap(), share=deep_heap().share * 1.2)

    assert options(own)["spread"].likely_after < options(deep_heap())["spread"].likely_after


def test_what_readings_taught_is_kept():
    slow = deep_heap(readings=(FaceReading(on=date(2026, 7, 20), mean_pct=52, worst_pct=55),))
    now = from_now(slow, TODAY)

    assert now.rate < 0.020
    assert now.rate_spread < slow.rate_spread
    assert now.readings == ()
    assert now.start_pct == pytest.approx(forecast(slow).median_on(TODAY))


def test_a_lot_not_started_yet_is_asked_about_from_its_start():
    assert from_now(deep_heap(), date(2026, 1, 1)).start_on == SPLIT_ON


def test_a_gain_beyond_the_horizon_has_no_days():
    never = replace(deep_heap(), rate=0.0001)
    found = gain("nothing", "leave it", as_is=forecast(never), changed=never, by=FIRST_RAIN)

    assert found.days is None
    assert not found.is_worth_telling


def test_a_lower_limit_counts_for_the_lot_as_it_is_and_as_it_might_be():
    usual, worst_face = options(deep_heap())["stack"], options(deep_heap(), limit_pct=22.0)["stack"]

    assert worst_face.likely_before > usual.likely_before
    assert worst_face.likely_after > usual.likely_after
