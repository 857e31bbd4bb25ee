"""Every page a seller may look for: its title, where it stands, and the words people look for it by."""

from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext

from firewood_site import helper_rights
from firewood_site.access import is_helper


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexedPage:
    """A page by the name of its address; `about`: more words it is found by."""

    title: str
    name: str
    tab: str
    about: str = ""


MONTHS = "january february march april may june july august september october november december"


def _page(tab: str, title: str, name: str, about: str = "") -> IndexedPage:
    return IndexedPage(title=title, name=name, tab=tab, about=about)


PAGES = (
    _page("Wood", "Wood for sale", "stock", "stock lots heaps open on hand count"),
    _page(
        "Wood",
        "Log it",
        "log",
        "measure heap trailer cords tape new lot open work hours morning split haul move buck fell stack "
        "count expenses receipts fuel saw",
    ),
    _page("Wood", "When it will be dry", "readiness", "readiness dry rain calendar seasoned"),
    _page("Wood", "Count on a past day", "stock-count", "january inventory tax"),
    _page("Sell", "Text a quote", "text-back", "price answer message town towns nearest near miles"),
    _page("Sell", "Quotes given", "quotes-given", "inbox asked price lapses waiting answered"),
    _page("Sell", "Orders", "orders", "sales requests confirmed delivered"),
    _page("Sell", "To tell", "tell", "messages texts told late moved"),
    _page("Sell", "Customers", "customers", "people phone buyers"),
    _page("Sell", "Money", "money", "payments cash check export who owes owed owe unpaid"),
    _page("Sell", "Money by month", "money-books", f"month year tax town deposits held owed csv {MONTHS}"),
    _page("Sell", "From the bank", "money-bank", "transfers csv file tick off statement"),
    _page("Sell", "Make-good", "claims", "complaint short wet claim"),
    _page("Sell", "Delivery days", "days", "plan run route calendar"),
    _page("Sell", "Week side by side", "week-board", "days board drag move"),
    _page("Sell", "Today's run", "run-today", "driver helper phone drops"),
    _page("Worth", "Margins", "margins", "profit earned load order"),
    _page("Worth", "Worth of an hour", "worth", "dollars hour wage month guesses"),
    _page("Worth", "Near or far", "haul", "coast market compare haul"),
    _page("Worth", "Far orders", "pool", "far pool coast wait together"),
    _page("Worth", "Acre sheet", "acre-sheet", "ground patch thinning cost-share next"),
    _page("Worth", "Season", "season", f"months sums {MONTHS}"),
    _page("Worth", "Season ahead", "season-ahead", "plan weeks"),
    _page("Set up", "Set up", "set-up", "towns markets people roads limits ways to pay older books"),
    _page("Set up", "Settings and files", "settings", "name address wage rain backup csv export"),
    _page(
        "Set up",
        "Bring in a list",
        "bring-in",
        "import csv xlsx spreadsheet customers orders lots older books",
    ),
    _page("Set up", "Messages", "texts", "words letters e-mail language spanish variables"),
    _page("Set up", "Price sheet", "prices", "cord fraction fee tax"),
    _page("Set up", "Yards", "yards", "places weather climate"),
    _page("Set up", "Ground", "units", "patch unit acres slash cost-share"),
    _page("Set up", "Rigs and drivers", "rigs", "trailer pickup mile cost helper hours"),
    _page("Set up", "Heap numbers", "restack", "restack loose trailer"),
    _page("Set up", "Closures", "shuts", "shut road saw burning rain"),
    _page("Set up", "Species and figures", "species", "wood gravity heat sources"),
    _page("Set up", "Who changed what", "audit", "trail history"),
    _page("Set up", "Guide", "guide", "help how manual learn"),
    _page("Set up", "Your log-in", "mfa_index", "password passkey second step"),
)


def pages_for(user: Any) -> tuple[IndexedPage, ...]:
    """The pages this person may open, in their language."""
    helps = is_helper(user)
    return tuple(
        replace(page, title=gettext(page.title), tab=gettext(page.tab))
        for page in PAGES
        if not helps or helper_rights.may("GET", page.name)
    )
