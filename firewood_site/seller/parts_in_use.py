"""Small at first: pages beyond the four tabs are told of on Today when the books first need them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from firewood_site.access import DRIVERS
from inventory.selectors.business import BusinessRow
from routing.selectors import parts_in_use as selectors

SHOWN, NOT_NOW = "shown", "not_now"
ANSWERS = (SHOWN, NOT_NOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the app: what it is for, and the name of its page's address."""

    key: str
    title: str
    why: str
    name: str


PARTS = (
    Part(
        key="days",
        title=_("Delivery days"),
        why=_("Your first delivery is promised: plan its day."),
        name="days",
    ),
    Part(
        key="driver",
        title=_("Today's run"),
        why=_("You have a helper with a log-in."),
        name="run-today",
    ),
    Part(
        key="pool",
        title=_("Far orders"),
        why=_("Your first far order is in: let it wait for company."),
        name="pool",
    ),
    Part(
        key="moves",
        title=_("Wood between yards"),
        why=_("You have a second yard: moves are costed."),
        name="yards",
    ),
    Part(
        key="readings",
        title=_("Readings with a meter"),
        why=_(
            "Your first lot is split. Split five pieces fresh and test them to see if you can call it dry."
        ),
        name="stock",
    ),
    Part(key="claims", title=_("Make-good"), why=_("Your first complaint is in."), name="claims"),
)


def to_announce(seller: BusinessRow) -> Iterator[Part]:
    """Parts come into use that nobody was told of yet, in the reader's language."""
    for part in PARTS:
        if part.key not in seller.parts_told and selectors.is_in_use(part.key, drivers_group=DRIVERS):
            yield replace(part, title=gettext(part.title), why=gettext(part.why))


def shows_days(seller: BusinessRow) -> bool:
    """Whether the tab Days is there: since the first delivery, unless the seller said not now."""
    told = seller.parts_told.get("days")
    return told == SHOWN or (told != NOT_NOW and selectors.has_deliveries())
