"""The wording per place, held against a table of the rules themselves.

fixtures/reference/method_of_sale_rules.csv tells NIST Handbook 130 and the states' rules in its own words.
"""

import csv
import re
from pathlib import Path

import pytest

from orders.core.places import place_rule, place_rules

TABLE = Path(__file__).resolve().parents[3] / "fixtures" / "reference" / "method_of_sale_rules.csv"
ROWS = tuple(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
PLACES = {
    "US model": "handbook_130",
    "California": "california",
    "Washington": "washington",
    "Maine": "maine",
    "Massachusetts": "massachusetts",
    "Oregon": "oregon",
    "Maryland": "maryland",
}
ASKED_BY = {  # words of a rule, and the ticket field they ask for
    r"(seller|vendor)[^;]* address": ("seller_name", "seller_address"),
    r"(purchaser|buyer)[^;]* address": ("buyer_name", "buyer_address"),
    r"\bdate": ("delivered_on",),
    r"quantity": ("amount_delivered",),
    r"quantity (priced|the price is based on)": ("amount_priced",),
    r"price[;,]|, price$|; price": ("price_dollars",),
    r"identity|type and": ("identity",),
    r"quality": ("quality",),
}
TICKET_ROWS = [
    row for row in ROWS if row["topic"] in ("invoice", "delivery ticket") and row["jurisdiction"] in PLACES
]


@pytest.mark.parametrize("row", TICKET_ROWS, ids=lambda row: row["jurisdiction"])
def test_a_ticket_has_every_field_the_rule_names(row):
    rule = place_rule(PLACES[row["jurisdiction"]])
    asked = {
        field
        for words, fields in ASKED_BY.items()
        if re.search(words, row["rule_in_own_words"])
        for field in fields
    }

    assert len(asked) >= 5, "the row was not understood"
    assert asked <= set(rule.ticket_fields)


def test_words_the_model_rule_prohibits_are_refused_everywhere():
    (row,) = (row for row in ROWS if row["topic"] == "prohibited")
    prohibited = re.findall(r"face cord|rack|pile|truckload", row["rule_in_own_words"])

    assert len(prohibited) == 4
    assert all(set(prohibited) <= set(rule.forbidden_words) for rule in place_rules())


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["topic"] == "units" and row["jurisdiction"] in PLACES]
)
def test_a_place_shows_the_units_its_rule_allows(row):
    rule = place_rule(PLACES[row["jurisdiction"]])

    if "the word cord itself may not be used" in row["rule_in_own_words"]:
        assert rule.volume_style == "ft3"
        assert "cord" in rule.forbidden_words
    else:
        assert "cord" in row["rule_in_own_words"]
        assert rule.volume_style == "cords_ft3"
        assert "cord" not in rule.forbidden_words


def test_the_mix_is_right_within_ten_percent_as_the_rule_says():
    (row,) = (row for row in ROWS if row["topic"] == "identity" and row["jurisdiction"] == "US model")

    assert "within 10 percent" in row["rule_in_own_words"]
    assert all(rule.identity_within_pct == 10 for rule in place_rules())
