"""How many pages the seller has, and how many fields are on them: `python -m tests.count_pages`.

A page is an address of the seller's with all its parts: /seller/set-up/yards is a part of /seller/set-up,
/seller/lots/K1/move of one lot's page. A screen is what fills the window: parts that open inside their page,
as a lot's changes do, are on its screen; the yards of the set-up are a screen of their own. A field is what a
person can fill in on a page, any part of it open, counted once by name (a group of buttons or boxes is one,
and so are the rows of a table). "In sight" are those outside every closed fold. Taken on the books of
DATA_DIR, by the seller ruth of the demo.
"""

import os
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

import django

UNSEEN = {"csrfmiddlewaretoken"}
NOT_FILLED_IN = {"hidden", "submit", "button", "image", "reset"}
ROW_OF_A_TABLE = re.compile(r"[-_]\d+|(?<=^price)-.*|(?<=^lot)-.*")


class Fields(HTMLParser):
    """Names of everything that can be filled in, and of what no closed fold hides."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.in_sight: set[str] = set()
        self.folds: list[bool] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if tag == "details":
            self.folds.append("open" not in said)
        if tag not in ("input", "select", "textarea") or not said.get("name"):
            return
        if (tag == "input" and said.get("type") in NOT_FILLED_IN) or said["name"] in UNSEEN:
            return
        name = ROW_OF_A_TABLE.sub("", str(said["name"]))
        self.names.add(name)
        if not any(self.folds):
            self.in_sight.add(name)

    def handle_endtag(self, tag: str) -> None:
        if tag == "details" and self.folds:
            self.folds.pop()


@dataclass(slots=True)
class Counted:
    """One page: the screens it fills, its fields, and those in sight."""

    screens: set[str] = field(default_factory=set)
    names: set[str] = field(default_factory=set)
    in_sight: set[str] = field(default_factory=set)


def main() -> None:
    """One line a page, and the sums."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "firewood_site.settings")
    django.setup()
    from django.contrib.auth.models import User
    from django.test import Client
    from django.test.utils import setup_test_environment

    setup_test_environment()
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(User.objects.get(username="ruth"))
    pages: dict[str, Counted] = {}
    for page, path in addresses():
        answer = client.get(path)
        kind = answer.headers.get("Content-Type", "")
        if answer.status_code not in (200, 422) or not kind.startswith("text/html"):
            continue
        seen = Fields()
        seen.feed(answer.text)
        counted = pages.setdefault(page, Counted())
        counted.screens.add(str(answer.templates[0].name))
        counted.names |= seen.names
        counted.in_sight |= seen.in_sight
    for page, counted in pages.items():
        print(f"{len(counted.screens):3} {len(counted.names):4} {len(counted.in_sight):4}  {page}")
    screens = sum(len(counted.screens) for counted in pages.values())
    fields = sum(len(counted.names) for counted in pages.values())
    in_sight = sum(len(counted.in_sight) for counted in pages.values())
    print(f"{len(pages)} pages on {screens} screens, {fields} fields, {in_sight} of them in sight")


def page_of(route: str) -> str:
    """The page an address is a part of: its first word, and the one thing the page is about, if any."""
    first, *rest = route.split("/")
    return f"{first}/<one>" if rest and rest[0].startswith("<") else first or "today"


def addresses() -> list[tuple[str, str]]:
    """Every address of the seller's and the page it is part of, its blanks filled in from the books, where
    they can be."""
    from django.db.models import Max
    from django.urls import NoReverseMatch, reverse

    from firewood_site.seller import urls
    from firewood_site.seller.views.lots import CHANGES
    from inventory.models import Lot, Unit, WorkEntry, Yard
    from orders.models import Claim, Customer, Order
    from routing.models import Day, Load, Rig

    blanks = {
        "code": Lot.objects.order_by("code").values_list("code", flat=True).first(),
        "key": Unit.objects.values_list("pk", flat=True).first(),
        "unit_id": Unit.objects.values_list("pk", flat=True).first(),
        "yard_id": Yard.objects.values_list("pk", flat=True).first(),
        "rig_id": Rig.objects.values_list("pk", flat=True).first(),
        "load_id": Load.objects.filter(stops__state="delivered").values_list("pk", flat=True).first(),
        "number": Order.objects.filter(state="delivered").aggregate(last=Max("number"))["last"],
        "customer_id": Customer.objects.values_list("pk", flat=True).first(),
        "on": Day.objects.order_by("on").values_list("on", flat=True).last(),
        "entry_id": WorkEntry.objects.values_list("pk", flat=True).first(),
        "claim_id": Claim.objects.values_list("pk", flat=True).first(),
        "part": "town",
        "kind": "unit",
    }
    found = []
    for pattern in urls.urlpatterns:
        if pattern.name is None:
            continue  # an old address
        known = {name: blanks.get(name) for name in pattern.pattern.converters if name != "act"}
        if any(value is None for value in known.values()):
            continue
        page = page_of(str(pattern.pattern))
        for more in [{"act": act} for act in CHANGES] if "act" in pattern.pattern.converters else [{}]:
            try:
                found.append((page, reverse(pattern.name, kwargs=known | more)))
            except NoReverseMatch:
                continue  # a blank of another kind: an address to post to
    return found


if __name__ == "__main__":
    main()
