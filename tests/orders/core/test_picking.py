"""Which lots fill an order: dry by the day, fewest yards, oldest first, thirds exact."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.lots import SEASONED, OpenLot
from orders.core.picking import (
    NoSuchWood,
    NotEnoughWood,
    NothingDryEnough,
    Pick,
    first_day,
    pick_lots,
    yards_holding,
)
from orders.core.places import place_rule
from tests.orders.core.tariff import TODAY

MAY = date(2026, 5, 12)


def lot_of(lot: str, cords: str, **kwargs: Any) -> OpenLot:
    fields = {"wood": "fir", "yard": "Siding", "since": MAY, "dry_on": date(2026, 8, 16), "call": SEASONED}
    return OpenLot(code=lot, mix=(), **amounts(Fraction(cords)), **{**fields, **kwargs})


def amounts(cords: Fraction) -> dict[str, Any]:
    nothing = dict.fromkeys(("firm", "soft", "kept"), Fraction(0))
    return {"on_hand": cords, "open": cords, "bundles": None, "bundles_on_hand": None, **nothing}


K1 = lot_of("K1", "14/5")
K3 = lot_of(
    "K3",
    "131/100",
    wood="hardwood",
    yard="Creek",
    since=date(2025, 6, 1),
    dry_on=date(2027, 8, 27),
    call="green",
)
K4 = lot_of("K4", "2/5", wood="hardwood", yard="Creek", since=date(2025, 4, 1))
K6 = lot_of("K6", "5/2", yard="Upper", since=date(2026, 8, 20), dry_on=date(2027, 5, 1), call="green")
SELLER = (K1, K3, K4, K6)


def test_an_order_of_dry_fir_is_filled_from_the_dry_lot_only():
    picks = pick_lots(SELLER, wood="fir", cords=Fraction(2, 3), on=TODAY)

    assert picks == (Pick(lot="K1", yard="Siding", cords=Fraction(2, 3)),)


def test_green_wood_is_picked_by_its_word():
    picks = pick_lots(SELLER, wood="fir", cords=Fraction(2), on=TODAY, dryness="green")

    assert [pick.lot for pick in picks] == ["K6"]


def test_oak_that_is_not_dry_never_fills_a_seasoned_order_and_the_first_day_is_named():
    with pytest.raises(NothingDryEnough, match=r"0\.40 cord is ready by then") as refusal:
        pick_lots(SELLER, wood="hardwood", cords=Fraction(1, 2), on=TODAY)

    assert refusal.value.first_on == date(2027, 8, 27)
    assert "the first day is Fri, Aug 27 2027" in str(refusal.value)
    assert refusal.value.ready == Fraction(2, 5)


def test_wood_with_no_drying_date_gets_no_promise_of_a_day():
    logs = lot_of("K8", "4", dry_on=None)

    with pytest.raises(NothingDryEnough, match="0 is ready by then and no date can be given yet") as refusal:
        pick_lots([logs], wood="fir", cords=Fraction(1), on=TODAY)

    assert refusal.value.first_on is None


def test_more_than_all_open_wood_is_refused_with_what_is_left():
    with pytest.raises(NotEnoughWood, match=r"You asked for 6 cords of fir and 5\.30 cords is left"):
        pick_lots(SELLER, wood="fir", cords=Fraction(6), on=TODAY)


def test_wood_nobody_has_is_refused():
    with pytest.raises(NoSuchWood, match="We have no walnut now"):
        pick_lots(SELLER, wood="walnut", cords=Fraction(1), on=TODAY)


def test_a_refusal_in_massachusetts_speaks_cubic_feet():
    with pytest.raises(NotEnoughWood, match="768 cubic feet of fir") as refusal:
        pick_lots(SELLER, wood="fir", cords=Fraction(6), on=TODAY, rule=place_rule("massachusetts"))

    assert "cord" not in str(refusal.value)


def test_the_oldest_wood_of_a_yard_goes_first_and_thirds_are_exact():
    older = lot_of("B", "1/3", since=MAY - timedelta(days=300))
    newer = lot_of("A", "1")

    picks = pick_lots([newer, older], wood="fir", cords=Fraction(2, 3), on=TODAY)

    assert picks == (
        Pick(lot="B", yard="Siding", cords=Fraction(1, 3)),
        Pick(lot="A", yard="Siding", cords=Fraction(1, 3)),
    )


def test_one_yard_is_better_than_two_with_older_wood():
    old_bit = lot_of("A", "1/2", yard="Upper", since=MAY - timedelta(days=300))
    plenty = lot_of("B", "2")

    picks = pick_lots([old_bit, plenty], wood="fir", cords=Fraction(1), on=TODAY)

    assert [pick.yard for pick in picks] == ["Siding"]


def test_between_single_yards_the_nearer_goes_before_the_older():
    old = lot_of("A", "1", yard="Upper", since=MAY - timedelta(days=300))
    near = lot_of("B", "1")
    miles = {"Upper": Decimal("15.0"), "Siding": Decimal("3.8")}

    assert pick_lots([old, near], wood="fir", cords=Fraction(1), on=TODAY)[0].lot == "A"
    assert pick_lots([old, near], wood="fir", cords=Fraction(1), on=TODAY, miles=miles)[0].lot == "B"
    assert pick_lots([old, near], wood="fir", cords=Fraction(1), on=TODAY, miles={"Upper": Decimal(90)})[
        0
    ].lot == ("A")


def test_only_yards_that_hold_it_all_count_for_the_drive():
    small = lot_of("A", "1/4", yard="Creek")

    assert yards_holding([K1, K6, small], wood="fir", cords=Fraction(1, 2), on=TODAY) == {"Siding"}


def test_the_first_day_is_today_when_the_wood_is_ready():
    assert first_day(SELLER, wood="fir", cords=Fraction(1), on=TODAY) == TODAY
    assert first_day(SELLER, wood="fir", cords=Fraction(3), on=TODAY) == date(2027, 5, 1)
    assert first_day(SELLER, wood="fir", cords=Fraction(9), on=TODAY) is None


def test_a_lot_promised_twice_has_nothing_open():
    short = lot_of("K1", "-1")

    assert short.open_cords == 0
    with pytest.raises(NotEnoughWood):
        pick_lots((short, lot_of("K9", "1/2")), wood="fir", cords=Fraction(1), on=TODAY)


LOTS = st.lists(
    st.builds(
        lot_of,
        lot=st.uuids().map(str),
        wood=st.sampled_from(["fir", "hardwood"]),
        yard=st.sampled_from(["Upper", "Creek", "Siding"]),
        cords=st.fractions(min_value=0, max_value=3, max_denominator=12),
        since=st.dates(min_value=date(2025, 1, 1), max_value=TODAY),
        dry_on=st.none() | st.dates(min_value=date(2026, 6, 1), max_value=date(2027, 6, 1)),
    ),
    max_size=8,
)


@pytest.mark.slow
@given(lots=LOTS, part=st.fractions(min_value=Fraction(1, 12), max_value=1, max_denominator=12))
def test_picks_conserve_wood_take_only_open_dry_wood_and_use_the_fewest_yards(lots, part):
    lots = [*lots, K1]
    ready = [lot for lot in lots if lot.wood == "fir" and lot.is_ready(dryness="seasoned", on=TODAY)]
    cords = part * sum(lot.open_cords for lot in ready)

    picks = pick_lots(lots, wood="fir", cords=cords, on=TODAY)

    by_name = {lot.code: lot for lot in ready}
    assert sum(pick.cords for pick in picks) == cords
    assert all(0 < pick.cords <= by_name[pick.lot].open_cords for pick in picks)
    assert len({pick.lot for pick in picks}) == len(picks)
    fewest = next(
        count
        for count in range(1, 4)
        for yards in combinations(["Upper", "Creek", "Siding"], count)
        if sum(lot.open_cords for lot in ready if lot.yard in yards) >= cords
    )
    assert len({pick.yard for pick in picks}) == fewest
    assert [by_name[pick.lot].since for pick in picks] == sorted(by_name[pick.lot].since for pick in picks)


@given(lots=LOTS, part=st.fractions(min_value=Fraction(1, 12), max_value=1, max_denominator=12))
def test_a_refusal_names_the_very_first_day_on_which_the_order_can_be_filled(lots, part):
    lots = [*lots, K6]
    cords = part * sum(lot.open_cords for lot in lots if lot.wood == "fir" and lot.dry_on)

    day = first_day(lots, wood="fir", cords=cords, on=TODAY)

    assert day is not None
    assert sum(pick.cords for pick in pick_lots(lots, wood="fir", cords=cords, on=day)) == cords
    if day > TODAY:
        with pytest.raises(NothingDryEnough) as refusal:
            pick_lots(lots, wood="fir", cords=cords, on=day - timedelta(days=1))
        assert refusal.value.first_on == day
