"""The seller logs a morning on one sheet, and puts right what was logged."""

import json
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.models import LoggedWork, Lot, Measurement, Photo, WorkEntry
from tests.factories.inventory import make_lot
from tests.factories.routing import make_rig
from tests.pages.seller.sheets import log, log_hours

pytestmark = pytest.mark.django_db


@pytest.fixture
def rounds(business, siding):
    make_rig(name="Big trailer", box_length_ft=12, box_width_ft=6, box_side_ft=2, box_heap_ft=1)
    return make_lot(
        code="K2", name="Knob fir rounds", cords=3, form="rounds", split_on=None, yard=siding,
        felled_on=date(2026, 3, 1),
    )  # fmt: skip


def morning(**more):
    said = {
        "key": str(uuid4()),
        "steps": ["split", "stack"],
        "wood": "K2",
        "how_long": "a morning",
        "amount": "worked",
    }
    return {**said, **more}


def a_photo():
    picture = BytesIO()
    Image.new("RGB", (60, 40), "brown").save(picture, "JPEG")
    return SimpleUploadedFile("heap.jpg", picture.getvalue(), "image/jpeg")


def send(client, *sheets):
    body = json.dumps({"events": list(sheets)})
    return client.post(reverse("log"), body, content_type="application/json").json()["results"]


def test_a_sheet_is_read_in_the_language_of_who_reads_it(seller_client, rounds):
    seller_client.post(reverse("choose-language"), {"language": "es", "find": ""})
    said = morning(on="2026-09-10", cords="5/6", people=["ruth"])

    page = seller_client.post(reverse("log"), said, follow=True)

    spanish = "Rajada, apilada, lote K2b, 5/6 cuerda, unas 4 h, ruth"
    assert f"{spanish}." in page.text
    assert page.text.count(spanish) == 3  # said once, and on its row with the button that takes it back
    seller_client.post(reverse("choose-language"), {"language": "en", "find": ""})
    assert "Split, stacked, lot K2b, 5/6 cord, about 4 h, ruth" in seller_client.get(reverse("log")).text


def test_a_sheet_of_earlier_days_is_read_as_it_was_kept(seller_client, rounds):
    seller_client.post(reverse("log"), morning(cords="5/6"))
    LoggedWork.objects.update(said={}, text="Split by hand")

    assert "Split by hand" in seller_client.get(reverse("log")).text


def test_a_morning_is_one_form(seller_client, rounds):
    said = morning(on="2026-09-10", cords="5/6", note="hot", people=["ruth"], photo=a_photo())

    page = seller_client.post(reverse("log"), said, follow=True)

    part = Lot.objects.get(code="K2b")
    assert "Split, stacked, lot K2b, 5/6 cord, about 4 h, ruth." in page.text
    assert (part.on_hand_cords, part.form, part.piling, part.split_on) == (
        Fraction(5, 6), "splits", "stacked", date(2026, 9, 10),
    )  # fmt: skip
    assert {row.job: row.hours_likely for row in WorkEntry.objects.all()} == {"split": 2, "heap": 2}
    assert Photo.objects.get().about == "lot K2b"


def test_a_trailer_is_tapped_and_kept_with_its_sizes(seller_client, rounds):
    rig_fill = next(
        line for line in seller_client.get(reverse("log")).text.split('value="') if "heaped" in line[:300]
    ).split('"')[0]

    seller_client.post(reverse("log"), morning(steps=["stack"], fill=rig_fill, amount="more"))

    row = Measurement.objects.get()
    assert (row.shape, row.form, row.is_added) == ("trailer", "rounds", True)
    assert row.sizes == {"length": 12.0, "width": 6.0, "side": 2.0, "heap": 1.0}


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"steps": []}, "Tap what was done."),
        ({"wood": ""}, "Tap which wood it was."),
        ({"how_long": ""}, "Tap how long it took"),
        ({"hours": "a while"}, "&#x27;a while&#x27; is no time worked"),
        ({"wood": "new"}, "Choose the kind of tree."),
        ({"steps": ["move"]}, "Choose the yard it was moved to."),
        ({"cords": "a rick"}, "is only as deep as its pieces"),
        ({"cords": "4"}, "K2"),
        ({"wood": "K99"}, "K99"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_lost(seller_client, rounds, said, sentence):
    page = seller_client.post(reverse("log"), morning(note="by the creek", **said))

    assert page.status_code == 422
    assert sentence in page.text
    assert 'value="by the creek"' in page.text
    assert not WorkEntry.objects.exists()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"hours": "a while"}, "no es un tiempo de trabajo"),
        ({"cords": "a rick"}, "un rick solo es tan hondo como sus leños"),
        ({"cords": "1/0"}, "nada se puede dividir por cero"),
    ],
)
def test_what_cannot_be_read_is_said_in_spanish(seller_client, rounds, said, sentence):
    seller_client.post(reverse("choose-language"), {"language": "es", "find": ""})

    page = seller_client.post(reverse("log"), morning(**said)).text

    assert sentence in page
    assert "is no time worked" not in page
    assert "is not an amount" not in page


def test_a_phone_sends_its_sheets_when_there_is_signal_and_each_counts_once(seller_client, rounds):
    sheet = {"uuid": str(uuid4()), "kind": "logged", "at": "2026-09-18T07:00:00Z", **morning(steps=["split"])}
    bad = {**sheet, "uuid": str(uuid4()), "wood": "K2", "hours": "a while"}

    first, again = send(seller_client, sheet, bad), send(seller_client, sheet)

    assert [row["outcome"] for row in first] == ["applied", "refused"]
    assert "no time worked" in first[1]["message"]
    assert again[0]["outcome"] == "known_applied"
    assert WorkEntry.objects.get().hours_likely == 4


def test_a_phones_photo_follows_its_sheet_once(seller_client, rounds):
    key = str(uuid4())
    send(seller_client, {"uuid": key, **morning(steps=["cover"])})
    for _ in range(2):
        seller_client.post(reverse("log-photo"), {"uuid": str(uuid4()), "sheet": key, "photo": a_photo()})

    assert Photo.objects.get().about == "lot K2"


@pytest.mark.parametrize("body", ["", "[]", '{"events": 3}', '{"events": [[], 7, {"steps": {"a": 1}}]}'])
def test_a_malformed_queue_is_no_error_of_ours(seller_client, rounds, body):
    answer = seller_client.post(reverse("log"), body, content_type="application/json")

    assert answer.status_code in (200, 400)
    assert not LoggedWork.objects.exists()


def test_only_who_sells_logs(driver_client, rounds):
    assert driver_client.get(reverse("log")).status_code == 403
    assert driver_client.post(reverse("log"), morning()).status_code == 403


def test_a_sheet_is_taken_back_on_the_work_page(seller_client, rounds):
    seller_client.post(reverse("log"), morning())
    key = LoggedWork.objects.get().key

    page = seller_client.post(reverse("log-take-back", args=[key]), follow=True)

    rounds.refresh_from_db()
    assert "Taken back" in page.text
    assert (rounds.form, WorkEntry.objects.count()) == ("rounds", 0)


def test_an_entry_is_put_right_with_its_history(seller_client, rounds):
    seller_client.post(reverse("log"), morning())
    entry = WorkEntry.objects.get(job="split")
    address = reverse("work-change", args=[entry.pk])

    assert 'value="0.75 / 2 / 3.75"' in seller_client.get(address).text
    said = {
        "job": "split", "hours": "3 counted", "about": "lot:K2", "on": "2026-09-15", "note": "",
        "cords": "",
    }  # fmt: skip
    seller_client.post(address, said)

    entry.refresh_from_db()
    assert (entry.hours_likely, entry.hours_high, entry.on) == (3, Decimal("3.15"), date(2026, 9, 15))
    assert "hours likely" in seller_client.get(reverse("audit")).text


def test_splitting_books_its_hours_on_that_day(seller_client, rounds):
    log_hours(seller_client, "split", hours="2 to 3 h", on="2026-09-12", wood="K2", cords="1")

    entry = WorkEntry.objects.get()
    assert (entry.job, entry.lot.code, entry.on) == ("split", "K2b", date(2026, 9, 12))
    assert (entry.hours_low, entry.hours_likely, entry.hours_high) == (2, Decimal("2.5"), 3)


def test_bucking_part_of_a_log_deck_leaves_the_rest_as_logs(seller_client, business, siding):
    make_lot(code="K8", cords=4, form="logs", wood="logs", split_on=None, yard=siding)

    log_hours(seller_client, "fell", hours="1", on="2026-09-17", wood="K8", cords="1")

    assert Lot.objects.get(code="K8").on_hand_cords == 3
    assert Lot.objects.get(code="K8b").form == "rounds"


def test_a_step_may_book_no_hours(seller_client, rounds):
    log(seller_client, "stack", wood="K2")

    rounds.refresh_from_db()
    assert (rounds.piling, WorkEntry.objects.count()) == ("stacked", 0)
    assert "Stacked, lot K2<" in seller_client.get(reverse("log")).text


def test_a_haul_can_be_dated_back_but_not_before_the_wood_was_there(seller_client, rounds, upper):
    early = log(seller_client, "haul", wood="K2", to_yard=upper.pk, on="2026-01-05")
    log(seller_client, "haul", wood="K2", to_yard=upper.pk, on="2026-09-01")

    rounds.refresh_from_db()
    assert "in the books since May 12, 2026" in early.text
    assert rounds.yard == upper
    assert rounds.movements.get(kind="moved").on == date(2026, 9, 1)


def test_sorting_oak_out_asks_for_no_pin_reading(seller_client, rounds):
    said = {
        "cords": "1/2", "name": "Knob oak", "wood_1": "oak", "percent_1": "100", "wood": "hardwood",
        "rest_is_pure": "on",
    }  # fmt: skip
    page = seller_client.post(reverse("lot-change", args=["K2", "sort"]), said, follow=True)

    oak = Lot.objects.get(code="K2b")
    assert page.status_code == 200
    assert (oak.start_moisture_pct, oak.drying_from, oak.mix) == (None, rounds.drying_from, {"oak": 100})
    assert "usually holds" in page.text or "Likely" in page.text or "Not within" in page.text


def test_a_morning_that_hauls_charges_the_road_as_the_move_page_does(seller_client, rounds, upper):
    seller_client.post(reverse("log"), morning(steps=["haul"], to_yard=upper.pk))

    rounds.refresh_from_db()
    moved = rounds.movements.get(kind="moved")
    assert rounds.yard == upper
    assert moved.miles > 0
