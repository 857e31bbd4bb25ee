"""Kept drives go with the spots they were kept for."""

import pytest

from routing.models import CachedLeg
from routing.services.kept_legs import forget_legs_to_nowhere
from tests.factories.inventory import make_yard
from tests.factories.orders import make_order


def keep(start, end):
    e6 = [round(degrees * 1e6) for degrees in (*start, *end)]
    names = ("from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6")
    return CachedLeg.objects.create(
        profile_key="a rig", meters=1, seconds=1, **dict(zip(names, e6, strict=True))
    )


@pytest.mark.django_db
def test_a_drive_to_a_spot_nobody_has_goes_and_one_to_an_order_stays(business):
    """1,500 prices at typed addresses left 30 MB of drives behind that nothing deleted."""
    yard = make_yard(name="Siding Yard")
    place = make_order().place
    home, drop, nowhere = (yard.lat, yard.lon), (place.lat, place.lon), (-44.7, -140.1)
    stays = [keep(home, drop), keep(drop, home)]
    keep(home, nowhere), keep(nowhere, home)

    assert forget_legs_to_nowhere() == 2

    assert list(CachedLeg.objects.order_by("pk")) == stays
