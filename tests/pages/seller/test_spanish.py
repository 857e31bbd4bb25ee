"""A seller who reads Spanish: each page is wholly Spanish or, where it is written in English, wholly that."""

import html
import re
from datetime import date
from functools import cache
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db.models import CharField, JSONField, TextField
from django.test import Client
from django.urls import reverse

from firewood_site.seller.page_index import PAGES
from firewood_site.seller.views.lots import CHANGES
from firewood_site.seller.views.orders import TEXTS
from inventory.core.gaps import First
from inventory.core.sentences import Sentence, text_of
from inventory.selectors.staff import language_of
from orders.models import Customer
from routing.planner.fault_sentences import plan_cords
from routing.services.standing import NoSuchDay, PlanRefused
from tests.factories.demo import load_demo
from tests.factories.orders import make_order
from tests.pages.customer.test_spanish import catalog

pytestmark = pytest.mark.django_db

HALVES = SimpleNamespace(wood_units_per_cord=2)
CUT = 28  # letters of a note that stand in its fold
NAMES_ON_MAPS = {"Dry Fork"}
SHORTEST = 4  # letters of an English word that is no Spanish one by chance
ENGLISH = re.compile(
    r"\b(?:the|of|and|with|for|this|that|from|your|you|not|what|when|where|which|has|had|will|its|their|them|"
    r"they|then|there|until|after|before|without|about|each|other|more|than|less|wood|orders?|days?|loads?|"
    r"lots?|heap|split|stacked|dry|price|owed|money|customers?|town|yards?|runs?|drops?|today|week|month|"
    r"hours|save|send|none|nothing|only|again|first|last|next|open|choose|write|read|look|show|add|was|were|"
    r"are|is|by|on|at|to|mon|tue|wed|thu|fri|sat)\b",
    re.IGNORECASE,
)
SPANISH = re.compile(
    r"\b(?:el|los|las|del|que|para|con|por|una|leña|pedidos?|días?|cuerdas?|pueblo|hoy)\b|[¿¡]"
)
DAILY = (
    "/seller/", "/seller/find?q=fir", "/seller/find?q=order",
    "/seller/days", "/seller/days/2026-09-18", "/seller/days/2026-09-22",
    "/seller/days/2026-09-18/load-sheet", "/seller/days/week", "/seller/days/together",
    "/seller/orders", "/seller/orders?state=delivered", "/seller/orders/201/change", "/seller/tell",
    *(f"/seller/orders/{number}" for number in (201, 153, 212, 208, 209, 210)),
    "/seller/quote", "/seller/quote/given", "/seller/money", "/seller/money/books", "/seller/money/bank",
    "/seller/wood", "/seller/log",
    *(f"/seller/lots/{code}" for code in ("K1", "K2", "K3", "K7", "K8")), "/seller/lots/K1/reading",
    *(f"/seller/lots/K1/change/{act}" for act in ("sign", "guess", "facts", "hold", "lay", "weigh")),
    "/seller/customers", "/seller/customers?only=call",
    "/seller/claims", "/seller/worth/season", "/seller/worth/season?work=done",
)  # fmt: skip
OFFICE = ("/seller/worth", "/seller/set-up", "/seller/find/guide")


def visible(page):
    """A page's words: its text, and the labels and hints in its tags."""
    page = page.partition("<body")[2].partition(">")[2]
    for one in (r"<(script|style|textarea)\b.*?</\1>", r'<(\w+)[^>]* lang="\w+"[^>]*>.*?</\1>'):
        page = re.sub(one, " ", page, flags=re.S)  # no words, and what is written in a customer's language
    labels = re.findall(
        r'(?:aria-label|title|placeholder|alt|data-(?:sure|done|label|empty|idle))="([^"]+)"', page
    )
    text = html.unescape(" \n ".join([re.sub(r"<[^>]+>", " ", page), *labels]))
    return re.sub(r"[ \t]+", " ", text)


def typed():
    """What people wrote into the books, names of places and lots among it: it stands on pages as it is."""
    found = set()
    for app in ("inventory", "orders", "routing"):
        for model in apps.get_app_config(app).get_models():
            fields = model._meta.concrete_fields
            free = [one.name for one in fields if isinstance(one, CharField | TextField) and not one.choices]
            for row in model._default_manager.values_list(*free) if free else ():
                found.update(text.strip() for text in row if isinstance(text, str))
            for name in (one.name for one in fields if isinstance(one, JSONField)):
                found.update(re.findall(r"'([^']+)'", repr(list(model._default_manager.values_list(name)))))
    found |= {text[:CUT] for text in found if len(text) > CUT} | NAMES_ON_MAPS
    known = catalog()
    written = {text for text in found if len(text) > 2 and (text[0].isupper() or " " in text)}
    return sorted(written - known.keys(), key=len, reverse=True)


@cache
def english_sentences():
    return tuple(
        words for words, spanish in catalog().items()
        if words != spanish and len(words) >= SHORTEST and not re.search(r"[%{]", words)
    )  # fmt: skip


def english_in(text):
    """Lines with an English word of the trade or of grammar, or with a sentence whose Spanish we have."""
    lines = [line.strip() for line in text.split("\n")]
    return [
        line
        for line in lines
        if ENGLISH.search(line)
        or any(words in line and re.search(rf"(?<!\w){re.escape(words)}(?!\w)", line)
               for words in english_sentences())
    ]  # fmt: skip


@pytest.fixture
def reader():
    """Who sells in the demo's books and chose Spanish on the page itself."""
    load_demo("--no-roads")
    client = Client()
    client.get("/")
    client.login(username="ruth", password="split-in-spring")
    client.post(reverse("choose-language"), {"language": "es", "find": ""})
    return client


@pytest.mark.slow
def test_no_page_of_the_seller_mixes_languages(reader):
    said_by_people = typed()
    found = {}
    customer = reverse("customer", args=[Customer.objects.earliest("pk").pk])
    for path in (*DAILY, customer, *OFFICE):
        page = reader.get(path).text
        text = visible(page)
        for words in said_by_people:
            text = text.replace(words, " ")
        if path not in OFFICE:
            found[path] = english_in(text) if '<html lang="es">' in page else ["not in Spanish"]
        else:
            found[path] = SPANISH.findall(text) if '<html lang="en">' in page else ["not in English"]

    assert {path: left for path, left in found.items() if left} == {}


def test_what_the_core_says_is_worded_with_its_days_and_amounts():
    on, rig = date(2026, 9, 18), First(Sentence("{rig}'s run", {"rig": "Big trailer"}))
    half = {"cords": plan_cords(HALVES, 1), "wood": Sentence("fir")}
    refused = PlanRefused(
        Sentence("{run} has no road home.", {"run": rig}),
        Sentence("No yard has {cords} of {wood}.", half),
    )
    moved = Sentence("moved order {number}", {"number": 7})

    assert NoSuchDay(on=on).text_in("es") == (
        "Aún no hay nada planeado para el vie 18 sep: elija pedidos y planéelo primero."
    )
    assert refused.text_in("es") == (
        "La ruta de Big trailer no tiene camino de regreso. "
        "Ningún patio tiene 1/2 cuerda de abeto de Douglas."
    )
    assert text_of("Gate code is 1234", "es") == "Gate code is 1234"
    assert str(moved) == "moved order 7"


def test_the_door_is_read_in_the_browsers_language_and_then_in_ones_own(business, seller, client):
    spanish = {"HTTP_ACCEPT_LANGUAGE": "es-MX,es;q=0.9"}

    assert "<h1>Entrar</h1>" in client.get(reverse("log-in"), **spanish).text
    assert "<h1>Log in</h1>" in client.get(reverse("log-in")).text

    client.force_login(seller)
    client.post(reverse("choose-language"), {"language": "es", "find": ""}, follow=True)
    assert language_of("ruth") == "es"
    assert '<html lang="es">' in client.get(reverse("today")).text


def test_only_who_works_here_chooses_a_language(business, client, helper_client, outsider, logged_in):
    address, chosen = reverse("choose-language"), {"language": "es", "find": ""}

    assert client.post(address, chosen)["Location"].startswith("/log-in")
    assert logged_in(outsider).post(address, chosen).status_code == 403
    assert '<html lang="es">' in helper_client.post(address, chosen, follow=True).text


def test_own_texts_are_written_in_both_languages_and_each_reader_gets_theirs(seller_client):
    order = make_order()
    kind = TEXTS[order.state][0]
    for language, text in (("en", "Hi {name}: {link}"), ("es", "Buenas, {name}: {link}")):
        words = {"kind": kind, "language": language, "text": text, "body": "Ours\n{name} {link}"}
        seller_client.post(reverse("texts"), words)
    seller_client.post(reverse("choose-language"), {"language": "es", "find": ""})

    told = []
    for language in ("en", "es"):
        Customer.objects.update(language=language)
        page = seller_client.get(reverse("order", args=[order.number])).text
        told.append(re.search(rf'lang="{language}">(Hi|Buenas,) ', page)[1])

    assert told == ["Hi", "Buenas,"]


def test_every_title_of_the_pages_has_its_spanish():
    spoken = catalog()

    assert [page.title for page in PAGES if page.title not in spoken] == []
    assert [page.tab for page in PAGES if page.tab not in spoken] == []
    said = {words for one in CHANGES.values() for words in (one.title, one.button, one.hint) if words}
    assert sorted(said - spoken.keys()) == []
