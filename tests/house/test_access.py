"""Every address against everybody: who may look and who may write, whatever is added later."""

from collections.abc import Iterator
from uuid import UUID

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from firewood_site.helper_rights import MAY_NOT_READ, MAY_WRITE

OPEN_DOORS = {"manifest", "service-worker"}  # an installed phone fetches these before anyone logs in
SAMPLES = {"int": 1, "row": 1, "str": "x", "slug": "x", "uuid": UUID(int=1), "path": "x", "year": 2026}


def _patterns(resolver: URLResolver, above: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        route = above + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from _patterns(entry, route)
        else:
            yield route, entry


def _guarded(door: str) -> list[tuple[str, str]]:
    found = []
    for route, entry in _patterns(get_resolver()):
        if not route.startswith(door) or entry.name in OPEN_DOORS or entry.name is None:
            continue
        wanted = {}
        for name, converter in entry.pattern.converters.items():
            kind = type(converter).__name__.removesuffix("Converter").lower()
            wanted[name] = "2026-09-18" if name in ("on", "day") else SAMPLES.get(kind, "x")
        found.append((entry.name, reverse(entry.name, kwargs=wanted)))
    return found


SELLER = _guarded("seller/")
DRIVER = _guarded("driver/")


def test_there_are_pages_to_guard():
    assert len(SELLER) > 30
    assert len(DRIVER) > 4


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), SELLER + DRIVER)
def test_a_stranger_is_sent_to_log_in(client, business, name, path):
    answer = client.get(path)

    assert answer.status_code == 302, name
    assert answer["Location"].startswith("/log-in")
    assert client.post(path)["Location"].startswith("/log-in"), name


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), SELLER)
def test_a_driver_may_not_open_the_sellers_pages(driver_client, name, path):
    assert driver_client.get(path).status_code == 403, name
    assert driver_client.post(path).status_code == 403, name


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), DRIVER + SELLER)
def test_a_log_in_without_a_part_in_the_business_is_refused(business, outsider, logged_in, name, path):
    client = logged_in(outsider)

    assert client.get(path).status_code == 403, name
    assert client.post(path).status_code == 403, name


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), SELLER)
def test_a_helper_reads_and_writes_what_is_named_for_helpers_and_nothing_else(helper_client, name, path):
    assert (helper_client.get(path).status_code == 403) == (name in MAY_NOT_READ), name
    assert (helper_client.post(path).status_code == 403) == (name not in MAY_WRITE), name


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), DRIVER)
def test_a_helper_sees_a_run_and_books_nothing_on_it(helper_client, name, path):
    assert helper_client.get(path).status_code != 403, name
    assert helper_client.post(path).status_code == 403, name


def test_what_helpers_may_is_said_of_addresses_that_are_there():
    assert {name for name, _path in SELLER} >= MAY_WRITE | MAY_NOT_READ


@pytest.mark.parametrize(
    "name",
    [
        "order-pay", "order-give-back", "order-check-returned", "order-undo-payment", "order-keep-money",
        "order-change", "text-back-counter", "prices-new", "claim-settle", "expense", "expense-remove",
        "rig-cost", "customer-pay-first", "order-call-off", "settings", "set-up-role", "set-up-add",
    ],
)  # fmt: skip
def test_no_helper_writes_money_prices_or_people(name):
    assert name in dict(SELLER)
    assert name not in MAY_WRITE
