"""A fixed day, the people who look at pages, and the seller they look at."""

import gc
import os
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import Group, User
from django.contrib.sessions.backends.db import SessionStore
from django.core.cache import cache
from django.test import Client
from django.utils import timezone, translation

from inventory.core import local
from inventory.models import Business
from inventory.selectors import species as own_species
from routing.selectors.roads import kept_roads

A_DAY = date(2026, 9, 18)
POSTGRES = os.environ.get("DATABASE_URL", "").startswith("postgres")
BROWSER = os.environ.get("TEST_BROWSER") == "1"
local.remember(local.Local())
own_species.remember({})  # tests of the core, and lists made while tests are gathered, ask no database


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What needs a server or a browser is skipped with a reason, unless its own make target runs it."""
    for item in items:
        if item.get_closest_marker("postgres") and not POSTGRES:
            item.add_marker(pytest.mark.skip(reason="needs PostgreSQL: run make test-postgres"))
        if item.get_closest_marker("browser") and not BROWSER:
            item.add_marker(pytest.mark.skip(reason="needs a browser: run make test-browser"))


def pytest_collection_finish() -> None:
    """What was imported stays: looking it through for garbage took a fifth of the tests' time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 1_000)


@pytest.fixture(autouse=True)
def _empty_cache() -> None:
    """Counters of throttles must not leak from one test into the next, nor roads and woods it read."""
    cache.clear()
    translation.activate("en")  # a page asked for in Spanish leaves its language behind
    kept_roads.forget()
    own_species.remember({})
    local.remember(local.Local())


@pytest.fixture
def a_day() -> date:
    """Friday, September 18, 2026, the day of the invented scenario."""
    return A_DAY


@pytest.fixture
def an_instant() -> datetime:
    return timezone.make_aware(datetime(2026, 9, 18, 9, 30))


@pytest.fixture
def business(db: Any) -> Business:
    return Business.objects.create(
        name="Quarrel Ridge Wood",
        owner="Ruth Averill",
        address="Siding Road 4, Marrow Bridge",
        phone="+15415550100",
        email="wood@quarrelridge.example",
        pinned_today=A_DAY,
    )


def _person(name: str, group: str | None) -> User:
    user = User.objects.create_user(name, password="split-in-spring")
    if group:
        user.groups.add(Group.objects.get_or_create(name=group)[0])
    return user


@pytest.fixture
def seller(db: Any) -> User:
    return _person("ruth", "sellers")


@pytest.fixture
def driver(db: Any) -> User:
    return _person("tam", "drivers")


@pytest.fixture
def helper(db: Any) -> User:
    return _person("joss", "helpers")


@pytest.fixture
def outsider(db: Any) -> User:
    """Somebody with a log-in who neither sells nor drives."""
    return _person("hob", None)


@pytest.fixture
def logged_in() -> Callable[[User], Client]:
    def open_client(user: User) -> Client:
        """As `force_login` does, in one query of its eight; nobody's choice of language is read."""
        client = Client()
        session = SessionStore()
        session.update(
            {
                SESSION_KEY: str(user.pk),
                BACKEND_SESSION_KEY: settings.AUTHENTICATION_BACKENDS[0],
                HASH_SESSION_KEY: user.get_session_auth_hash(),
            }
        )
        session.save()
        client.cookies[settings.SESSION_COOKIE_NAME] = session.session_key
        return client

    return open_client


@pytest.fixture
def seller_client(business: Business, seller: User, logged_in: Callable[[User], Client]) -> Client:
    return logged_in(seller)


@pytest.fixture
def driver_client(business: Business, driver: User, logged_in: Callable[[User], Client]) -> Client:
    return logged_in(driver)


@pytest.fixture
def helper_client(business: Business, helper: User, logged_in: Callable[[User], Client]) -> Client:
    return logged_in(helper)
