"""What a wood may weigh around its printed average, and that the plan covers it."""

import pytest

from inventory.core.species import (
    cord_weight_lb,
    cord_weight_range_lb,
    plan_weight_lb,
    published_woods,
    species_from,
    species_of,
)


@pytest.mark.parametrize("key", sorted(published_woods()))
def test_a_printed_gravity_has_the_range_of_its_stands_and_the_plan_covers_it(key):
    """A kind's printed gravity is an average; planned on it alone, a heavy stand would overload a rig."""
    gravity = species_of(key).specific_gravity

    assert gravity.low <= 0.925 * gravity.value
    assert gravity.high >= 1.075 * gravity.value
    assert "range:" in gravity.source
    low, high = cord_weight_range_lb({key: 100}, 20)
    assert low < cord_weight_lb({key: 100}, 20) < high
    assert plan_weight_lb({key: 100}, 20) >= 0.99 * high


def test_a_wood_whose_gravity_is_less_sure_is_planned_at_its_heavy_end(monkeypatch):
    """A seller's own wood, 0.40 to 0.60: 1.10 times the likely would leave the heavy stands out."""
    table = {
        "name": "Elder", "scientific": "Sambucus", "group": "hardwood",
        "specific_gravity": {"value": 0.5, "low": 0.4, "high": 0.6, "unit": "-", "source": "weighed here"},
        "green_moisture_pct": {"value": 80, "low": 70, "high": 90, "unit": "%", "source": "weighed here"},
    }  # fmt: skip
    elder = species_from("elder", table)
    monkeypatch.setattr("inventory.core.species._own", [lambda: {"elder": elder}])

    planned, likely = plan_weight_lb({"elder": 100}, 90), cord_weight_lb({"elder": 100}, 90)

    assert planned == pytest.approx(1.21 * likely, rel=0.01)
    assert planned >= 0.99 * cord_weight_range_lb({"elder": 100}, 90)[1]


def test_every_wood_has_a_range_of_green_moisture_with_its_source():
    for wood in published_woods().values():
        green = wood.green_moisture_pct
        assert green.low < green.high, wood.key
        assert green.source, wood.key


def test_the_range_of_a_mix_lies_between_those_of_its_woods():
    fir, oak, mixed = (
        cord_weight_range_lb(mix, 20) for mix in ({"fir": 100}, {"oak": 100}, {"fir": 60, "oak": 40})
    )

    assert fir[0] < mixed[0] < oak[0]
    assert fir[1] < mixed[1] < oak[1]
