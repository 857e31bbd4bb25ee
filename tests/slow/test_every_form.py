"""Every form of every page, with empty books, the demo's and ten seasons': no bad value ends in a 500."""

import logging
import os
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from typing import Any
from zlib import crc32

import pytest
from django.contrib.auth.models import User
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve

from firewood_site import throttle
from inventory.models import Lot
from orders.models import Order
from routing import tasks
from routing.models import Run, Stop
from tests.count_pages import addresses
from tests.factories.season import make_seasons

pytestmark = [pytest.mark.slow, pytest.mark.long, pytest.mark.django_db]

BAD = (
    "", " ", "x", "-1", "0", "1e999", "NaN", "Infinity", "99999999999999999999", "1/0", "½", "3.999999999",
    "2026-02-30", "0001-01-01", "9999-12-31", "25:61", "x" * 5000, "<b>&\"'", "\u202e\ud55c\U0001fab5", "\0",
)  # fmt: skip
MOST = int(os.environ.get("TEST_FORM_VALUES", 1))  # of each field; make test-long sends all of them
ONLY = os.environ.get("TEST_FORM_PAGES", "").split()  # addresses, to send the forms of these pages alone
LEADS_AWAY = {"account_logout", "log-out", "export-files", "mfa_", "account_", "usersessions_"}


class Forms(HTMLParser):
    """The forms of a page that are sent: where to, and their fields as they stand."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, str], set[str]]] = []
        self.open: tuple[str, dict[str, str], set[str]] | None = None
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.open = (said.get("action", ""), {}, set())
            if said.get("method", "").casefold() == "post":
                self.forms.append(self.open)
        if self.open is None:
            return
        _action, filled, files = self.open
        name, kind = said.get("name", ""), said.get("type", "")
        if tag == "option" and self.select and ("selected" in said or self.select not in filled):
            filled[self.select] = said.get("value", "")
        self.select = name if tag == "select" else self.select if tag == "option" else ""
        if not name or tag not in ("input", "textarea", "button"):
            return
        if kind == "file":
            files.add(name)
        elif kind in ("radio", "checkbox"):
            if "checked" in said or name not in filled:
                filled[name] = said.get("value", "on")
        else:
            filled.setdefault(name, said.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.open = None


def pages_of_all() -> Iterator[str]:
    if ONLY:
        yield from ONLY
        return
    yield from (path for _name, path in addresses())
    yield from ("/", "/price", "/how-much", "/worth-it", "/my-order", "/tell-me", "/driver/")
    yield from (f"/driver/run/{key}" for key in Run.objects.values_list("pk", flat=True)[:2])
    yield from (f"/driver/drop/{key}" for key in Stop.objects.values_list("pk", flat=True)[:2])
    yield from (f"/seller/lots/{lot.code}" for lot in Lot.objects.order_by("code")[:4])
    states = {order.state: order.number for order in Order.objects.order_by("number")}
    yield from (f"/seller/orders/{number}" for number in states.values())
    yield from (f"/seller/orders/{number}/change" for number in states.values())


def forms_of(client: Client) -> Iterator[tuple[str, dict[str, str], set[str]]]:
    """Each form once by where it goes and what it asks for."""
    seen: set[tuple[str, frozenset[str]]] = set()
    for path in pages_of_all():
        answer = client.get(path)
        assert answer.status_code < 500, path
        if not answer.headers.get("Content-Type", "").startswith("text/html"):
            continue
        read = Forms()
        read.feed(answer.text)
        for action, filled, files in read.forms:
            where = (action or path).partition("#")[0]
            try:
                name = str(resolve(where.partition("?")[0]).url_name)
            except Resolver404:
                pytest.fail(f"{path} has a form to {where}, which is no page")
            key = (name, frozenset({*filled, *files}))
            if key not in seen and not name.startswith(tuple(LEADS_AWAY)):
                seen.add(key)
                yield where, filled, files


def send(client: Client, where: str, filled: dict[str, Any]) -> str:
    """What broke, or nothing; what the form did is taken back."""
    with transaction.atomic():
        answer = client.post(where, filled)
        transaction.set_rollback(True)
    return repr(answer.exc_info or answer.status_code)[:200] if answer.status_code >= 500 else ""


def wrong_values(filled: dict[str, str], files: set[str]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for name in filled:
        first = crc32(name.encode())  # another one for each field, so that all are sent somewhere
        for value in (BAD[(first + place) % len(BAD)] for place in range(MOST)):
            yield name, value, {**filled, name: value}
        yield name, "left out", {other: value for other, value in filled.items() if other != name}
    for name in files:
        for content in (b"", b"x", b"PK\x03\x04", b"\xff\xd8\xff\xe0", b"\0" * 999):
            yield name, str(content[:9]), {**filled, name: SimpleUploadedFile("a.osm.pbf", content)}


@pytest.fixture(autouse=True)
def quiet(settings, monkeypatch):
    settings.ROAD_ENGINE = "estimate"
    monkeypatch.setattr(
        tasks, "plan_season", lambda **_: None
    )  # the worker plans it: 16 s for each guess taken
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)
    monkeypatch.setattr(throttle, "count_up", lambda key, *, seconds: 1)
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


def books(kind: str) -> None:
    if kind == "empty":
        return
    call_command("load_demo", "--no-roads", verbosity=0)
    if kind == "ten seasons":
        make_seasons(last_on=date(2026, 9, 18), orders=2_000, seasons=10, seed=1)


@pytest.mark.parametrize("kind", ["empty", "demo", "ten seasons"])
def test_no_form_ends_in_a_500(kind):
    books(kind)
    user = User.objects.filter(username="ruth").first() or User.objects.create_superuser("ruth")
    client = Client(raise_request_exception=False)
    client.force_login(user)
    broken, sent, forms = [], 0, list(forms_of(client))

    for where, filled, files in forms:
        for name, value, wrong in wrong_values(filled, files):
            cache.clear()
            sent += 1
            if why := send(client, where, wrong):
                broken.append((where, name, value[:30], why))
                print(broken[-1], flush=True)

    print(f"{kind}: {len(forms)} forms, {sent} sent", flush=True)
    assert broken == []
    assert sent > 100 or ONLY
