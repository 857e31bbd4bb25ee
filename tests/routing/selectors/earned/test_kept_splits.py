"""The split of a drive is reckoned once, and anew as soon as anything it hangs on is another."""

from decimal import Decimal
from fractions import Fraction

import pytest

from orders.models import Order
from routing.models import Load, Stop
from routing.selectors.earned import kept_splits
from routing.selectors.earned.margins import load_earned
from tests.factories.orders import make_order
from tests.routing.selectors.earned.earned_loads import a_load
from tests.routing.selectors.earned.earned_roads import EXAMPLE_6, drive_by

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _roads(monkeypatch):
    drive_by(monkeypatch, EXAMPLE_6)


@pytest.fixture
def reckoned(monkeypatch):
    """The loads whose roads were looked up, one after the other."""
    asked = []
    told = kept_splits.legs_of_load

    def counted(run, load, **more):
        asked.append(load.pk)
        return told(run, load, **more)

    monkeypatch.setattr(kept_splits, "legs_of_load", counted)
    return asked


def test_a_split_is_reckoned_once(business, reckoned):
    load = a_load()

    first, again = load_earned(load.pk), load_earned(load.pk)

    assert reckoned == [load.pk]
    assert again == first


def change_weight(load: Load) -> None:
    Load.objects.filter(pk=load.pk).update(weight_lb=4000)


def change_yard_time(load: Load) -> None:
    load.yard.load_fixed_minutes += 5
    load.yard.save()


def change_rates(load: Load) -> None:
    load.run.rig.running_costs.update(loaded_mile=Decimal("0.90"))


def change_rig_height(load: Load) -> None:
    load.run.rig.height_ft += 1
    load.run.rig.save()


def change_place(load: Load) -> None:
    near, far = (Order.objects.get(number=number).place for number in (202, 203))
    near.lat, near.lon = far.lat, far.lon
    near.save()


def change_leg(load: Load) -> None:
    Stop.objects.filter(load=load, sequence=1).update(leg_meters=6500, leg_seconds=500)


@pytest.mark.parametrize(
    "change",
    [change_weight, change_yard_time, change_rates, change_rig_height, change_place, change_leg],
)
def test_a_split_is_reckoned_anew_when_what_it_hangs_on_changed(business, reckoned, change):
    load = a_load()
    load_earned(load.pk)

    change(load)
    load_earned(load.pk)

    assert reckoned == [load.pk, load.pk]


def test_what_was_paid_does_not_ask_for_the_roads_again(business, reckoned):
    load = a_load()
    load_earned(load.pk)
    Order.objects.filter(number=202).update(total_dollars=Decimal(300))

    assert load_earned(load.pk).planned.whole.price == Decimal("542.00")
    assert reckoned == [load.pk]


def test_a_load_that_cannot_be_reckoned_does_not_take_the_others_with_it(business, reckoned):
    first = a_load()
    nowhere = make_order(number=290, place=None)
    second = Load.objects.create(run=first.run, sequence=2, yard=first.yard, cords=1, weight_lb=3000)
    Stop.objects.create(load=second, sequence=1, order=nowhere, cords=Fraction(1, 3))

    for _ in range(2):
        assert load_earned(first.pk).planned is not None
        assert "no spot on the map" in load_earned(second.pk).problem

    assert reckoned.count(first.pk) == 1
