"""What if: other prices than today's, and what has to give where a promise or the cash box falls short.

All on the likely season, each answer a plan of its own.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from routing.season.ledger import Ledger, total
from routing.season.model import solve_season
from routing.season.plan import SeasonPlan
from routing.season.problem import Choice, Promise, Season, SplitLot, Step
from routing.season.scenarios import likely_scenario

PRICE_STEPS_PCT = (-10, -5, 5, 10)
SHORT = 0.01  # cords: less is nothing
SHORT_DOLLARS = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceEffect:
    """All prices changed by so many percent: expected net and cords sold in the likely season."""

    pct: int
    money: Ledger
    cords: float

    @property
    def net(self) -> float:
        return total(self.money)


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """What alone would make everything fit: "hands", "hours", "wood", "trips", "days", "bans", "room" or
    "cash"."""

    what: str
    amount: float  # hours a week, cords, trips a period, rig days a week, dollars; 0 where it is only lifted


def at_prices(season: Season, pct: float, elasticity: float) -> Season:
    """The season with every price changed, and as much less (or more) asked for.

    Units
        elasticity: percent of demand lost for each percent the price goes up, at the price of today; demand
        goes with the price ratio to that power.
    """
    ratio = 1 + pct / 100
    asked = ratio**-elasticity
    return replace(
        season,
        markets=tuple(
            replace(
                market,
                price={key: dollars * ratio for key, dollars in market.price.items()},
                demand={key: tuple(c * asked for c in cords) for key, cords in market.demand.items()},
            )
            for market in season.markets
        ),
    )


def price_effects(season: Season, elasticity: float) -> tuple[PriceEffect, ...]:
    """What the likely season brings at today's prices and some percent off them; none without a guess."""
    if elasticity <= 0:
        return ()
    found = []
    for pct in sorted((0, *PRICE_STEPS_PCT)):
        plan = _plan(at_prices(season, pct, elasticity))
        cords = sum(sum(period.sold.values()) for period in plan.periods)
        found.append(PriceEffect(pct=pct, money=plan.ways[0].money, cords=cords))
    return tuple(found)


def reliefs(season: Season) -> tuple[Relief, ...]:
    """Each thing that alone would keep every promise, bill and slash day; none when nothing is short."""
    plan = _plan(season)
    if not _is_short(plan):
        return ()
    tries: list[tuple[str, Callable[[float], Season], tuple[float, ...]]] = [
        ("hands", lambda _: _everybody_does_everything(season), (0,)),
        ("hours", lambda amount: _more_hours(season, amount), (1, 2, 4, 8, 16)),
        ("wood", lambda _: _more_wood(season, plan), (sum(plan.short.values()),)),
        ("trips", lambda amount: _more_trips(season, amount), (1, 2, 4)),
        ("days", lambda amount: _more_days(season, amount), (1, 2, 4)),
        ("bans", lambda _: replace(season, allowed={}), (0,)),
        ("room", lambda _: _no_room_limit(season), (0,)),
        ("cash", lambda _: replace(season, cash_now=None), (plan.cash_short,)),
    ]
    found = []
    for what, eased, amounts in tries:
        for amount in amounts:
            asked = eased(amount)
            if asked != season and not _is_short(_plan(asked)):
                found.append(Relief(what=what, amount=amount))
                break
    return tuple(found)


def _plan(season: Season) -> SeasonPlan:
    return solve_season(season, (likely_scenario(season),))


def _is_short(plan: SeasonPlan) -> bool:
    late = any(acres > SHORT for acres in plan.slash_late.values())
    return late or plan.cash_short > SHORT_DOLLARS or any(cords > SHORT for cords in plan.short.values())


def _everybody_does_everything(season: Season) -> Season:
    return replace(season, people=tuple(replace(person, steps=frozenset(Step)) for person in season.people))


def _more_hours(season: Season, each_week: float) -> Season:
    """The first who works finds more hours in every week."""
    first, *others = season.people
    hours = tuple(h + each_week * weeks for h, weeks in zip(first.hours, season.lengths, strict=True))
    return replace(season, people=(replace(first, hours=hours), *others))


def _more_wood(season: Season, plan: SeasonPlan) -> Season:
    """As much wood as is short, bought in ready to deliver."""
    yard = season.yards[0].key

    def bought(promise: Promise) -> SplitLot:
        ready = Choice(
            key="leave", name="leave it", ready=(0, 0, 0),
            becomes=promise.dryness,
        )  # fmt: skip
        return SplitLot(
            key=f"bought for {promise.name}", name="bought in", kind=promise.kind, yard=yard,
            cords=plan.short[promise.name], choices=(ready,),
        )  # fmt: skip

    short = tuple(bought(p) for p in season.promises if plan.short.get(p.name, 0.0) > SHORT)
    return replace(season, lots=(*season.lots, *short))


def _more_trips(season: Season, each: float) -> Season:
    return replace(
        season,
        markets=tuple(
            replace(market, trips=tuple(t + int(each) for t in market.trips))
            if market.trip_cords is not None
            else market
            for market in season.markets
        ),
    )


def _more_days(season: Season, each_week: float) -> Season:
    """Rigs go out more days in every week."""
    days = zip(season.rig_days, season.lengths, strict=False)
    return replace(season, rig_days=tuple(most + each_week * weeks for most, weeks in days))


def _no_room_limit(season: Season) -> Season:
    return replace(season, yards=tuple(replace(yard, room_cords=None) for yard in season.yards))
