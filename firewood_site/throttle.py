"""Keeping machines out of the public forms: so many a while, a trap field, and a form's age, signed."""

import hashlib
import time

from django.conf import settings
from django.core import signing
from django.core.cache import cache, caches
from django.core.cache.backends.db import DatabaseCache
from django.db import connection, transaction
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
    if count_up(f"throttle:{what}:{sender(request)}:{window}", seconds=minutes * 60) > most:
        raise TooMany(minutes=minutes)


def count_up(key: str, *, seconds: int) -> int:
    """One more under this key, and how many that makes; forgotten `seconds` after the last one.

    Exact however many count at once: a transaction on SQLite begins by taking the one write lock, and on
    PostgreSQL the counter's row is held. The cache's own `incr` reads and writes apart, and forgets after
    its default five minutes.
    """
    with transaction.atomic():
        cache.add(key, 0, seconds)
        _hold_row(key)
        count = int(cache.get(key, 0)) + 1
        cache.set(key, count, seconds)
    return count


def _hold_row(key: str) -> None:
    """Keep others from a counter in the database until this transaction ends."""
    kept = caches["default"]
    if not isinstance(kept, DatabaseCache) or not connection.features.has_select_for_update:
        return
    table = connection.ops.quote_name(kept._table)  # type: ignore[attr-defined]  # createcachetable reads it so
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT 1 FROM {table} WHERE cache_key = %s FOR UPDATE",  # a setting's own name, no one's words
            [kept.make_and_validate_key(key)],
        )


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
