"""Worked example 2, weight, and the rigs of the demo scenario."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import floor

import pytest

from inventory.core.species import cord_weight_lb, plan_weight_lb
from routing.core.rigs import (
    BadRig,
    Rig,
    is_heavy_combination,
    rig_cautions,
    weigh,
    with_safe_payload,
    wood_limits,
)
from tests.routing.earned.demo import BIG, SMALL

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

    assert planned == pytest.approx(5337.2)
    assert floor(1000 * BIG.payload_lb / planned) == 955
    assert BIG.box_cords == 1
    assert not weigh(BIG, wood_lb=planned).fits


def test_green_oak_stops_at_four_fifths_though_the_box_holds_a_cord():
    assert pytest.approx(6358) == GREEN_OAK_LB
    assert BIG.box_cords == 1
    assert floor(1000 * BIG.payload_lb / GREEN_OAK_LB) == 802


def test_the_tongue_leaves_room_for_a_little_dry_fir_in_the_bed():
    weight = weigh(BIG, wood_lb=4690.4)

    assert weight.tongue_lb == pytest.approx(790.8, abs=0.05)
    assert weight.bed_room_lb == pytest.approx(569.2, abs=0.05)
    assert floor(1000 * weight.bed_room_lb / DRY_FIR_LB) == 179


def test_the_small_rig_takes_half_a_cord_of_dry_fir_but_not_of_green_oak():
    fir_lb = DRY_FIR_LB / 2
    oak_lb = GREEN_OAK_LB / 2

    assert fir_lb == pytest.approx(1584)
    assert weigh(SMALL, wood_lb=fir_lb).fits
    assert oak_lb == pytest.approx(3179)
    assert not weigh(SMALL, wood_lb=oak_lb).fits
    assert floor(1000 * SMALL.payload_lb / (2 * oak_lb)) == 328


def test_the_small_rig_with_dry_fir_may_cross_the_posted_bridge():
    weight = weigh(SMALL, wood_lb=DRY_FIR_LB / 2)

    assert weight.whole_rig_lb == pytest.approx(9084)
    assert weight.whole_rig_lb < POSTED_LB


def test_a_full_cord_of_k5_is_too_heavy_for_the_posted_bridge():
    assert weigh(BIG, wood_lb=K5_LB).whole_rig_lb == pytest.approx(12_196)


def test_a_heavy_combination_is_cautioned_and_a_light_one_is_not():
    light = Rig(
        name="pickup alone",
        truck_lb=6600,
        truck_gross_lb=8600,
        payload_lb=1650,
        box_length_ft=Decimal(8),
        box_width_ft=Decimal(5),
        box_side_ft=Decimal("1.6"),
        heap_number=Decimal(180),
        has_trailer=False,
    )

    assert is_heavy_combination(BIG)
    assert not is_heavy_combination(light)
    assert rig_cautions(BIG) == rig_cautions(light) == ()


def test_a_tongue_the_bed_cannot_bear_limits_the_wood():
    """A bed rated 500 lb took a tongue of 673 without a word."""
    weak_bed = replace(BIG, bed_payload_lb=900)  # 610 left of driver and tools

    tightest = wood_limits(weak_bed)[0]

    assert tightest.rating == "the pickup's payload, with the tongue on it"
    assert tightest.wood_lb == floor(610 / 0.15) - 1900
    assert with_safe_payload(weak_bed).payload_lb == tightest.wood_lb
    with pytest.raises(BadRig, match="may carry no wood: the pickup's payload"):
        with_safe_payload(replace(BIG, bed_payload_lb=500))


@pytest.mark.parametrize(
    ("rating", "lb", "wood_lb"),
    [
        ("hitch_tongue_lb", 750, 3100),
        ("hitch_tow_lb", 6000, 4100),
        ("combined_rating_lb", 12_500, 4000),
        ("truck_gross_lb", 7500, 4100),
    ],
)
def test_every_rating_that_is_written_down_limits_the_wood(rating, lb, wood_lb):
    assert with_safe_payload(replace(BIG, **{rating: lb})).payload_lb == wood_lb


def test_ratings_not_written_down_limit_nothing():
    assert with_safe_payload(BIG).payload_lb == 5100


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


@pytest.mark.parametrize(
    ("rating", "lb", "wood_lb"), [("trailer_axle_lb", 5400, 4100), ("trailer_tires_lb", 4500, 3100)]
)
def test_axles_and_tires_bear_what_the_hitch_does_not(rating, lb, wood_lb):
    """A tenth of the trailer at least rests on the hitch, the rest on its wheels."""
    assert with_safe_payload(replace(BIG, **{rating: lb})).payload_lb == wood_lb
