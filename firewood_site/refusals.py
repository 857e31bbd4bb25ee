"""A refusal in the customer's language: the core's own sentence in English, else built from its fields."""

from collections.abc import Callable
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from firewood_site.templatetags.firewood import day as day_words
from firewood_site.wood_words import WOODS, amount_in_words
from inventory.selectors.business import BusinessRow, business
from orders.core import lifecycle, picking, pricing
from orders.services import asking, customers


def refusal_words(error: Exception) -> str:
    """The sentence to show a customer; the core's own English where there is no other."""
    if (get_language() or "en").startswith("en"):
        return str(error)
    said = _SAYINGS.get(type(error))
    return str(error) if said is None else said(error, business())


def _amount(cords: Any, seller: BusinessRow) -> str:
    return amount_in_words(cords, seller) if cords else _("nothing")


def _wood(name: str) -> str:
    return str(WOODS.get(name, name))


def _no_such_wood(error: Any, seller: BusinessRow) -> str:
    return _("We have no %(wood)s now: choose another wood, or ask us when there will be some.") % {
        "wood": _wood(error.wood)
    }


def _not_enough(error: Any, seller: BusinessRow) -> str:
    return _("%(wanted)s of %(wood)s was asked for and %(left)s is open: take less, or another wood.") % {
        "wanted": _amount(error.wanted, seller),
        "wood": _wood(error.wood),
        "left": _amount(error.open_cords, seller),
    }


def _not_dry(error: Any, seller: BusinessRow) -> str:
    if error.first_on is None:
        return _("Not enough %(wood)s is dry and no date can be given yet: take another wood.") % {
            "wood": _wood(error.wood)
        }
    return _("Not enough %(wood)s is dry by then; the first day is %(day)s. Take less or another wood.") % {
        "wood": _wood(error.wood),
        "day": day_words(error.first_on),
    }


def _below_minimum(error: Any, seller: BusinessRow) -> str:
    return _("We bring %(minimum)s or more there: take a little more, or fetch it at the yard.") % {
        "minimum": _amount(error.minimum, seller)
    }


def _too_far(error: Any, seller: BusinessRow) -> str:
    return _(
        "That is %(miles)s miles away and we drive %(most)s at most: you may fetch the wood at the yard."
    ) % {
        "miles": f"{error.miles.normalize():f}",
        "most": f"{error.longest_miles.normalize():f}",
    }


def _bad_phone(error: Any, seller: BusinessRow) -> str:
    return _("%(typed)s does not look like a phone number: write it with its area code.") % {
        "typed": error.typed
    }


def _too_old(error: Any, seller: BusinessRow) -> str:
    return _("This price stood until %(day)s: ask for it again, it takes a moment.") % {
        "day": day_words(error.last_day)
    }


def _too_late(error: Any, seller: BusinessRow) -> str:
    return _("It is too late to change this order here: call us.")


def _not_offered(error: Any, seller: BusinessRow) -> str:
    return _("%(day)s is not among the days on offer: choose one of those shown.") % {
        "day": day_words(error.on)
    }


_SAYINGS: dict[type[Exception], Callable[[Any, BusinessRow], str]] = {
    picking.NoSuchWood: _no_such_wood,
    picking.NotEnoughWood: _not_enough,
    picking.NothingDryEnough: _not_dry,
    pricing.BelowMinimum: _below_minimum,
    pricing.TooFar: _too_far,
    customers.BadPhone: _bad_phone,
    asking.QuoteTooOld: _too_old,
    asking.DayNotOffered: _not_offered,
    lifecycle.TooLateToChange: _too_late,
}
