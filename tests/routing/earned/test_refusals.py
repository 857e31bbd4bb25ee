"""What cannot be is refused with a sentence that says what to mend."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core import InventoryError
from inventory.core.charts.bars import Band, Bar, bars_chart, ranges_chart
from routing.core import RoutingError
from routing.earned.acre import Thinning
from routing.earned.charts import months_chart
from routing.earned.costs import NOWHERE, DropWork, Stretch, exact_road_dollars, minutes_rule
from routing.earned.guesses import Guess, HourGuesses, simulated
from routing.earned.load_legs import LoadLegs
from routing.earned.markets import MarketTrip, break_even_cords, break_even_miles, kept_instead
from routing.earned.pools import PoolTrip, Waiting, pool_answer
from routing.earned.shapley import sampled_shapley_values, shapley_values
from routing.earned.shares import split_load
from routing.maps.woodpiles import weight_beam
from tests.routing.earned.demo import BIG, RATES, marrow_and_larch

RULE = minutes_rule()
DAY = date(2026, 9, 18)
TRIP = MarketTrip(
    revenue=Decimal(375),
    cords=Fraction(1),
    out=NOWHERE,
    back=NOWHERE,
    loaded_mile=Decimal("0.75"),
    empty_mile=Decimal("0.65"),
)
GUESSES = HourGuesses(
    hours=(Guess.known("all", 8),), revenue=Guess.known("revenue", 260), expenses=Guess.known("out", 60)
)
ACRE = Thinning(
    name="Knob", acres=Fraction(1), wood_revenue=Decimal(100), hours=Fraction(4), cash=Decimal(10)
)


def crowd(count):
    one = Waiting(
        order="0",
        customer="",
        cords=Fraction(1, 12),
        far_price=Decimal(40),
        near_price=Decimal(30),
        box_ft3=Fraction(15),
        lb=300,
    )
    return [replace(one, order=str(i)) for i in range(count)]


def weigh_a_crowd():
    trip = PoolTrip(
        out=NOWHERE,
        back=NOWHERE,
        hop=NOWHERE,
        near_out=NOWHERE,
        near_back=NOWHERE,
        near_hop=NOWHERE,
        loaded_mile=Decimal(1),
        empty_mile=Decimal(1),
        box_ft3=Fraction(180),
        payload_lb=5100,
    )
    pool_answer(crowd(13), trip, rule=RULE, target_wage=Decimal(25), on=DAY)


REFUSED = {
    "an acre sheet without acres": (lambda: replace(ACRE, acres=Fraction(0)), "has no acres; measure it"),
    "an acre sheet with hours below zero": (lambda: replace(ACRE, hours=Fraction(-1)), "below zero"),
    "a bar of no known kind": (
        lambda: bars_chart([Bar(label="a", value=Decimal(1), kind="odd")], key="k", title="t"),
        "'odd' is no kind of bar",
    ),
    "ranges of nothing": (lambda: ranges_chart([], key="k", title="t"), "nothing to show"),
    "months of nothing": (lambda: months_chart([], key="k"), "nothing to show"),
    "a range out of order": (
        lambda: ranges_chart(
            [Band(label="a", low=Decimal(2), middle=Decimal(1), high=Decimal(3))], key="k", title="t"
        ),
        "range of a is out of order",
    ),
    "minutes below zero": (lambda: Stretch.of(1, -1), "minutes of a stretch"),
    "a rate below zero": (lambda: replace(RATES, loaded_mile=Decimal(-1)), "loaded mile"),
    "a loading time below zero": (lambda: replace(RULE, load_per_cord=Fraction(-1)), "load per cord"),
    "cords below zero": (lambda: DropWork(order="A", cords=Fraction(-1)), "cords of a drop"),
    "trip miles below zero": (
        lambda: exact_road_dollars(loaded_miles=Fraction(-1), empty_miles=Fraction(1), rates=RATES),
        "miles of a trip",
    ),
    "a game of thirteen": (lambda: shapley_values([0] * 2**13), "sample instead"),
    "sampling one order": (
        lambda: sampled_shapley_values(lambda joined: 0, players=2, samples=1, seed=1),
        "at least two orders",
    ),
    "sampling a game that costs nobody something": (
        lambda: sampled_shapley_values(lambda joined: 1, players=2, samples=9, seed=1),
        "nobody's cost",
    ),
    "a guess below zero": (lambda: Guess.of("fuel", -1, 2, 3), "fuel is below zero"),
    "guesses that err more than together": (lambda: simulated(GUESSES, seed=1, together=1.5), "use 0 to 1"),
    "a handful of draws": (lambda: simulated(GUESSES, seed=1, draws=5), "100 or more"),
    "an order named twice on a load": (
        lambda: replace(marrow_and_larch(), orders=("A", "A")),
        "named twice",
    ),
    "roads for fewer drops": (
        lambda: LoadLegs(orders=("A",), approach=NOWHERE, out=(), between=((NOWHERE,),), back=(NOWHERE,)),
        "1 drops need 1 stretches",
    ),
    "the share of an order elsewhere": (
        lambda: split_load(marrow_and_larch(), rates=RATES, rule=RULE).of("C"),
        "order C is not on it",
    ),
    "a trip with less than no wood": (lambda: replace(TRIP, cords=Fraction(-1)), "less than no wood"),
    "a mile that pays": (lambda: replace(TRIP, loaded_mile=Decimal(-1)), "less than nothing"),
    "a market next door to scale": (
        lambda: break_even_miles(
            premium_per_cord=Decimal(100),
            trip=TRIP,
            near=kept_instead(Decimal(0), Fraction(1)),
            rule=RULE,
            target_wage=Decimal(25),
        ),
        "it has no miles",
    ),
    "a near market without wood": (
        lambda: break_even_cords(
            premium_per_cord=Decimal(100),
            trip=TRIP,
            near=kept_instead(Decimal(0), Fraction(0)),
            rule=RULE,
            target_wage=Decimal(25),
        ),
        "no cords to compare",
    ),
    "a pool of thirteen": (weigh_a_crowd, "13 orders wait"),
    "a box without sides": (lambda: replace(BIG, box_side_ft=Decimal(0)), "without length, width or sides"),
    "a heap number of nothing": (lambda: replace(BIG, heap_number=Decimal(0)), "use about 190"),
    "a rig that may carry nothing": (lambda: replace(BIG, payload_lb=0), "no weight at all"),
    "a weight without a limit": (
        lambda: weight_beam(key="k", lb=1, limit_lb=0, title="t"),
        "limit above zero",
    ),
}


@pytest.mark.parametrize(("attempt", "words"), REFUSED.values(), ids=REFUSED)
def test_it_is_refused_in_a_sentence(attempt, words):
    with pytest.raises((RoutingError, InventoryError)) as refusal:
        attempt()

    assert words in str(refusal.value)
    assert str(refusal.value).endswith(".")
