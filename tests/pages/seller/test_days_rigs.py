"""Rigs and shut days."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from routing.models import Driver, Rig, RunningCost, Shut
from tests.factories.inventory import make_yard
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


def rig_form(yard, **changes):
    form = {
        "name": "Big trailer", "home_yard_id": yard.pk, "truck": "Pickup", "hitch_minutes": 20, "bed_ft3": 45,
        "has_trailer": "on", "truck_lb": 6600,
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
    assert (rig.pickup.name, rig.pickup.hitch_minutes, rig.bed_ft3) == ("Pickup", 20, 45)


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
    assert page.count("10,001") == 1  # said once: two notes once said the same
    assert "3,500 lb of wood" in page


def test_plans_use_the_heap_number_a_restack_taught(seller_client):
    """The rig page once said 191 and planned with 180."""
    rig = make_rig(name="Big trailer")

    seller_client.post(
        reverse("restack"),
        {
            "rig": "Big trailer", "form": "splits", "loose_ft3": "180", "length": "22", "height": "4",
            "depth": "16 in", "on": "2026-09-18",
        },
    )  # fmt: skip

    rig.refresh_from_db()
    assert rig.heap_number == 195  # one stack of 196.4 weighed against the usual 190
    page = seller_client.get(reverse("rig", args=[rig.pk])).content.decode()
    assert "196.4" in page
    assert "Plans use <b>195</b>" in page


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
        "where": f"yard:{yard.pk}",
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
        ({"where": ""}, "choose the yard"),
        ({"where": "yard:99"}, "Select a valid choice"),
        ({"reason": ""}, "This field is required"),
    ],
)
def test_a_closure_that_makes_no_sense_is_refused(seller_client, changes, words):
    yard = make_yard()
    form = {
        "kind": "yard",
        "where": f"yard:{yard.pk}",
        "from_on": "2026-09-18",
        "to_on": "2026-09-20",
        "reason": "Mud",
    }

    answer = seller_client.post(reverse("shuts"), {**form, **changes})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Shut.objects.count() == 0


def test_a_rig_saved_with_a_weak_hitch_carries_less_and_says_why(seller_client):
    rig = make_rig(name="Big trailer")
    page = seller_client.get(reverse("rig", args=[rig.pk]))
    form = {
        name: value
        for name, value in page.context["form"].initial.items()
        if value is not None and value is not False
    }

    answer = seller_client.post(reverse("rig", args=[rig.pk]), {**form, "hitch_tongue_lb": "600"})
    assert answer.status_code == 302, answer.context["form"].errors

    rig.refresh_from_db()
    assert rig.payload_lb == 600 / 0.15 - 1900
    text = seller_client.get(reverse("rig", args=[rig.pk])).content.decode()
    assert "2,100 lb" in text
    assert "the hitch&#x27;s tongue rating" in text


def test_a_bed_the_empty_trailers_tongue_uses_up_is_refused_in_a_sentence(seller_client):
    rig = make_rig(name="Big trailer")
    page = seller_client.get(reverse("rig", args=[rig.pk]))
    form = {
        name: value
        for name, value in page.context["form"].initial.items()
        if value is not None and value is not False
    }

    answer = seller_client.post(reverse("rig", args=[rig.pk]), {**form, "bed_payload_lb": "500"})

    assert answer.status_code == 422
    assert "may carry no wood" in answer.content.decode()


def as_typed(form) -> dict[str, object]:
    """What the page's form would send if nothing were changed."""
    return {name: value for name, value in form.initial.items() if value is not None and value is not False}


def driver_form(**changes):
    form = {
        "name": "Tam", "wage_hour": "31.50", "starts_at": "07:00", "ends_at": "17:00", "longest_hours": "9",
        "break_minutes": 30, "break_from": "11:30", "break_to": "13:00", "most_cords": "2.5", "works": "on",
    }  # fmt: skip
    return {**form, **changes}


def test_a_driver_is_named_with_wage_hours_break_and_what_they_can_handle(seller_client):
    answer = seller_client.post(reverse("driver-new"), driver_form(), follow=True).content.decode()

    tam = Driver.objects.get()
    assert (tam.wage_hour, tam.longest_minutes, tam.break_minutes) == (Decimal("31.50"), 540, 30)
    assert tam.most_cords == Decimal("2.5")
    assert "$31.50" in answer
    assert "30 min, between" in answer
    seller_client.post(reverse("driver-one", args=[tam.pk]), driver_form(wage_hour="", works=""))
    tam.refresh_from_db()
    assert (tam.wage_hour, tam.works) == (None, False)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"ends_at": "06:00"}, "Home by must be later"),
        ({"break_to": "11:00"}, "latest start must not be before"),
        ({"name": "Jo"}, "There is a Jo already"),
        ({"most_cords": "many"}, "Enter a number"),
    ],
)
def test_a_driver_that_cannot_be_is_refused_with_a_sentence(seller_client, typed, said):
    Driver.objects.create(name="Jo")

    answer = seller_client.post(reverse("driver-new"), driver_form(**typed))

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert Driver.objects.count() == 1


def test_a_rig_names_who_usually_takes_it_out(seller_client):
    yard, tam, jo = make_yard(), Driver.objects.create(name="Tam"), Driver.objects.create(name="Jo")

    twice = seller_client.post(reverse("rig-new"), rig_form(yard, crew=f"{tam.pk}+{tam.pk}"))
    seller_client.post(reverse("rig-new"), rig_form(yard, crew=f"{tam.pk}+{jo.pk}"))

    assert twice.status_code == 422
    assert "not one of the available choices" in twice.content.decode()
    rig = Rig.objects.get()
    assert (rig.driver, rig.helper) == (tam, jo)
    page = seller_client.get(reverse("rigs")).content.decode()
    assert "Tam and Jo" in page
    shown = seller_client.get(reverse("rig", args=[rig.pk])).context["form"]
    assert shown["hitch"].value() == "0 / 0 / 0; 20"
    form = seller_client.get(reverse("rig", args=[rig.pk])).context["form"]
    assert dict(form.fields["crew"].choices)[form["crew"].value()] == "Tam, with Jo"
