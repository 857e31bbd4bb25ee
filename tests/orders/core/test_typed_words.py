"""Names and notes beside wood: no measure in them, no promise how dry."""

import pytest

from orders.core.places import ForbiddenWord, place_rule
from orders.core.typed_words import DryClaim, check_name, check_no_dryness


@pytest.mark.parametrize(
    "name",
    [
        "Rick's yard",
        "Rank Hollow",
        "Behind the wood rack, one pile",
        "Woodpile Road",
        "Cord Creek",
        "Siding Yard",
    ],
)
@pytest.mark.parametrize("place", ["handbook_130", "massachusetts"])
def test_a_place_may_be_called_what_it_is_called(name, place):
    check_name(name, rule=place_rule(place))


@pytest.mark.parametrize(
    "name",
    ["Full rick yard", "$80 per rank", "Half rack lane", "Stove cord yard", "Face Cords R Us",
     "2 ricks by the gate", "about a cord each"],
)  # fmt: skip
def test_a_measure_in_a_name_is_refused(name):
    with pytest.raises(ForbiddenWord, match="does not allow wood to be sold by the words"):
        check_name(name, rule=place_rule())


def test_a_name_in_massachusetts_sells_nothing_by_the_cord():
    with pytest.raises(ForbiddenWord, match="'cord'"):
        check_name("Two cords delivered", rule=place_rule("massachusetts"))


@pytest.mark.parametrize("name", ["Seasoned fir", "oak, kiln dried", "Bone-dry madrone", "Kilndried ash"])
def test_a_lots_name_promises_nothing_of_its_dryness(name):
    """Read at 34 %, it would go on being called seasoned."""
    with pytest.raises(DryClaim, match="leave it out here"):
        check_no_dryness(name)


@pytest.mark.parametrize(
    "name", ["Knob fir", "Dry Creek oak", "August fir, fall 2027", "Unseasoned-looking oak"]
)
def test_honest_names_pass(name):
    check_no_dryness(name)
