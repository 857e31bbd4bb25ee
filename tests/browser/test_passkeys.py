"""A seller's passkey in Chromium, with the browser's own virtual authenticator: kept, used, taken away."""

from collections.abc import Callable

import pytest
from allauth.mfa.models import Authenticator
from playwright.sync_api import Page, expect

from inventory.models import AuditEntry
from tests.browser.conftest import fits, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

A_PHONE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def _with_authenticator(page: Page) -> None:
    """Give the page a device that holds passkeys and whose owner says yes."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    devtools.send("WebAuthn.addVirtualAuthenticator", {"options": A_PHONE})


def _give_password_again(page: Page) -> None:
    """Pages that change how one logs in ask for the password once more."""
    page.wait_for_load_state()
    assert "/staff/reauthenticate/" in page.url
    page.get_by_placeholder("Password").fill("split-in-spring")
    page.get_by_role("button", name="Confirm").click()
    page.wait_for_load_state()


def _keep_a_passkey(page: Page) -> None:
    page.goto("/staff/webauthn/add/")
    _give_password_again(page)
    page.get_by_label("Name").fill("Ruth's phone")
    page.get_by_label("Passwordless").check()
    page.get_by_role("button", name="Add").click()
    page.wait_for_url("**/recovery-codes/**")


def _log_out(page: Page) -> None:
    page.context.clear_cookies()
    page.goto("/seller/")
    assert "/log-in" in page.url


@pytest.mark.usefixtures("shop", "seller")
def test_a_passkey_is_kept_and_opens_the_door_without_a_password(
    open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Callable[..., None]
):
    page = open_page("/log-in")
    _with_authenticator(page)
    log_in(page, "ruth")
    _keep_a_passkey(page)
    fits(page), axe(page), shot(page, "passkey-added")
    assert Authenticator.objects.filter(user__username="ruth", type="webauthn").count() == 1
    _log_out(page)

    page.get_by_role("button", name="Log in with a passkey").click()
    page.wait_for_url("**/seller/")

    expect(page.get_by_role("link", name="Log it").first).to_be_visible()
    assert AuditEntry.objects.filter(who="ruth", verb="logged in").count() == 2


@pytest.mark.usefixtures("shop", "seller")
def test_with_a_passkey_the_password_alone_opens_nothing_until_it_is_taken_away(
    open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Callable[..., None]
):
    page = open_page("/log-in")
    _with_authenticator(page)
    log_in(page, "ruth")
    _keep_a_passkey(page)
    _log_out(page)

    log_in(page, "ruth")
    page.wait_for_url("**/staff/authenticate/**")
    fits(page), axe(page), shot(page, "passkey-second-step")
    page.get_by_role("button", name="Use your passkey").click()
    page.wait_for_url("**/seller/")
    page.goto("/staff/webauthn/")
    page.get_by_role("link", name="Remove").click()
    _give_password_again(page)
    page.get_by_role("button", name="Remove").click()
    page.wait_for_load_state()
    assert not Authenticator.objects.filter(type="webauthn").exists()
    _log_out(page)

    page.get_by_role("button", name="Log in with a passkey").click()
    expect(page.get_by_text("That code or passkey doesn't open this log-in")).to_be_visible()
    assert list(AuditEntry.objects.filter(verb__startswith="passkey").values_list("verb", flat=True)) == [
        "passkey removed",
        "passkey added",
    ]
    shot(page, "passkey-gone")
