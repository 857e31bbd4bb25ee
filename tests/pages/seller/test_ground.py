"""Ground: slash with a method, a day and a reminder; photos before and after side by side."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.models import Unit
from routing.models import Shut

pytestmark = pytest.mark.django_db
TODAY = date(2026, 9, 18)


def write_ground(client, **changes):
    fields = {"name": "Corner", "acres": "0.25", "saw_log_dollars": "0", "cost_share_dollars": "0"}
    unit = Unit.objects.filter(name="Corner").first()
    address = reverse("unit", args=[unit.pk]) if unit else reverse("unit-new")
    answer = client.post(address, {**fields, **changes})
    assert answer.status_code == 302, answer.context["form"].errors
    return Unit.objects.get(name="Corner")


def today_of(client):
    return " ".join(client.get(reverse("today")).text.split())


def a_photo(client, unit, purpose, taken_on, color):
    picture = BytesIO()
    Image.new("RGB", (40, 30), color).save(picture, "JPEG")
    client.post(
        reverse("wood-photo-add", args=["unit", unit.pk]),
        {
            "photo": SimpleUploadedFile("one.jpg", picture.getvalue(), "image/jpeg"),
            "purpose": purpose, "on": taken_on, "note": "",
        },
    )  # fmt: skip


@pytest.mark.parametrize(
    ("days", "badge"),
    [(31, None), (30, ""), (10, "soon"), (-1, "now")],
    ids=["early", "ahead", "soon", "late"],
)
def test_slash_is_brought_to_mind_from_thirty_days_ahead_until_done(seller_client, business, days, badge):
    gone_by = TODAY + timedelta(days=days)
    write_ground(seller_client, slash_method="scatter", slash_by=gone_by.isoformat())

    text = today_of(seller_client)

    if badge is None:
        assert "Clear the slash of Corner" not in text
        return
    word = "was to be" if days < 0 else "to be"
    assert f"Lop and scatter: {word} gone by" in text
    mark = f'">{badge}</span> ' if badge else ""
    assert f"{mark}<b>Clear the slash of Corner</b>" in text

    write_ground(
        seller_client, slash_method="scatter", slash_by=gone_by.isoformat(), slash_done_on="2026-09-18"
    )
    assert "Clear the slash of Corner" not in today_of(seller_client)


def test_burning_says_what_it_needs_and_when_it_is_closed(seller_client, business):
    write_ground(seller_client, slash_method="burn", slash_by="2026-10-01")
    Shut.objects.create(
        kind="burn", what="Burning", from_on="2026-09-01", to_on="2026-10-20", reason="fire season"
    )

    text = today_of(seller_client)

    assert "Pile and burn: to be gone by Oct 1. Burn only with permission given for today." in text
    assert "fire season" in text


def test_a_day_that_is_none_is_said_and_nothing_is_lost(seller_client, business):
    said = {
        "name": "Corner", "acres": "0.25", "saw_log_dollars": "0", "cost_share_dollars": "0",
        "slash_method": "chip", "slash_by": "someday",
    }  # fmt: skip

    answer = seller_client.post(reverse("unit-new"), said)

    assert answer.status_code == 422
    assert 'value="someday"' in answer.text
    assert '<option value="chip" selected>' in answer.text


def test_the_patch_says_how_its_slash_goes_and_by_when(seller_client, business):
    unit = write_ground(seller_client, slash_method="haul", slash_by="2026-12-01", started_on="2026-05-01")

    page = " ".join(seller_client.get(reverse("acre-sheet"), {"unit": unit.pk}).text.split())

    assert "<b>Slash: haul away</b>, gone by" in page


def test_before_and_after_stand_side_by_side_with_their_days(seller_client, business):
    unit = write_ground(seller_client, started_on="2026-05-01")
    a_photo(seller_client, unit, "before", "2026-05-01", "green")
    a_photo(seller_client, unit, "after", "2026-08-01", "brown")
    a_photo(seller_client, unit, "after", "2026-09-10", "gray")

    for page in (reverse("unit", args=[unit.pk]), f"{reverse('acre-sheet')}?unit={unit.pk}"):
        text = " ".join(seller_client.get(page).text.split())
        pair = text[text.index("Before and after</h2>") :].partition("</section>")[0]
        assert "Before, May 1, 2026" in pair
        assert "After, Sep 10, 2026" in pair
        assert "Aug 1" not in pair


def test_finished_ground_with_cost_share_unpaid_asks_for_the_photo_that_is_missing(seller_client, business):
    unit = write_ground(seller_client, finished_on="2026-09-01", cost_share_dollars="600")
    a_photo(seller_client, unit, "before", "2026-05-01", "green")

    assert "None from after is kept with the ground." in today_of(seller_client)

    a_photo(seller_client, unit, "after", "2026-09-10", "gray")
    assert "Photos of Corner" not in today_of(seller_client)
