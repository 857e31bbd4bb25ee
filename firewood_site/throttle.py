"""Keeping machines out of the public forms: a rate limit, a honeypot and a signed timestamp."""

import hashlib
import time
from ipaddress import IPv6Address, IPv6Network, ip_address

from django.conf import settings
from django.core import signing
from django.core.cache import cache, caches
from django.core.cache.backends.db import DatabaseCache
from django.db import connection, transaction
from django.http import HttpRequest
from django.utils.translation import gettext as _

from firewood_site.refusals import PageRefusal

TRAP = "website"  # a field people never see; machines fill it
STAMP = "stamp"
STAMP_SALT = "firewood.form-stamp"
SOONEST_SECONDS = 1.0
OLDEST_SECONDS = 12 * 3600
HOUSEHOLD_BITS = 64  # the smallest IPv6 network handed to a subscriber (RFC 6177)


class TooMany(PageRefusal):
    """Too many of one thing from one address in a while."""

    status = 429

    def __init__(self, *, minutes: int) -> None:
        self.minutes = minutes
        super().__init__(
            _("That was a lot at once. Wait %(minutes)s minutes, or call us.") % {"minutes": minutes}
        )


class LooksLikeAMachine(PageRefusal):
    def __init__(self) -> None:
        super().__init__(
            _("This form was not filled in by hand as far as we can tell. Reload it, or call us.")
        )


def network_of(request: HttpRequest) -> str:
    """Where a request came from: an IPv4 address, or the 64 bits of an IPv6 one that name a household.

    Behind our proxy it is the last hop that proxy wrote down: what a sender writes into the header itself
    stands before it and counts for nothing.
    """
    address = str(request.META.get("REMOTE_ADDR", ""))
    if settings.BEHIND_PROXY:
        address = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip() or address
    try:
        known = ip_address(address)
    except ValueError:
        return address
    if isinstance(known, IPv6Address):
        if known.ipv4_mapped is not None:
            return str(known.ipv4_mapped)
        return str(IPv6Network((known, HOUSEHOLD_BITS), strict=False).network_address)
    return str(known)


def sender(request: HttpRequest) -> str:
    """The network a request came from, hashed so that none is kept."""
    address = network_of(request)
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


def stamp(key: object) -> str:
    """A signed moment for a hidden field: when the form with this key was shown. It serves that key alone."""
    return signing.dumps([round(time.time(), 1), str(key)], salt=STAMP_SALT)


def check_form(request: HttpRequest) -> None:
    """Refuse a filled trap, a form sent sooner than a hand can, or one without the stamp of its own key.

    Errors
        LooksLikeAMachine
    """
    if request.POST.get(TRAP, "").strip():
        raise LooksLikeAMachine
    try:
        shown, key = signing.loads(request.POST.get(STAMP, ""), salt=STAMP_SALT, max_age=OLDEST_SECONDS)
    except (signing.BadSignature, ValueError, TypeError) as error:
        raise LooksLikeAMachine from error
    if key != request.POST.get("key") or time.time() - shown < SOONEST_SECONDS:
        raise LooksLikeAMachine
