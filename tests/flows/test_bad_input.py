"""Bad input gets a clear sentence and changes nothing, through the pages and the commands of the demo."""

import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.http import HttpResponse
from django.test import Client

from firewood_site import throttle
from inventory.models import Yard
from orders.models import Order
from routing.models import Rig
from routing.selectors.roads.current import roads_now
from tests.factories.demo import load_demo

pytestmark = [pytest.mark.django_db, pytest.mark.roads]

THE_DAY = "2026-09-25"
KEPT_BY_THE_WAY = {"CachedLeg", "PlanJob"}  # road times asked before, and wishes to plan


@pytest.fixture
def demo(settings, monkeypatch):
    settings.ROAD_ENGINE = "valhalla"
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)
    load_demo()


@pytest.fixture
def ruth(demo) -> Client:
    client = Client()
    client.force_login(User.objects.get(username="ruth"))
    return client


def books() -> dict[str, list[dict[str, Any]]]:
    """Every row of the three apps, to tell whether anything was changed."""
    return {
        model.__name__: list(model._default_manager.order_by("pk").values())
        for app in ("inventory", "orders", "routing")
        for model in apps.get_app_config(app).get_models()
        if model.__name__ not in KEPT_BY_THE_WAY
    }


def said(answer: HttpResponse) -> str:
    """What stands on the page, without the marks."""
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def an_asked_price(**changes: str) -> dict[str, str]:
    return {
        "choice": "fir:seasoned", "amount": "1/2", "how": "delivered", "laid": "drop",
        "where": "8 Orchard Road", "town": "", **changes,
    }  # fmt: skip


def a_rig(**changes: str) -> dict[str, str]:
    return {
        "name": "Borrowed trailer", "home_yard_id": str(Yard.objects.get(name="Upper Yard").pk),
        "hitch_minutes": "15", "bed_ft3": "0", "truck_lb": "6600", "truck_gross_lb": "8600",
        "bed_payload_lb": "1650", "has_trailer": "on",
        "trailer_empty_lb": "1900", "trailer_gross_lb": "7000", "box_length_ft": "12", "box_width_ft": "6",
        "box_side_ft": "2", "box_heap_ft": "1", "heap_number": "180", "length_ft": "37", "height_ft": "7.5",
        "top_speed_mph": "55", **changes,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("truncated.osm.pbf", b"\x00\x00\x00\x0d\x0a\x09OSMHeader", "it is no OpenStreetMap extract"),
        ("letter.osm.pbf", b"Dear Ruth, here are the roads.", "it is no OpenStreetMap extract"),
        ("empty.osm.pbf", b"", "it is no OpenStreetMap extract"),
        ("roads.shp", b"", "the name does not end in .pbf"),
    ],
)
def test_an_unreadable_extract_leaves_the_roads_in_use(demo, tmp_path: Path, name, content, why):
    (tmp_path / name).write_bytes(content)
    before, roads = books(), roads_now()

    with pytest.raises(CommandError) as refused:
        call_command("load_roads", str(tmp_path / name))

    assert str(refused.value).startswith(f"{name} cannot be loaded: {why}")
    assert str(refused.value).endswith("Nothing was changed.")
    assert books() == before
    assert roads_now() == roads


def test_an_address_off_the_map_gets_a_kind_no(demo):
    before = books()

    answer = Client().post("/price", an_asked_price(where="", lat="52.52", lon="13.40"))

    assert answer.status_code == 422
    assert "That is farther than we drive, sorry. You are welcome to pick wood up at Siding Yard." in said(
        answer
    )
    assert books() == before


def test_an_address_that_nobody_knows_asks_for_its_town(demo):
    before = books()

    answer = Client().post("/price", an_asked_price(where="99 Nowhere Boulevard, Atlantis"))

    assert answer.status_code == 422
    assert "We could not find that place. Choose the town, or put a pin on the map." in said(answer)
    assert books() == before


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"trailer_empty_lb": "7000"}, "The rig Borrowed trailer may carry no weight at all."),
        ({"has_trailer": "", "bed_payload_lb": "0"}, "The rig Borrowed trailer may carry no weight at all."),
        ({"trailer_gross_lb": ""}, "This field is required."),
        ({"bed_payload_lb": "plenty"}, "Pickup's bed may carry (lb): Enter a number."),
    ],
)
def test_a_rig_without_payload_is_not_kept(ruth, changes, words):
    before = books()

    answer = ruth.post("/seller/set-up/rigs/new", a_rig(**changes))

    assert answer.status_code == 422
    assert words in said(answer)
    assert books() == before


def test_the_same_rig_with_a_payload_is_kept(ruth):
    answer = ruth.post("/seller/set-up/rigs/new", a_rig())

    assert answer.status_code == 302
    assert Rig.objects.get(name="Borrowed trailer").payload_lb == 5100


def test_a_plan_for_a_shut_yard_brings_nothing_and_says_why(ruth):
    siding = Yard.objects.get(name="Siding Yard")
    shut = ruth.post(
        "/seller/set-up/closures",
        {"kind": "yard", "where": f"yard:{siding.pk}", "from_on": THE_DAY, "to_on": THE_DAY, "reason": "Mud"},
    )
    assert shut.status_code == 302
    before = books()

    answer = ruth.post(
        f"/seller/days/{THE_DAY}/plan",
        {
            "orders": ["208"], "rigs": [str(Rig.objects.get(name="Big trailer").pk)], "starts_at": "07:00",
            "ends_at": "18:00", "seconds": "2",
        },
    )  # fmt: skip

    assert answer.status_code == 302
    told, after = said(ruth.get(answer["Location"])), books()
    assert "Siding Yard is shut: Mud" in told
    assert "208 Wilma Keats Every yard with Knob fir (K1) is closed on Fri, Sep 25." in told
    changed = {name for name, rows in after.items() if rows != before[name]}
    assert changed == {"Day", "AuditEntry"}  # the day keeps why it was left out; no run, hold or order moved


@pytest.mark.parametrize("amount", ["a truckload", "-1", "0", "1e9", "½½"])
def test_a_quantity_of_a_truckload_gets_no_price(demo, amount):
    before = books()

    answer = Client().post("/price", an_asked_price(town="1", amount=amount))

    assert answer.status_code == 422
    assert "Choose an amount." in said(answer)
    assert books() == before


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ("a truckload", "K1: 'a truckload' is not an amount of wood: a truckload has no fixed size."),
        ("half a rick", "is not an amount of wood"),
        ("-1", "is not an amount of wood"),
    ],
)
def test_a_truckload_holds_no_wood(ruth, amount, words):
    before = books()

    answer = ruth.post("/seller/orders/212/confirm", {"lot-K1": amount})

    assert answer.status_code == 422
    assert words in said(answer)
    assert Order.objects.get(number=212).state == "asked"
    assert books() == before
