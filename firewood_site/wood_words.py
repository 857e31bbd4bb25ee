"""Names of woods, dryness, states and price lines, ready for translation."""

from fractions import Fraction

from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from inventory.selectors.business import BusinessRow
from orders.core.places import GENERAL_RULE, amount_words, place_rule

WOODS = {
    "fir": _("fir"),
    "hardwood": _("hardwood"),
    "mixed": _("mixed wood"),
    "kindling": _("kindling"),
    "logs": _("log length"),
}
DRYNESS = {
    "seasoned": _("seasoned"),
    "part_seasoned": _("part seasoned"),
    "green": _("green"),
}
STATES = {
    "asked": _("asked for"),
    "confirmed": _("confirmed"),
    "planned": _("day set"),
    "delivered": _("delivered"),
    "settled": _("settled"),
    "declined": _("declined"),
    "cancelled": _("cancelled"),
}
REASONS = {
    "wood": _("Wood"),
    "bundles": _("Kindling bundles"),
    "logs": _("Log length"),
    "two_cords": _("Two or more together"),
    "pick_up": _("You fetch it"),
    "drive": _("Delivery"),
    "shared_drive": _("Shared drive"),
    "stacking": _("Stacked for you"),
    "access": _("Small trailer only"),
    "tax": _("Sales tax"),
}
WHY = {
    "no drive for us": _("no drive for us"),
    "tight or steep way in": _("tight or steep way in"),
    "coming this day saves no driving": _("coming this day saves no driving"),
    "a drive for this drop alone": _("a drive for this drop alone"),
    "this day's drive costs us less": _("this day's drive costs us less"),
    "the price has no charge for the drive any day": _("the price has no charge for the drive any day"),
    "we are already coming your way with another drop": _("we are already coming your way"),
}
UNITS_ES = (("cubic feet", "pies cúbicos"), ("cords", "cuerdas"), ("cord", "cuerda"), ("stacked", "apilado"))


def amount_in_words(cords: Fraction, seller: BusinessRow | None = None) -> str:
    """An amount in the units of the seller's place; Spanish says cuerda."""
    words = amount_words(cords, rule=place_rule(seller.place_key if seller else GENERAL_RULE))
    if (get_language() or "en").startswith("es"):
        for english, spanish in UNITS_ES:
            words = words.replace(english, spanish)
    return words
