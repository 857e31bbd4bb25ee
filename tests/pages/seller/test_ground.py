"""Ground: slash with a method, a day and a reminder; photos before and after side by side."""

from datetime import date, timedelta
from html import unescape
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
    write_ground(seller_client, slash_method="scatter", dates=f"slash gone by {gone_by}")

    text = today_of(seller_client)

    if badge is None:
        assert "Clear the slash of Corner" not in text
        return
    word = "was to be" if days < 0 else "to be"
    assert f"Lop and scatter: {word} gone by" in text
    mark = f'">{badge}</span> ' if badge else ""
    assert f"{mark}<b>Clear the slash of Corner</b>" in text

    write_ground(
        seller_client, slash_method="scatter", dates=f"slash gone by {gone_by}\nslash done Sep 18, 2026"
    )
    assert "Clear the slash of Corner" not in today_of(seller_client)


def test_burning_says_what_it_needs_and_when_it_is_closed(seller_client, business):
    write_ground(seller_client, slash_method="burn", dates="slash gone by Oct 1, 2026")
    Shut.objects.create(
        kind="burn", what="Burning", from_on="2026-09-01", to_on="2026-10-20", reason="fire season"
    )

    text = today_of(seller_client)

    assert "Pile and burn: to be gone by Oct 1. Burn only with permission given for today." in text
    assert "fire season" in text


def test_a_day_that_is_none_is_said_and_nothing_is_lost(seller_client, business):
    said = {
        "name": "Corner", "acres": "0.25", "saw_log_dollars": "0", "cost_share_dollars": "0",
        "slash_method": "chip", "dates": "Slash gone by someday",
    }  # fmt: skip

    answer = seller_client.post(reverse("unit-new"), said)

    assert answer.status_code == 422
    assert "Slash gone by someday</textarea>" in answer.text
    assert "write the day with its year, such as slash gone by May 1, 2026." in answer.text
    assert '<option value="chip" selected>' in answer.text


def test_the_days_of_older_books_are_read_and_put_right_line_by_line(seller_client, business):
    unit = write_ground(seller_client)
    Unit.objects.filter(pk=unit.pk).update(
        started_on=date(2026, 5, 1),
        cost_share_until=date(2026, 11, 1),
        plot_size="37 ft",
        plots="fir 8 8\nfir 9",
    )

    page = seller_client.get(reverse("unit", args=[unit.pk])).text
    for line in (
        "started May 1, 2026\ncost-share ends Nov 1, 2026</textarea>",
        "37 ft\nfir 8 8\nfir 9</textarea>",
    ):
        assert line in page
    write_ground(
        seller_client, dates="Started: May 2, 2026\n\ncost-share paid 12/1/2026", plots="prism 10\nfir 8"
    )

    for older in ("37", "BAF 10", "37 ft, tenth of acre"):  # each was taken once
        Unit.objects.filter(pk=unit.pk).update(plot_size=older)
        write_ground(seller_client, dates="started May 2, 2026", plots=f"{older}\nfir 8")
    write_ground(
        seller_client, dates="Started: May 2, 2026\ncost-share paid 12/1/2026", plots="prism 10\nfir 8"
    )

    unit.refresh_from_db()
    assert (unit.started_on, unit.cost_share_until) == (date(2026, 5, 2), None)
    assert unit.cost_share_paid_on == date(2026, 12, 1)
    assert (unit.plot_size, unit.plots) == ("prism 10", "fir 8")


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"dates": "began 2026-05-01"}, "begins with none of: started, finished, notice given"),
        ({"dates": "started"}, "write the day with its year, such as started May 1, 2026."),
        ({"dates": "started 1026-05-01"}, "That day is too far off: look at the year again."),
        ({"plots": "fir 8 8"}, "Start with the plot size"),
    ],
)
def test_a_line_that_cannot_be_read_says_how_to_write_it(seller_client, business, said, sentence):
    answer = seller_client.post(reverse("unit-new"), {"name": "Corner", "acres": "0.25", **said})

    assert answer.status_code == 422
    assert sentence in unescape(answer.text)
    assert not Unit.objects.exists()


def test_the_patch_says_how_its_slash_goes_and_by_when(seller_client, business):
    unit = write_ground(
        seller_client, slash_method="haul", dates="started 2026-05-01\nslash gone by 2026-12-01"
    )

    page = " ".join(seller_client.get(reverse("acre-sheet"), {"unit": unit.pk}).text.split())

    assert "<b>Slash: haul away</b>, gone by" in page


def test_before_and_after_stand_side_by_side_with_their_days(seller_client, business):
    unit = write_ground(seller_client, dates="started 5/1/2026")
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
    unit = write_ground(seller_client, dates="finished 2026-09-01", cost_share_dollars="600")
    a_photo(seller_client, unit, "before", "2026-05-01", "green")

    assert "None from after is kept with the ground." in today_of(seller_client)

    a_photo(seller_client, unit, "after", "2026-09-10", "gray")
    assert "Photos of Corner" not in today_of(seller_client)
