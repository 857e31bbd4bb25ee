"""The ground everything stands on: amounts of wood survive the database, ledgers refuse edits."""

from datetime import date
from fractions import Fraction

import pytest
from django.db import IntegrityError, transaction

from inventory.fields import cords_value, to_units
from inventory.models import Lot, Movement
from inventory.models.append_only import WrittenOnce
from tests.factories.inventory import make_lot

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("cords", ["1/3", "2/3", "1/4", "1/12", "6.05", "3/512", "1"])
def test_an_amount_of_wood_comes_back_exactly(cords):
    """3/512 cord is a 0.75 ft3 kindling bundle."""
    lot = make_lot(cords=Fraction(cords))

    assert Lot.objects.get(pk=lot.pk).on_hand_cords == Fraction(cords)


def test_three_thirds_make_one_cord_inside_the_database():
    lot = make_lot(cords=1)
    third = Fraction(1, 3)

    for _ in range(3):
        Lot.objects.filter(pk=lot.pk).update(firm_cords=_plus(third))

    assert Lot.objects.get(pk=lot.pk).firm_cords == 1


def _plus(cords):
    from django.db.models import F

    return F("firm_cords") + cords_value(cords)


def test_the_database_refuses_to_promise_more_than_is_there():
    lot = make_lot(cords=1)

    with pytest.raises(IntegrityError), transaction.atomic():
        Lot.objects.filter(pk=lot.pk).update(firm_cords=Fraction(13, 12))


def test_a_movement_is_never_changed_or_deleted():
    lot = make_lot()
    movement = Movement.objects.get(lot=lot)
    movement.on = date(2026, 1, 1)

    with pytest.raises(WrittenOnce):
        movement.save()
    with pytest.raises(WrittenOnce):
        movement.delete()
    with pytest.raises(WrittenOnce):
        Movement.objects.filter(lot=lot).delete()


def test_units_are_one_six_hundredth_of_a_cubic_foot():
    assert to_units(Fraction(1, 128)) == 600
