"""Straps by the length and weight of a load, and a tongue neither too light nor too heavy."""

from dataclasses import replace
from decimal import Decimal

import pytest

from routing.core.securing import (
    Piece,
    missing_ratings,
    strap_cautions,
    tie_downs_needed,
    tongue_cautions,
    tongue_lb,
)

from .test_rigs import BIG

MEASURED = replace(BIG, hitch_to_axle_ft=Decimal(11), hitch_to_box_ft=Decimal("3.5"))
FULL = (Piece(from_ft=0, to_ft=12, lb=5000),)


@pytest.mark.parametrize(
    ("length_ft", "lb", "needed"),
    [
        (5, 1100, 1),
        (5, 1101, 2),
        (4, 900, 1),
        (5.1, 900, 2),
        (10, 4000, 2),
        (10.1, 4000, 3),
        (20, 9000, 3),
        (21, 1, 4),
    ],
)
def test_straps_are_counted_as_the_rule_counts_them(length_ft, lb, needed):
    """49 CFR 393.110, without a bulkhead ahead of the wood."""
    assert tie_downs_needed(length_ft=length_ft, lb=lb) == needed


def test_straps_written_down_are_held_against_the_load():
    few = replace(BIG, straps=2, strap_lb=900)

    (short, weak) = strap_cautions(few, length_ft=12, lb=5000)

    assert str(short) == "Too few straps: 2 ride along, 12 ft of load needs 3 (49 CFR 393.110)."
    assert (
        str(weak) == "Straps too weak: together rated 1,800 lb, half the load is 2,500 lb (49 CFR 393.106)."
    )
    assert strap_cautions(replace(BIG, straps=4, strap_lb=1100), length_ft=12, lb=5000) == ()
    assert strap_cautions(BIG, length_ft=12, lb=5000) == ()  # nobody wrote any down


def test_a_load_in_the_middle_of_the_box_rests_on_the_hitch_as_it_should():
    assert tongue_lb(MEASURED, FULL) == pytest.approx(0.12 * 1900 + 5000 * 1.5 / 11)
    assert tongue_cautions(MEASURED, FULL) == ()


def test_wood_behind_the_axles_lightens_the_tongue_until_it_sways():
    behind = (Piece(from_ft=7, to_ft=12, lb=3000),)

    (said,) = tongue_cautions(MEASURED, behind)

    assert str(said).startswith("Tongue too light: about 0 lb, 0% of the trailer. Under 10% it sways")


def test_what_is_left_after_a_drop_may_be_too_heavy_in_front():
    weak = replace(MEASURED, hitch_tongue_lb=1000)
    pieces = (Piece(from_ft=0, to_ft=5, lb=2000), Piece(from_ft=5, to_ft=12, lb=3000))

    (said,) = tongue_cautions(weak, pieces)

    assert str(said) == (
        "Tongue too heavy after drop 1: about 1,137 lb, 1,000 lb allowed. Load more over the axles, or leave "
        "310 lb of the front behind."
    )


def test_a_tongue_is_not_worked_out_without_the_trailers_measures():
    assert tongue_lb(BIG, FULL) is None
    assert tongue_cautions(BIG, FULL) == ()


def test_an_old_rig_says_which_ratings_nobody_wrote_down():
    asked = missing_ratings(BIG)

    assert "the rating of its tires" in asked
    assert "the hitch's tongue rating" in asked
    assert missing_ratings(replace(BIG, has_trailer=False, bed_payload_lb=1650, straps=2)) == ()
