"""Wood that leaves for good."""

from fractions import Fraction
from uuid import UUID

import pytest
from django.db.models import Sum

from inventory.models import Hold, Movement
from inventory.services.draws import draw_wood
from inventory.services.holds import HoldEnded, NoSuchHold, NotEnoughOpen, NothingToHold, hold_wood
from tests.factories.inventory import make_lot

pytestmark = pytest.mark.django_db
A_KEY = UUID(int=7)


@pytest.fixture
def held(an_instant):
    """A lot of two cords with one held for order 201."""
    lot = make_lot(cords=2, code="K5")
    hold_id = hold_wood(
        lot_id=lot.pk, cords=Fraction(1), kind="firm", reference="order 201", made_at=an_instant
    )
    return lot, hold_id


def test_a_drawn_hold_becomes_sold_wood(held, a_day, an_instant):
    lot, hold_id = held

    draw_wood(hold_id=hold_id, on=a_day, at=an_instant, who="tam")

    lot.refresh_from_db()
    sold = Movement.objects.get(kind="sold")
    assert (lot.on_hand_cords, lot.firm_cords) == (1, 0)
    assert (sold.cords, sold.reference) == (-1, "order 201")
    assert Hold.objects.get(pk=hold_id).state == "drawn"


def test_the_balance_is_still_the_sum_of_the_movements(held, a_day, an_instant):
    lot, hold_id = held

    draw_wood(hold_id=hold_id, cords=Fraction(2, 3), on=a_day, at=an_instant)

    lot.refresh_from_db()
    assert lot.movements.aggregate(all=Sum("cords"))["all"] == lot.on_hand_cords == Fraction(4, 3)


def test_the_same_draw_sent_twice_is_one_draw(held, a_day, an_instant):
    lot, hold_id = held

    once = draw_wood(hold_id=hold_id, on=a_day, at=an_instant, key=A_KEY)
    again = draw_wood(hold_id=hold_id, on=a_day, at=an_instant, key=A_KEY)

    assert once == again
    lot.refresh_from_db()
    assert lot.on_hand_cords == 1


def test_a_drawn_hold_is_not_drawn_again_by_another_act(held, a_day, an_instant):
    _, hold_id = held
    draw_wood(hold_id=hold_id, on=a_day, at=an_instant, key=A_KEY)

    with pytest.raises(HoldEnded, match="already drawn"):
        draw_wood(hold_id=hold_id, on=a_day, at=an_instant, key=UUID(int=8))


def test_wood_held_and_not_taken_is_open_again(held, a_day, an_instant):
    lot, hold_id = held

    draw_wood(hold_id=hold_id, cords=Fraction(3, 4), on=a_day, at=an_instant)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.firm_cords) == (Fraction(5, 4), 0)


def test_the_rest_of_an_order_on_two_loads_stays_held(held, a_day, an_instant):
    lot, hold_id = held

    draw_wood(hold_id=hold_id, cords=Fraction(1, 2), on=a_day, at=an_instant, keep_rest=True)
    lot.refresh_from_db()
    after_first = (lot.on_hand_cords, lot.firm_cords)
    draw_wood(hold_id=hold_id, cords=Fraction(1, 2), on=a_day, at=an_instant, keep_rest=True)

    lot.refresh_from_db()
    assert after_first == (Fraction(3, 2), Fraction(1, 2))
    assert (lot.on_hand_cords, lot.firm_cords) == (1, 0)
    assert Hold.objects.get(pk=hold_id).state == "drawn"


def test_over_given_wood_comes_out_of_the_open_wood(held, a_day, an_instant):
    lot, hold_id = held

    draw_wood(hold_id=hold_id, cords=Fraction(5, 4), on=a_day, at=an_instant)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.firm_cords) == (Fraction(3, 4), 0)


def test_over_giving_never_takes_what_another_was_promised(held, a_day, an_instant):
    lot, hold_id = held
    hold_wood(lot_id=lot.pk, cords=Fraction(1), kind="firm", reference="order 2", made_at=an_instant)

    with pytest.raises(NotEnoughOpen):
        draw_wood(hold_id=hold_id, cords=Fraction(9, 8), on=a_day, at=an_instant)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.firm_cords) == (2, 2)
    assert Hold.objects.get(pk=hold_id).state == "standing"


def test_a_hold_that_never_was_is_not_drawn(a_day, an_instant):
    with pytest.raises(NoSuchHold):
        draw_wood(hold_id=12, on=a_day, at=an_instant)


def test_drawing_nothing_is_refused(held, a_day, an_instant):
    with pytest.raises(NothingToHold):
        draw_wood(hold_id=held[1], cords=Fraction(0), on=a_day, at=an_instant)
