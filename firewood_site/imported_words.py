"""Names and texts of imported books that customers read: held against the place's words like typed ones."""

from collections.abc import Iterator

from django.apps import apps

from orders.core import OrdersError
from orders.core.places import GENERAL_RULE, PlaceRule, check_words, place_rule
from orders.core.typed_words import check_name, check_no_dryness

READ_BY_CUSTOMERS = {
    "inventory.Business": ("name", "owner", "about"),
    "inventory.Lot": ("name", "said_ready"),
    "inventory.OwnSpecies": ("name",),
    "inventory.Yard": ("name", "note"),
    "inventory.Unit": ("name", "premises"),
    "orders.Town": ("name",),
    "orders.Market": ("name",),
}
WOOD = ("inventory.Lot", "inventory.OwnSpecies")
PLACES = ("inventory.Yard", "inventory.Unit", "orders.Town", "orders.Market")


def words_that_sell_wrongly() -> Iterator[str]:
    """What the books just read say to customers by no lawful measure, row by row.

    What customers typed themselves stays as it is.
    """
    business = apps.get_model("inventory", "Business").objects.first()
    rule = place_rule(business.place_key if business else GENERAL_RULE)
    for label, columns in READ_BY_CUSTOMERS.items():
        rows = apps.get_model(label).objects.order_by("pk").values_list("pk", *columns)
        for key, *texts in rows:
            for column, text in zip(columns, texts, strict=True):
                try:
                    _check(label, text, rule)
                except OrdersError as error:
                    yield f"{label.lower()}.csv id {key}, column {column}: {text[:40]!r}. {error}"


def _check(label: str, text: str, rule: PlaceRule) -> None:
    if label in PLACES:
        check_name(text, rule=rule)
        return
    check_words(text, rule=rule)
    if label in WOOD:
        check_no_dryness(text)
