"""The delivery ticket as a PDF, when typst (the extra `pdf`) is installed; the page prints without it."""

import json
from decimal import Decimal
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from firewood_site.photos import stamp_photo
from firewood_site.templatetags.selling import ticket_words
from inventory.core.local import to_the_cent
from inventory.selectors.business import business
from inventory.selectors.photos import shown_photo
from inventory.selectors.spoken import reader_language
from orders.selectors.tickets import TicketView

SHEET = Path(__file__).parent / "templates" / "letters" / "ticket.typ"
MONEY = ("price_dollars", "tax_dollars", "credit_dollars", "paid_dollars", "due_dollars")
LABELS = {
    "replaces": gettext_lazy("In place of"),
    "seller_name": gettext_lazy("Seller"),
    "seller_address": gettext_lazy("Seller's address"),
    "buyer_name": gettext_lazy("Buyer"),
    "buyer_address": gettext_lazy("Buyer's address"),
    "delivered_on": gettext_lazy("Delivered"),
    "amount_delivered": gettext_lazy("Amount delivered"),
    "amount_priced": gettext_lazy("Amount the price is for"),
    "price_dollars": gettext_lazy("Price"),
    "tax_dollars": gettext_lazy("Sales tax in it"),
    "credit_dollars": gettext_lazy("Already taken off for short wood"),
    "identity": gettext_lazy("What wood"),
    "quality": gettext_lazy("How dry"),
    "measured_by": gettext_lazy("Measured by"),
    "cut_at": gettext_lazy("Cut at"),
    "form": gettext_lazy("Unloaded"),
    "readings": gettext_lazy("Read at loading"),
    "drop_spot": gettext_lazy("Drop spot"),
    "paid_how": gettext_lazy("How you pay"),
    "paid_dollars": gettext_lazy("Paid"),
    "due_dollars": gettext_lazy("Still due"),
}


def can_print() -> bool:
    """Whether a PDF can be made here."""
    return find_spec("typst") is not None


def ticket_pdf(ticket: TicketView) -> bytes:
    """The ticket on one page. Its words go in as data, never as source."""
    rows = [
        [str(LABELS[name]), to_the_cent(Decimal(str(value))) if name in MONEY else ticket_words(value)]
        for name, value in ticket.fields.items()
        if name in LABELS
    ]
    told = {
        "seller": ticket.fields.get("seller_name", ""),
        "picture": _picture(),
        "title": _("Delivery ticket %(number)s") % {"number": ticket.number},
        "order": _("Order %(number)s") % {"number": ticket.order_number},
        "language": reader_language(),
        "delivered_by": _("Delivered by"),
        "received_by": _("Received by"),
        "rows": rows,
        "statement": ticket.fields.get("statement", ""),
        "document": ticket.fields.get("document", ""),
        "check": ticket.fields.get("check_local", ""),
    }
    return bytes(_compiler().compile(format="pdf", sys_inputs={"data": json.dumps(told)}))


def _picture() -> list[int]:
    """The bytes of the picture beside the seller's name; none where no picture is set or its file is gone."""
    seller = business()
    try:
        file = shown_photo(seller.picture_id, purpose="mark") if seller.picture_id else None
        if file is None:
            return []
        with file:
            return list(stamp_photo(file.read()))
    except OSError:
        return []


@cache
def _compiler():  # type: ignore[no-untyped-def]  # typst is an extra and has no type here
    import typst

    return typst.Compiler(str(SHEET))
