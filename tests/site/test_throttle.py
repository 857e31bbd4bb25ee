"""So many a while: counted exactly however many count at once, and remembered as long as it is said."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache, caches
from django.core.management import call_command
from django.db import connection
from django.test import RequestFactory, override_settings
from django.utils import timezone

from firewood_site import roads_views, throttle
from tests.inventory.services.test_many_hands import BUYERS, all_at_once, shared_books  # noqa: F401

IN_THE_DATABASE = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "firewood_cache",
    }
}


@pytest.fixture
def database_cache(db: None) -> Any:
    with override_settings(CACHES=IN_THE_DATABASE):
        call_command("createcachetable", verbosity=0)
        yield caches["default"]


@pytest.mark.usefixtures("shared_books")
def test_no_count_is_lost_when_many_count_at_once(database_cache):
    said = all_at_once(lambda _place: str(throttle.count_up("throttle:race", seconds=600)))

    assert sorted(int(count) for count in said) == list(range(1, BUYERS + 1))


def test_a_count_is_remembered_for_its_whole_while(database_cache):
    for _time in range(3):
        throttle.count_up("throttle:long", seconds=3600)

    later = timezone.now() + timedelta(minutes=59)
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM firewood_cache WHERE expires > %s", [later])
        assert cursor.fetchone() == (1,)
    assert cache.get("throttle:long") == 3


@pytest.mark.django_db
def test_one_more_than_allowed_is_refused_and_another_sender_is_not(rf: RequestFactory):
    here, there = rf.get("/", REMOTE_ADDR="10.0.0.1"), rf.get("/", REMOTE_ADDR="10.0.0.2")
    for _time in range(3):
        throttle.count_or_refuse(here, "try", most=3, minutes=10)

    with pytest.raises(throttle.TooMany):
        throttle.count_or_refuse(here, "try", most=3, minutes=10)
    throttle.count_or_refuse(there, "try", most=3, minutes=10)


@pytest.mark.django_db
def test_a_searcher_that_never_stops_is_told_so_quietly(client, monkeypatch, business):
    monkeypatch.setattr(roads_views, "LOOKS_A_WHILE", 3)

    codes = [client.get("/roads/streets?q=mill").status_code for _time in range(4)]
    last = client.get("/roads/streets?q=mill")

    assert codes == [200, 200, 200, 429]
    assert last.json()["hits"] == []
    assert "Keep the address as you typed it" in last.json()["told"]
    assert client.get("/roads/near?lat=44&lon=-150").status_code == 429
    assert client.get("/roads/near").status_code == 200  # where a map opens is no search


@pytest.mark.django_db
def test_staff_search_as_often_as_they_like(logged_in, seller, monkeypatch):
    monkeypatch.setattr(roads_views, "LOOKS_A_WHILE", 1)
    desk = logged_in(seller)

    assert {desk.get("/roads/streets?q=mill").status_code for _time in range(4)} == {200}
