"""Signed links of orders: short enough for a text, good for one order, ended by age or by a new secret."""

import time
from uuid import UUID

import pytest

from firewood_site import access
from firewood_site.access import LINK_DAYS, is_order_token, order_number_of, order_path, order_token

MINE = UUID("a5552239-285f-4556-bd6c-329626f6edd7")
OTHER = UUID("382541cd-9f08-44e0-8d5b-c460a41fb7e8")


def believed(token, secret=MINE):
    return order_number_of(token) is not None and is_order_token(token, secret)


def test_a_link_names_its_order_and_is_believed():
    token = order_token(213, MINE)

    assert order_number_of(token) == 213
    assert believed(token)


def test_a_link_is_short_enough_for_a_text_message():
    assert len(order_path(99_999, MINE)) < 40


def test_a_link_tells_nothing_of_the_secret():
    assert MINE.hex[:8] not in order_token(213, MINE)


def test_a_new_secret_ends_old_links():
    assert not believed(order_token(213, MINE), OTHER)


def test_another_number_day_or_signature_is_not_believed():
    number, made, signature = order_token(213, MINE).split("-", 2)

    assert not believed(f"{access.signing.b62_encode(214)}-{made}-{signature}")
    day_after = access.signing.b62_encode(access.signing.b62_decode(made) + 1)
    assert not believed(f"{number}-{day_after}-{signature}")
    assert not believed(f"{number}-{made}-{signature[:-1]}{'A' if signature[-1] != 'A' else 'B'}")
    assert not believed(f"{number}-{made}-{signature[:10]}")


def test_a_link_ends_after_a_season_and_the_reminder(monkeypatch):
    token = order_token(213, MINE)
    later = time.time() + (LINK_DAYS + 1) * 86_400
    monkeypatch.setattr(access.time, "time", lambda: later)

    assert order_number_of(token) is None


@pytest.mark.parametrize(
    "token",
    ["", "-", "--", "a", "3R-", "3R--x", "zzzzzzzzzzzzzzzzzzz-1-x", "3R-zzzzzzzz-x", "ñ-1-x", "-1-2-x"],
)
def test_what_is_no_link_of_ours_is_refused_quietly(token):
    assert order_number_of(token) is None
