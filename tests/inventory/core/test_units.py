"""Amounts and lengths as people type them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.units import (
    CORD_FT3,
    NotALength,
    NotAnAmount,
    convert,
    format_cords,
    parse_cords,
    parse_length,
    registry,
)

from .published import rows


@pytest.mark.parametrize(
    ("text", "cords"),
    [
        ("1/2 cord", Fraction(1, 2)),
        ("1/2", Fraction(1, 2)),
        ("2/3", Fraction(2, 3)),
        ("2/3 of a cord", Fraction(2, 3)),
        ("1 1/2", Fraction(3, 2)),
        ("1 1/2 cords", Fraction(3, 2)),
        ("1-1/2 cords", Fraction(3, 2)),
        ("0.5", Fraction(1, 2)),
        (".75 cords", Fraction(3, 4)),
        ("2.80 cords", Fraction(14, 5)),
        ("one third", Fraction(1, 3)),
        ("two thirds of a cord", Fraction(2, 3)),
        ("three-quarters", Fraction(3, 4)),
        ("half a cord", Fraction(1, 2)),
        ("one and a half cords", Fraction(3, 2)),
        ("1 and 1/2 cords", Fraction(3, 2)),
        ("two halves", Fraction(1)),
        ("a full cord", Fraction(1)),
        ("a cord", Fraction(1)),
        ("Cord", Fraction(1)),
        ("½", Fraction(1, 2)),
        ("⅓ cord", Fraction(1, 3)),
        ("¼", Fraction(1, 4)),
        ("1½ cords", Fraction(3, 2)),
        ("1 ⅔", Fraction(5, 3)),
        ("1⁄3", Fraction(1, 3)),
        ("  3 CORDS ", Fraction(3)),
        ("1,000 cords", Fraction(1000)),
        ("64 ft3", Fraction(1, 2)),
        ("128 cubic feet", Fraction(1)),
        ("96 cu ft", Fraction(3, 4)),
        ("96 cu. ft. stacked", Fraction(3, 4)),
        ("1 cubic foot", Fraction(1, 128)),
        ("1.8122781815 m3", Fraction("1.8122781815") / Fraction("3.624556363776")),
        ("1 stere", 1 / Fraction("3.624556363776")),
    ],
)
def test_an_amount_is_read_exactly(text, cords):
    assert parse_cords(text) == cords


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a truckload", "truckload has no fixed size"),
        ("2 loads", "load has no fixed size"),
        ("one face cord", "face cord is only as deep as its pieces"),
        ("1/2 facecord", "facecord is only as deep as its pieces"),
        ("a rick", "rick is only as deep as its pieces"),
        ("1/2 rank", "rank is only as deep as its pieces"),
        ("a pile of oak", "pile has no fixed size"),
        ("pickup", "pickup has no fixed size"),
        ("1 ton", "sold by the space it takes"),
        ("some", "no number can be read in it"),
        ("", "no number can be read in it"),
        ("one and", "no number can be read in it"),
        ("1/0", "divided by zero"),
        ("1 2/0 cords", "divided by zero"),
        ("0", "more than nothing"),
        ("0/3", "more than nothing"),
        ("-1", "no number can be read in it"),
        ("1001", "more than 1,000 cords"),
        ("1e400", "no number can be read in it"),
        ("9" * 5000, "no number can be read in it"),
        ("9" * 9, "more than 1,000 cords"),
        ("3 loose cords", "has to be measured first"),
        ("1/" + "9" * 5000, "no number can be read in it"),
        ("1,5", "no number can be read in it"),
    ],
)
def test_words_that_are_no_measure_are_refused_with_what_to_type(text, why):
    with pytest.raises(NotAnAmount, match=why) as refused:
        parse_cords(text)

    assert "Write cords, such as 1/2, 2/3 or 1 1/2." in str(refused.value)
    assert len(str(refused.value)) < 300


def test_a_refused_face_cord_says_what_it_holds():
    with pytest.raises(NotAnAmount, match=r"16-inch pieces.* 1/3 cord"):
        parse_cords("face cord")


@given(st.text(max_size=30))
def test_any_text_is_an_amount_or_a_sentence(text):
    said = _read_or_sentence(parse_cords, text)

    assert said.endswith("1 1/2.") if isinstance(said, str) else 0 < said <= 1000


@pytest.mark.parametrize(
    ("cords", "text"),
    [
        (Fraction(1, 3), "1/3 cord"),
        (Fraction(2, 3), "2/3 cord"),
        (Fraction(5, 6), "5/6 cord"),
        (Fraction(3, 4), "3/4 cord"),
        (Fraction(11, 12), "11/12 cord"),
        (Fraction(1), "1 cord"),
        (Fraction(3, 2), "1 1/2 cords"),
        (Fraction(14, 5), "2.80 cords"),
        (Fraction("2.672"), "2.67 cords"),
        (Fraction("1.3111"), "1.31 cords"),
        (Fraction("0.8333"), "0.83 cord"),
        (Fraction(0), "0 cords"),
        (Fraction(-1, 2), "-1/2 cord"),
        (Fraction(-7, 2), "-3 1/2 cords"),
        (Fraction("0.004"), "less than 0.01 cord"),
        (Fraction("1.999"), "2.00 cords"),
        (Fraction("0.005"), "0.01 cord"),
        (Fraction("0.125"), "1/8 cord"),
        (Fraction("1.005"), "1.01 cords"),
    ],
)
def test_an_amount_reads_as_people_say_it(cords, text):
    assert format_cords(cords) == text


@given(st.sampled_from([2, 3, 4, 6, 8, 12]), st.integers(min_value=1, max_value=1999))
def test_every_fraction_people_say_comes_back_exactly(under, over):
    cords = Fraction(over, under)

    assert parse_cords(format_cords(cords)) == cords


@given(st.fractions(min_value=Fraction(1, 100), max_value=1000, max_denominator=76_800))
def test_any_amount_comes_back_within_half_a_hundredth(cords):
    assert abs(parse_cords(format_cords(cords)) - cords) <= Fraction(1, 200)


def test_the_registry_knows_the_cord_and_the_stere():
    """NIST Handbook 130 section 2.4.1, and the exact international foot (volume_conversions.csv)."""
    printed = {row["unit"]: row["value"] for row in rows("volume_conversions.csv") if row["item"] == "cord"}

    assert registry().Quantity(1, "cord").to("foot ** 3").magnitude == CORD_FT3 == int(printed["ft3"])
    assert convert(1, "cord", "stere") == Fraction(printed["m3 stacked"])


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("16 in", Fraction(4, 3)),
        ('16"', Fraction(4, 3)),
        ("16 inches", Fraction(4, 3)),
        ("16-inch", Fraction(4, 3)),
        ("4 ft", Fraction(4)),
        ("4'", Fraction(4)),
        ("4", Fraction(4)),
        ("4'6\"", Fraction(9, 2)),
        ("4' 6\"", Fraction(9, 2)),
        ("4′6″", Fraction(9, 2)),
        ("4’6”", Fraction(9, 2)),
        ("4'6", Fraction(9, 2)),
        ("4 ft 6 in", Fraction(9, 2)),
        ("4 feet and 6 inches", Fraction(9, 2)),
        ("4 ft 6 1/2 in", Fraction(109, 24)),
        ("4½ ft", Fraction(9, 2)),
        ("3/4 in", Fraction(1, 16)),
        ("1.2 m", Fraction("1.2") / Fraction("0.3048")),
        ("33 cm", Fraction("0.33") / Fraction("0.3048")),
        ("330 mm", Fraction("0.33") / Fraction("0.3048")),
        ("2 meters", Fraction(2) / Fraction("0.3048")),
        ("1 yd", Fraction(3)),
    ],
)
def test_a_length_is_read_exactly(text, feet):
    assert parse_length(text) == feet


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no number"),
        ("long", "no number"),
        ("-4 ft", "no number"),
        ("4 rods", "'rods' is not a unit of length known here"),
        ("4 m 2 ft", "mixes"),
        ("4 6", "no number|mixes"),
        ("0 ft", "more than nothing"),
        ("4/0 ft", "divided by zero"),
        ("9999 ft", "longer than any heap"),
        ("9" * 5000, "longer than any heap"),
        ("4 ft 6 ft", "mixes"),
        ("4 ft 6 in 2 in", "mixes"),
    ],
)
def test_words_that_are_no_length_are_refused_with_what_to_type(text, why):
    with pytest.raises(NotALength, match=why) as refused:
        parse_length(text)

    assert "4 ft 6 in" in str(refused.value)
    assert len(str(refused.value)) < 300


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_a_sentence(text):
    said = _read_or_sentence(parse_length, text)

    assert said.endswith("1.2 m.") if isinstance(said, str) else 0 < said <= 1000


@given(st.integers(min_value=0, max_value=99), st.integers(min_value=1, max_value=11))
def test_feet_and_inches_come_back_however_they_are_written(feet, inches):
    exact = feet + Fraction(inches, 12)

    assert parse_length(f"{feet}'{inches}\"") == parse_length(f"{feet} ft {inches} in") == exact


@given(st.integers(min_value=1, max_value=30_000))
def test_meters_and_feet_invert_each_other(millimeters):
    feet = parse_length(f"{millimeters} mm")

    assert feet * Fraction("304.8") == millimeters


def _read_or_sentence(read, text):
    """The amount read, or the sentence that refuses it; any other error travels up and fails the test."""
    try:
        return read(text)
    except (NotAnAmount, NotALength) as refused:
        return str(refused)
