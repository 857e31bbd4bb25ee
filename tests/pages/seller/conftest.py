"""The yard, the lot and the markets that the seller's pages are tried on."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth.models import User

from tests.factories.demo import load_demo
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town
from tests.factories.routing import make_rig
from tests.routing.selectors.earned.earned_roads import drive_by


@pytest.fixture
def siding(db):
    return make_yard(name="Siding Yard")


@pytest.fixture
def knob(siding):
    """Lot K1: 6.05 cords of dry fir in a heap at Siding, 2 1/4 held."""
    lot = make_lot(code="K1", cords="6.05", yard=siding)
    make_reading(lot)
    make_hold(lot, cords=Fraction(9, 4), reference="order 208")
    return lot


@pytest.fixture
def upper(siding):
    """A yard due north of Siding, near enough for a morning's hauling."""
    return make_yard(name="Upper Yard", lat=44.1, lon=-150.0)


@pytest.fixture
def far_market(business, monkeypatch) -> None:
    """A near and a far town with their prices and drives, and the rig that goes."""
    drive_by(monkeypatch, {("siding", "marrow"): ("3.8", 8), ("siding", "sandhook"): ("73.0", 105)})
    make_sheet()
    make_town(hop_miles=Decimal("2.0"))
    make_town("Sandhook", market="far", hop_miles=Decimal("2.5"))
    make_rig(home_yard=make_yard(name="Siding Yard"))


@pytest.fixture
def demo(db):
    load_demo()


@pytest.fixture
def ruth(demo, client):
    """The demo's seller, logged in."""
    client.force_login(User.objects.get(username="ruth"))
    return client


@pytest.fixture
def fir(business):
    make_sheet()
    lot = make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard"))
    make_reading(lot)
    return lot


@pytest.fixture
def asked(fir):
    return make_order(number=202)
