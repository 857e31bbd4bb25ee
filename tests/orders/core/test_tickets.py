"""A ticket has every field the place asks for, or it is not made."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from orders.core.places import ForbiddenWord, place_rule, place_rules
from orders.core.tickets import Ticket, TicketIncomplete, identity_words, make_ticket

FILLED: dict[str, Any] = {
    "number": 31,
    "seller_name": "Quarrel Ridge Wood",
    "seller_address": "Siding Road 4, Marrow Bridge",
    "buyer_name": "Pilar Ostrander",
    "buyer_address": "12 Orchard Lane, Larch Prairie",
    "delivered_on": date(2026, 9, 18),
    "cords_delivered": Fraction(2, 3),
    "cords_priced": Fraction(2, 3),
    "price_dollars": Decimal("242.00"),
    "mix": [("Douglas-fir", Decimal(100))],
    "dryness": "seasoned",
    "measured_by": "Tam Averill",
    "cut_at": "Knob unit",
}


def ticket_for(place: str = "handbook_130", **changes: Any) -> Ticket:
    return make_ticket(rule=place_rule(place), **{**FILLED, **changes})


@pytest.mark.parametrize("rule", place_rules(), ids=lambda rule: rule.key)
def test_a_filled_ticket_is_made_everywhere_in_the_words_of_the_place(rule):
    ticket = make_ticket(rule=rule, **FILLED)

    kept = ticket.as_mapping()
    assert all(kept[name] for name in rule.ticket_fields)
    assert kept["statement"] == rule.statement
    assert not any(word == "cord" for word in rule.forbidden_words) or "cord" not in kept["amount_delivered"]


def test_a_ticket_states_the_amount_with_its_cubic_feet():
    assert ticket_for().amount_delivered == "2/3 cord (85.3 cubic feet stacked)"
    assert ticket_for().as_mapping()["price_dollars"] == "242.00"


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({"seller_name": " "}, "seller_name"),
        ({"seller_address": ""}, "seller_address"),
        ({"buyer_name": ""}, "buyer_name"),
        ({"buyer_address": ""}, "buyer_address"),
        ({"delivered_on": None}, "delivered_on"),
        ({"cords_delivered": Fraction(0)}, "amount_delivered"),
        ({"cords_priced": Fraction(0)}, "amount_priced"),
        ({"price_dollars": None}, "price_dollars"),
        ({"mix": []}, "identity"),
        ({"mix": [("oak", Decimal(40)), ("Douglas-fir", Decimal(50))]}, "identity"),
        ({"dryness": ""}, "quality"),
        ({"measured_by": ""}, "measured_by"),
    ],
)
def test_a_ticket_with_a_gap_is_refused_by_the_name_of_the_gap(changes, missing):
    with pytest.raises(TicketIncomplete, match="fill that in first") as refusal:
        ticket_for(**changes)

    assert refusal.value.missing == (missing,)


def test_all_gaps_are_named_at_once():
    with pytest.raises(TicketIncomplete, match="the buyer's address, how dry it is"):
        ticket_for(buyer_address="", dryness="")


def test_oregon_wants_to_know_where_it_was_cut_and_maine_does_not():
    with pytest.raises(TicketIncomplete, match="where it was cut"):
        ticket_for("oregon", cut_at="")

    assert ticket_for("maine", cut_at="").cut_at == ""


def test_bundles_stand_with_the_volume_of_each():
    ticket = ticket_for(
        cords_delivered=Fraction(0),
        cords_priced=Fraction(0),
        bundles=40,
        bundle_ft3=Decimal("0.75"),
    )

    assert ticket.amount_delivered == "40 bundles of 1,296 cubic inches each"


def test_bundles_of_a_metric_place_are_in_liters_and_big_ones_in_cubic_feet():
    bundles = {"cords_delivered": Fraction(0), "cords_priced": Fraction(0), "bundles": 2}

    metric = ticket_for("metric", bundle_ft3=Decimal("0.75"), **bundles)
    big = ticket_for(bundle_ft3=Decimal("1.5"), **bundles)

    assert metric.amount_delivered == "2 bundles of 21 liters each"
    assert big.amount_delivered == "2 bundles of 1.5 cubic feet each"


@pytest.mark.parametrize("words", ["a stove cord", "one rank", "a thrown load", "about a cord"])
def test_words_that_are_no_measure_are_refused(words):
    with pytest.raises(ForbiddenWord):
        ticket_for(form=words)


@pytest.mark.parametrize(
    ("dryness", "read_as", "quality"),
    [
        ("seasoned", "seasoned", "seasoned"),
        ("seasoned", "green", "green by the readings at loading (sold as seasoned)"),
        ("seasoned", "", "seasoned by the seller's word, not read at loading"),
        ("green", "", "green"),
        ("green", "seasoned", "green"),
    ],
)
def test_the_quality_on_a_ticket_follows_the_readings(dryness, read_as, quality):
    assert ticket_for(dryness=dryness, read_as=read_as).quality == quality


def test_bundles_without_a_volume_are_a_gap():
    with pytest.raises(TicketIncomplete, match="the amount delivered"):
        ticket_for(cords_delivered=Fraction(0), cords_priced=Fraction(0), bundles=40)


def test_a_ticket_never_sells_by_the_truckload():
    with pytest.raises(ForbiddenWord, match="truckload"):
        ticket_for(form="one truckload, loose")


def test_a_price_of_nothing_is_still_a_price():
    """A make-good is brought for 0.00 and has its ticket."""
    assert ticket_for(price_dollars=Decimal("0.00")).as_mapping()["price_dollars"] == "0.00"


def test_a_mix_is_named_largest_first():
    assert identity_words([("oak", Decimal(40)), ("Douglas-fir", Decimal(60))]) == "60% Douglas-fir, 40% oak"
