"""Somebody is let in by a link or by a code read aloud, once, and mends a forgotten password the same way."""

import re
from urllib.parse import urlparse

import pytest
from django.contrib.auth.models import User
from django.test import Client

pytestmark = pytest.mark.django_db
OWN = "bark-and-resin"


@pytest.fixture
def invited(seller_client, driver):
    """The page that shows Tam's invitation, once."""
    return seller_client.post(f"/seller/set-up/person/{driver.pk}/invite").content.decode()


def link_in(page):
    return urlparse(re.search(r'id="invite-link">(.+?)<', page)[1]).path


def test_by_the_link_they_choose_a_password_and_are_in(invited, seller_client):
    phone = Client()
    assert "Welcome, tam" in phone.get(link_in(invited)).content.decode()

    assert phone.post(link_in(invited), {"password": OWN}).url == "/driver/"

    assert phone.get("/driver/").status_code == 200
    assert phone.get("/seller/").status_code == 403
    assert User.objects.get(username="tam").check_password(OWN)
    again = Client().get(link_in(invited))
    assert again.status_code == 404
    assert "Ask for another" in again.content.decode()
    assert link_in(invited) not in seller_client.get("/seller/set-up").content.decode()


def test_by_the_code_read_aloud_they_sign_in_and_the_link_is_over(invited):
    code = re.search(r'"nowrap">(.+?)<', invited)[1]
    assert re.fullmatch(r"([a-z2-9]{4}-){2}[a-z2-9]{4}", code)
    phone = Client()

    assert phone.post("/log-in", {"login": "tam", "password": code}).status_code == 302

    assert phone.get("/driver/").status_code == 200
    assert Client().get(link_in(invited)).status_code == 404


def test_a_second_invitation_ends_the_first_and_what_was_signed_in_with(invited, seller_client, driver):
    second = seller_client.post(f"/seller/set-up/person/{driver.pk}/invite").content.decode()

    assert Client().get(link_in(invited)).status_code == 404
    assert Client().get(link_in(second)).status_code == 200
    assert not User.objects.get(username="tam").check_password("split-in-spring")


@pytest.mark.parametrize(
    "token", ["x", "1-", "-", "zz-abc", "999999999999999999999999-x", "1-cabc-" + "0" * 32]
)
def test_a_made_up_link_lets_nobody_in(token):
    assert Client().get(f"/join/{token}").status_code == 404


def test_a_weak_password_is_refused_in_words_and_the_link_still_works(invited):
    answer = Client().post(link_in(invited), {"password": "short"})

    assert answer.status_code == 422
    assert "too short" in answer.content.decode()
    assert Client().post(link_in(invited), {"password": OWN}).status_code == 302


def test_nobody_invites_themselves_or_whoever_installed_the_app(seller_client, seller, driver_client):
    root = User.objects.create_superuser("root")

    for user_id, said in (
        (seller.pk, "That is yourself"),
        (root.pk, "installed this app"),
        (999, "any more"),
    ):
        page = seller_client.post(f"/seller/set-up/person/{user_id}/invite", follow=True).content.decode()
        assert said in page
    assert driver_client.post(f"/seller/set-up/person/{seller.pk}/invite").status_code == 403
