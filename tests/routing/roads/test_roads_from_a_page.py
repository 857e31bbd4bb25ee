"""The seller's own roads, sent or named on Set up: loaded by the worker, told there, refused in words."""

from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from firewood_site.seller.views import set_up
from orders.models import Town
from routing.models import RoadExtract, RoadLoad
from routing.tasks import load_roads_in_background
from tests.routing.roads.conftest import REGION

SEND = "/seller/set-up/roads"


@pytest.fixture
def roads_dir(settings, tmp_path):
    settings.ROADS_DIR = tmp_path / "roads"
    settings.ROAD_ENGINE = "valhalla"
    return settings.ROADS_DIR


@pytest.mark.slow
@pytest.mark.parametrize("is_sent", [True, False])
def test_a_map_is_in_use_after_it_was_sent_or_named(seller_client, roads_dir, is_sent):
    assert "no roads are loaded" in seller_client.get("/seller/set-up").content.decode()
    sent = SimpleUploadedFile("my-county.osm.pbf", REGION.read_bytes())

    answer = seller_client.post(SEND, {"file": sent} if is_sent else {"path": str(REGION)}, follow=True)

    page = answer.content.decode()
    assert "is in use, with" in page
    assert "no roads are loaded" not in page
    part = seller_client.get(f"{SEND}/progress", headers={"HX-Request": "true"}).content.decode()
    assert "my-county is loaded" in part if is_sent else "quarrel_ridge is loaded" in part
    assert RoadExtract.objects.get().name == ("my-county" if is_sent else "quarrel_ridge")
    assert not list((roads_dir / "incoming").glob("*")) if is_sent else REGION.is_file()
    assert "Marrow Bridge" in page  # towns can be picked from it at once


def test_while_it_is_loaded_the_page_says_how_far_it_is_and_estimates_are_sold_by(
    seller_client, roads_dir, monkeypatch
):
    asked: list[int] = []
    monkeypatch.setattr(set_up, "load_roads_in_background", SimpleNamespace(enqueue=asked.append))
    seller_client.post(SEND, {"path": str(REGION)})
    row = RoadLoad.objects.get(pk=asked[0])

    part = seller_client.get(f"{SEND}/progress", headers={"HX-Request": "true"}).content.decode()
    assert "waiting to start" in part
    assert "hx-get" in part
    assert "no roads are loaded" in part  # said in the part that is read again, so that it goes once they are

    RoadLoad.objects.update(state="running", message="Building tiles", heard_at=timezone.now())
    page = seller_client.get("/seller/set-up").content.decode()
    assert "Building tiles" in page
    assert "prices then say" in page
    assert 'http-equiv="refresh"' in page

    RoadLoad.objects.update(heard_at=timezone.now() - timedelta(hours=2))
    assert "load them again" in seller_client.get("/seller/set-up").content.decode()
    assert load_roads_in_background.func(row.pk) == "not waiting"  # one that is taken is left alone


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Choose the file, or type where it lies."),
        ({"path": "/no/such/county.osm.pbf"}, "no such file on the machine"),
        ({"path": "/etc/passwd"}, "does not end in .osm.pbf"),
        ({"path": "\0"}, "invisible control character"),
        ({"file": ("photo.jpg", b"x")}, "does not end in .osm.pbf"),
        ({"file": ("../../county.osm.pbf", b"no map at all")}, "it is no OpenStreetMap extract"),
        ({"file": ("county.osm.pbf", b"")}, "empty"),
    ],
)
def test_what_is_no_map_is_refused_in_a_sentence_and_the_roads_stay(seller_client, roads_dir, sent, said):
    filled = {
        name: SimpleUploadedFile(*value) if isinstance(value, tuple) else value
        for name, value in sent.items()
    }

    page = seller_client.post(SEND, filled, follow=True).content.decode()

    assert said in page
    assert not RoadExtract.objects.exists()
    assert not list(Path(roads_dir).glob("incoming/*"))


def test_only_a_seller_sends_more_than_a_photo(seller_client, driver_client, client, settings):
    settings.MOST_BODY_BYTES, settings.MOST_MAP_BYTES = 1000, 5000

    def answers(browser, path, size):
        return browser.post(path, {"path": "x" * size}).status_code

    assert answers(seller_client, SEND, 2000) == 422
    assert answers(seller_client, SEND, 6000) == 413
    assert answers(seller_client, "/seller/set-up/town", 2000) == 422
    assert answers(seller_client, "/seller/set-up/settings", 2000) == 413
    assert answers(driver_client, SEND, 2000) == 413
    assert answers(client, SEND, 2000) == 413


def test_a_town_the_map_does_not_name_is_asked_for_again_not_taken_for_one_like_it(seller_client, roads_dir):
    seller_client.post(SEND, {"path": str(REGION)})

    answer = seller_client.post("/seller/set-up/town", {"name": "Larch", "market": "near"})

    assert answer.status_code == 422
    assert "The loaded roads know no such place" in answer.content.decode()
    assert not Town.objects.exists()
