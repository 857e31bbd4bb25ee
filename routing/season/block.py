"""One scenario's columns and rows: from standing wood to sold cords, period by period."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from typing import TYPE_CHECKING, Any, NamedTuple

from routing.season.ledger import Part, What
from routing.season.people import Limit
from routing.season.problem import DRYNESS, GREEN, SEASONED, Ground, Market, Move, Promise, Step
from routing.season.scenarios import Scenario

if TYPE_CHECKING:
    from routing.season.model import Program

SHORT_PENALTY = 5.0  # times the price: a promise is broken only when nothing else can be done
CASH_PENALTY = 10.0  # times each dollar the cash box falls below zero: no sale is worth that
TIE = 0.002  # dollars an hour: of plans that earn alike, the one that works and sells sooner
LEAST_PENALTY = 1000.0  # dollars a cord, where the promised wood has no price; an acre whose slash is late
AHEAD_PERIODS = 5  # work within these is told apart by place: what has to begin soon
MOVE_TIE = 0.001  # dollars a cord: wood is not moved for nothing
ROUNDS = "rounds"

type Place = tuple[str, str]  # kind, yard
type Terms = list[tuple[Any, float]]


class HourRow(NamedTuple):
    """A row of hours: steps that together fit their people's."""

    row: Any
    limit: Limit


def move_target(kind: str, state: str, move: Move) -> str:
    """The name of a task that moves wood: what, from where, and to where."""
    return "@".join((kind, move.origin, state, move.target))


class Block:
    """Columns count cords (acres for ground) in a period; rows keep stocks, hours, room, demand and cash."""

    def __init__(self, program: Program, scenario: Scenario) -> None:
        self.p, self.scenario, self.season = program, scenario, program.season
        season = self.season
        self.places: tuple[Place, ...] = tuple((k, yard.key) for k in season.kinds for yard in season.yards)
        self.work: defaultdict[int, list[tuple[Step, Terms]]] = defaultdict(list)
        self.money: defaultdict[int, list[tuple[Any, float, Part]]] = defaultdict(list)
        self.part_of: dict[int, Part] = {}  # of columns that deliver: which wood, and whose
        self.amounts_now: defaultdict[tuple[Step, str], Terms] = defaultdict(list)  # column, hours per unit
        self.inflow: dict[str, defaultdict[tuple[Place, int], Terms]] = {
            state: defaultdict(list) for state in (ROUNDS, "drying", SEASONED, GREEN)
        }
        self.sold: defaultdict[tuple[str, int], Terms] = defaultdict(list)
        self.driven: defaultdict[tuple[str, int], Terms] = defaultdict(list)  # of it, what rigs bring
        self.sold_now: list[tuple[str, Place, str, Any]] = []
        self.stock: dict[str, dict[tuple[Place, int], Any]] = {}
        self.balance: dict[tuple[Place, int], Any] = {}
        self.hour_rows: dict[int, list[HourRow]] = {}
        self.room_rows: defaultdict[str, list[Any]] = defaultdict(list)
        self.trip_rows: dict[tuple[str, int], Any] = {}
        self.trips: dict[tuple[str, int], Any] = {}
        self.days: defaultdict[int, Terms] = defaultdict(list)  # rig days by period
        self.day_rows: dict[int, Any] = {}
        self.short: list[Any] = []
        self.thinned: defaultdict[str, list[Any]] = defaultdict(list)  # acres by period
        self.cleared: defaultdict[str, list[Any]] = defaultdict(list)  # acres by period
        self.ahead: defaultdict[tuple[Step, str], list[tuple[int, Any, float]]] = defaultdict(list)
        self.slash_late: dict[str, Any] = {}  # acres, by ground
        self.no_amount: set[int] = set()  # indexes of columns
        self.made: dict[tuple[Place, int], Any] = {}  # cords split to be kept until dry
        self.cash_short: Any = None  # dollars the cash box falls below zero at its lowest
        self._fell()
        self._haul_rounds()
        self._split()
        self._split_lots()
        self._move()
        for market in season.markets:
            self._sell(market)
        self._keep_promises()
        self._keep_stocks()
        self._make_trips()
        self._keep_rig_days()
        self._keep_room()
        self._keep_hours()
        self._keep_cash()

    # -- columns --------------------------------------------------------------------------------------

    def _do(
        self, step: Step, target: str, period: int, column: Any, hours: float, *, is_amount: bool = True
    ) -> None:
        """Book hours per unit of a column; in the first period they are checked against the shared hours.

        is_amount: the column counts cords or acres; trips only take hours.
        """
        if not is_amount:
            self.no_amount.add(column.index())
        hours *= self.scenario.rate.get(step, 1.0)
        if 0 < period < AHEAD_PERIODS:
            self.ahead[step, target].append((period, column, hours))
        if period == 0:
            self.amounts_now[step, target].append((column, hours))
        elif hours > 0:
            self.work[period].append((step, [(column, hours)]))

    def _pay(self, period: int, column: Any, dollars: float, part: Part) -> None:
        if dollars:
            self.money[period].append((column, dollars, part))

    def _hours(self, step: Step) -> float:
        guess = self.season.hours_per_cord.get(step)
        return guess.likely if guess else 0.0

    def cords_an_acre(self, ground: Ground) -> float:
        return sum(ground.cords_per_acre.values()) * self.scenario.yields.get(ground.key, 1.0)

    def _fell(self) -> None:
        """Acres thinned, their wood hauled to a yard, their slash treated in time."""
        season = self.season
        for ground in season.grounds:
            per_acre_now = sum(ground.cords_per_acre.values())
            cords = self.cords_an_acre(ground)
            thinned: Terms = []
            at_landing: Terms = []
            treated: Terms = []
            due: list[Terms] = []
            for period in range(season.periods):
                acres, slash = self.p.column(upper=ground.acres), self.p.column()
                self._do(Step.FELL, ground.key, period, acres, self._hours(Step.FELL) * cords)
                self._do(Step.SLASH, ground.key, period, slash, ground.slash_hours)
                in_time = ground.cost_share_until is None or period <= ground.cost_share_until
                share = ground.cost_share if in_time else 0.0
                self._pay(period, slash, share, Part(What.SHARE, ground.key))
                felling = ground.cash + season.cash_per_cord * cords
                self._pay(period, acres, -felling, Part(What.FELL, ground.key))
                thinned.append((acres, 1.0))
                self.thinned[ground.key].append(acres)
                self.cleared[ground.key].append(slash)
                due.append(list(thinned))
                treated.append((slash, -1.0))
                self.p.row(-ground.slash_left, None, [*thinned, *treated])
                if ground.slash_within is not None and period >= ground.slash_within:
                    self.p.row(None, 0.0, [*due[period - ground.slash_within], *treated])
                if period == ground.slash_by:
                    late = self.slash_late[ground.key] = self._late(LEAST_PENALTY)
                    self.p.row(None, -ground.slash_left, [*thinned, *treated, (late, -1.0)])
                if not ground.acres:
                    continue  # only its slash is left
                at_landing.append((acres, cords))
                for yard in season.yards:
                    haul = self.p.column()
                    self._do(Step.HAUL, ground.key, period, haul, self._hours(Step.HAUL))
                    at_landing.append((haul, -1.0))
                    for kind, per_acre in ground.cords_per_acre.items():
                        self.inflow[ROUNDS][(kind, yard.key), period].append((haul, per_acre / per_acre_now))
                self.p.row(0.0, None, list(at_landing))
            self.p.row(None, ground.acres, thinned)

    def _late(self, penalty: float, upper: float | None = None) -> Any:
        """A column for what falls short, at a price to be paid only where nothing else can be done."""
        penalty *= self.p.share
        column = self.p.column(upper=upper)
        self.p.gain(column, -penalty)
        return column

    def _haul_rounds(self) -> None:
        for lot in self.season.rounds:
            if not lot.needs_haul:
                continue
            hauled: Terms = []
            for period in range(self.season.periods):
                column = self.p.column()
                self._do(Step.HAUL, lot.key, period, column, self._hours(Step.HAUL))
                self.inflow[ROUNDS][(lot.kind, lot.yard), period].append((column, 1.0))
                hauled.append((column, 1.0))
            self.p.row(None, lot.cords, hauled)

    def _split(self) -> None:
        """Rounds split and stacked, to be kept until dry or to be sold green."""
        hours = self._hours(Step.SPLIT)
        for place in self.places:
            ready = self.season.ready.get(place)
            for period in range(self.season.periods):
                for dryness in DRYNESS:
                    if dryness == SEASONED and ready is None:
                        continue
                    target = "@".join(place if dryness == SEASONED else (*place, GREEN))
                    column = self.p.column()
                    self._do(Step.SPLIT, target, period, column, hours)
                    self._do(Step.STACK, target, period, column, self._hours(Step.STACK))
                    self.inflow[ROUNDS][place, period].append((column, -1.0))
                    if dryness == GREEN or ready is None:
                        self.inflow[GREEN][place, period].append((column, 1.0))
                        continue
                    self.made[place, period] = column
                    self._ripen(place, period, ready[period][self.scenario.drying], column, 1.0)

    def _ripen(self, place: Place, period: int, ready: int, column: Any, cords: float) -> None:
        """Wood that begins to dry in one period and counts as seasoned from another."""
        self.inflow["drying"][place, period].append((column, cords))
        if ready < self.season.periods:
            ready = max(ready, period)
            self.inflow["drying"][place, ready].append((column, -cords))
            self.inflow[SEASONED][place, ready].append((column, cords))

    def _split_lots(self) -> None:
        for lot in self.season.lots:
            for choice in lot.choices:
                place = (lot.kind, choice.yard or lot.yard)
                column = self.p.choice[lot.key, choice.key]
                ready = choice.ready[self.scenario.drying]
                if choice.becomes == GREEN:
                    self.inflow[GREEN][place, 0].append((column, lot.cords))
                else:
                    self._ripen(place, 0, ready, column, lot.cords)

    def _move(self) -> None:
        """Rounds and dry wood brought from yard to yard."""
        for move in self.season.moves:
            for kind, state, period in product(
                self.season.kinds, (ROUNDS, SEASONED), range(self.season.periods)
            ):
                column = self.p.column()
                self._do(Step.MOVE, move_target(kind, state, move), period, column, move.hours)
                self._pay(period, column, -move.cash, Part(What.MOVE))
                self.inflow[state][(kind, move.origin), period].append((column, -1.0))
                self.inflow[state][(kind, move.target), period].append((column, 1.0))
                self.p.gain(column, -MOVE_TIE * self.p.share)

    def _sell(self, market: Market) -> None:
        """Sales within each month's demand (a buyer waits that long); a promise adds to it."""
        for (kind, dryness), price in market.price.items():
            demand = market.demand.get((kind, dryness), (0.0,) * self.season.periods)
            for month in self.season.months:
                most = sum(demand[period] * self.scenario.demand[period] for period in month)
                if most <= 0:
                    continue
                columns = [
                    self._delivery(market, (kind, yard.key), dryness, period, price)
                    for period in month
                    for yard in self.season.yards
                ]
                self.p.row(None, most, [(column, 1.0) for column in columns])

    def _delivery(
        self,
        market: Market,
        place: Place,
        dryness: str,
        period: int,
        price: float,
        promise: Promise | None = None,
    ) -> Any:
        column, order = self.p.column(), promise.name if promise else ""
        part = self.part_of[column.index()] = Part(What.SALE, market.key, place[0], dryness, order)
        self.inflow[dryness][place, period].append((column, -1.0))
        self.sold[market.key, period].append((column, 1.0))
        if period == 0:
            self.sold_now.append((market.key, place, dryness, column))
        self._pay(period, column, price, part)
        if promise is None or not promise.is_pick_up:
            self.driven[market.key, period].append((column, 1.0))
            self._do(market.step, market.key, period, column, market.hours)
            self._pay(period, column, -market.cash, Part(What.DRIVE, market.key))
        self.p.gain(column, -TIE * period / self.season.periods * self.p.share)
        return column

    def _keep_promises(self) -> None:
        for promise in self.season.promises:
            market = next(m for m in self.season.markets if m.key == promise.market)
            price = self.season.promised_price(promise)
            short = self._late(max(SHORT_PENALTY * price, LEAST_PENALTY), promise.cords)
            terms: Terms = [(short, 1.0)]
            for period in range(min(promise.by_period + 1, self.season.periods)):
                for yard in self.season.yards:
                    place = (promise.kind, yard.key)
                    terms.append(
                        (self._delivery(market, place, promise.dryness, period, price, promise), 1.0)
                    )
            self.p.row(promise.cords, promise.cords, terms)
            self.short.append(short)

    # -- rows -----------------------------------------------------------------------------------------

    def _keep_stocks(self) -> None:
        """What lies there = what lay there + what came - what went, for every state of the wood."""
        on_hand: defaultdict[Place, float] = defaultdict(float)
        for lot in self.season.rounds:
            if not lot.needs_haul:
                on_hand[lot.kind, lot.yard] += lot.cords
        last = self.season.periods - 1
        for state, inflow in self.inflow.items():
            self.stock[state] = {}
            for place in self.places:
                before = None
                for period in range(self.season.periods):
                    column = self.p.column()
                    terms = [(column, 1.0), *((c, -f) for c, f in inflow[place, period])]
                    if before is not None:
                        terms.append((before, -1.0))
                    start = on_hand[place] if state == ROUNDS and period == 0 else 0.0
                    row = self.p.row(start, start, terms)
                    if state == SEASONED:
                        self.balance[place, period] = row
                    self.stock[state][place, period] = before = column
                kept = SEASONED if state == "drying" else state
                value = self.season.keep_value.get((place[0], kept), 0.0)
                if value:
                    self.p.gain(self.stock[state][place, last], value * self.p.share)

    def _make_trips(self) -> None:
        for market in self.season.markets:
            if market.trip_cords is None:
                continue
            for period in range(self.season.periods):
                trips = self.p.column() if period else self.p.trips_now[market.key]
                self.days[period].append((trips, 1.0))
                self._do(market.step, market.key, period, trips, market.trip_hours, is_amount=False)
                self._pay(period, trips, -market.trip_cash, Part(What.TRIP, market.key))
                self.trips[market.key, period] = trips
                self.p.row(None, 0.0, [*self.driven[market.key, period], (trips, -market.trip_cords)])
                self.trip_rows[market.key, period] = self.p.row(
                    None, float(market.trips[period]), [(trips, 1.0)]
                )

    def _keep_rig_days(self) -> None:
        """Near loads by what a rig brings in a day, far trips a day each."""
        near = [m for m in self.season.markets if m.trip_cords is None and m.cords_a_day]
        for period, most in enumerate(self.season.rig_days):
            self.days[period] += [
                (column, factor * market.days_a_cord)
                for market in near
                for column, factor in self.driven[market.key, period]
            ]
            self.day_rows[period] = self.p.row(None, most, self.days[period])

    def _keep_room(self) -> None:
        for yard in self.season.yards:
            if yard.room_cords is None:
                continue
            rounds = (lot for lot in self.season.rounds if not lot.needs_haul)
            here = sum(lot.cords for lot in rounds if lot.yard == yard.key)
            here += sum(lot.cords for lot in self.season.lots if lot.yard == yard.key)
            room = max(yard.room_cords, here)  # what lies there already may stay
            for period in range(self.season.periods):
                terms = [
                    (stock[place, period], 1.0)
                    for stock in self.stock.values()
                    for place in self.places
                    if place[1] == yard.key
                ]
                self.room_rows[yard.key].append(self.p.row(None, room, terms))

    def _keep_hours(self) -> None:
        for key, terms in self.amounts_now.items():
            used = [(column, hours) for column, hours in terms if hours > 0]
            if used:
                self.p.row(None, 0.0, [*used, (self.p.hours_now(*key), -1.0)])
        for period in range(1, self.season.periods):
            work = list(self.work[period])
            if period < len(self.p.tend):
                work.append((Step.TEND, [(self.p.tend[period], 1.0)]))
            self.hour_rows[period] = self.p.hours_rows(period, work, self.scenario.hours[period])
            worth = self.season.hour_worth + TIE * period / self.season.periods
            for _, terms in work:
                for column, hours in terms:
                    self.p.gain(column, -worth * hours * self.p.share)

    def _keep_cash(self) -> None:
        season = self.season
        if season.cash_now is not None:
            self.cash_short = self._late(CASH_PENALTY)
        so_far: Terms = []
        for period in range(season.periods):
            for column, dollars, _ in self.money[period]:
                self.p.gain(column, dollars * self.p.share)
                so_far.append((column, dollars))
            if season.cash_now is not None:
                there = season.cash_now + sum(season.cash_due[: period + 1])
                self.p.row(-there, None, [*so_far, (self.cash_short, 1.0)])
