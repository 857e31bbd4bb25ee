"""Rigs and shut days."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Restack
from routing.models import Rig, RunningCost, Shut
from tests.factories.inventory import make_yard
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


def rig_form(yard, **changes):
    form = {
        "name": "Big trailer", "home_yard_id": yard.pk, "has_trailer": "on", "truck_lb": 6600,
        "truck_gross_lb": 8600, "bed_payload_lb": 1650, "trailer_empty_lb": 1900, "trailer_gross_lb": 7000,
        "box_length_ft": 12, "box_width_ft": 6, "box_side_ft": 2, "box_heap_ft": 1, "heap_number": 180,
        "length_ft": 38, "height_ft": "7.5", "top_speed_mph": 55,
    }  # fmt: skip
    return {**form, **changes}


def test_a_new_rig_gets_its_payload_and_room_worked_out(seller_client):
    yard = make_yard()

    seller_client.post(reverse("rig-new"), rig_form(yard))

    rig = Rig.objects.get()
    assert rig.payload_lb == 5100  # worked example 2: 7,000 less 1,900
    assert rig.capacity_ft3 == 180  # worked example 1: 12 x 6, sides 2, heap 1


def test_figures_that_contradict_each_other_are_refused(seller_client):
    answer = seller_client.post(reverse("rig-new"), rig_form(make_yard(), trailer_gross_lb=1500))

    assert answer.status_code == 422
    assert "Mend its figures" in answer.content.decode() or "may carry no weight" in answer.content.decode()
    assert Rig.objects.count() == 0


def test_two_rigs_cannot_share_a_name(seller_client):
    rig = make_rig(name="Big trailer")

    answer = seller_client.post(reverse("rig-new"), rig_form(rig.home_yard))

    assert answer.status_code == 422
    assert "another name" in answer.content.decode()


def test_the_rig_page_warns_of_the_combination_and_tells_the_bridge_room(seller_client):
    from routing.models import RoadLimit

    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=12_000)
    rig = make_rig(name="Big trailer")

    page = seller_client.get(reverse("rig", args=[rig.pk])).content.decode()

    assert "15,600 lb" in page
    assert "3,500 lb of wood" in page


def test_a_learned_heap_number_is_used_when_the_seller_says_so(seller_client):
    rig = make_rig(name="Big trailer")
    Restack.objects.create(
        on=date(2026, 1, 24), rig_name="Big trailer", form="splits", loose_ft3=Decimal(180),
        stacked_ft3=Decimal("117.33"),
    )  # fmt: skip
    assert "196.4" in seller_client.get(reverse("rig", args=[rig.pk])).content.decode()

    seller_client.post(reverse("rig-heap", args=[rig.pk]))

    rig.refresh_from_db()
    assert 180 < rig.heap_number < Decimal("196.4")  # one stack is believed only partly


def test_a_new_cost_holds_from_its_day(seller_client):
    rig = make_rig()
    form = {
        "from_on": "2026-10-01",
        "loaded_mile": ".80",
        "empty_mile": ".70",
        "fixed_run": 0,
        "wage_hour": 25,
    }

    seller_client.post(reverse("rig-cost", args=[rig.pk]), form)

    newest = RunningCost.objects.filter(rig=rig).first()
    assert (newest.from_on, newest.loaded_mile) == (date(2026, 10, 1), Decimal(".800"))
    bad = seller_client.post(reverse("rig-cost", args=[rig.pk]), {**form, "loaded_mile": "-1"})
    assert bad.status_code == 422


def test_a_rig_goes_out_and_comes_back(seller_client):
    rig = make_rig()

    seller_client.post(reverse("rig-out", args=[rig.pk]), {"reason": "Blown tire"})
    rig.refresh_from_db()
    assert (rig.works, rig.out_reason) == (False, "Blown tire")
    seller_client.post(reverse("rig-out", args=[rig.pk]))
    rig.refresh_from_db()
    assert rig.works


def test_a_yard_is_shut_and_opened_again(seller_client):
    yard = make_yard(name="Upper Yard")
    form = {
        "kind": "yard",
        "yard_id": yard.pk,
        "from_on": "2026-09-18",
        "to_on": "2026-09-20",
        "reason": "Mud",
    }

    seller_client.post(reverse("shuts"), form)
    shut = Shut.objects.get()
    assert "Upper Yard" in seller_client.get(reverse("shuts")).content.decode()
    seller_client.post(reverse("shut-open", args=[shut.pk]))

    assert not Shut.objects.exists()  # it began today, so it is forgotten


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"to_on": "2026-09-01"}, "swap the days"),
        ({"yard_id": ""}, "choose the yard"),
        ({"reason": ""}, "This field is required"),
    ],
)
def test_a_closure_that_makes_no_sense_is_refused(seller_client, changes, words):
    yard = make_yard()
    form = {
        "kind": "yard",
        "yard_id": yard.pk,
        "from_on": "2026-09-18",
        "to_on": "2026-09-20",
        "reason": "Mud",
    }

    answer = seller_client.post(reverse("shuts"), {**form, **changes})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Shut.objects.count() == 0
