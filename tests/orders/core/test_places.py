"""Wording per place against the rules it comes from, amounts in the place's words, cautions that fit."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.places import (
    ForbiddenWord,
    UnknownPlace,
    amount_words,
    caution,
    cautions_on,
    check_words,
    full_amount_words,
    place_rule,
    place_rules,
)
from orders.core.tickets import FIELD_WORDS

# NIST Handbook 130 (2004 and 2016 texts), Method of Sale, section 2.4.5: what a delivery ticket names.
HANDBOOK_130_TICKET = {
    "seller_name",
    "seller_address",
    "buyer_name",
    "buyer_address",
    "delivered_on",
    "amount_delivered",
    "amount_priced",
    "price_dollars",
    "identity",
    "quality",
}


def test_the_general_rule_asks_for_every_field_of_handbook_130():
    assert set(place_rule().ticket_fields) >= HANDBOOK_130_TICKET


@pytest.mark.parametrize("key", ["maine", "washington"])
def test_states_with_the_same_list_ask_for_it(key):
    """10 M.R.S. section 2624; the Washington rule as quoted in later notices."""
    assert set(place_rule(key).ticket_fields) == HANDBOOK_130_TICKET


def test_massachusetts_sells_by_the_cubic_foot_and_never_says_cord():
    """G.L. c.94 sections 298 and 299."""
    rule = place_rule("massachusetts")

    assert amount_words(Fraction(1), rule=rule) == "128 cubic feet"
    with pytest.raises(ForbiddenWord, match="'cord'"):
        check_words("Two cords of oak", rule=rule)
    check_words("Cordwood, 4 ft lengths", rule=rule)


def test_maryland_says_dry_or_unseasoned():
    rule = place_rule("maryland")

    assert [rule.dry_word(word) for word in ("seasoned", "part_seasoned", "green")] == [
        "dry",
        "unseasoned",
        "unseasoned",
    ]


def test_a_word_without_a_rule_is_said_as_it_is():
    assert place_rule().dry_word("fall_2027") == "fall 2027"


@pytest.mark.parametrize("words", ["one Face Cord", "a rick of fir", "by the truckload", "two piles", "rack"])
def test_measures_that_are_not_legal_are_refused(words):
    """Handbook 130 section 2.4.4: no face cord, rack, pile, truckload or the like."""
    with pytest.raises(ForbiddenWord, match="does not allow wood to be sold by the words"):
        check_words(words, rule=place_rule())


def test_honest_words_pass():
    check_words("1/2 cord seasoned fir, tricky gate, compiled list", rule=place_rule())


def test_an_unknown_place_names_the_places_that_are_kept():
    with pytest.raises(UnknownPlace, match="choose one of handbook_130, maine") as refusal:
        place_rule("atlantis")

    assert refusal.value.key == "atlantis"


@pytest.mark.parametrize("rule", place_rules(), ids=lambda rule: rule.key)
def test_every_place_says_its_source_its_units_and_known_ticket_fields(rule):
    assert rule.document
    assert rule.read in ("read", "secondary")
    assert rule.volume_style in ("cords_ft3", "ft3", "stacked_m3")
    assert set(rule.ticket_fields) <= set(FIELD_WORDS)
    assert "check your local rule" in rule.check_local
    check_words(rule.statement, rule=rule)
    check_words(full_amount_words(Fraction(2, 3), rule=rule), rule=rule)


def test_all_the_asked_places_are_kept():
    assert {rule.key for rule in place_rules()} >= {
        "handbook_130",
        "maine",
        "minnesota",
        "massachusetts",
        "oregon",
        "california",
        "washington",
        "metric",
    }


@pytest.mark.parametrize(
    ("cords", "said"),
    [
        ("1/3", "1/3 cord"),
        ("2/3", "2/3 cord"),
        ("1", "1 cord"),
        ("3/2", "1 1/2 cords"),
        ("2", "2 cords"),
        ("14/5", "2.80 cords"),
        ("131/100", "1.31 cords"),
        ("0", "0 cords"),
    ],
)
def test_cords_are_said_as_people_say_them(cords, said):
    assert amount_words(Fraction(cords), rule=place_rule()) == said


def test_amounts_follow_the_place():
    """A cord is 128 ft3 = 3.62 stacked cubic meters (3.6246, NIST Handbook 44 appendix C)."""
    assert amount_words(Fraction(1), rule=place_rule("metric")) == "3.62 m³ stacked"
    assert full_amount_words(Fraction(1, 2), rule=place_rule()) == "1/2 cord (64 cubic feet stacked)"
    assert full_amount_words(Fraction(2, 3), rule=place_rule("massachusetts")) == "85.3 cubic feet"


@given(cords=st.fractions(min_value=0, max_value=40, max_denominator=1200))
def test_spoken_cords_are_within_half_a_hundredth(cords):
    said = amount_words(cords, rule=place_rule()).removesuffix("s").removesuffix(" cord")
    if said == "less than 0.01":
        assert 0 < cords < Fraction(1, 100)
        return

    assert abs(sum(Fraction(part) for part in said.split()) - cords) <= Fraction(1, 200)


CAUTION_SCREENS = [
    ("price_sheet", "full_cord"),
    ("public", "full_cord"),
    ("listing", "mix_percent"),
    ("ticket", "say_dry"),
    ("ticket", "where_cut"),
    ("haul", "pests"),
    ("load_card", "overload"),
    ("run", "chains"),
    ("rig", "combination_weight"),
    ("home", "saw_hours"),
    ("slash", "burning"),
    ("unit", "notify_cutting"),
    ("dispute", "dispute"),
    ("payment", "overpayment"),
    ("export", "taxes"),
    ("payer_notes", "payer_notes"),
]


@pytest.mark.parametrize(("screen", "topic"), CAUTION_SCREENS)
def test_each_caution_stands_on_its_screen_in_the_room_there_is(screen, topic):
    shown = {entry.topic: entry for entry in cautions_on(screen)}

    assert topic in shown
    assert 0 < len(shown[topic].text.split()) <= shown[topic].most_words
    assert shown[topic].source


def test_a_screen_without_cautions_shows_none():
    assert cautions_on("sunset") == ()
    assert caution("overload").is_blocking
