"""Street search: prefixes, short words, misspellings, and house numbers that are not there."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some

from firewood_site.demo.sale import ADDRESSES
from routing.core.roads import Point
from routing.core.streets import fold, likeness, read_typed, searchable
from routing.engines.street_builder import build_street_index
from routing.engines.street_index import StreetIndex

pytestmark = pytest.mark.roads


@pytest.fixture(scope="module")
def streets(region_folder: Path) -> StreetIndex:
    return StreetIndex(region_folder / "region" / "streets.sqlite3")


def first(streets: StreetIndex, text: str) -> tuple[str, bool]:
    hits = streets.search(text)
    return (hits[0].label, hits[0].exact) if hits else ("", False)


@pytest.mark.parametrize(
    ("typed", "label", "exact"),
    [
        ("12 Mill Street, Marrow Bridge", "12 Mill Street, Marrow Bridge", True),
        ("mill street 12", "12 Mill Street, Marrow Bridge", True),
        ("12 MILL ST", "12 Mill Street, Marrow Bridge", True),
        ("mil str marr", "Mill Street, Marrow Bridge", False),
        ("700 larch valley rd", "700 Larch Valley Road, Alder Flat", True),
        ("smihty row 7", "7 Smithy Row, Marrow Bridge", True),
        ("orchrd road larch", "Orchard Road, Larch Prairie", False),
        ("Sandhok", "Sandhook", False),
        ("marrow", "Marrow Bridge", False),
        ("siding yard", "Siding Yard, Siding", False),
        ("tollgate pass", "Tollgate Pass, Tollgate", False),
    ],
)
def test_what_is_typed_is_found(streets: StreetIndex, typed: str, label: str, exact: bool) -> None:
    assert first(streets, typed) == (label, exact)


@pytest.mark.parametrize(("street", "town"), sorted(set(ADDRESSES.values())))
def test_every_address_of_the_demo_is_on_the_map(streets: StreetIndex, street: str, town: str) -> None:
    label, exact = first(streets, f"{street} {town}")

    assert label == f"{street}, {town}"
    assert exact or not street[0].isdigit()


def test_a_number_that_is_not_there_gives_the_street_and_says_so(streets: StreetIndex) -> None:
    hit = streets.search("999 mill street marrow")[0]

    assert (hit.label, hit.exact) == ("Mill Street, Marrow Bridge", False)
    assert hit.note == "Number 999 is not on the map: this is the middle of the street."


def test_a_number_is_not_the_beginning_of_another(streets: StreetIndex) -> None:
    numbers = [hit.label.split()[0] for hit in streets.search("1 mill street marrow")]

    assert numbers == ["1"]


@pytest.mark.parametrize(
    "typed", ["", "a", "*", '"', "()", "O'Neil 12-3", "-- ; drop table a", "NEAR(", "qqqxyz"]
)
def test_odd_signs_find_nothing_and_break_nothing(streets: StreetIndex, typed: str) -> None:
    assert streets.search(typed) == ()


@given(some.text(max_size=40))
def test_whatever_is_typed_is_answered(typed: str) -> None:
    read = read_typed(typed)

    assert len(read.words) <= 10
    assert read.number == "" or read.number in read.words
    assert fold(fold(typed)) == fold(typed)


@given(typed=some.text(alphabet=some.characters(codec="utf-8"), max_size=30))
def test_no_text_is_a_syntax_error_to_the_index(streets: StreetIndex, typed: str) -> None:
    assert len(streets.search(typed)) <= 8


def test_the_nearer_of_two_equals_comes_first(streets: StreetIndex) -> None:
    near_larch = streets.search("west", near=Point(lat=43.797, lon=-150.161))

    assert near_larch[0].label == "West Street, Larch Prairie"


def test_at_most_so_many_are_given(streets: StreetIndex) -> None:
    assert len(streets.search("street", limit=3)) == 3


def test_the_house_next_to_a_spot_is_named(streets: StreetIndex) -> None:
    house = streets.search("14 Dune Street Sandhook")[0]

    found = streets.nearest(Point(lat=house.lat + 0.00005, lon=house.lon))

    assert found is not None
    assert (found.label, found.exact) == ("14 Dune Street, Sandhook", True)


def test_a_spot_off_the_street_is_told_how_far_it_is(streets: StreetIndex) -> None:
    found = streets.nearest(Point(lat=44.0, lon=-150.0))

    assert found is not None
    assert not found.exact
    assert found.note.endswith("m away")


def test_the_open_sea_has_no_address(streets: StreetIndex) -> None:
    assert streets.nearest(Point(lat=45, lon=-140)) is None


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Landstraße 12", "landstrasse 12"),
        ("São-Paulo", "sao paulo"),
        ("O'Neil's", "oneils"),
        ("  ÄULE ", "aule"),
    ],
)
def test_accents_and_signs_are_folded_away(text: str, folded: str) -> None:
    assert fold(text) == folded


@pytest.mark.parametrize(
    ("typed", "number"),
    [("12 Mill", "12"), ("Mill 12b", "12b"), ("2nd Street", ""), ("3rd ave 7", "7"), ("Mill", "")],
)
def test_house_numbers_are_told_from_numbered_streets(typed: str, number: str) -> None:
    assert read_typed(typed).number == number


def test_short_words_are_searchable_too() -> None:
    assert searchable("12", "Mill Street", "Marrow") == "12 mill street marrow str"


def test_likeness_falls_with_each_wrong_letter() -> None:
    same, one_off, other = (
        likeness(typed, "Smithy Row Marrow") for typed in ("smithy row", "smihty row", "dune")
    )

    assert same > one_off > other
    assert same > 0.85


def test_a_real_country_is_searched_forgivingly(sample: Path, tmp_path: Path) -> None:
    size = build_street_index(pbf=sample, to=tmp_path / "streets.sqlite3")
    streets = StreetIndex(tmp_path / "streets.sqlite3")

    assert size.streets > 1000
    if sample.name.startswith("liechtenstein"):
        assert first(streets, "Landstrase Schaan")[0] == "Landstrasse, Schaan"
        assert first(streets, "vaduz")[0] == "Vaduz"
    else:
        assert "2nd Street" in first(streets, "2nd st")[0]
