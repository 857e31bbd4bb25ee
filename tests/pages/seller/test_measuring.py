"""The seller measures a heap, a stack, a trailer or logs on the sheet of Log it."""

import re
from datetime import date
from fractions import Fraction

import pytest
from django.urls import reverse

from inventory.models import Lot, Measurement, Restack
from tests.factories.inventory import make_lot
from tests.factories.routing import make_rig
from tests.pages.seller.sheets import log

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
WINDROW = {"shape": "windrow", "size": "42 x 12 ft x 5", "lies": "splits"}


def estimate(client, **said):
    """The answer while it is tapped and typed."""
    return client.get(reverse("log"), {**WINDROW, **said}, **HTMX).text


def test_cords_show_as_they_are_typed_and_nothing_is_kept(seller_client, knob):
    part = estimate(seller_client)

    assert "5.73 cords" in part
    assert "<html" not in part
    assert Measurement.objects.count() == 0


@pytest.mark.parametrize(
    ("said", "cords"),
    [  # worked example 1 by the usual heap numbers
        ({"shape": "trailer", "size": "12 x 6 x 2 + 1"}, "0.95 cord"),
        ({"shape": "stack", "size": "32 x 4 x 16"}, "1.33 cords"),
        ({"shape": "stack", "size": "32 ft x 4' x 16 in, 2 cribbed ends"}, "1.31 cords"),
        ({"size": "24 x 10 x 5"}, "2.53 cords"),
        ({"size": "24 x 10 x 5", "lies": "rounds"}, "2.59 cords"),
        # Smalian, Huber and a list of classes: solid ft3 over 85, worked out by hand
        ({"shape": "log", "size": "8 ft: 30 of 6-9 in"}, "0.90 cord"),
        ({"shape": "log", "size": "8: 30 of 7.5"}, "0.87 cord"),
        ({"shape": "log", "size": "8 ft: 40 of 4 in, 25 of 6 in"}, "0.79 cord"),
    ],
)
def test_a_shape_makes_the_printed_cords(seller_client, business, said, cords):
    part = estimate(seller_client, **said)

    assert cords in part
    assert ("as it lies" in part) is (said.get("shape") != "log")


def test_a_log_list_is_kept_with_its_classes(seller_client, siding):
    make_lot(code="K8", form="logs", wood="logs", yard=siding)

    log(seller_client, "measure", wood="K8", amount="all", shape="log", size="8 ft: 40 of 4 in, 25 of 6 in")

    text = seller_client.get(reverse("lot", args=["K8"])).text
    assert "log list, logs: length 8 ft, 40 of 4 in, 25 of 6 in" in text
    assert "Measured as a log list" in text


def test_what_the_tape_read_is_told_in_spanish(seller_client, siding):
    make_lot(code="K8", form="logs", wood="logs", yard=siding)
    log(seller_client, "measure", wood="K8", amount="all", shape="log", size="8 ft: 40 of 4, 25 of 6.5 in")
    seller_client.post(reverse("choose-language"), {"language": "es", "find": ""})

    text = seller_client.get(reverse("lot", args=["K8"])).text

    assert "lista de troncos, troncos: largo 8 pies, 40 de 4 pulg, 25 de 6.5 pulg" in text


def test_a_measured_heap_is_saved_to_its_lot_whose_page_opens(seller_client, knob):
    answer = log(seller_client, "measure", wood="K1", amount="all", shape="windrow", size="40 x 12 x 5")

    knob.refresh_from_db()
    assert answer["Location"] == reverse("lot", args=["K1"])
    assert knob.on_hand_cords == Measurement.objects.get().likely_cords == Fraction("5.41")


@pytest.mark.parametrize(
    ("shape", "size", "sentence"),
    [
        ("windrow", "40 x 12 x a rick", "no number can be read"),
        ("windrow", "8 x 12 x 5", "it is the longer side"),
        ("windrow", "8 x 12", "Write length x width x height, such as 42 x 12 x 5."),
        ("trailer", "12", "Write length x width x how high it is filled"),
        ("log", "30 logs", "Write length of the logs"),
        ("log", "8 ft: 3 of 4-6 in, 5 of 6 in", "goes by the middle of each log"),
        ("", "12 x 6 x 2", "Tap the shape these sizes are of."),
        ("windrow", "", "Say how much: tap a picture, or write cords or sizes."),
    ],
)
def test_sizes_that_cannot_be_saved_are_refused(seller_client, knob, shape, size, sentence):
    """Less than is promised is kept: the lot is short then."""
    answer = log(seller_client, "measure", wood="K1", amount="all", shape=shape, size=size)

    assert answer.status_code == 422
    assert sentence in answer.text
    assert Measurement.objects.count() == 0


def test_a_measured_heap_of_no_lot_opens_one_with_form_sizes_and_range(seller_client, siding):
    said = {**WINDROW, "lies": "rounds", "on": "2026-09-10"}
    assert "from 5.04 to 6.72" in estimate(seller_client, **said)

    log(seller_client, "measure", wood="new", species="fir", yard=siding.pk, **said)

    row = Measurement.objects.get()
    assert (row.lot.form, row.lot.piling, row.shape, row.form, row.on) == (
        "rounds", "heaped", "windrow", "rounds", date(2026, 9, 10),
    )  # fmt: skip
    assert row.sizes == {"length": 42.0, "width": 12.0, "height": 5.0}
    assert row.low_cords < row.likely_cords < row.high_cords
    assert row.lot.on_hand_cords == row.likely_cords


def test_a_second_trailer_load_is_asked_about_and_added(seller_client, siding):
    lot = make_lot(code="K1", cords=0, yard=siding)
    load = {"wood": "K1", "shape": "trailer", "size": "12 x 6 x 2 + 1"}

    log(seller_client, "measure", **load)
    asked = log(seller_client, "measure", **load)
    log(seller_client, "measure", **load, amount="more")

    lot.refresh_from_db()
    assert asked.status_code == 422
    assert "is this more wood, or all of it?" in asked.text
    assert lot.on_hand_cords == Fraction("1.90")
    assert Measurement.objects.count() == 2


def test_an_empty_heap_is_counted_as_none(seller_client, siding):
    make_lot(code="K1", cords=1, yard=siding)

    log(seller_client, "measure", wood="K1", amount="all", cords="0")

    assert Lot.objects.get().on_hand_cords == 0


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


def test_a_rigs_own_box_filled_otherwise_goes_by_its_own_number(seller_client, business):
    rig = make_rig(name="Big trailer", box_length_ft=12, box_width_ft=6, box_side_ft=2, box_heap_ft=1)
    box = re.search(rf'value="(trailer:{rig.pk}:rails)"', seller_client.get(reverse("log")).text)[1]
    said = {
        "rig": rig.name,
        "form": "splits",
        "loose_ft3": "180",
        "length": "22",
        "height": "4",
        "depth": "16",
    }
    usual = estimate(seller_client, shape="", size="12 x 6 x 1.75 + 0.667", fill=box)
    seller_client.post(reverse("restack"), {**said, "on": "2026-09-18"})

    own = estimate(seller_client, shape="", size="12 x 6 x 1.75 + 0.667", fill=box)

    assert "0.79 cord" in usual
    assert "0.79 cord" not in own
