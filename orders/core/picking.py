"""Which lots fill an order: dry by the day, from the fewest yards, the oldest wood first.

Lots come in as values with what is open to sell; nothing here holds or draws wood.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import combinations

from inventory.core.gaps import day_words
from inventory.core.lots import SEASONED, OpenLot
from inventory.core.sentences import say
from orders.core import CustomerRefusal
from orders.core.languages import wood_in_words, wood_name
from orders.core.places import PlaceRule, amount_words, place_rule


class NoSuchWood(CustomerRefusal):
    """No lot of this wood, dry or not."""

    says = "We have no {wood} now: choose another wood, or ask us when there will be some."
    in_words = {"wood": wood_in_words}


class NothingDryEnough(CustomerRefusal):
    """There is wood enough, but not as wanted by the day; `first_on` is the first date it could be."""

    def __init__(
        self,
        *,
        wood: str,
        dryness: str,
        wanted: Fraction,
        ready: Fraction,
        on: date,
        first_on: date | None,
        rule: PlaceRule,
    ) -> None:
        self.wood = wood
        self.dryness = dryness
        self.wanted = wanted
        self.ready = ready
        self.on = on
        self.first_on = first_on
        self.rule = rule
        super().__init__()

    def text_in(self, language: str) -> str:
        gaps = {
            "wanted": amount_words(self.wanted, rule=self.rule, language=language),
            "ready": amount_words(self.ready, rule=self.rule, language=language) if self.ready else "0",
            "dryness": say(self.rule.dry_word(self.dryness), language=language),
            "wood": wood_name(self.wood, language=language),
            "on": day_words(self.on, language=language),
        }
        if self.first_on is None:
            return say(
                "You asked for {wanted} of {dryness} {wood} by {on}; {ready} is ready by then and no "
                "date can be given yet. Take less or another wood.",
                language=language,
                **gaps,
            )
        first = day_words(self.first_on, language=language)
        return say(
            "You asked for {wanted} of {dryness} {wood} by {on} and {ready} is ready by then; the "
            "first day is {first_on}. Take less, a later day, or another wood.",
            language=language,
            first_on=first if self.first_on.year == self.on.year else f"{first} {self.first_on.year}",
            **gaps,
        )


class NotEnoughWood(CustomerRefusal):
    """Less open wood than asked for, whenever it is dry."""

    def __init__(self, *, wood: str, wanted: Fraction, open_cords: Fraction, rule: PlaceRule) -> None:
        self.wood = wood
        self.wanted = wanted
        self.open_cords = open_cords
        self.rule = rule
        self.first_on: date | None = None  # no date: more has to be cut first
        super().__init__()

    def text_in(self, language: str) -> str:
        left = amount_words(self.open_cords, rule=self.rule, language=language) if self.open_cords else "0"
        return say(
            "You asked for {wanted} of {wood} and {left} is left: take less, or another wood; more "
            "has to be cut first.",
            language=language,
            wanted=amount_words(self.wanted, rule=self.rule, language=language),
            wood=wood_name(self.wood, language=language),
            left=left,
        )


class NotEnoughBundles(CustomerRefusal):
    """Fewer kindling bundles for sale than asked for."""

    def __init__(self, *, wanted: int, left: int) -> None:
        self.wanted = wanted
        self.left = left
        super().__init__()

    def text_in(self, language: str) -> str:
        if not self.left:
            return say("There is no kindling for sale just now: leave the bundles out.", language=language)
        return say(
            "You asked for {wanted} bundles of kindling and {left} are left: take {left} or fewer.",
            language=language,
            wanted=self.wanted,
            left=self.left,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Picked:
    """So much of a lot for an order; bundles are counted in cords of their own volume."""

    lot: str  # its code
    cords: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick(Picked):
    """So much of a lot, as picking chose it."""

    yard: str


def pick_lots(
    lots: Iterable[OpenLot],
    *,
    wood: str,
    cords: Fraction,
    on: date,
    dryness: str = SEASONED,
    miles: Mapping[str, Decimal] | None = None,
    rule: PlaceRule | None = None,
) -> tuple[Pick, ...]:
    """The lots that fill an order on a day, exactly.

    The fewest yards that can do it; among those the nearest in all where miles are given (the price
    was measured from there), then the oldest wood; inside the chosen yards oldest wood first.

    Units
        miles: yard to miles from the place; a yard left out counts as farthest.

    Errors
        NoSuchWood, NotEnoughWood, NothingDryEnough: in that order, with the first date it could be.
    """
    rule = rule or place_rule()
    of_wood = [lot for lot in lots if lot.wood == wood and lot.open_cords]
    _refuse_if_short(of_wood, wood=wood, cords=cords, on=on, dryness=dryness, rule=rule)
    ready = sorted(
        (lot for lot in of_wood if lot.is_ready(dryness=dryness, on=on)),
        key=lambda lot: (lot.since, lot.code),
    )
    yards = sorted({lot.yard for lot in ready})
    for count in range(1, len(yards) + 1):
        fitting = [
            picks
            for chosen in combinations(yards, count)
            if (picks := _taken([lot for lot in ready if lot.yard in chosen], cords))
        ]
        if fitting:
            ages = {lot.code: lot.since for lot in ready}
            return min(fitting, key=lambda picks: _preference(picks, ages, miles))
    raise AssertionError("enough ready wood was counted, so all yards together fill the order")


def yards_holding(
    lots: Iterable[OpenLot], *, wood: str, cords: Fraction, on: date, dryness: str = SEASONED
) -> frozenset[str]:
    """The yards that alone could fill an order on a day: where the drive is measured from."""
    held: dict[str, Fraction] = {}
    for lot in lots:
        if lot.wood == wood and lot.is_ready(dryness=dryness, on=on):
            held[lot.yard] = held.get(lot.yard, Fraction(0)) + lot.open_cords
    return frozenset(yard for yard, amount in held.items() if amount >= cords)


def first_day(
    lots: Iterable[OpenLot], *, wood: str, cords: Fraction, on: date, dryness: str = SEASONED
) -> date | None:
    """The first day, not before `on`, that enough wood is ready; None when no date can be given."""
    of_wood = [lot for lot in lots if lot.wood == wood]
    days = {on} | {lot.dry_on for lot in of_wood if lot.dry_on and lot.dry_on > on}
    for day in sorted(days):
        if sum(lot.open_cords for lot in of_wood if lot.is_ready(dryness=dryness, on=day)) >= cords:
            return day
    return None


def _refuse_if_short(
    of_wood: list[OpenLot], *, wood: str, cords: Fraction, on: date, dryness: str, rule: PlaceRule
) -> None:
    if not of_wood:
        raise NoSuchWood(wood=wood)
    everything = sum((lot.open_cords for lot in of_wood), Fraction(0))
    if everything < cords:
        raise NotEnoughWood(wood=wood, wanted=cords, open_cords=everything, rule=rule)
    ready = sum((lot.open_cords for lot in of_wood if lot.is_ready(dryness=dryness, on=on)), Fraction(0))
    if ready < cords:
        raise NothingDryEnough(
            wood=wood,
            dryness=dryness,
            wanted=cords,
            ready=ready,
            on=on,
            first_on=first_day(of_wood, wood=wood, cords=cords, on=on, dryness=dryness),
            rule=rule,
        )


def _taken(lots: list[OpenLot], cords: Fraction) -> tuple[Pick, ...]:
    """Oldest first until filled; nothing when these lots do not reach."""
    left = cords
    picks = []
    for lot in lots:
        take = min(left, lot.open_cords)
        if take > 0:
            picks.append(Pick(lot=lot.code, yard=lot.yard, cords=take))
            left -= take
    return () if left else tuple(picks)


def _preference(
    picks: tuple[Pick, ...], ages: Mapping[str, date], miles: Mapping[str, Decimal] | None
) -> tuple[int, Decimal, tuple[date, ...], tuple[str, ...]]:
    used = sorted({pick.yard for pick in picks})
    far = [yard for yard in used if miles is not None and yard not in miles]
    driven = sum((miles[yard] for yard in used if yard in miles), Decimal(0)) if miles else Decimal(0)
    return len(far), driven, tuple(ages[pick.lot] for pick in picks), tuple(used)
