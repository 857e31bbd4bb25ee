"""Worth it? A stranger before a load of wood: a picture, three guesses, dollars an hour; nothing is kept."""

import gzip
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from orders.models import Quote

pytestmark = pytest.mark.django_db

LOAD = {
    "fill": "heaped", "box": "trailer_6x12", "feet": "16", "form": "splits", "wood": "fir", "dry": "dry",
    "hours": "5 to 8", "price": "210", "costs": "0",
}  # fmt: skip


def ask(client, **changes):
    return client.get(reverse("worth-it"), {**LOAD, **changes})


def test_a_load_and_three_guesses_make_dollars_an_hour(client, business):
    """By hand: 12 x 6 x 2 ft and a foot of heap are 180 ft3, at 190 a cord 0.95; 0.95 x $210 over 6.5 h."""
    page = ask(client).text

    assert "$31 an hour" in page
    assert "0.95 cords, 0.84 to 1.03" in page
    assert "Time one load by the clock" in page
    assert "in 8 of 10 cases" in page


def test_what_it_weighs_is_said_with_its_range(client, business):
    dry, green = ask(client).text, ask(client, dry="green").text

    assert "about 2," in dry
    assert "lb," in green
    assert dry.split("about ")[1][:5] < green.split("about ")[1][:5]


def test_a_stacked_row_is_asked_for_its_length(client, business):
    """16 x 4 ft of 16-inch pieces are 2/3 cord."""
    assert "0.67 cords" in ask(client, fill="row").text
    short = ask(client, fill="row", feet="")
    assert short.status_code == 422
    assert "Write how long the row is" in short.text


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"hours": ""}, "Write a guess, such as 3 or 2 to 4."),
        ({"hours": "0"}, "Write a guess, such as 3 or 2 to 4."),
        ({"price": "lots"}, "Write one figure"),
        ({"costs": "9 to 3"}, "Write the smaller figure first"),
        ({"wood": "ebony"}, "ebony"),
        ({"box": "ship"}, "ship"),
    ],
)
def test_what_cannot_be_figured_is_asked_for_again(client, business, changes, sentence):
    answer = ask(client, **changes)

    assert answer.status_code == 422
    assert sentence in answer.text
    assert client.get(reverse("worth-it-picture"), {**LOAD, **changes}).status_code == 404


def test_a_fresh_page_asks_and_says_nothing_wrong(client, business):
    page = client.get(reverse("worth-it"))

    assert page.status_code == 200
    assert "error" not in page.text
    assert "Three guesses" in page.text


def test_nothing_is_kept_and_all_of_it_stands_in_the_link(client, business):
    answer = ask(client)

    assert not answer.cookies
    assert not Quote.objects.exists()
    assert "hours=5+to+8" in answer.text
    assert 'value="5 to 8"' in answer.text


def test_the_picture_to_send_says_the_answer(client, business):
    picture = client.get(reverse("worth-it-picture"), LOAD)

    assert picture["Content-Type"] == "image/svg+xml"
    assert "$31 an hour" in picture.text
    assert "0.95 cords, 0.84 to 1.03" in picture.text
    assert "class=" not in picture.text


def test_it_is_all_there_in_spanish(client, business):
    page = client.get(reverse("worth-it"), {**LOAD, "hours": "5 a 8", "lang": "es"}).text

    assert "$31 la hora" in page
    assert "Tres cálculos" in page
    assert "an hour" not in page
    assert "la hora" in client.get(reverse("worth-it-picture"), {**LOAD, "lang": "es"}).text


def test_the_page_is_light(client, business):
    page = len(ask(client).content)
    files = ("site.css", "site.js", "icon.svg")
    served = sum(
        len(gzip.compress(Path(finders.find(f"firewood_site/{name}")).read_bytes())) for name in files
    )

    assert page + served <= 60 * 1024 // 2  # half of what the page may weigh
