"""The seller measures a heap, a stack, a trailer or logs."""

from datetime import date
from fractions import Fraction
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from inventory.models import Measurement, Restack
from tests.factories.inventory import make_lot
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
WINDROW = {
    "shape": "windrow",
    "size_length": "42",
    "size_width": "12 ft",
    "size_height": "5",
    "form": "splits",
}


def test_cords_show_as_they_are_typed(seller_client, knob):
    part = seller_client.get(reverse("measure"), WINDROW, **HTMX)

    assert "5.73 cords" in part.text
    assert "<html" not in part.text
    assert Measurement.objects.count() == 0


def test_half_typed_sizes_are_no_error(seller_client, knob):
    part = seller_client.get(reverse("measure"), {**WINDROW, "size_height": ""}, **HTMX)

    assert part.status_code == 200
    assert "error" not in part.text


@pytest.mark.parametrize(
    ("said", "cords"),
    [  # worked example 1 by the usual heap numbers
        (
            {"shape": "trailer", "size_length": "12", "size_width": "6", "size_side": "2", "size_heap": "1"},
            "0.95 cord",
        ),
        ({"shape": "stack", "size_length": "32", "size_height": "4", "size_depth_in": "16"}, "1.33 cords"),
        (
            {
                "shape": "stack",
                "size_length": "32 ft",
                "size_height": "4'",
                "size_depth_in": "16 in",
                "cribbed_ends": "2",
            },
            "1.31 cords",
        ),
        ({**WINDROW, "size_length": "24", "size_width": "10"}, "2.53 cords"),
        ({**WINDROW, "size_length": "24", "size_width": "10", "form": "rounds"}, "2.59 cords"),
    ],
)
def test_a_shape_makes_the_printed_cords(seller_client, business, said, cords):
    assert cords in seller_client.get(reverse("measure"), said).text


@pytest.mark.parametrize(
    ("said", "cords"),
    [
        ({"shape": "log", "size_small_in": "6", "size_large_in": "9", "size_length": "8",
          "size_count": "30"}, "0.90 cord"),
        ({"shape": "log", "size_middle_in": "7.5", "size_length": "8", "size_count": "30"}, "0.87 cord"),
        ({"shape": "log_list", "size_length": "8", "size_d4": "40", "size_d6": "25", "size_d3": ""},
         "0.79 cord"),
    ],
)  # fmt: skip
def test_logs_are_measured_one_by_one_or_by_class(seller_client, said, cords):
    """Smalian, Huber and a list of classes: solid ft3 over 85, worked out by hand."""
    part = seller_client.get(reverse("measure"), said, **HTMX).text

    assert cords in part
    assert "as it lies" not in part
    assert "ft³ solid to a cord" in part


def test_a_log_list_is_kept_with_its_classes(seller_client, siding):
    make_lot(code="K8", form="logs", wood="logs", yard=siding)
    said = {
        "shape": "log_list",
        "size_length": "8",
        "size_d4": "40",
        "size_d6": "25",
        "lot": "K8",
        "is_added": "no",
    }

    assert seller_client.post(reverse("measure"), said).status_code == 302

    text = seller_client.get(reverse("lot", args=["K8"])).text
    assert "log list, logs: length 8 ft, 40 of 4 in, 25 of 6 in" in text
    assert "Measured as a log list" in text


def test_a_measured_heap_is_saved_to_its_lot(seller_client, knob):
    answer = seller_client.post(
        reverse("measure"), {**WINDROW, "size_length": "40", "lot": "K1", "is_added": "no"}
    )

    knob.refresh_from_db()
    assert answer["Location"] == reverse("lot", args=["K1"])
    assert knob.on_hand_cords == Measurement.objects.get().likely_cords == Fraction("5.41")


@pytest.mark.parametrize(
    "said",
    [{"size_height": "a rick"}, {"size_length": "8"}],
)
def test_sizes_that_cannot_be_saved_are_refused(seller_client, knob, said):
    """No length, and a long heap wider than long. Less than is promised is kept: the lot is short then."""
    answer = seller_client.post(reverse("measure"), {**WINDROW, "lot": "K1", "is_added": "no", **said})

    assert answer.status_code == 422
    assert Measurement.objects.count() == 0


def test_a_heap_without_a_lot_opens_one_with_form_sizes_and_range(seller_client, siding):
    answer = seller_client.post(
        reverse("measure"), {**WINDROW, "form": "rounds", "on": "2026-09-10", "lot": ""}
    )
    page = seller_client.get(answer["Location"])

    assert "measured, from 5.04 to 6.72" in page.text
    query = parse_qs(urlsplit(answer["Location"]).query)["measured"][0]
    said = {
        "measured": query, "cords": "5.85", "code": "K9", "name": "Creek fir", "yard": siding.pk,
        "wood_1": "fir", "percent_1": "100", "wood": "fir", "form": "rounds", "piling": "heaped",
        "exposure": "low_heap",
        "piece_inches": "16", "drying_from": "2026-09-10", "sale": "not_yet",
    }  # fmt: skip
    seller_client.post(reverse("lot-new"), said)

    row = Measurement.objects.get()
    assert (row.lot.code, row.shape, row.form, row.on) == ("K9", "windrow", "rounds", date(2026, 9, 10))
    assert row.sizes == {"length": 42.0, "width": 12.0, "height": 5.0}
    assert row.low_cords < row.likely_cords < row.high_cords
    assert row.lot.on_hand_cords == row.likely_cords


def test_a_second_trailer_load_is_asked_about_and_added(seller_client, siding):
    lot = make_lot(code="K1", cords=0, yard=siding)
    load = {
        "shape": "trailer", "size_length": "12", "size_width": "6", "size_side": "2", "size_heap": "1",
        "lot": "K1", "form": "splits",
    }  # fmt: skip

    seller_client.post(reverse("measure"), load)
    asked = seller_client.post(reverse("measure"), load)
    seller_client.post(reverse("measure"), {**load, "is_added": "yes"})

    lot.refresh_from_db()
    assert asked.status_code == 422
    assert "is this more wood, or all of it?" in asked.text
    assert lot.on_hand_cords == Fraction("1.90")
    assert Measurement.objects.count() == 2


def test_a_restack_teaches_the_rig(seller_client, business):
    rig = make_rig(name="Big trailer")
    said = {
        "rig": rig.name, "form": "splits", "loose_ft3": "180", "length": "22", "height": "4", "depth": "16",
        "on": "2026-09-18",
    }  # fmt: skip

    answer = seller_client.post(reverse("restack"), said, follow=True)
    refused = seller_client.post(reverse("restack"), {**said, "length": "2"})

    assert "heap number was 196.4" in answer.text  # worked example 9
    assert refused.status_code == 422
    assert Restack.objects.count() == 1


def test_a_rigs_own_box_is_one_tap(seller_client, business):
    make_rig(name="Big trailer", box_length_ft=12, box_width_ft=6, box_side_ft=2, box_heap_ft=1)

    text = seller_client.get(reverse("measure"), {"shape": "trailer"}).text

    assert "rig=Big+trailer&amp;size_length=12&amp;size_width=6&amp;size_side=2&amp;size_heap=1" in text
