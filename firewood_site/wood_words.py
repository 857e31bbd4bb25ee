"""Names of woods, dryness, states and price lines, ready for translation."""

from fractions import Fraction

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.core.woods import Wood
from inventory.selectors.business import BusinessRow
from inventory.selectors.spoken import reader_language
from orders.core.languages import wood_name
from orders.core.places import GENERAL_RULE, amount_words, place_rule

DRYNESS = {
    "seasoned": _("seasoned"),
    "part_seasoned": _("part seasoned"),
    "green": _("green"),
}
PAY_WAYS = (_("Cash at the door"), _("Check at the door"), _("Bank transfer before we load"))
"""Names of ways to pay the demo comes with; the seller's own stand as they are written."""
AT_THE_YARD = {"Cash at the door": _("Cash at the yard"), "Check at the door": _("Check at the yard")}
"""What those that are paid at the door are called where the wood is picked up."""
AHEAD = {
    "Cash at the door": _("Cash"), "Check at the door": _("Check"),
    "Bank transfer before we load": _("Bank transfer"),
}  # fmt: skip
"""What they are called where a deposit is paid ahead."""
STATES = {
    "asked": _("new request"),
    "confirmed": _("confirmed"),
    "planned": _("scheduled"),
    "delivered": _("delivered"),
    "settled": _("settled"),
    "declined": _("declined"),
    "cancelled": _("cancelled"),
}


def amount_in_words(cords: Fraction, seller: BusinessRow | None = None) -> str:
    """An amount in the units of the seller's place; Spanish says cuerda."""
    rule = place_rule(seller.place_key if seller else GENERAL_RULE)
    return amount_words(cords, rule=rule, language=reader_language())


def paid_ahead(way: str) -> str:
    """A way to pay a deposit, in the reader's language: "Check", that is at the door for the rest."""
    return str(AHEAD.get(way) or gettext(way))


def wood_word(wood: str) -> str:
    """A wood's name in the reader's language: "log length"."""
    return wood_name(wood, language=reader_language())


def wood_title(wood: str, dryness: str) -> str:
    """ "seasoned fir"; Spanish turns it round. Without a wood: any that is dry."""
    if not wood:
        return gettext("dry firewood")
    if wood in (Wood.KINDLING, Wood.LOGS):
        return wood_word(wood)
    names = {"wood": wood_word(wood), "dryness": DRYNESS.get(dryness, dryness)}
    return gettext("%(dryness)s %(wood)s") % names
