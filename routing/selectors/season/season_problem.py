"""The season as the books know it: what the season planner is asked, and what each figure rests on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import log

from inventory.core.local import money_words
from inventory.core.woods import SOLD, SPLIT_WOODS
from inventory.models import Lot, Yard
from inventory.selectors.business import business
from inventory.selectors.stock import lots_with_history
from orders.core.first_prices import figure
from orders.selectors.prices import sheet_in_force
from routing.core import RoutingError
from routing.models import SeasonGuesses
from routing.season.bills import read_bills
from routing.season.problem import GREEN, SEASONED, Move, Range, Rounds, Season, SplitLot, Step
from routing.season.problem import Yard as YardOf
from routing.selectors.season.drying import lot_choices, split_ready
from routing.selectors.season.periods import LENGTHS, NOT_WOOD, period_of, period_starts
from routing.selectors.season.rigs import moves, rig_days, that_matter
from routing.selectors.season.sales import markets, promises
from routing.selectors.season.work import allowed_shares, grounds, hours_per_cord, people, slash_owed

KEEPS = Fraction(3, 4)  # estimate: a dry cord kept over the end of the season, against its near price
ROUNDS_KEEP = Fraction(1, 4)  # estimate: rounds still to be split


class NothingToPlan(RoutingError):
    """The season stands on something that is not there yet. page: the name of the page that adds it."""

    says = "There is no {missing} yet: {where}."


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonAsked:
    """The planner's problem, the first day of each period, names by key, and what the figures rest on."""

    season: Season
    starts: tuple[date, ...]
    names: dict[str, str]
    rests_on: tuple[tuple[str, str], ...]  # figure, where it comes from
    elasticity: float  # percent of demand for a percent of price, the seller's guess; 0 = none


def what_is_missing(on: date) -> NothingToPlan | None:
    """What the books need before any season can be planned."""
    if sheet_in_force(on) is None:
        return NothingToPlan(missing="price sheet", where="add one under Price sheet", page="prices")
    if not Yard.objects.exists():
        return NothingToPlan(missing="yard", where="add the place your wood lies under Yards", page="yards")
    return None


def season_asked(on: date) -> SeasonAsked:
    """The year from a day on, or what the seller wants planned of it, as one problem.

    Errors
        NothingToPlan: no price sheet, or no yard.
    """
    if missing := what_is_missing(on):
        raise missing
    sheet = sheet_in_force(on)
    assert sheet is not None
    yards = list(Yard.objects.order_by("pk"))
    guesses = SeasonGuesses.objects.first() or SeasonGuesses()
    starts = period_starts(on, until_month=guesses.until_month)
    chance = guesses.dry_chance_pct / 100
    prices = {
        (price.wood, price.dryness, price.market): float(price.dollars)
        for price in sheet.sheet.cord_prices
        if price.wood not in NOT_WOOD
    }
    near = {key for key, terms in ((m.key, m) for m in sheet.sheet.markets) if not terms.is_far}
    rests: list[tuple[str, str]] = []
    sold_in = tuple(markets(on, starts, prices, near, guesses, rests))
    lots = tuple(lots_with_history().filter(on_hand_cords__gt=0).exclude(wood__in=NOT_WOOD))
    kinds = {lot.wood for lot in lots} | {wood for wood, _, _ in prices}
    keep: dict[tuple[str, str], float] = {}
    for (wood, dryness, market), dollars in prices.items():
        if market in near and dryness == SEASONED:
            keep[wood, SEASONED] = dollars * float(KEEPS)
            keep[wood, GREEN] = dollars * figure("green_share").low
            keep[wood, "rounds"] = dollars * float(ROUNDS_KEEP)
    usual = {str(wood): SOLD[wood].usual_mix for wood in SPLIT_WOODS}
    mixes = {**usual, **{lot.wood: lot.mix for lot in lots}}
    patches = (*grounds(rests, starts), *slash_owed(rests, starts))
    kinds |= {kind for ground in patches for kind in ground.cords_per_acre}
    rates = hours_per_cord(rests)
    ready = {
        (kind, str(yard.pk)): split_ready(mixes.get(kind, {kind: 100}), yard, starts=starts, chance=chance)
        for kind in sorted(kinds)
        for yard in yards
    }
    ways = moves(on, yards, rates[Step.HAUL].likely, rests)
    season = Season(
        lengths=LENGTHS[: len(starts)],
        people=people(on, starts, guesses, rests),
        yards=tuple(
            YardOf(
                key=str(yard.pk),
                name=yard.name,
                room_cords=None if yard.room_cords is None else float(yard.room_cords),
            )
            for yard in yards
        ),
        grounds=patches,
        rounds=tuple(
            Rounds(key=lot.code, name=lot.name, kind=lot.wood, yard=str(lot.yard_id), cords=float(free))
            for lot in lots
            if lot.form == Lot.Form.ROUNDS and (free := _free(lot)) > 0
        ),
        lots=tuple(_split_lots(lots, on, starts, chance, ways, yards)),
        markets=sold_in,
        promises=tuple(promises(starts, {market.key for market in sold_in}, near)),
        hours_per_cord=rates,
        cash_per_cord=float(business().production_cash_per_cord),
        ready=ready,
        keep_value=keep,
        allowed=allowed_shares(starts, rests),
        demand_factor=Range(
            low=guesses.demand_low_pct / 100,
            likely=guesses.demand_likely_pct / 100,
            high=guesses.demand_high_pct / 100,
        ),
        hour_worth=float(guesses.hour_worth_dollars),
        cash_now=None if guesses.cash_dollars is None else float(guesses.cash_dollars),
        cash_due=_bills(guesses, on, starts, rests),
        rig_days=rig_days(starts, guesses, rests),
        moves=that_matter(ways, yards, ready),
    )
    names = {str(yard.pk): yard.name for yard in yards}
    names |= {ground.key: ground.name for ground in patches} | {lot.code: lot.name for lot in lots}
    return SeasonAsked(
        season=season,
        starts=starts,
        names=names,
        rests_on=tuple(rests),
        elasticity=elasticity_of(guesses.lost_pct),
    )


def elasticity_of(lost_pct: int) -> float:
    """From "prices up 10%, so much less is sold": demand goes with the price to this power."""
    return log(1 - lost_pct / 100) / -log(1.1) if lost_pct else 0.0


def _bills(
    guesses: SeasonGuesses, on: date, starts: tuple[date, ...], rests: list[tuple[str, str]]
) -> tuple[float, ...]:
    """Money due in each period besides wood; what is due later than the season is left out."""
    if guesses.cash_dollars is None:
        return ()
    due = [0.0] * len(starts)
    counted = [
        bill for bill in read_bills(guesses.bills, today=on) if period_of(bill.on, starts) < len(starts)
    ]
    for bill in counted:
        due[period_of(bill.on, starts)] += bill.dollars
    text = f"{money_words(guesses.cash_dollars)} on hand"
    for word, sign in (("to pay", -1), ("to come in", 1)):
        dollars = sum(max(bill.dollars * sign, 0.0) for bill in counted)
        if dollars:
            text += f", {money_words(Decimal(f'{dollars:.2f}'))} {word} on the days you typed"
    rests.append(("Cash", f"{text}; the plan never spends what is not there"))
    return tuple(due)


def _free(lot: Lot) -> Fraction:
    """Cords neither kept for own use nor only held for somebody: holds are sold as promises."""
    return Fraction(lot.on_hand_cords - lot.kept_cords)


def _split_lots(
    lots: Iterable[Lot],
    on: date,
    starts: tuple[date, ...],
    chance: float,
    ways: tuple[Move, ...],
    yards: Iterable[Yard],
) -> Iterator[SplitLot]:
    by_key = {str(yard.pk): yard for yard in yards}
    for lot in lots:
        if lot.form == Lot.Form.SPLITS and lot.sale != Lot.Sale.OWN_USE and (free := _free(lot)) > 0:
            yield SplitLot(
                key=lot.code,
                name=lot.name,
                kind=lot.wood,
                yard=str(lot.yard_id),
                cords=float(free),
                choices=lot_choices(
                    lot,
                    on=on,
                    starts=starts,
                    chance=chance,
                    ways=[(by_key[way.target], way) for way in ways if way.origin == str(lot.yard_id)],
                ),
            )
