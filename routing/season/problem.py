"""What the season planner is asked: weeks, people, ground, wood as it lies, markets, promises.

Values only. `scenarios` draws what is uncertain, `model` turns both into a linear program, `advice` reads the
answer. Time runs in periods, single weeks at first and longer ones far ahead; a period is an index from 0.
Quantities are stacked cords; money is dollars; hours are one person's.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from math import inf

from inventory.core.bands import Band
from routing.core import RoutingError

SEASONED, GREEN = "seasoned", "green"
DRYNESS = (SEASONED, GREEN)
MONTH_WEEKS = 4


class Step(StrEnum):
    """Work that takes hours, in the order a cord meets it."""

    FELL = "fell"
    HAUL = "haul"
    SPLIT = "split"
    STACK = "stack"
    TEND = "tend"  # cover or spread wood that lies
    MOVE = "move"  # from one yard to another
    SLASH = "slash"
    DELIVER_NEAR = "deliver_near"
    DELIVER_FAR = "deliver_far"


class SeasonProblemError(RoutingError):
    """The season as asked makes no sense."""


class SeasonNotSolved(SeasonProblemError):
    """The solver gave no answer; the rows contradict each other."""

    says = "No plan keeps all limits of the season: look at yard room, cash and promised wood."


@dataclass(frozen=True, slots=True, kw_only=True)
class Range(Band[float]):
    """A guess: low, likely, high. A known figure has all three alike."""

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise SeasonProblemError(
                "A range needs low ≤ likely ≤ high, not {low:g}, {likely:g}, {high:g}.",
                low=self.low,
                likely=self.likely,
                high=self.high,
            )

    @classmethod
    def exactly(cls, value: float) -> "Range":
        return cls(low=value, likely=value, high=value)

    def at(self, u: float) -> float:
        """The triangular distribution's value at quantile u, 0 to 1."""
        low, mode, high = self.low, self.likely, self.high
        if high <= low:
            return mode
        turn = (mode - low) / (high - low)
        if u < turn:
            return low + ((high - low) * (mode - low) * u) ** 0.5
        return high - ((high - low) * (high - mode) * (1 - u)) ** 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who works: hours offered in each period, and the steps they do."""

    key: str
    name: str
    hours: tuple[float, ...]
    steps: frozenset[Step] = frozenset(Step)


@dataclass(frozen=True, slots=True, kw_only=True)
class Yard:
    """A place wood is kept. room_cords: None = no limit known."""

    key: str
    name: str
    room_cords: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Ground not yet thinned.

    Units
        acres: left to thin. cords_per_acre: by kind of wood. slash_hours, cash, cost_share: per acre.
        cost_share_until: last period in which an acre still earns its cost-share; None = no date.
        slash_within: periods after felling by which slash must be treated; None = no limit. slash_left: acres
        thinned before whose slash still lies. slash_by: period by whose end that, and the slash of every acre
        thinned until then, is gone; None = no date. yields: cords an acre against cords_per_acre, a range.
    """

    key: str
    name: str
    acres: float
    cords_per_acre: dict[str, float]
    slash_hours: float = 0.0
    cash: float = 0.0
    cost_share: float = 0.0
    cost_share_until: int | None = None
    slash_within: int | None = None
    slash_left: float = 0.0
    slash_by: int | None = None
    yields: Range = Range(low=1.0, likely=1.0, high=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingWood:
    """Wood of one kind that lies in one yard."""

    key: str
    name: str
    kind: str
    yard: str
    cords: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds(LyingWood):
    """Rounds on hand that wait to be split. needs_haul: they still lie at the landing."""

    needs_haul: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to treat a lot of split wood from now on.

    Units
        hours, cash: for the whole lot. ready: first period it may be sold as `becomes` when drying goes fast,
        likely and slow; a number past the last period = not in this season. yard: where the lot is taken for
        it; "" = it stays. hours and cash count the move. sure_on: the day it is as sure as the seller wants.
    """

    key: str
    name: str
    ready: tuple[int, int, int]
    becomes: str = SEASONED
    hours: float = 0.0
    cash: float = 0.0
    yard: str = ""
    sure_on: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitLot(LyingWood):
    """Split wood that lies somewhere, free to sell; exactly one of its choices is taken."""

    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Market:
    """Where wood is sold.

    Units
        price: dollars per cord by (kind, dryness); absent = not sold there. hours, cash: per cord delivered.
        trip_hours, trip_cash, trip_cords: a far market is reached in whole trips; trip_cords None = no trips.
        trips: the most trips in each period. demand: cords in each period by (kind, dryness), the likely.
        cords_a_day: what a rig delivers there in a day, where no trips are counted; None = any amount.
    """

    key: str
    name: str
    step: Step
    price: dict[tuple[str, str], float]
    demand: dict[tuple[str, str], tuple[float, ...]]
    hours: float
    cash: float = 0.0
    trip_hours: float = 0.0
    trip_cash: float = 0.0
    trip_cords: float | None = None
    trips: tuple[int, ...] = ()
    cords_a_day: float | None = None

    @property
    def days_a_cord(self) -> float:
        """Rig days a cord delivered takes; a far trip is a day."""
        return 1 / (self.trip_cords or self.cords_a_day or inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """Wood promised: this much of a kind must have gone to a market by the end of a period.

    Units
        price: dollars a cord as agreed; None = the market's. is_pick_up: the buyer comes for it, so that it
        takes no drive and no rig. driver: who takes it out on a day already planned; "" when none is named.
    """

    name: str
    market: str
    kind: str
    dryness: str
    cords: float
    by_period: int
    price: float | None = None
    is_pick_up: bool = False
    driver: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A way between two yards: what it takes to bring a cord over."""

    origin: str
    target: str
    hours: float
    cash: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Everything the planner may know.

    Shapes
        lengths: weeks in each period; the first is the week to decide. hours_per_cord: by FELL, HAUL,
        SPLIT, STACK. cash_per_cord: spent when wood is felled. allowed: share of each period in which a step
        may be done, by step, absent = always. ready: by (kind, yard), for wood split in each period, the
        first period it is ready (fast, likely, slow). keep_value: dollars a cord left over at the end, by
        (kind, "seasoned", "green" or "rounds"). demand_factor: how a whole season's demand may turn out.
        hour_worth: what an hour not worked on wood is worth to the seller, dollars. cash_due: dollars
        that come in (or go out, below zero) in each period besides wood; counted only with cash_now.
        rig_days: days rigs can go out in each period, all rigs together; empty = not counted. moves: ways to
        bring dry wood and rounds from yard to yard.
    """

    lengths: tuple[int, ...]
    people: tuple[Person, ...]
    yards: tuple[Yard, ...]
    grounds: tuple[Ground, ...]
    rounds: tuple[Rounds, ...]
    lots: tuple[SplitLot, ...]
    markets: tuple[Market, ...]
    promises: tuple[Promise, ...]
    hours_per_cord: dict[Step, Range]
    cash_per_cord: float
    ready: dict[tuple[str, str], tuple[tuple[int, int, int], ...]]
    keep_value: dict[tuple[str, str], float]
    allowed: dict[Step, tuple[float, ...]] = field(default_factory=dict)
    demand_factor: Range = Range(low=0.6, likely=1.0, high=1.4)
    cash_now: float | None = None
    cash_due: tuple[float, ...] = ()
    hour_worth: float = 0.0
    rig_days: tuple[float, ...] = ()
    moves: tuple[Move, ...] = ()

    def __post_init__(self) -> None:
        if not self.lengths:
            raise SeasonProblemError("A season needs at least one week.")
        if not self.yards:
            raise SeasonProblemError("A season needs a yard to keep wood in.")
        for person in self.people:
            if len(person.hours) != self.periods:
                raise SeasonProblemError(
                    "{person} has hours for {given} of {periods} periods.",
                    person=person.name,
                    given=len(person.hours),
                    periods=self.periods,
                )
        if self.cash_due and len(self.cash_due) != self.periods:
            raise SeasonProblemError(
                "Bills are given for {given} of {periods} periods.",
                given=len(self.cash_due),
                periods=self.periods,
            )
        if self.rig_days and len(self.rig_days) != self.periods:
            raise SeasonProblemError(
                "Rig days are given for {given} of {periods} periods.",
                given=len(self.rig_days),
                periods=self.periods,
            )
        known = {yard.key for yard in self.yards}
        lies = [(lot.name, lot.yard) for lots in (self.rounds, self.lots) for lot in lots]
        lies += [(lot.name, c.yard) for lot in self.lots for c in lot.choices if c.yard]
        lies += [("Moved wood", yard) for move in self.moves for yard in (move.origin, move.target)]
        for name, yard in lies:
            if yard not in known:
                raise SeasonProblemError("{wood} lies in a yard that is not listed.", wood=name)
        for lot in self.lots:
            if not lot.choices:
                raise SeasonProblemError("{lot} has no choice to take, not even to leave it.", lot=lot.name)
        markets = {market.key for market in self.markets}
        for promise in self.promises:
            if promise.market not in markets:
                raise SeasonProblemError(
                    "{promise} is promised to a market that is not listed.", promise=promise.name
                )

    def promised_price(self, promise: Promise) -> float:
        """Dollars a cord of a promise, as agreed or as the market pays."""
        market = next(market for market in self.markets if market.key == promise.market)
        listed = market.price.get((promise.kind, promise.dryness), 0.0)
        return listed if promise.price is None else promise.price

    @property
    def periods(self) -> int:
        return len(self.lengths)

    @property
    def months(self) -> tuple[range, ...]:
        """Periods put together to four weeks or more."""
        found, first = [], 0
        for period in range(self.periods):
            if sum(self.lengths[first : period + 1]) >= MONTH_WEEKS or period == self.periods - 1:
                found.append(range(first, period + 1))
                first = period + 1
        return tuple(found)

    @property
    def kinds(self) -> tuple[str, ...]:
        """Every kind of wood on hand, in the ground or asked for, in order."""
        found = {lot.kind for lot in self.rounds} | {lot.kind for lot in self.lots}
        found |= {kind for ground in self.grounds for kind in ground.cords_per_acre}
        return tuple(sorted(found))

    def share_allowed(self, step: Step, period: int) -> float:
        return self.allowed[step][period] if step in self.allowed else 1.0
