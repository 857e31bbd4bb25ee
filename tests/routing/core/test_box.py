"""What goes on first, and how full and heavy it is."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.core.box import Parcel, TooMuchWood, fill_of, load_lines
from tests.routing.earned.demo import BIG, SMALL

GRETA = Parcel(order="202", customer="Greta Sool", wood="Knob fir", cords=Fraction(1, 3), lb=1056)
PILAR = Parcel(order="203", customer="Pilar Ostrander", wood="Knob fir", cords=Fraction(2, 3), lb=2112)
MADRONE = Parcel(order="204", customer="Hob Tanner", wood="Bench madrone", cords=Fraction(1, 4))


def test_the_last_drop_goes_on_first_against_the_front():
    first, second = load_lines(BIG, (GRETA, PILAR))

    assert (first.customer, first.drop, first.from_ft, first.to_ft) == ("Pilar Ostrander", 2, 0, 8)
    assert (second.customer, second.drop, second.from_ft, second.to_ft) == ("Greta Sool", 1, 8, 12)
    assert not first.needs_divider
    assert second.needs_divider
    assert not second.changes_wood


def test_the_lines_read_at_the_pile():
    lines = load_lines(BIG, (GRETA, MADRONE))

    assert str(lines[0].sentence) == "Hob Tanner: Bench madrone, from the front wall back to 3 ft."
    assert str(lines[1].sentence) == (
        "Greta Sool: Knob fir, from 3 ft back to 7 ft. Divider first: another wood."
    )


def test_full_and_heavy_are_told_apart():
    fill = fill_of(BIG, (GRETA, PILAR))

    assert fill.box_share == 1
    assert fill.lb == 3168
    assert fill.weight_share == pytest.approx(3168 / 5100)
    assert fill.fits


def test_more_than_the_box_holds_is_refused_in_cubic_feet():
    with pytest.raises(TooMuchWood, match=r"120 ft³ .* holds 90 ft³"):
        load_lines(SMALL, (PILAR,))
    assert not fill_of(SMALL, (PILAR,)).fits


@given(st.lists(st.fractions(Fraction(1, 12), Fraction(1, 4), max_denominator=12), min_size=1, max_size=4))
def test_the_pieces_follow_one_another_without_gap(cords):
    parcels = [Parcel(order=str(i), customer=str(i), wood="fir", cords=part) for i, part in enumerate(cords)]

    lines = load_lines(BIG, parcels)

    assert [line.drop for line in lines] == list(range(len(parcels), 0, -1))
    assert all(before.to_ft == after.from_ft for before, after in pairwise(lines))
    assert lines[-1].to_ft == sum(cords) * int(BIG.box_length_ft)
