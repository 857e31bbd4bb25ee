"""Roads the seller takes or avoids count in every drive, and posted limits stand all the same."""

import pytest
from django.urls import reverse

from inventory.models import AuditEntry, Yard
from orders.models import Town
from routing.core.road_engine import RigProfile, RoadMarks, rig_profile
from routing.engines import current_engine
from routing.engines.valhalla import ValhallaEngine
from routing.models import RoadExtract, RoadMark
from routing.selectors.roads.current import search_streets
from routing.selectors.roads.legs import drives_between, ways_between
from routing.services.road_marks import NoSuchRoad, mark_road
from tests.routing.roads.conftest import HEAVY_LOADED, LIGHT_LOADED, PLACES

pytestmark = pytest.mark.roads

UPPER, CREEK, MARROW = PLACES["Upper"], PLACES["Creek"], PLACES["Marrow"]
BY_ENGINE = rig_profile(weight_lb=9084, length_ft=33, height_ft=7.5, is_loaded=True)


def miles(profile: RigProfile = LIGHT_LOADED) -> float:
    leg = drives_between([UPPER], [MARROW], profile).leg(0, 0)
    assert leg is not None
    return round(leg.miles, 1)


@pytest.mark.django_db
def test_an_avoided_road_is_gone_round(roads_loaded: RoadExtract, an_instant) -> None:
    assert miles() == 9.3

    mark_road(road="Ridge Road", kind="avoid", at=an_instant, who="ruth")

    assert miles() == 14.9
    [way] = ways_between([(UPPER, MARROW, LIGHT_LOADED)])
    assert round(way.legs[0].miles, 1) == 14.9


@pytest.mark.django_db
def test_an_avoided_road_is_driven_where_no_other_leads(roads_loaded: RoadExtract, an_instant) -> None:
    road = mark_road(road="Fennick Road", kind="avoid", at=an_instant, who="ruth")
    leg = drives_between([PLACES["Siding"]], [PLACES["Fennick"]], LIGHT_LOADED).leg(0, 0)

    assert "Fennick Road" in road
    assert leg is not None
    assert leg.miles == pytest.approx(14.0, rel=0.02)


def test_a_taken_road_is_tried_though_the_engine_would_not(engine: ValhallaEngine, region_folder) -> None:
    """By way of Creek Yard: cheaper, and drawn as it is measured."""
    tiles = region_folder / "region" / "tiles.tar"
    marked = ValhallaEngine(tiles=tiles, map_key="region", marks=RoadMarks(taken=(CREEK,)))

    leg = marked.matrix([UPPER], [MARROW], LIGHT_LOADED).leg(0, 0)
    way = marked.route([UPPER, MARROW], LIGHT_LOADED)

    assert leg is not None
    assert leg.miles == pytest.approx(9.4, abs=0.15)
    assert way.meters == pytest.approx(leg.meters, abs=5)
    assert marked.key != engine.key


def test_a_taken_road_is_left_where_another_is_cheaper(region_folder) -> None:
    tiles = region_folder / "region" / "tiles.tar"
    marked = ValhallaEngine(tiles=tiles, map_key="region", marks=RoadMarks(taken=(PLACES["Fennick"],)))
    plain = ValhallaEngine(tiles=tiles, map_key="region")

    assert marked.matrix([UPPER], [MARROW], LIGHT_LOADED) == plain.matrix([UPPER], [MARROW], LIGHT_LOADED)


@pytest.mark.django_db
def test_a_posted_limit_stands_on_a_road_we_take(roads_loaded: RoadExtract, an_instant) -> None:
    before = miles(HEAVY_LOADED)

    mark_road(road="Old Mill Road", kind="take", at=an_instant, who="ruth")

    leg = drives_between([CREEK], [MARROW], HEAVY_LOADED).leg(0, 0)
    assert leg is not None
    assert leg.miles > 8
    assert miles(HEAVY_LOADED) <= before


@pytest.mark.django_db
def test_a_road_the_map_does_not_know_is_refused(roads_loaded: RoadExtract, an_instant) -> None:
    with pytest.raises(NoSuchRoad, match="no road called Xyzzyx"):
        mark_road(road="Xyzzyx", kind="avoid", at=an_instant, who="ruth")

    assert not RoadMark.objects.exists()


@pytest.mark.django_db
def test_the_seller_marks_a_road_and_forgets_it_again(roads_loaded: RoadExtract, seller_client) -> None:
    before = current_engine().key
    seller_client.post(reverse("road-mark"), {"name": "Ridge Road", "kind": "avoid"})
    mark = RoadMark.objects.get()

    assert "we avoid it" in seller_client.get(reverse("shuts")).text
    assert current_engine().key != before
    seller_client.post(reverse("road-unmark", args=[mark.pk]))

    assert not RoadMark.objects.exists()
    assert current_engine().key == before
    assert AuditEntry.objects.filter(verb="unmarked").exists()


def test_a_yard_and_a_town_are_placed_by_their_names(roads_loaded: RoadExtract, seller_client) -> None:
    yard = {
        "name": "Siding", "where": "Siding Road, Marrow Bridge", "opens_at": "06:00", "closes_at": "19:00",
        "load_fixed_minutes": "10", "load_minutes_per_cord": "36", "rent_month": "0",
    }  # fmt: skip
    answer = seller_client.post("/seller/set-up/yards/new", yard, follow=True)
    assert "It lies at Siding Road" in answer.content.decode()
    placed = Yard.objects.get()
    hit = search_streets("Siding Road, Marrow Bridge", limit=1)[0]
    assert (placed.lat, placed.lon) == (hit.lat, hit.lon)

    told = seller_client.post(
        "/seller/set-up/yards/new", {**yard, "name": "Other", "where": "Nowhere Xyzzy Lane"}
    )
    assert told.status_code == 422
    assert "The loaded roads know no such place" in told.content.decode()

    assert "Larch Prairie" in seller_client.get("/seller/set-up").content.decode()
    seller_client.post("/seller/set-up/town", {"name": "larch prairie", "market": "near"})
    assert Town.objects.get().name == "Larch Prairie"
