"""What each kind of message to a customer is called on the seller's pages."""

from django.utils.translation import gettext, gettext_noop

NAMES = {
    "asked": gettext_noop("new request"),
    "brings_more": gettext_noop("more wood comes"),
    "cancelled": gettext_noop("cancelled"),
    "claim_answered": gettext_noop("complaint answered"),
    "confirmed": gettext_noop("confirmed"),
    "confirmed_deposit": gettext_noop("confirmed, with a deposit"),
    "day_moved": gettext_noop("moved"),
    "day_off": gettext_noop("taken off the day"),
    "day_set": gettext_noop("day and hours"),
    "declined": gettext_noop("declined"),
    "delivered": gettext_noop("delivered"),
    "drive_shared": gettext_noop("a neighbor joins"),
    "late": gettext_noop("late"),
    "link_again": gettext_noop("their link again"),
    "make_good": gettext_noop("make-good"),
    "neighbor_left": gettext_noop("a neighbor has cancelled"),
    "no_show": gettext_noop("nobody was there"),
    "on_the_way": gettext_noop("on the way"),
    "pay_first": gettext_noop("pay first"),
    "pool_waiting": gettext_noop("waits for a far load"),
    "reminder": gettext_noop("reminder"),
    "wet_answer": gettext_noop("wet claim answered"),
    "within_tolerance": gettext_noop("short claim refused"),
    "wood_ready": gettext_noop("wood can be had"),
}


def letter_name(kind: str) -> str:
    """Its name in the reader's language; a kind of older books by its own word."""
    return gettext(NAMES[kind]) if kind in NAMES else kind.replace("_", " ")
