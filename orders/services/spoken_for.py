"""Scarce wood: what new requests ask for is kept for them a while, so that none is accepted in vain."""

from datetime import date, datetime
from fractions import Fraction

from inventory.core.sentences import say
from inventory.core.woods import Wood
from inventory.selectors.business import business
from orders.core import CustomerRefusal
from orders.core.languages import wood_name
from orders.core.order_request import Goods
from orders.core.picking import NotEnoughBundles
from orders.core.places import PlaceRule, amount_words, place_rule
from orders.selectors.on_sale import on_sale, open_of


class SpokenFor(CustomerRefusal):
    """Others asked first for what is left of this wood; the seller has not answered them yet."""

    def __init__(self, *, wood: str, left: Fraction, rule: PlaceRule) -> None:
        self.wood = wood
        self.left = left
        self.rule = rule
        super().__init__()

    def text_in(self, language: str) -> str:
        wood = wood_name(self.wood, language=language)
        if not self.left:
            return say(
                "All the {wood} we have is spoken for: take another, or have us tell you when there is more.",
                language=language,
                wood=wood,
            )
        return say(
            "Only {left} of {wood} is not spoken for: take less, or have us tell you when there is more.",
            language=language,
            left=amount_words(self.left, rule=self.rule, language=language),
            wood=wood,
        )


def leave_spoken_for(
    goods: Goods,
    *,
    on: date,
    at: datetime,
    apart_from: int | None = None,
) -> None:
    """Refuse an order for wood that unanswered requests of the last hours have asked for.

    Call it where orders wait for each other, so that two at once can't both have the last cord.

    Shapes
        apart_from: the number of the order that is changed: what it asked for itself is open to it.

    Errors
        SpokenFor, NotEnoughBundles
    """
    seller = business()
    if not seller.request_hours:
        return
    sale = on_sale(on, at=at, apart_from=apart_from)
    if goods.bundles > sale.bundles:
        raise NotEnoughBundles(wanted=goods.bundles, left=sale.bundles)
    left = open_of(sale.lots, goods.wood, goods.dryness, on=on)
    if goods.cords and goods.wood != Wood.KINDLING and left < goods.cords:
        raise SpokenFor(wood=goods.wood, left=left, rule=place_rule(seller.place_key))
