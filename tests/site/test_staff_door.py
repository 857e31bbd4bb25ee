"""One door for staff: it can be neither guessed through nor closed by strangers."""

import re

import pytest
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import TOTP, format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.test import Client

from firewood_site import staff_door
from inventory.models import AuditEntry

pytestmark = pytest.mark.django_db
RIGHT = "split-in-spring"


def try_once(client, password, *, name="ruth", address="203.0.113.7", path="/log-in"):
    return client.post(path, {"login": name, "password": password}, REMOTE_ADDR=address)


def test_the_right_password_leads_to_the_page_of_ones_work(business, seller, driver):
    assert try_once(Client(), RIGHT)["Location"] == "/seller/"
    assert try_once(Client(), RIGHT, name="tam")["Location"].startswith("/driver/")
    inside = Client().post("/log-in", {"login": "ruth", "password": RIGHT, "next": "/seller/orders"})
    assert inside["Location"] == "/seller/orders"


def test_whoever_forgot_the_password_finds_a_link_on_the_log_in_page(business, seller):
    page = Client().get("/log-in").content.decode()

    assert '<a href="/staff/password/reset/">' in page
    assert "&lt;a" not in page


def test_a_network_that_guesses_is_stopped_even_with_the_right_password(business, seller):
    stranger = Client()
    for _try in range(staff_door.TRIES):
        assert try_once(stranger, "wrong-password").status_code == 200

    stopped = try_once(stranger, RIGHT)

    assert "Too many wrong tries" in stopped.content.decode()
    assert try_once(Client(), RIGHT, address="198.51.100.9").status_code == 302  # others are let in


def test_hopping_through_one_household_is_one_network(business, seller):
    for number in range(staff_door.TRIES):
        try_once(Client(), "wrong-password", address=f"2001:db8:1:2::{number + 1}")

    assert "Too many" in try_once(Client(), RIGHT, address="2001:db8:1:2::99").content.decode()


def test_strangers_all_over_the_world_cannot_guess_on_nor_lock_the_seller_out(business, seller, monkeypatch):
    monkeypatch.setattr(staff_door, "TRIES_ON_NAME", 12)
    at_home = Client()
    assert try_once(at_home, RIGHT, address="192.0.2.1").status_code == 302
    at_home.post("/log-out")

    for number in range(15):
        answer = try_once(Client(), "wrong-password", address=f"203.0.113.{number + 1}")
    assert "Too many" in answer.content.decode()
    assert "Too many" in try_once(Client(), RIGHT, address="198.51.100.9").content.decode()

    assert try_once(at_home, RIGHT, address="192.0.2.1").status_code == 302


def test_a_browser_known_to_one_is_a_stranger_to_another(business, seller, driver):
    tams = Client()
    try_once(tams, RIGHT, name="tam")
    tams.post("/log-out")
    for _try in range(staff_door.TRIES):
        try_once(tams, "wrong-password", name="ruth")

    assert "Too many" in try_once(tams, RIGHT, name="ruth").content.decode()


def test_the_admin_has_no_door_of_its_own(business, seller):
    seller.is_staff = True
    seller.save()
    stranger = Client()

    asked = stranger.get("/admin/login/")
    for _try in range(staff_door.TRIES):
        stranger.post("/admin/login/", {"username": "ruth", "password": "wrong-password"})
    posted = stranger.post("/admin/login/", {"username": "ruth", "password": RIGHT})

    assert asked["Location"].startswith("/log-in")
    assert posted.status_code == 302
    assert "_auth_user_id" not in stranger.session


def test_what_happened_at_the_door_is_in_the_audit_trail(business, seller):
    try_once(Client(), "wrong-password")
    try_once(Client(), RIGHT)

    assert list(AuditEntry.objects.order_by("id").values_list("verb", "thing")) == [
        ("log-in refused", "person ruth"),
        ("logged in", "person ruth"),
    ]
    assert "203.0.113.7" not in str(AuditEntry.objects.values_list("note"))


def test_nobody_adds_themselves(business):
    answer = Client().post("/staff/signup/", {"username": "mallory", "password1": "let-me-in-please"})

    assert b"mallory" not in answer.content
    assert answer.status_code in (200, 403)
    assert not staff_door.StaffDoor().is_open_for_signup(None)


def test_with_a_second_step_the_password_alone_opens_nothing(business, seller):
    secret = get_adapter().encrypt("JBSWY3DPEHPK3PXP")
    Authenticator.objects.create(user=seller, type=Authenticator.Type.TOTP, data={"secret": secret})
    client = Client()

    halfway = try_once(client, RIGHT)
    assert halfway["Location"].startswith("/staff/authenticate/")
    assert client.get("/seller/").status_code == 302
    counter = next(iter(yield_hotp_counters_from_time()))
    code = format_hotp_value(hotp_value("JBSWY3DPEHPK3PXP", counter))
    refused = client.post(halfway["Location"], {"code": "000000" if code != "000000" else "111111"})
    assert "That code or passkey doesn&#x27;t open this log-in" in refused.content.decode()
    assert AuditEntry.objects.filter(verb="second step refused", thing="person ruth").count() == 1
    done = client.post(halfway["Location"], {"code": code})

    assert (done.status_code, client.get("/seller/").status_code) == (302, 200)
    assert TOTP(Authenticator.objects.get()).instance.user == seller


@pytest.mark.parametrize("path", ["", "password/change/", "sessions/", "totp/activate/", "webauthn/add/"])
def test_the_pages_of_ones_own_log_in_keep_to_the_house(business, seller, path):
    client = Client()
    try_once(client, RIGHT)

    assert client.get("/staff/reauthenticate/").status_code == 200
    client.post("/staff/reauthenticate/", {"password": RIGHT})  # asked again before anything is changed
    page = client.get(f"/staff/{path}")

    assert page.status_code == 200
    html = page.content.decode()
    assert "site.css" in html
    assert not re.search(r"<script(?![^>]*(src=|application/json))", html)
    assert "style=" not in html


def test_a_changed_password_is_the_only_one_that_opens(business, seller):
    client = Client()
    try_once(client, RIGHT)

    client.post(
        "/staff/password/change/",
        {"oldpassword": RIGHT, "password1": "stack-it-in-june-77", "password2": "stack-it-in-june-77"},
    )

    assert try_once(Client(), RIGHT).status_code == 200
    assert try_once(Client(), "stack-it-in-june-77").status_code == 302
    assert AuditEntry.objects.filter(verb="password changed", thing="person ruth").count() == 1


def test_staff_read_their_own_language_whatever_the_browser_asks_for(business, seller_client):
    spanish = {"HTTP_ACCEPT_LANGUAGE": "es"}
    seller_client.cookies["django_language"] = "es"

    for path in ("/seller/", "/staff/password/change/"):
        page = seller_client.get(path, **spanish).content.decode()
        assert '<html lang="en">' in page
        assert "Contraseña" not in page
    assert "Contraseña" in Client().get("/log-in", **spanish).content.decode()  # nobody is known there yet
    assert '<html lang="es">' in Client().get("/", **spanish).content.decode()


def test_a_driver_who_is_turned_away_is_led_back_to_work(business, driver_client):
    refused = driver_client.get("/seller/")

    assert refused.status_code == 403
    assert '<a class="button" href="/log-in">Back to work</a>' in refused.content.decode()
    assert driver_client.get("/log-in")["Location"].startswith("/driver/")
    assert "Back to work" not in Client().get("/nothing-here").content.decode()


def test_where_one_is_logged_in_fits_a_phone(business, seller):
    inside = Client()
    try_once(inside, RIGHT)

    assert '<div class="table-wrap"' in inside.get("/staff/sessions/").content.decode()


def test_the_record_of_a_log_in_says_what_its_mark_is(business, seller):
    try_once(Client(), RIGHT)

    assert re.fullmatch(r"From network [0-9a-f]{8}\.", AuditEntry.objects.get(verb="logged in").note)
