"""Every seller's and driver's address refuses strangers, whatever is added later."""

from collections.abc import Iterator
from uuid import UUID

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

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


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), SELLER)
def test_a_driver_may_not_open_the_sellers_pages(driver_client, name, path):
    assert driver_client.get(path).status_code == 403, name


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "path"), DRIVER + SELLER)
def test_a_log_in_without_a_part_in_the_business_is_refused(business, outsider, logged_in, name, path):
    assert logged_in(outsider).get(path).status_code == 403, name
