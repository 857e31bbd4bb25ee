"""Text-backs and letters say what they must, in both languages."""

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from orders.core.drives import Drive
from orders.core.phrases import (
    MissingWords,
    day_words,
    letter,
    letter_gaps,
    letter_kinds,
    money_words,
    request_text,
    text_back,
    window_words,
)
from orders.core.places import place_rule
from orders.core.quotes import How, OrderRequest, Quote, quote_for
from tests.orders.core.tariff import SHEET, TODAY

MARROW = Drive(miles=Decimal("3.8"), minutes=8, from_yard="Siding")
HALF_FIR = OrderRequest(wood="fir", market="near", cords=Fraction(1, 2), place="Marrow Bridge")


def quoted(order_request: OrderRequest, **kwargs: Any) -> Quote:
    return quote_for(order_request, **{"sheet": SHEET, "on": TODAY, "drive": MARROW, **kwargs})


def test_a_text_back_says_wood_place_total_first_day_and_until_when():
    line = text_back(quoted(HALF_FIR), seller="Quarrel Ridge Wood", first_on=date(2026, 9, 22))

    assert line == (
        "1/2 cord seasoned fir, delivered to Marrow Bridge, dumped: $145. First day Tue, Sep 22. "
        "Deposit $30, the rest at the door. Price good through Mon, Sep 28. Quarrel Ridge Wood"
    )


def test_a_text_back_in_spanish_says_the_same():
    quote = quoted(HALF_FIR, is_new_customer=False)

    line = text_back(quote, seller="Quarrel Ridge Wood", first_on=date(2026, 9, 22), language="es-us")

    assert line == (
        "1/2 cuerda de leña de abeto de Douglas, seca, entregada en Marrow Bridge, volcada: $145. "
        "Primer día mar 22 sep. Precio válido hasta lun 28 sep. Quarrel Ridge Wood"
    )


def test_green_wood_is_said_to_be_for_another_winter():
    order_request = OrderRequest(wood="fir", market="near", cords=Fraction(2), dryness="green", stacked=True)

    line = text_back(quoted(order_request, is_new_customer=False), seller="Quarrel Ridge Wood")

    assert line.startswith("2 cords green fir, delivered, stacked: $510. Not for this winter.")


def test_fetched_wood_needs_no_place():
    order_request = OrderRequest(wood="fir", market="near", cords=Fraction(1, 4), how=How.PICK_UP)

    line = text_back(quoted(order_request), seller="Quarrel Ridge Wood")

    assert line.startswith("1/4 cord seasoned fir, pickup: $75.")


def test_a_text_back_in_massachusetts_speaks_cubic_feet():
    line = text_back(quoted(HALF_FIR), seller="Quarrel Ridge Wood", rule=place_rule("massachusetts"))

    assert "64 cubic feet seasoned fir" in line
    assert "cord" not in line


@pytest.mark.parametrize(
    ("order_request", "said"),
    [
        (OrderRequest(wood="kindling", market="near", bundles=1), "1 bundle of kindling"),
        (OrderRequest(wood="kindling", market="near", bundles=40), "40 bundles of kindling"),
        (
            OrderRequest(wood="hardwood", market="near", cords=Fraction(1), bundles=5),
            "1 cord seasoned hardwood and 5 bundles of kindling",
        ),
        (
            OrderRequest(wood="logs", market="near", cords=Fraction(3), how=How.PICK_UP),
            "3 cords log length",
        ),
    ],
)
def test_a_want_is_said_in_plain_words(order_request, said):
    assert request_text(order_request) == said


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("kind", letter_kinds())
def test_every_letter_is_filled_and_its_text_fits_two_messages(kind, language):
    facts = {name: f"<{name}>" for name in letter_gaps(kind)}

    written = letter(kind, language=language, facts=facts)

    assert all(fact in written.subject + written.body + written.text for fact in facts.values())
    assert "{" not in written.subject + written.body + written.text
    assert written.subject
    assert len(written.text) < 240


@pytest.mark.parametrize("kind", letter_kinds())
def test_both_languages_need_the_same_facts(kind):
    facts = {name: f"<{name}>" for name in letter_gaps(kind)}
    english, spanish = letter(kind, facts=facts), letter(kind, language="es", facts=facts)

    for part in ("subject", "body"):
        for fact in facts.values():
            assert (fact in getattr(english, part)) == (fact in getattr(spanish, part)), (part, fact)


def test_a_letter_with_a_gap_is_not_written():
    with pytest.raises(MissingWords, match="still needs day, due") as refusal:
        letter(
            "day_set",
            facts={
                "name": "Hob",
                "wood": "1/2 cord hardwood",
                "window": "8:30 to 10:00",
                "cut_off": "Mon, Sep 21 12:00",
                "link": "https://wood.example/o/1",
                "seller": "Quarrel Ridge Wood",
                "phone": "555 0100",
                "due": "",
            },
        )

    assert refusal.value.missing == ("day", "due")


def test_a_letter_of_no_kind_is_refused():
    with pytest.raises(MissingWords, match="'love_letter' is not one we write"):
        letter("love_letter", facts={})


def test_a_language_without_words_falls_back_to_english():
    assert day_words(date(2026, 9, 22), language="fr") == "Tue, Sep 22"


def test_days_windows_and_money_are_said_shortly():
    assert day_words(date(2026, 10, 3), language="es") == "sáb 3 oct"
    assert window_words(time(8, 30), time(10)) == "8:30 am to 10:00 am"
    assert window_words(time(12), time(14, 5)) == "12:00 pm to 2:05 pm"
    assert window_words(time(11), time(16, 5), language="es") == "de 11:00 a 16:05"
    assert money_words(Decimal("251.90")) == "$251.90"
