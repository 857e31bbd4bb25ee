"""What a helper may do: the wood, new requests and the days. Money they see and change none of it.

An address that is named nowhere here can be read and not written, so a new one never opens money by itself.
"""

from django.urls import Resolver404, resolve

MAY_WRITE = frozenset({
    # wood
    "log", "log-photo", "log-take-back", "reading", "restack", "lot-change", "hold-release",
    "work-change", "work-remove", "wood-photo-add",
    # new requests, at the price the sheet says
    "text-back", "text-back-order", "order-confirm", "order-decline", "order-note", "order-place-confirmed",
    "order-move-wood", "order-came-home", "order-fetched", "order-write-ticket", "order-letter",
    "told", "waiting-add", "waiting-step",
    # days
    "days-together", "day-plan", "day-commit", "day-take-back", "day-clear", "day-edit", "day-job-stop",
    "pool-put", "shuts", "shut-open", "rig-out",
})  # fmt: skip

MAY_NOT_READ = frozenset({
    # people, what they do, and what is kept of customers
    "set-up", "settings", "texts", "bring-in", "export-files", "audit", "customer-export", "customer-merge",
    "money-bank",
    # pages that are nothing but a form a helper can't send
    "prices-new", "order-change", "yard-new", "yard", "unit-new", "unit", "species-new",
    "species-own", "rig-new", "driver-new", "driver-one",
})  # fmt: skip

REFUSAL = "Only somebody who sells may do this: helpers see the money and change none. Nothing was changed."


def may(method: str | None, name: str | None) -> bool:
    """Whether a helper may ask for the page of this name in this way."""
    return name not in MAY_NOT_READ if method in ("GET", "HEAD", "OPTIONS") else name in MAY_WRITE


def may_open(href: str) -> bool:
    """Whether a link leads a helper anywhere."""
    try:
        return may("GET", resolve(href.partition("?")[0].partition("#")[0]).url_name)
    except Resolver404:
        return True  # a phone number, a part of this page
