"""Heaps, stacks, trailers and logs as cords: worked examples, published ratios, what always holds."""

from fractions import Fraction
from math import inf, nan, pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.core.measure import (
    CORD_FT3,
    FT3_PER_M3,
    BadSize,
    UnknownForm,
    cone_ft3,
    cords_of,
    deck,
    fill_height,
    form_figure,
    form_names,
    huber_ft3,
    lies_as,
    measured,
    newton_ft3,
    smalian_ft3,
    small_logs_ft3,
    solid_as_cords,
    solid_per_cord,
    stack_ft3,
    standing_cords,
    trailer_ft3,
    windrow_ft3,
)

from .published import row_of, rows

SIDES = st.floats(min_value=0.5, max_value=60)
INCHES = st.floats(min_value=1, max_value=40)
FORMS = st.sampled_from(["splits", "rounds", "splits_24"])


# --- example 1 ---------------------------------------------------------------------------------------------


def test_a_heaped_trailer_of_splits_is_one_cord_between_nine_tenths_and_1_091():
    full = measured("trailer", {"length": 12, "width": 6, "side": 2, "heap": 1}, form="splits")

    assert full.ft3 == 180
    assert [f"{cords:.3f}" for cords in (full.low, full.likely, full.high)] == ["0.900", "1.000", "1.091"]


def test_a_trailer_filled_to_1_75_with_an_8_inch_heap_is_five_sixths():
    part = measured("trailer", {"length": 12, "width": 6, "side": 1.75, "heap": 8 / 12}, form="splits")

    assert part.ft3 == pytest.approx(150)
    assert f"{part.likely:.3f}" == "0.833"


def test_four_rows_of_16_inch_pieces_stacked_level_with_the_rails_are_exactly_a_cord():
    rows_ft3 = 4 * stack_ft3(12, 2, 16)

    assert rows_ft3 == pytest.approx(128)
    assert cords_of(rows_ft3, form="stacked").likely == pytest.approx(1)


@pytest.mark.parametrize(("form", "cords"), [("splits", "2.672"), ("rounds", "3.006")])
def test_a_windrow_holds_more_cords_of_rounds_than_of_splits(form, cords):
    heap = measured("windrow", {"length": 24, "width": 10, "height": 5}, form=form)

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
    assert lies_as(Fraction(1), form="stacked").steres == pytest.approx(printed["m3 stacked"], rel=1e-12)


@pytest.mark.parametrize(
    ("item", "form"),
    [
        ("Maine loose cord, pieces 12 or 16 in", "splits"),
        ("Maine loose cord, pieces 24 in", "splits_24"),
    ],
)
def test_maines_loose_cords_are_the_forms_own_figures(item, form):
    """10 M.R.S. section 2302(1)(A-2)."""
    assert form_figure(form).value == float(row_of("volume_conversions.csv", "item", item)["value"])


@pytest.mark.parametrize(("form", "loose_ft3"), [("splits", 175), ("rounds", 160)])
def test_minnesotas_thrown_cords_lie_within_the_forms_ranges(form, loose_ft3):
    """Minnesota Statutes 239.33: 175 ft3 split, 160 unsplit."""
    assert form_figure(form).low <= loose_ft3 <= form_figure(form).high


def test_everetts_load_counted_as_a_cord_lies_within_the_range_of_splits():
    """Everett Municipal Code 9.70.330: 192 ft3 loose of pieces up to 16 in."""
    item = "Everett WA unit or load, pieces 16 in or less"
    load = float(row_of("volume_conversions.csv", "item", item)["value"])

    assert form_figure("splits").low <= load <= form_figure("splits").high


def test_a_maine_loose_cord_restacks_within_our_range():
    """Maine's consumer law guide expects 115 to 124 stacked ft3 of 180 loose, that is 3 to 10 % short.

    The statute takes 180 loose as one cord and the guide does not: the two are held as one range.
    """
    expected = [
        float(row["value"])
        for row in rows("volume_conversions.csv")
        if row["item"] == "Maine loose cord once stacked"
    ]
    ours = cords_of(180, form="splits")

    assert ours.low * CORD_FT3 <= min(expected) + 0.5  # 115.2 of ours against 115 printed
    assert max(expected) <= ours.high * CORD_FT3


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


def test_finlands_stacked_from_loose_is_a_looser_throw_than_ours():
    """Finnish guides (VTT, from memory): 0.60 stacked of 1 loose, 1.67 the other way; 7 % above our range."""
    ratio = 1 / float(
        row_of("volume_conversions.csv", "item", "Finland: 1 m3 loose split to stacked")["value"]
    )
    figure = form_figure("splits")

    assert figure.high / CORD_FT3 < ratio < figure.high / CORD_FT3 * 1.08


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


@pytest.mark.parametrize("row", rows("trees_per_cord_by_dbh.csv"), ids=lambda row: f"{row['dbh_in']} in")
def test_standing_trees_make_the_cords_new_hampshire_prints(row):
    """University of New Hampshire Cooperative Extension 2005: the table itself, and its rounded inverse.

    35 %: trees per cord are rounded to whole trees or halves, and 18 inches prints 1.5 beside 0.65.
    """
    dbh = float(row["dbh_in"])

    assert standing_cords({dbh: 1}) == pytest.approx(float(row["cords_per_tree"]))
    assert standing_cords({dbh: 1}) * float(row["trees_per_cord"]) == pytest.approx(1, rel=0.35)


def test_standing_trees_between_two_classes_lie_between_them():
    assert standing_cords({5.5: 10}) == pytest.approx(0.35)
    assert standing_cords({5: 10, 8: 4}) == pytest.approx(0.68)
    assert standing_cords({}) == 0


def test_the_small_thinnings_of_a_tenth_acre_make_the_plot_new_hampshire_worked_out():
    """Seven trees of 5 to 12 inches on a tenth of an acre: 8.1 cords an acre (UNH 2005, secondary copy).

    A range: the plot's own diameters were not seen; seven trees of 5 to 12 inches make 1.4 to 21 an acre.
    """
    acre = 8.1

    assert 10 * standing_cords({5: 7}) < acre < 10 * standing_cords({12: 7})
    assert 10 * standing_cords({5: 1, 6: 1, 7: 1, 8: 1, 9: 1, 10: 1, 11: 1}) == pytest.approx(acre, rel=0.15)


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


@given(st.fractions(min_value=Fraction(1, 50), max_value=20, max_denominator=600), FORMS)
def test_cords_thrown_loose_and_measured_again_are_the_same_cords(cords, form):
    loose = lies_as(cords, form=form)

    assert cords_of(loose.ft3, form=form).likely == pytest.approx(float(cords))
    assert loose.steres * FT3_PER_M3 / CORD_FT3 == pytest.approx(float(cords))


@given(SIDES, SIDES, SIDES, st.floats(min_value=0, max_value=6))
def test_filling_a_box_to_the_height_said_gives_back_its_feet(length, width, side, heap):
    ft3 = trailer_ft3(length, width, side, heap)

    level, crown = fill_height(ft3, length=length, width=width, side=side)

    assert trailer_ft3(length, width, level, crown) == pytest.approx(ft3)
    assert level <= side
    assert crown == pytest.approx(heap, abs=1e-6)


def test_a_half_filled_box_has_no_crown():
    assert fill_height(72, length=12, width=6, side=2) == (1, 0)


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
    own = form_figure("rounds")

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
        (lambda: stack_ft3(2, 4, 16, cribbed_ends=2), "two cribs of 16-inch pieces need 2.7 ft"),
        (lambda: trailer_ft3(12, 6, 2, -1), "0 or more, feet above the rails"),
        (lambda: trailer_ft3(12, 6, 2, nan), "0 or more, feet above the rails"),
        (lambda: small_logs_ft3({4: -1}, 8), "count of 4-inch logs can't be -1"),
        (lambda: standing_cords({3: 10}), "runs from 5 to 22 in"),
        (lambda: standing_cords({30: 1}), "runs from 5 to 22 in"),
        (lambda: standing_cords({6: -1}), "count of 6-inch trees can't be -1"),
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
