"""Today's last line says when the work of the morning was last done, or that it never was."""

import os
from datetime import datetime, timedelta
from html import unescape

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from firewood_site import heartbeats

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


def last_line(client, language="en"):
    client.post(reverse("choose-language"), {"language": language, "find": ""})
    page = client.get(reverse("today")).text
    return unescape(page.split('<p class="small muted">')[-1].split("</p>")[0])


def beat_at(when, **more):
    heartbeats.beat(heartbeats.DAILY, **more)
    os.utime(heartbeats._folder() / heartbeats.DAILY, (when.timestamp(), when.timestamp()))


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "It has not run here yet: it starts once the app's worker runs."),
        ("es", "Aquí no se ha hecho todavía: empieza solo en cuanto el servicio de fondo está en marcha."),
    ],
)
def test_books_it_never_ran_on_say_so_and_what_starts_it(seller_client, language, said):
    assert said in last_line(seller_client, language)


@pytest.mark.parametrize(
    ("language", "today", "earlier"),
    [
        ("en", "Last run today at 6:02 am.", "Last run Sep 18, 2025 at 6:02 am."),
        ("es", "Hecho por última vez hoy a las 6:02.", "Hecho por última vez el 18 sep 2025 a las 6:02."),
    ],
)
def test_it_says_when_it_was_last_done(seller_client, language, today, earlier):
    beat_at(timezone.localtime().replace(hour=6, minute=2, second=0))
    assert today in last_line(seller_client, language)

    beat_at(timezone.make_aware(datetime(2025, 9, 18, 6, 2)))
    assert earlier in last_line(seller_client, language)


def test_one_that_failed_is_not_told_as_done(seller_client):
    beat_at(timezone.now() - timedelta(minutes=1), problem="No space left on device")

    assert "Last tried" in last_line(seller_client)
    assert "and it failed." in last_line(seller_client)
    assert "Last run" not in last_line(seller_client)


def test_done_by_hand_counts_too(seller_client):
    call_command("each_morning")

    assert "Last run today at" in last_line(seller_client)
