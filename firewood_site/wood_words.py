"""Names of woods, dryness, states and price lines, ready for translation."""

from fractions import Fraction

from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from inventory.selectors.business import BusinessRow
from orders.core.languages import local_amount
from orders.core.places import GENERAL_RULE, place_rule
from orders.core.wants import KINDLING, LOGS

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
PAY_WAYS = (_("Cash at the door"), _("Check at the door"), _("Bank transfer before we load"))
"""Names of ways to pay the demo comes with; the seller's own stand as they are written."""
STATES = {
    "asked": _("asked for"),
    "confirmed": _("confirmed"),
    "planned": _("day set"),
    "delivered": _("delivered"),
    "settled": _("settled"),
    "declined": _("declined"),
    "cancelled": _("cancelled"),
}


def amount_in_words(cords: Fraction, seller: BusinessRow | None = None) -> str:
    """An amount in the units of the seller's place; Spanish says cuerda."""
    rule = place_rule(seller.place_key if seller else GENERAL_RULE)
    return local_amount(cords, rule=rule, language=get_language() or "en")


def wood_title(wood: str, dryness: str) -> str:
    """ "seasoned fir"; Spanish turns it round."""
    if wood in (KINDLING, LOGS):
        return str(WOODS[wood])
    said = {"wood": WOODS.get(wood, wood), "dryness": DRYNESS.get(dryness, dryness)}
    return gettext("%(dryness)s %(wood)s") % said
