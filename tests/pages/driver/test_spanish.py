"""The driver's pages in Spanish: no English is left in them, and the language goes with the person."""

import html
import json
import re
from uuid import uuid4

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from firewood_site.languages import QUEUE_TEXTS
from routing.models import DriverEvent, RoadLimit, Stop
from tests.factories.day import commit, drive_by_the_job, drop, make_friday
from tests.pages.customer.test_spanish import ROOT, catalog

pytestmark = pytest.mark.django_db

SHORTEST = 5  # letters of an English word that is no Spanish one by chance
NO_SENTENCE = {"English", "Español", "for", "driver", "pattern", "title"}  # names, a class, two attributes
NAMED = {"trailer"}  # what the seller named a rig by


@pytest.fixture
def committed(business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    return commit(make_friday(), an_instant)


@pytest.fixture
def reads_spanish(driver_client):
    driver_client.post(reverse("choose-language"), {"language": "es"})
    return driver_client


def seen(client, name, *args):
    """What a page says: its text, and the labels and hints in its tags."""
    page = client.get(reverse(name, args=args)).content.decode()
    assert '<html lang="es">' in page
    labels = re.findall(r'(?:aria-label|title|placeholder|data-idle|data-empty)="([^"]*)"', page)
    text = re.sub(r"<script.*?</script>|<[^>]+>", " ", page, flags=re.S)
    return html.unescape(" ".join([text, *labels]))


def english_in(text):
    whole = {
        words for words, spanish in catalog().items() if words != spanish and not re.search(r"[%{]", words)
    } - NAMED
    return sorted(
        words for words in whole
        if len(words) >= SHORTEST and re.search(rf"(?<!\w){re.escape(words)}(?!\w)", text)
    )  # fmt: skip


@pytest.mark.slow
def test_no_page_of_the_driver_mixes_languages(reads_spanish, committed):
    note = "Else by way of Siding. / es: Si no, por Siding."
    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=12_000, note=note)
    key = str(uuid4())
    event = {
        "uuid": key,
        "kind": "delivered",
        "stop": drop(201).pk,
        "order": 201,
        "cords": "lots",
        "dollars": "30",
    }
    reads_spanish.post(
        reverse("driver-events"), json.dumps({"events": [event]}), content_type="application/json"
    )
    pages = [
        seen(reads_spanish, "run-today"),
        seen(reads_spanish, "driver-told"),
        *(seen(reads_spanish, "drop", stop.pk) for stop in Stop.objects.all()),
        *(seen(reads_spanish, "load-card", load) for load in {stop.load_id for stop in Stop.objects.all()}),
    ]

    assert len(pages) >= 5
    assert [english_in(page) for page in pages] == [[]] * len(pages)
    assert "Qué se carga primero" in pages[-1]
    assert "Old Mill Bridge tiene límite de 12,000 lb" in " ".join(pages)
    assert "Si no, por Siding." in " ".join(pages)
    assert "Else by way" not in " ".join(pages)
    assert "Use lo del teléfono" not in pages[1]
    assert "Esto no se pudo anotar." in pages[1]


def test_what_a_phone_is_answered_is_said_in_its_drivers_language(reads_spanish, committed):
    event = {"uuid": str(uuid4()), "kind": "delivered", "stop": 999_999, "order": 999}
    answer = reads_spanish.post(
        reverse("driver-events"), json.dumps({"events": [event]}), content_type="application/json"
    ).json()["results"][0]

    assert answer["message"] == "La entrega del pedido 999 ya no está en ninguna ruta."
    assert DriverEvent.objects.get().message == "The drop of order 999 is not on a run any more."


def test_the_language_goes_with_the_person_to_another_phone(reads_spanish, committed, client):
    user = get_user_model().objects.get(pk=reads_spanish.session["_auth_user_id"])

    client.force_login(user)

    assert "Ruta de hoy" in client.get(reverse("run-today")).content.decode()


def test_a_language_nobody_wrote_is_refused(driver_client):
    assert driver_client.post(reverse("choose-language"), {"language": "fr"}).status_code == 404


def test_every_sentence_of_the_offline_queue_travels_with_the_page():
    script = (ROOT / "firewood_site" / "static" / "firewood_site" / "queue.js").read_text("utf-8")
    said = set(re.findall(r'\bt\("([^"]+)"', script)) | set(
        re.findall(r'\? "([A-Z][^"]+)" : "([A-Z][^"]+)"', script)
    )
    words = re.search(r"const WORDS = \{(.*?)\};", script, re.S)[1]
    said |= set(re.findall(r': "([^"]+)"', words))
    flat = {sentence for one in said for sentence in ((one,) if isinstance(one, str) else one)}

    assert len(flat) > 15
    assert flat <= set(QUEUE_TEXTS)


def test_every_word_of_the_drivers_templates_may_be_translated():
    """What is left of a template without its tags, gaps and translated sentences has no words."""
    folder = ROOT / "firewood_site" / "templates" / "driver"
    left = {}
    for path in sorted(folder.glob("*.html")):
        text = re.sub(
            r"{% (blocktranslate)\b.*?{% end\1 %}|{%.*?%}|{{.*?}}", " ", path.read_text("utf-8"), flags=re.S
        )
        labels = re.findall(r'(?:aria-label|title|placeholder|alt|data-idle|data-empty)="([^"]*)"', text)
        words = re.findall(r"[^\W\d_]{3,}", " ".join([re.sub(r"<[^>]*>", " ", text), *labels]))
        if words := [word for word in words if word not in NO_SENTENCE]:
            left[path.name] = words

    assert left == {}
