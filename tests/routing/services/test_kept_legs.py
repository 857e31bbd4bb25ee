"""Kept drives go with the spots they were kept for."""

import pytest

from routing.core.road_engine import RoadMarks
from routing.core.roads import Point
from routing.engines.straight_line import StraightLineEngine
from routing.engines.valhalla import ValhallaEngine
from routing.models import CachedLeg
from routing.services import kept_legs
from routing.services.kept_legs import forget_legs_of_other_maps, forget_legs_to_nowhere
from tests.factories.inventory import make_yard
from tests.factories.orders import make_order


def keep(start, end, key="a rig"):
    e6 = [round(degrees * 1e6) for degrees in (*start, *end)]
    names = ("from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6")
    return CachedLeg.objects.create(profile_key=key, meters=1, seconds=1, **dict(zip(names, e6, strict=True)))


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


@pytest.mark.django_db
def test_drives_by_older_marks_or_on_another_map_go(monkeypatch, tmp_path):
    """Each road marked "we take it" began a table of its own, and the one before stayed for ever."""
    marks = RoadMarks(taken=(Point(lat=44.7, lon=-122.1),))
    engine = ValhallaEngine(tiles=tmp_path, map_key="aaaa", marks=marks)
    monkeypatch.setattr(kept_legs, "current_engine", lambda: engine)
    ends = (44.7, -122.1), (44.8, -122.2)
    stays = keep(*ends, f"{engine.key}|0-0x0x0-55-0")
    for key in ("valhalla-aaaa|0-0x0x0-55-0", "valhalla-bbbb|0-0x0x0-55-0", "http-roads:8002-1|0-0x0x0-55-0"):
        keep(*ends, key)

    assert forget_legs_of_other_maps() == 3

    assert list(CachedLeg.objects.all()) == [stays]


@pytest.mark.django_db
def test_no_drive_goes_while_the_roads_are_gone(monkeypatch):
    monkeypatch.setattr(kept_legs, "current_engine", StraightLineEngine)
    keep((44.7, -122.1), (44.8, -122.2), "valhalla-aaaa|0-0x0x0-55-0")

    assert forget_legs_of_other_maps() == 0
