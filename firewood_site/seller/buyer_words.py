"""Words a seller types and a customer reads: refused where they sell wood by no lawful measure."""

from typing import Any

from django import forms

from inventory.selectors.business import business
from inventory.selectors.spoken import reader_language
from orders.core import OrdersError
from orders.core.places import PlaceRule, check_words, place_rule
from orders.core.typed_words import check_name, check_no_dryness


def check_buyer_words(text: str) -> None:
    """Refuse "about a cord", "one rank" and the like, by the rule of the seller's place.

    Errors
        ForbiddenWord
    """
    check_words(text, rule=place_rule(business().place_key))


class BuyerText(forms.CharField):
    """A text that reaches customers: on the shop page, an order, a ticket or a letter."""

    def clean(self, value: Any) -> Any:
        words = super().clean(value)
        try:
            self.check(words, place_rule(business().place_key))
        except OrdersError as error:
            raise forms.ValidationError(error.text_in(reader_language())) from error
        return words

    def check(self, words: str, rule: PlaceRule) -> None:
        check_words(words, rule=rule)


class BuyerName(BuyerText):
    """A yard, ground, town or drop spot: it may be Rick's, but measures no wood."""

    def check(self, words: str, rule: PlaceRule) -> None:
        check_name(words, rule=rule)


class WoodName(BuyerText):
    """What wood for sale is called: no measure, and not how dry it is, for a name outlasts a reading."""

    def check(self, words: str, rule: PlaceRule) -> None:
        super().check(words, rule)
        check_no_dryness(words)
