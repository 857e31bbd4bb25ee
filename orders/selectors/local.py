"""The money and the units of the books' own place."""

from inventory.core.local import Local
from inventory.selectors.business import business
from orders.core.places import place_rule


def local_of_books() -> Local:
    """The seller's currency, and whether their place counts in meters."""
    seller = business()
    return Local(currency=seller.currency, is_metric=place_rule(seller.place_key).is_metric)
