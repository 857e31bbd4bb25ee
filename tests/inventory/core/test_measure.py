"""Heaps, stacks, trailers and logs as cords: worked examples, published ratios, what always holds."""

from dataclasses import replace
from fractions import Fraction
from math import inf, nan, pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.core.figures import Figure
from inventory.core.measure import (
    CORD_FT3,
    BadSize,
    UnknownForm,
    cone_ft3,
    cords_of,
    deck,
    form_figure,
    form_names,
    huber_ft3,
    measured,
    newton_ft3,
    smalian_ft3,
    small_logs_ft3,
    solid_as_cords,
    solid_per_cord,
    stack_ft3,
    trailer_ft3,
    windrow_ft3,
)

from .published import row_of, rows

SIDES = st.floats(min_value=0.5, max_value=60)
INCHES = st.floats(min_value=1, max_value=40)
THROWN = Figure(  # the invented seller's own heap numbers
    value=180, low=165, high=200, unit="loose ft3 per stacked cord", source="restacks of this rig"
)
ROUNDS = replace(THROWN, value=160, low=150, high=175)
FORMS = st.sampled_from(["splits", "rounds", "splits_24"])


# --- example 1 ---------------------------------------------------------------------------------------------


def test_a_heaped_trailer_of_splits_is_one_cord_between_nine_tenths_and_1_091():
    sizes = {"length": 12, "width": 6, "side": 2, "heap": 1}
    full = measured("trailer", sizes, form="splits", per_cord=THROWN)

    assert full.ft3 == 180
    assert [f"{cords:.3f}" for cords in (full.low, full.likely, full.high)] == ["0.900", "1.000", "1.091"]


def test_the_same_trailer_is_a_little_less_than_a_cord_until_its_rig_has_learned():
    full = measured("trailer", {"length": 12, "width": 6, "side": 2, "heap": 1}, form="splits")

    assert [f"{cords:.3f}" for cords in (full.low, full.likely, full.high)] == ["0.837", "0.947", "1.029"]


def test_a_trailer_filled_to_1_75_with_an_8_inch_heap_is_five_sixths():
    sizes = {"length": 12, "width": 6, "side": 1.75, "heap": 8 / 12}
    part = measured("trailer", sizes, form="splits", per_cord=THROWN)

    assert part.ft3 == pytest.approx(150)
    assert f"{part.likely:.3f}" == "0.833"


def test_four_rows_of_16_inch_pieces_stacked_level_with_the_rails_are_exactly_a_cord():
    rows_ft3 = 4 * stack_ft3(12, 2, 16)

    assert rows_ft3 == pytest.approx(128)
    assert cords_of(rows_ft3, form="stacked").likely == pytest.approx(1)


@pytest.mark.parametrize(
    ("form", "own", "cords"),
    [
        ("splits", THROWN, "2.672"),
        ("rounds", ROUNDS, "3.006"),
        ("splits", None, "2.531"),
        ("rounds", None, "2.585"),
    ],
)
def test_a_windrow_holds_more_cords_of_rounds_than_of_splits(form, own, cords):
    heap = measured("windrow", {"length": 24, "width": 10, "height": 5}, form=form, per_cord=own)

    assert f"{heap.ft3:.2f}" == "480.90"
    assert f"{heap.likely:.3f}" == cords


@pytest.mark.parametrize(("cribbed_ends", "cords"), [(0, "1.333"), (2, "1.311")])
def test_cribbed_ends_take_a_little_off_a_stack(cribbed_ends, cords):
    sizes = {"length": 32, "height": 4, "depth_in": 16, "cribbed_ends": cribbed_ends}

    assert f"{measured('stack', sizes, form='stacked').likely:.3f}" == cords


def test_a_buyers_stack_in_example_9_is_eleven_twelfths():
    assert stack_ft3(22, 4, 16) == pytest.approx(117.333, abs=0.001)
    assert cords_of(stack_ft3(22, 4, 16), form="stacked").in_cords()[1] == Fraction(92, 100)


# --- published ratios --------------------------------------------------------------------------------------


def test_a_cord_is_128_cubic_feet_and_3_6246_stacked_cubic_meters():
    """NIST Handbook 130 section 2.4.1; exact metric factor."""
    printed = {
        row["unit"]: float(row["value"]) for row in rows("volume_conversions.csv") if row["item"] == "cord"
    }

    assert printed["ft3"] == CORD_FT3
    assert cords_of(CORD_FT3, form="stacked").steres == pytest.approx(printed["m3 stacked"], rel=1e-12)


def test_maines_loose_cord_of_law_gives_short_measure():
    """10 M.R.S. section 2302(1)(A-2) counts 180 loose as a cord; by its own law guide that restacks to 115 to
    124 ft3. Our likely cord takes more loose wood than the law's, and the guide's stacks lie in our range.
    """
    of_law = float(row_of("volume_conversions.csv", "item", "Maine loose cord, pieces 12 or 16 in")["value"])
    expected = [
        float(row["value"])
        for row in rows("volume_conversions.csv")
        if row["item"] == "Maine loose cord once stacked"
    ]
    ours = cords_of(of_law, form="splits")

    assert of_law < form_figure("splits").value
    assert ours.low * CORD_FT3 <= min(expected)
    assert max(expected) <= ours.high * CORD_FT3
    assert min(expected) <= ours.likely * CORD_FT3 <= max(expected)


@pytest.mark.parametrize(("form", "loose_ft3", "ranked_ft3"), [("splits", 175, 120), ("rounds", 160, 110)])
def test_minnesotas_thrown_cords_ranked_lie_within_the_forms_ranges(form, loose_ft3, ranked_ft3):
    """Minnesota Statutes 239.33: 175 ft3 thrown split are 120 ranked, 160 unsplit are 110."""
    assert form_figure(form).low <= loose_ft3 * CORD_FT3 / ranked_ft3 <= form_figure(form).high


def test_everetts_load_counted_as_a_cord_lies_within_the_range_of_splits():
    """Everett Municipal Code 9.70.330: 192 ft3 loose of pieces up to 16 in."""
    item = "Everett WA unit or load, pieces 16 in or less"
    load = float(row_of("volume_conversions.csv", "item", item)["value"])

    assert form_figure("splits").low <= load <= form_figure("splits").high


@pytest.mark.parametrize(
    ("item", "stretch"),
    [
        # TFZ Straubing and Finland stack 33 cm pieces and throw them the same length
        ("beech, 1 m3 stacked 33 cm pieces to loose 33 cm", 0.05),
        # Lower Saxony's loose measure is tipped from a height and not settled: 1.7, far above the others
        ("1 m3 stacked stove-length to loose", 0.15),
        ("1 m3 stacked 1 m split pieces to loose stove-length", 0.05),
    ],
)
def test_european_loose_to_stacked_ratios_lie_in_the_range_of_splits_or_near(item, stretch):
    """TFZ Straubing 2006; state forest service Lower Saxony. They disagree, so each has its own stretch."""
    ratio = float(row_of("volume_conversions.csv", "item", item)["value"])
    figure = form_figure("splits")

    assert figure.low / CORD_FT3 * (1 - stretch) <= ratio <= figure.high / CORD_FT3 * (1 + stretch)


def test_finlands_stacked_from_loose_lies_at_the_loose_end_of_ours():
    """Finnish guides (VTT): 0.60 stacked of 1 loose, 1.67 the other way."""
    ratio = 1 / float(
        row_of("volume_conversions.csv", "item", "Finland: 1 m3 loose split to stacked")["value"]
    )
    figure = form_figure("splits")

    assert figure.value / CORD_FT3 < ratio < figure.high / CORD_FT3


def test_solid_wood_in_a_cord_spans_what_the_guides_print():
    """70, 80, 85 and 90 ft3 are all in use (several guides; California Energy Commission)."""
    printed = [
        float(row["value"])
        for row in rows("volume_conversions.csv")
        if row["item"].startswith("solid wood in a")
    ]
    figure = solid_per_cord()

    assert (figure.low, figure.high) == (min(printed), max(printed))
    assert figure.value == 85


@pytest.mark.parametrize(
    ("item", "outside"),
    [
        ("spruce, 1 m3 stacked 33 cm pieces to solid", 0),
        ("Finland: 1 m3 stacked split 33 cm to solid", 0),
        # the Lower Saxony table counts bark and cracks as solid: a fifth above our tightest
        ("1 m3 stacked stove-length to solid", 0.22),
        # 1 m pieces lie looser than stove lengths
        ("spruce, 1 m3 stacked 1 m split to solid", 0),
        ("beech, 1 m3 stacked 1 m split to solid", 0.09),
    ],
)
def test_european_solid_shares_of_a_stack_lie_in_our_range_or_as_far_off_as_said(item, outside):
    """TFZ Straubing 2006, Lower Saxony state forests, VTT."""
    share = float(row_of("volume_conversions.csv", "item", item)["value"])
    low, high = solid_per_cord().low / CORD_FT3, solid_per_cord().high / CORD_FT3

    assert low * (1 - outside) <= share <= high * (1 + outside)


# --- logs --------------------------------------------------------------------------------------------------


def test_a_straight_log_has_one_volume_by_every_formula():
    cylinder = pi * (8 / 24) ** 2 * 10

    assert smalian_ft3(8, 8, 10) == huber_ft3(8, 10) == newton_ft3(8, 8, 8, 10) == pytest.approx(cylinder)


@given(INCHES, INCHES, SIDES)
def test_newton_is_exact_for_a_cone_cut_off_and_lies_between_huber_and_smalian(small, large, length):
    assume(small <= large)
    radius, top = large / 24, small / 24
    exact = pi * length / 3 * (radius**2 + radius * top + top**2)
    middle = (small + large) / 2

    assert newton_ft3(small, middle, large, length) == pytest.approx(exact)
    assert huber_ft3(middle, length) <= exact * (1 + 1e-9)
    assert exact <= smalian_ft3(small, large, length) * (1 + 1e-9)


def test_a_list_of_small_logs_is_the_sum_of_its_classes():
    assert small_logs_ft3({4: 10, 6: 5}, 8) == pytest.approx(10 * huber_ft3(4, 8) + 5 * huber_ft3(6, 8))
    assert small_logs_ft3({}, 8) == 0


@given(SIDES, SIDES, SIDES)
def test_a_deck_keeps_its_solid_wood_when_it_becomes_cords(length, height, depth):
    """Its solid share is a range read across the TFZ and Lower Saxony tables of piled roundwood."""
    volume = deck(length, height, depth)

    assert 0.5 <= volume.solid_ft3 / (length * height * depth) <= 0.75
    assert measured("deck", {"length": length, "height": height, "depth": depth}, form="stacked") == volume


@given(st.floats(min_value=1, max_value=9000))
def test_solid_feet_and_cords_invert_each_other(solid_ft3):
    volume = solid_as_cords(solid_ft3)

    assert volume.solid_ft3 == pytest.approx(solid_ft3)
    assert volume.low < volume.likely < volume.high


# --- what must always hold ---------------------------------------------------------------------------------


@given(SIDES, SIDES, SIDES, FORMS)
def test_a_range_is_never_upside_down_and_keeps_its_solid_wood(length, width, height, form):
    assume(length >= width)
    heap = measured("windrow", {"length": length, "width": width, "height": height}, form=form)

    assert 0 < heap.low <= heap.likely <= heap.high
    assert heap.likely * heap.per_cord.value == pytest.approx(heap.ft3)
    assert heap.solid_ft3 == pytest.approx(heap.likely * solid_per_cord().value)


@given(SIDES, SIDES)
def test_a_windrow_as_long_as_wide_is_a_cone(width, height):
    assert windrow_ft3(width, width, height) == pytest.approx(cone_ft3(width, height))
    assert measured("cone", {"width": width, "height": height}, form="splits").ft3 == cone_ft3(width, height)


@given(SIDES, SIDES, st.floats(min_value=8, max_value=30), st.integers(min_value=0, max_value=2))
def test_a_cribbed_row_never_holds_more_than_a_square_one_nor_less_than_four_fifths(
    length, height, depth_in, cribbed_ends
):
    assume(length >= cribbed_ends * depth_in / 12)
    square = stack_ft3(length, height, depth_in)

    assert (
        0.8 * square * (1 - 1e-9) <= stack_ft3(length, height, depth_in, cribbed_ends=cribbed_ends) <= square
    )


def test_every_form_has_a_name_and_a_figure():
    assert set(form_names()) >= {"splits", "rounds", "splits_24", "stacked"}

    for form, name in form_names().items():
        assert name
        assert form_figure(form).low <= form_figure(form).value <= form_figure(form).high


def test_a_rigs_own_heap_number_replaces_the_forms():
    own = ROUNDS

    assert measured(
        "trailer", {"length": 12, "width": 6, "side": 2}, form="splits", per_cord=own
    ).likely == pytest.approx(0.9)


# --- refusals ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("wrong", [0, -1, nan, inf, 1001])
@pytest.mark.parametrize("shape", ["stack", "windrow", "cone", "trailer", "deck"])
def test_a_size_that_cannot_be_is_refused_in_a_sentence(shape, wrong):
    sizes = dict.fromkeys(("length", "width", "height", "depth_in", "side", "depth"), 4.0) | {"height": wrong}
    sizes |= {"side": wrong}

    with pytest.raises(BadSize, match=r"^The (height|side) can't be .*\.$"):
        measured(shape, sizes, form="splits")


@pytest.mark.parametrize("shape", ["stack", "windrow", "cone", "trailer", "deck"])
def test_a_size_left_out_is_asked_for(shape):
    with pytest.raises(BadSize, match="it must be more than 0"):
        measured(shape, {}, form="splits")


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: windrow_ft3(4, 10, 3), "longer side; the width is 10"),
        (lambda: stack_ft3(8, 4, 16, cribbed_ends=3), "a row has 0, 1 or 2"),
        (lambda: stack_ft3(2, 4, 16, cribbed_ends=2), "two cribs of pieces 16 in long need 2.7 ft"),
        (lambda: trailer_ft3(12, 6, 2, -1), "0 or more, feet above the rails"),
        (lambda: trailer_ft3(12, 6, 2, nan), "0 or more, feet above the rails"),
        (lambda: small_logs_ft3({4: -1}, 8), "count of 4-inch logs can't be -1"),
        (
            lambda: measured(
                "stack", {"length": 8, "height": 4, "depth_in": 16, "cribbed_ends": 1.5}, form=""
            ),
            "0, 1",
        ),
    ],
)
def test_what_cannot_be_measured_is_refused_in_a_sentence(call, why):
    with pytest.raises(BadSize, match=why):
        call()


def test_a_form_or_shape_without_a_figure_is_refused_with_those_there_are():
    with pytest.raises(UnknownForm, match="'sawdust': choose one of splits, rounds, splits_24, stacked"):
        form_figure("sawdust")
    with pytest.raises(UnknownForm, match="'sphere': choose one of stack, windrow, cone, trailer, deck"):
        measured("sphere", {}, form="splits")


# --- logs through the one door ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sizes", "solid"),
    [
        ({"small_in": 6, "large_in": 9}, smalian_ft3(6, 9, 8)),
        ({"middle_in": 7.5}, huber_ft3(7.5, 8)),
        ({"small_in": 6, "middle_in": 7.5, "large_in": 9}, newton_ft3(6, 7.5, 9, 8)),
        ({"small_in": 6, "middle_in": 7.5}, huber_ft3(7.5, 8)),
    ],
)
def test_a_log_is_measured_by_what_was_taped_of_it(sizes, solid):
    volume = measured("log", {**sizes, "length": 8, "count": 12}, form="logs")

    assert volume.solid_ft3 == pytest.approx(12 * solid)
    assert volume.low == pytest.approx(12 * solid / 90)  # 70 to 90 ft3 of solid wood in a cord
    assert volume.high == pytest.approx(12 * solid / 70)


def test_a_list_of_logs_is_measured_by_class_and_counts_no_empty_one():
    volume = measured("log_list", {"length": 8, "d3": 0, "d4": 10, "d6": 5}, form="logs")

    assert volume.solid_ft3 == pytest.approx(small_logs_ft3({4: 10, 6: 5}, 8))


@pytest.mark.parametrize(
    ("shape", "sizes", "sentence"),
    [
        ("log", {"length": 8, "small_in": 6}, "both ends, or the middle"),
        ("log", {"length": 8, "middle_in": 6, "count": 0}, "number of logs can't be 0"),
        ("log", {"middle_in": 6}, "length can't be 0"),
        ("log_list", {"length": 8, "d4": 0}, "number of logs can't be 0"),
    ],
)
def test_logs_that_cannot_be_reckoned_are_refused_in_words(shape, sizes, sentence):
    with pytest.raises(BadSize, match=sentence):
        measured(shape, sizes, form="logs")
