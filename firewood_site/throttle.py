"""Keeping machines out of the public forms: so many a while, a trap field, and a form's age, signed."""

import hashlib
import time

from django.conf import settings
from django.core import signing
from django.core.cache import cache
from django.http import HttpRequest
from django.utils.translation import gettext as _

TRAP = "website"  # a field people never see; machines fill it
STAMP = "stamp"
STAMP_SALT = "firewood.form-stamp"
SOONEST_SECONDS = 1.0
OLDEST_SECONDS = 12 * 3600


class TooMany(Exception):
    """Too many of one thing from one address in a while."""

    def __init__(self, *, minutes: int) -> None:
        self.minutes = minutes
        super().__init__(
            _("That was a lot at once. Wait %(minutes)s minutes, or call us.") % {"minutes": minutes}
        )


class LooksLikeAMachine(Exception):
    def __init__(self) -> None:
        super().__init__(
            _("This form was not filled in by hand as far as we can tell. Reload it, or call us.")
        )


def sender(request: HttpRequest) -> str:
    """The address a request came from, hashed so that none is kept.

    Behind the proxy that brings HTTPS it is the last hop that proxy wrote down: what a sender writes into
    the header itself stands before it and counts for nothing.
    """
    address = str(request.META.get("REMOTE_ADDR", ""))
    if settings.SECURE_PROXY_SSL_HEADER:
        address = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip() or address
    return hashlib.sha256(f"firewood:{address}".encode()).hexdigest()[:24]


def count_or_refuse(request: HttpRequest, what: str, *, most: int, minutes: int) -> None:
    """Count one act of this sender.

    Errors
        TooMany: it was more than `most` in the window.
    """
    window = int(time.time() // (minutes * 60))
    key = f"throttle:{what}:{sender(request)}:{window}"
    cache.add(key, 0, minutes * 60)
    try:
        count = cache.incr(key)
    except ValueError:  # it lapsed between the two
        cache.set(key, 1, minutes * 60)
        count = 1
    if count > most:
        raise TooMany(minutes=minutes)


def stamp() -> str:
    """A signed moment for a hidden field: when the form was shown."""
    return signing.dumps(round(time.time(), 1), salt=STAMP_SALT)


def check_form(request: HttpRequest) -> None:
    """Refuse a filled trap, a form sent sooner than a hand can, or one without a true stamp.

    Errors
        LooksLikeAMachine
    """
    if request.POST.get(TRAP, "").strip():
        raise LooksLikeAMachine
    try:
        shown = float(signing.loads(request.POST.get(STAMP, ""), salt=STAMP_SALT, max_age=OLDEST_SECONDS))
    except (signing.BadSignature, ValueError, TypeError) as error:
        raise LooksLikeAMachine from error
    if time.time() - shown < SOONEST_SECONDS:
        raise LooksLikeAMachine
