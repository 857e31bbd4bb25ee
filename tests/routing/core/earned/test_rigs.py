"""Worked example 2, weight, and the rigs of the demo scenario."""

from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core.species import cord_weight_lb, plan_weight_lb
from routing.core.rigs import (
    BadRig,
    Rig,
    cords_within,
    most_cords,
    most_cords_over,
    rig_cautions,
    weigh,
)
from tests.routing.core.earned.demo import BIG, SMALL

DRY_FIR_LB = plan_weight_lb({"fir": 100}, 20)
GREEN_OAK_LB = plan_weight_lb({"oak": 100}, 70)
K5_LB = plan_weight_lb({"fir": 60, "oak": 40}, 20)
MOIST = {"fir": 45, "oak": 60}
POSTED_LB = 12_000


def test_the_big_trailer_heaped_holds_a_cord():
    assert BIG.box_ft3 == 180
    assert BIG.box_cords == 1


def test_the_small_trailer_heaped_holds_half_a_cord():
    assert SMALL.box_ft3 == 90
    assert SMALL.box_cords == Fraction(1, 2)


def test_mix_a_passes_at_its_planned_weight():
    mix_a = {"fir": 60, "oak": 40}
    planned = plan_weight_lb(mix_a, MOIST)

    assert cord_weight_lb(mix_a, MOIST) == pytest.approx(4264)
    assert planned == pytest.approx(4690.4)
    assert weigh(BIG, wood_lb=planned).fits


def test_mix_b_is_limited_by_weight():
    planned = plan_weight_lb({"fir": 30, "oak": 70}, MOIST)

    most = most_cords(BIG, lb_per_cord=planned)

    assert planned == pytest.approx(5337.2)
    assert most.cords == Fraction(955, 1000)
    assert most.limit == "weight"
    assert not weigh(BIG, wood_lb=planned).fits


def test_green_oak_stops_at_four_fifths_though_the_box_holds_a_cord():
    most = most_cords(BIG, lb_per_cord=GREEN_OAK_LB)

    assert pytest.approx(6358) == GREEN_OAK_LB
    assert most.by_box == 1
    assert most.cords == Fraction(802, 1000)


def test_the_tongue_leaves_room_for_a_little_dry_fir_in_the_bed():
    weight = weigh(BIG, wood_lb=4690.4)

    assert weight.tongue_lb == pytest.approx(790.8, abs=0.05)
    assert weight.bed_room_lb == pytest.approx(569.2, abs=0.05)
    assert cords_within(weight.bed_room_lb, DRY_FIR_LB) == Fraction(179, 1000)


def test_the_small_rig_takes_half_a_cord_of_dry_fir_but_not_of_green_oak():
    fir_lb = DRY_FIR_LB / 2
    oak_lb = GREEN_OAK_LB / 2

    assert fir_lb == pytest.approx(1584)
    assert weigh(SMALL, wood_lb=fir_lb).fits
    assert oak_lb == pytest.approx(3179)
    assert not weigh(SMALL, wood_lb=oak_lb).fits
    assert most_cords(SMALL, lb_per_cord=2 * oak_lb).cords == Fraction(328, 1000)


def test_the_small_rig_with_dry_fir_may_cross_the_posted_bridge():
    weight = weigh(SMALL, wood_lb=DRY_FIR_LB / 2)

    assert weight.whole_rig_lb == pytest.approx(9084)
    assert weight.whole_rig_lb < POSTED_LB


def test_a_full_cord_of_k5_is_too_heavy_for_the_posted_bridge():
    assert weigh(BIG, wood_lb=K5_LB).whole_rig_lb == pytest.approx(12_196)
    assert most_cords_over(BIG, limit_lb=POSTED_LB, lb_per_cord=K5_LB) == Fraction(946, 1000)


def test_a_rig_too_heavy_empty_takes_nothing_over_the_bridge():
    assert most_cords_over(BIG, limit_lb=8000, lb_per_cord=3000) == 0


def test_an_exact_fit_is_not_rounded_away():
    assert cords_within(1584, DRY_FIR_LB) == Fraction(1, 2)


def test_a_heavy_combination_is_cautioned_and_a_light_one_is_not():
    light = Rig(
        name="pickup alone",
        truck_lb=6600,
        truck_gross_lb=8600,
        payload_lb=1650,
        box_length_ft=Decimal(8),
        box_width_ft=Decimal(5),
        box_side_ft=Decimal("1.6"),
        has_trailer=False,
    )

    assert "15,600 lb" in rig_cautions(BIG)[0]
    assert rig_cautions(light) == ()


def test_a_payload_above_what_the_trailer_leaves_is_refused():
    with pytest.raises(BadRig, match="5,100 lb"):
        Rig(
            name="hopeful",
            truck_lb=6600,
            truck_gross_lb=8600,
            payload_lb=6000,
            box_length_ft=Decimal(12),
            box_width_ft=Decimal(6),
            box_side_ft=Decimal(2),
            trailer_empty_lb=1900,
            trailer_gross_lb=7000,
        )
