"""Cautions stand where the work is done, with their place and hour, and nowhere else."""

from datetime import time
from decimal import Decimal

import pytest
from django.urls import reverse

from orders.models import Town
from routing.models import Shut
from routing.services import days
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday
from tests.factories.inventory import an_instant, make_yard
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db
SAW_CAUTION = "keep shovel and extinguisher"


def closed(kind, **more):
    values = {"from_on": FRIDAY, "to_on": FRIDAY, "reason": "posted this morning", **more}
    return Shut.objects.create(kind=kind, **values)


@pytest.mark.parametrize("page", ["today", "log"])
def test_saw_hours_are_told_where_the_saw_is_taken_up(seller_client, business, page):
    closed("saw", what="Saws", from_time=time(13), to_time=time(20))

    text = seller_client.get(reverse(page)).text

    assert "Saws, 1:00 pm to 8:00 pm: posted this morning" in text
    assert SAW_CAUTION in text


def test_today_keeps_quiet_on_a_day_without_closures(seller_client, business):
    text = seller_client.get(reverse("today")).text

    assert SAW_CAUTION not in text
    assert "chain up" not in text


def test_a_burn_rule_is_told_in_the_woods_and_not_on_the_road(seller_client, business, monkeypatch):
    planned(monkeypatch)
    closed("burn", what="Knob piles", reason="Burn only with that day's permission")

    assert "Knob piles: Burn only with that day" in seller_client.get(reverse("log")).text
    assert "Knob piles" in seller_client.get(reverse("today")).text


def planned(monkeypatch, **rig):
    drive_by_the_job(monkeypatch)
    friday = make_friday()
    for name, value in rig.items():
        setattr(friday.big, name, value)
    friday.big.save()
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant(), who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    return friday


def test_chains_are_told_to_the_load_that_goes_there_alone(seller_client, business, monkeypatch):
    planned(monkeypatch)
    larch = Town.objects.get(name="Larch Prairie")
    answer = seller_client.post(
        reverse("shuts"),
        {"kind": "chain", "where": f"town:{larch.pk}", "from_on": FRIDAY.isoformat(),
         "to_on": FRIDAY.isoformat(), "from_time": "05:00", "to_time": "11:00",
         "reason": "Tollgate Pass: Snow"},
    )  # fmt: skip
    assert answer.status_code == 302

    sheet = seller_client.get(reverse("load-sheet", args=[FRIDAY.isoformat()])).text

    first, second = sheet.split("<h3>Load 2:")
    assert "Chains posted: Tollgate Pass, 5:00 am to 11:00 am" not in first
    assert "Chains posted: Tollgate Pass, 5:00 am to 11:00 am. Towing must chain up" in second


def test_the_sheet_counts_the_straps_and_finds_a_light_tongue(seller_client, business, monkeypatch):
    planned(monkeypatch, hitch_to_axle_ft=Decimal(8), hitch_to_box_ft=Decimal("3.5"), straps=2, strap_lb=1100)

    sheet = seller_client.get(reverse("load-sheet", args=[FRIDAY.isoformat()])).text

    assert "Tongue too light" in sheet
    assert "Too few straps: 2 ride along, 12 ft of load needs 3" in sheet


def test_an_old_rig_asks_for_its_ratings_until_they_are_written_down(seller_client, business):
    rig = make_rig(name="Big trailer", home_yard=make_yard())

    assert "Big trailer: write down" in seller_client.get(reverse("today")).text
    page = seller_client.get(reverse("rig", args=[rig.pk])).text
    assert "Not entered yet" in page
    assert "the rating of its tires" in page

    type(rig).objects.update(
        hitch_tongue_lb=1200, hitch_tow_lb=9000, combined_rating_lb=16000, trailer_axle_lb=7000,
        trailer_tires_lb=7280, hitch_to_axle_ft=11, hitch_to_box_ft=3.5, straps=4,
    )  # fmt: skip
    assert "write down" not in seller_client.get(reverse("today")).text
