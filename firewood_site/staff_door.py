"""The one door for staff, the admin included: how often it may be tried, and what is noted of it.

A stranger is limited by the network they come from and, over all networks, by the name they try. A browser
that this person has signed in with before carries a signed mark and is counted by itself: guessing from
elsewhere can't lock the owner out of it (OWASP, "Device cookies").
"""

import secrets
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.signals import password_changed
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from allauth.mfa.signals import authentication_failed, authenticator_added, authenticator_removed
from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core import signing
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from firewood_site.access import HELPERS, SELLERS, roles_of
from firewood_site.throttle import count_up, network_of, sender
from inventory.services import audit

TRIES, TRIES_SECONDS = 6, 600  # from one network, or from one known browser
TRIES_ON_NAME, NAME_SECONDS = 60, 3600  # on one name by all strangers together
MARK = "known_browser"
MARK_SALT = "firewood.known-browser"
MARK_SECONDS = 400 * 86400
STEPS = {"totp": "code app", "webauthn": "passkey", "recovery_codes": "recovery codes"}
LOG_INS = ("logged in", "log-in refused", "log-in stopped", "second step refused")  # kept for a while only
MOST_LETTERS = 80  # of a name that was typed
TOO_MANY = "Too many wrong tries. Wait ten minutes, or use a browser you signed in with before."


class StaffDoor(DefaultAccountAdapter):
    """Signing in, as far as it is ours to decide."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False  # people are added by the seller

    def get_client_ip(self, request: HttpRequest) -> str:
        return network_of(request)

    def get_login_redirect_url(self, request: HttpRequest) -> str:
        return reverse("today") if roles_of(request.user) & {SELLERS, HELPERS} else reverse("run-today")

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """Count the try before the password is looked at, so that none slips by while others are judged.

        Errors
            ValidationError: too many.
        """
        name = _name(credentials)
        for key, most, seconds in _counters(request, name):
            tries = count_up(key, seconds=seconds)
            if tries > most:
                if tries == most + 1:
                    _note("log-in stopped", name, request)
                raise ValidationError(TOO_MANY)

    def authentication_failed(self, request: HttpRequest, **credentials: Any) -> None:
        _note("log-in refused", _name(credentials), request)

    def post_login(self, request: HttpRequest, user: AbstractBaseUser, **more: Any) -> HttpResponse:
        answer = super().post_login(request, user, **more)
        name = user.get_username().lower()
        mark = _mark(request, name) or secrets.token_urlsafe(12)
        cache.delete_many([f"log-in:browser:{mark}", f"log-in:from:{sender(request)}"])
        answer.set_cookie(
            MARK,
            signing.dumps([name, mark], salt=MARK_SALT),
            max_age=MARK_SECONDS,
            httponly=True,
            secure=settings.HTTPS,
            samesite="Lax",
        )
        _note("logged in", name, request)
        return answer


class SecondStep(DefaultMFAAdapter):
    """Codes and passkeys, as far as their words are ours."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": "That code or passkey doesn't open this log-in. Try again, or use your password.",
    }


def record_the_door() -> None:
    """From now on the trail tells of changed passwords, and of second steps added, removed and refused."""
    password_changed.connect(_password_changed)
    authenticator_added.connect(_step_added)
    authenticator_removed.connect(_step_removed)
    authentication_failed.connect(_step_refused)


def _password_changed(request: HttpRequest, user: AbstractBaseUser, **_more: Any) -> None:
    _note("password changed", user.get_username(), request)


def _step_added(
    request: HttpRequest, user: AbstractBaseUser, authenticator: Authenticator, **_more: Any
) -> None:
    _note(f"{STEPS[authenticator.type]} added", user.get_username(), request)


def _step_removed(
    request: HttpRequest, user: AbstractBaseUser, authenticator: Authenticator, **_more: Any
) -> None:
    _note(f"{STEPS[authenticator.type]} removed", user.get_username(), request)


def _step_refused(request: HttpRequest, user: AbstractBaseUser, **_more: Any) -> None:
    _note("second step refused", user.get_username(), request)


def _counters(request: HttpRequest, name: str) -> list[tuple[str, int, int]]:
    """Under which keys a try is counted: key, how many are allowed, for how many seconds."""
    mark = _mark(request, name)
    if mark:
        return [(f"log-in:browser:{mark}", TRIES, TRIES_SECONDS)]
    on_name = f"log-in:name:{name.encode().hex()}"
    return [
        (f"log-in:from:{sender(request)}", TRIES, TRIES_SECONDS),
        (on_name, TRIES_ON_NAME, NAME_SECONDS),
    ]


def _mark(request: HttpRequest, name: str) -> str:
    """The mark of a browser this person signed in with before; empty for a stranger's."""
    try:
        known, mark = signing.loads(request.COOKIES.get(MARK, ""), salt=MARK_SALT, max_age=MARK_SECONDS)
    except (signing.BadSignature, ValueError, TypeError):
        return ""
    return str(mark) if known == name else ""


def _name(credentials: dict[str, Any]) -> str:
    return str(credentials.get("username") or "")[:MOST_LETTERS].lower()


def _note(verb: str, name: str, request: HttpRequest) -> None:
    audit.note(
        at=timezone.now(),
        who=name[:40],
        verb=verb,
        thing=f"person {name[:30]}",
        note=f"From network {sender(request)[:8]}.",
    )
