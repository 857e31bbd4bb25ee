"""The delivery ticket as a PDF, when typst (the extra `pdf`) is installed; the page prints without it."""

import json
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from orders.core.tickets import FIELD_WORDS
from orders.selectors.tickets import TicketView

SHEET = Path(__file__).parent / "templates" / "letters" / "ticket.typ"
MONEY = ("price_dollars", "paid_dollars", "due_dollars")
EXTRA_WORDS = {
    "form": "Left",
    "readings": "Read at loading",
    "drop_spot": "Drop spot",
    "paid_how": "Paid how",
    "paid_dollars": "Paid",
    "due_dollars": "Still due",
}


def can_print() -> bool:
    """Whether a PDF can be made here."""
    return find_spec("typst") is not None


def ticket_pdf(ticket: TicketView) -> bytes:
    """The ticket on one page. Its words go in as data, never as source."""
    words = {**FIELD_WORDS, **EXTRA_WORDS}
    rows = [
        [
            _capital(words[name]).removeprefix("The "),
            f"${value}" if name in MONEY else value,
        ]
        for name, value in ticket.fields.items()
        if name in words
    ]
    told = {
        "title": f"Delivery ticket {ticket.number}",
        "order": f"Order {ticket.order_number}",
        "rows": rows,
        "statement": ticket.fields.get("statement", ""),
        "document": ticket.fields.get("document", ""),
        "check": ticket.fields.get("check_local", ""),
    }
    return bytes(_compiler().compile(format="pdf", sys_inputs={"data": json.dumps(told)}))


@cache
def _compiler():  # type: ignore[no-untyped-def]  # typst is an extra and has no type here
    import typst

    return typst.Compiler(str(SHEET))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
