"""A sentence keeps what fills its gaps, and is worded when somebody reads it."""

from datetime import date
from fractions import Fraction

import pytest

from inventory.core import InventoryError
from inventory.core.gaps import Cords, FullDate, InTurn, LongMonth, Month, ShortDay, day_ahead, joined
from inventory.core.sentences import Sentence


def test_a_refusal_says_itself_in_english_and_in_the_readers_language():
    error = InventoryError("{month} {day}, {year}", month=Sentence("Sep"), day=18, year=2026)

    assert str(error) == "Sep 18, 2026"
    assert error.text_in("es") == "18 sep 2026"


def test_a_refusal_without_gaps_stands_as_it_is():
    error = InventoryError("write {name}")

    assert str(error) == error.text_in("es") == "write {name}"


@pytest.mark.parametrize(
    ("gap", "english", "spanish"),
    [
        (ShortDay(date(2026, 9, 18)), "Fri, Sep 18", "vie 18 sep"),
        (FullDate(date(2026, 9, 18)), "Sep 18, 2026", "18 sep 2026"),
        (day_ahead(date(2026, 10, 4), date(2026, 9, 18)), "Oct 4", "4 oct"),
        (day_ahead(date(2027, 5, 4), date(2026, 9, 18)), "May 4, 2027", "4 may 2027"),
        (Month(date(2027, 1, 1)), "Jan 2027", "ene 2027"),
        (Month(date(2027, 5, 1), with_year=False), "May", "may"),
        (LongMonth(date(2027, 5, 1)), "May 2027", "mayo de 2027"),
        (
            InTurn((Sentence("Upright: likely."), Sentence("Read it again."))),
            "Upright: likely. Read it again.",
            "Raya: probable. Mídalo otra vez.",
        ),
        (Cords(Fraction(3, 2)), "1 1/2 cords", "1 1/2 cuerdas"),
        (Cords(Fraction(1, 1000)), "less than 0.01 cord", "menos de 0.01 cuerda"),
        (joined(["K1", "K2"]), "K1, K2", "K1, K2"),
        (joined([Sentence("Sat"), Sentence("Sun")], "or"), "Sat or Sun", "sáb o dom"),
    ],
)
def test_what_fills_a_gap_is_worded_with_it(gap, english, spanish):
    assert (gap.text_in("en"), gap.text_in("es")) == (english, spanish)
