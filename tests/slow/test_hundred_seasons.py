"""A hundred seeded seasons lived under the plan and as last year: more dollars, and no promise broken."""

import pytest

from routing.season.problem import GREEN, SEASONED, Promise
from tests.routing.season.compare import plan_against_habit
from tests.routing.season.seasons import season

pytestmark = [pytest.mark.slow]
SEASONS = 100


def promise(name, kind, dryness, cords, by_period):
    return Promise(name=name, market="near", kind=kind, dryness=dryness, cords=cords, by_period=by_period)


def test_the_plan_beats_last_years_habit_and_breaks_no_promise():
    promises = (
        promise("dry now", "fir", SEASONED, 1.0, 1),
        promise("dry later", "fir", SEASONED, 0.75, 5),
        promise("to be split green", "fir", GREEN, 0.5, 3),
    )
    margins = plan_against_habit(season(promises=promises), seasons=SEASONS, seed=16)

    assert margins.missed == pytest.approx(0.0, abs=1e-6)
    assert margins.likely > margins.unsure  # more than chance, nineteen times in twenty
    assert margins.won >= 0.9 * SEASONS
