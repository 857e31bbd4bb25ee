"""Tiles, street search and "where am I?" as pages ask for them."""

import pytest
from django.test import Client

from routing.models import RoadExtract

pytestmark = [pytest.mark.roads, pytest.mark.django_db]


def test_a_tile_is_an_image_everybody_may_keep(client: Client, roads_loaded: RoadExtract) -> None:
    answer = client.get("/roads/tiles/12/340/1489.svg")

    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/svg+xml"
    assert answer["Cache-Control"] == "public, max-age=86400"
    assert answer.content.startswith(b"<svg")
    assert "sessionid" not in answer.cookies


def test_without_roads_there_are_no_tiles(client: Client) -> None:
    assert client.get("/roads/tiles/12/340/1489.svg").status_code == 404


def test_a_tile_too_deep_is_not_there(client: Client, roads_loaded: RoadExtract) -> None:
    assert client.get("/roads/tiles/25/1/1.svg").status_code == 404


def test_streets_are_found_as_json(client: Client, roads_loaded: RoadExtract) -> None:
    told = client.get("/roads/streets", {"q": "12 mill st"}).json()

    assert told["hits"][0]["label"] == "12 Mill Street, Marrow Bridge"
    assert told["hits"][0]["exact"] is True
    assert set(told["hits"][0]) == {"label", "city", "lat", "lon", "exact", "kind", "note"}


def test_streets_are_found_as_a_part_for_htmx(client: Client, roads_loaded: RoadExtract) -> None:
    found = client.get("/roads/streets", {"q": "12 mill st"}, headers={"HX-Request": "true"})
    nothing = client.get("/roads/streets", {"q": "qqqxyz"}, headers={"HX-Request": "true"})

    assert '<input type="radio" name="spot" value="44.0' in found.content.decode()
    assert "No street like that" in nothing.content.decode()


@pytest.mark.parametrize("query", ["", "x" * 5000, "%00", "'; drop", "\x00\x01"])
def test_nonsense_finds_nothing(client: Client, roads_loaded: RoadExtract, query: str) -> None:
    answer = client.get("/roads/streets", {"q": query, "lat": "north", "lon": "1e999"})

    assert answer.status_code == 200
    assert answer.json() == {"hits": []}


def test_without_roads_the_search_is_empty(client: Client) -> None:
    assert client.get("/roads/streets", {"q": "mill"}).json() == {"hits": []}


def test_a_spot_is_told_its_address(client: Client, roads_loaded: RoadExtract) -> None:
    house = client.get("/roads/streets", {"q": "14 dune street"}).json()["hits"][0]

    told = client.get("/roads/near", {"lat": house["lat"], "lon": house["lon"]}).json()

    assert told["hit"]["label"] == "14 Dune Street, Sandhook"
    assert told["on_map"] is True


def test_a_spot_in_the_sea_is_off_the_map(client: Client, roads_loaded: RoadExtract) -> None:
    told = client.get("/roads/near", {"lat": "43.0", "lon": "-140.0"}).json()

    assert told == {"hit": None, "on_map": False}


@pytest.mark.parametrize(
    ("lat", "lon", "says"),
    [("91", "0", "no place on earth"), ("here", "there", "degrees"), ("44", "", "degrees")],
)
def test_no_spot_is_refused_with_a_sentence(
    client: Client, roads_loaded: RoadExtract, lat: str, lon: str, says: str
) -> None:
    answer = client.get("/roads/near", {"lat": lat, "lon": lon})

    assert answer.status_code == 400
    assert says in answer.json()["error"]


def test_a_map_that_opens_asks_for_its_edges(client: Client, roads_loaded: RoadExtract) -> None:
    told = client.get("/roads/near").json()

    assert told["bounds"] == [[43.37, -151.26], [44.12, -149.81]]
    assert told["credit"].startswith("Invented map")


def test_posting_is_not_asking(client: Client) -> None:
    for path in ("/roads/streets", "/roads/near", "/roads/tiles/12/340/1489.svg"):
        assert client.post(path).status_code == 405
