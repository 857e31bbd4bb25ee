"""The forecast and the heap number against plain drawing of lots: another way to the same answer, seeded.

Nothing of the grids is used here: rates and spreads are drawn from their priors, each draw is weighed by how
well it explains the readings, and weighted shares are counted.
"""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from inventory.core.climate import steady_climate
from inventory.core.drying import READING_ERROR_PCT, Drying, FaceReading, forecast
from inventory.core.figures import NORMAL_80, rule
from inventory.core.heap_number import RestackSeen, learned
from inventory.core.measure import form_figure

SPLIT_ON = date(2026, 6, 10)
DRAWS = 200_000
LOT = Drying(start_on=SPLIT_ON, start_pct=60, rate=0.02, share=0.75, climate=steady_climate())


@cache
def summer_days(drying, on):
    """Weighted days up to a day, counted one by one."""
    span = (on - drying.start_on).days
    return sum(drying.weight_on(drying.start_on + timedelta(place)) for place in range(span))


def moistures(drying, rates, on):
    return 12 + (drying.start_pct - 12) * np.exp(-rates * summer_days(drying, on))


def weighted_points(values, weights, shares):
    order = np.argsort(values)
    heavy = np.cumsum(weights[order]) / weights.sum()
    return [float(values[order][np.searchsorted(heavy, share)]) for share in shares]


@pytest.mark.parametrize(
    "readings",
    [
        (),
        (FaceReading(on=date(2026, 8, 10), mean_pct=31, worst_pct=34),),
        (FaceReading(on=date(2026, 8, 10), mean_pct=40, worst_pct=44),),
        (
            FaceReading(on=date(2026, 7, 10), mean_pct=46, worst_pct=50),
            FaceReading(on=date(2026, 8, 20), mean_pct=27, worst_pct=31),
        ),
    ],
    ids=["unread", "as expected", "slow", "read twice"],
)
def test_bands_and_chances_are_those_of_200_000_lots_drawn(readings):
    draw = np.random.default_rng(7)
    rates = 0.02 * np.exp(LOT.rate_spread * draw.standard_normal(DRAWS))
    weights = np.ones(DRAWS)
    for reading in readings:
        off = (moistures(LOT, rates, reading.on) - reading.mean_pct) / READING_ERROR_PCT
        weights *= np.exp(-0.5 * off**2)

    known = forecast(replace(LOT, readings=readings))

    for on in (date(2026, 8, 1), date(2026, 9, 15), date(2026, 12, 1)):
        low, median, high = weighted_points(moistures(LOT, rates, on), weights, (0.1, 0.5, 0.9))
        assert known.band_on(on) == pytest.approx((low, high), abs=0.35)
        assert known.median_on(on) == pytest.approx(median, abs=0.35)
        dry = float(weights[moistures(LOT, rates, on) <= 25].sum() / weights.sum())
        assert known.chance_dry_by(on) == pytest.approx(dry, abs=0.04)


def test_four_of_five_lots_are_dry_within_the_days_said():
    """Lots with hidden rates, each read once with a meter's error, then watched until dry."""
    draw = np.random.default_rng(11)
    read_on = SPLIT_ON + timedelta(45)
    inside = below = 0
    count = 150
    for _ in range(count):
        rate = 0.02 * float(np.exp(LOT.rate_spread * draw.standard_normal()))
        seen = float(moistures(LOT, np.array(rate), read_on) + READING_ERROR_PCT * draw.standard_normal())
        known = forecast(replace(LOT, readings=(FaceReading(on=read_on, mean_pct=seen, worst_pct=seen),)))
        dry_on = next(day for day in known.days if moistures(LOT, np.array(rate), day) <= 25)
        inside += (known.early or date.max) <= dry_on <= (known.late or date.max)
        below += dry_on < (known.early or date.max)

    assert 0.72 <= inside / count <= 0.90  # 0.80, give or take two and a half standard errors of 150 lots
    assert 0.03 <= below / count <= 0.18


@pytest.mark.parametrize(
    "numbers", [(196.4,), (150.0,), (190.0, 200.0, 195.0), (170.0, 210.0, 172.0, 208.0)], ids=str
)
def test_the_heap_number_is_that_of_400_000_rigs_drawn(numbers):
    figure = form_figure("splits")
    draw = np.random.default_rng(5)
    rigs = 2 * DRAWS
    freedom = rule("restack_prior_weight").value
    truth = figure.value + (figure.high - figure.low) / (2 * NORMAL_80) * draw.standard_normal(rigs)
    spread = rule("restack_spread").value * np.sqrt(freedom / draw.chisquare(freedom, rigs))
    weights = np.exp(sum(-0.5 * ((number - truth) / spread) ** 2 - np.log(spread) for number in numbers))

    number = learned(
        [RestackSeen(on=SPLIT_ON, loose_ft3=loose, stacked_ft3=128) for loose in numbers], form="splits"
    )

    assert number.mean == pytest.approx(float(np.average(truth, weights=weights)), abs=0.4)
    low, high = weighted_points(truth, weights, (0.1, 0.9))
    assert (number.low, number.high) == pytest.approx((low, high), abs=0.8)
    low, high = weighted_points(truth + spread * draw.standard_normal(rigs), weights, (0.1, 0.9))
    assert (number.load_low, number.load_high) == pytest.approx((low, high), abs=1.2)
