"""A season lived through: what a way of deciding earns when demand, drying and hours turn out as they do.

The truth is a `Scenario`; a policy (`policies`) sees only what lies there today.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from math import inf

from routing.season.block import Place
from routing.season.ledger import Ledger, Part, Sum, What, total
from routing.season.people import HoursLeft
from routing.season.policies import Period, Work
from routing.season.problem import GREEN, SEASONED, Market, Promise, Season, Step
from routing.season.remaining import LEAST, season_left
from routing.season.scenarios import Scenario

MAKING = (Step.SPLIT, Step.STACK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lived:
    """How it came out: money with what is left at the end, hours, promised cords missed, acres whose slash
    lay on past its day."""

    money: Ledger
    hours: float
    missed: float
    slash_late: float = 0.0

    @property
    def net(self) -> float:
        return total(self.money)

    @property
    def cords(self) -> float:
        """Cords sold."""
        return sum(line.amount for part, line in self.money.items() if part.what == What.SALE)


type Policy = Callable[[Season], Period]


def live(season: Season, truth: Scenario, policy: Policy) -> Lived:
    """Live a season under a policy; the policy is asked once a period with what is left of the season."""
    world = World(season, truth)
    for period in range(season.periods):
        world.step(period, policy(season_left(world, period)))
    return world.end()


class World:
    """What lies where, period by period, under the truth."""

    def __init__(self, season: Season, truth: Scenario) -> None:
        self.season, self.truth = season, truth
        self.markets = {market.key: market for market in season.markets}
        self.acres = {ground.key: ground.acres for ground in season.grounds}
        self.slash = {ground.key: ground.slash_left for ground in season.grounds}
        self.slash_late = 0.0
        self.landing = dict.fromkeys(self.acres, 0.0)
        self.to_haul = {lot.key: lot.cords for lot in season.rounds if lot.needs_haul}
        self.rounds: defaultdict[Place, float] = defaultdict(float)
        for lot in season.rounds:
            if not lot.needs_haul:
                self.rounds[lot.kind, lot.yard] += lot.cords
        self.stock: dict[str, defaultdict[Place, float]] = {
            SEASONED: defaultdict(float),
            GREEN: defaultdict(float),
        }
        self.drying: list[tuple[Place, tuple[int, int, int], float]] = []
        self.untreated = {lot.key: lot for lot in season.lots}
        self.promised = {promise.name: promise.cords for promise in season.promises}
        self.money: Ledger = {}
        self.hours = 0.0

    def pay(self, part: Part, amount: float, dollars: float) -> None:
        before = self.money.get(part, Sum(0.0, 0.0))
        self.money[part] = Sum(before.amount + amount, before.dollars + dollars)

    # -- what happens ---------------------------------------------------------------------------------

    def step(self, period: int, decided: Period) -> None:
        """A period: promises by their day, then wood that lies, whoever else asks, and the work."""
        self.hours_left = HoursLeft(self.season, period, self.truth.hours[period])
        self.rig_days = self.season.rig_days[period] if self.season.rig_days else inf
        tending = self._treat(decided)
        self._ripen(period)
        work = _split_with_stacking(decided.work)
        self._keep_promises(period)
        for item in work:
            self._work(period, self._for_promises(period, item))
        self._keep_promises(period)  # with wood just split
        self._spend_hours(Step.TEND, tending)
        self._sell(period, decided)
        for item in work:
            self._work(period, item)
        self._keep_promises(period)
        self.slash_late += sum(self.slash[g.key] for g in self.season.grounds if g.slash_by == period)

    def _treat(self, decided: Period) -> float:
        """Every lot gets its treatment; the hours that takes."""
        hours = 0.0
        for lot in list(self.untreated.values()):
            choice = next((c for c in lot.choices if c.key == decided.choices.get(lot.key)), lot.choices[0])
            del self.untreated[lot.key]
            hours += choice.hours
            self.pay(Part(What.TREAT, lot.key), lot.cords, -choice.cash)
            place = (lot.kind, choice.yard or lot.yard)
            if choice.becomes == GREEN:
                self.stock[GREEN][place] += lot.cords
            else:
                self.drying.append((place, choice.ready, lot.cords))
        return hours

    def _ripen(self, period: int) -> None:
        ripe = [item for item in self.drying if item[1][self.truth.drying] <= period]
        self.drying = [item for item in self.drying if item[1][self.truth.drying] > period]
        for place, _, cords in ripe:
            self.stock[SEASONED][place] += cords

    def _spend_hours(self, step: Step, hours: float) -> None:
        self.hours += hours
        self.hours_left.spend(step, hours)

    def _keep_promises(self, period: int) -> None:
        """Promised wood goes out first, the earliest day before the others."""
        for promise in sorted(self.season.promises, key=lambda promise: promise.by_period):
            if self.promised[promise.name] > LEAST and promise.by_period >= period:
                market = self.markets[promise.market]
                for yard in self.season.yards:
                    wanted = self.promised[promise.name]
                    place = (promise.kind, yard.key)
                    sold = self._hand_over(market, place, promise.dryness, wanted, promise)
                    self.promised[promise.name] -= sold

    def _for_promises(self, period: int, item: Work) -> Work:
        """The part of a piece of work that makes wood promised green."""
        if not item.is_green:
            return item._replace(hours=0.0)
        kind = item.target.split("@")[0]
        owed = sum(
            self.promised[promise.name]
            for promise in self.season.promises
            if (promise.kind, promise.dryness) == (kind, GREEN) and promise.by_period >= period
        )
        rate = self._rate(Step.SPLIT) + self._rate(Step.STACK)
        return item._replace(hours=min(item.hours, owed * rate))

    def _sell(self, period: int, decided: Period) -> None:
        asked = {
            (market.key, kind, dryness): weeks[period] * self.truth.demand[period]
            for market in self.season.markets
            for (kind, dryness), weeks in market.demand.items()
        }
        trips: defaultdict[str, float] = defaultdict(float)
        for sale in decided.sales:
            market = self.markets[sale.market]
            key = (sale.market, sale.place[0], sale.dryness)
            wanted = min(sale.cords, asked.get(key, 0.0))
            if market.trip_cords is not None:
                room = market.trips[period] * market.trip_cords - trips[sale.market]
                wanted = min(wanted, room)
            sold = self._hand_over(market, sale.place, sale.dryness, wanted)
            asked[key] = asked.get(key, 0.0) - sold
            trips[sale.market] += sold

    def _hand_over(
        self, market: Market, place: Place, dryness: str, wanted: float, promise: Promise | None = None
    ) -> float:
        """Cords sold, driven or picked up: no more than lie there, are wanted, and the hours allow."""
        is_driven = promise is None or not promise.is_pick_up
        hours, days = (market.hours, market.days_a_cord) if is_driven else (0.0, 0.0)
        if is_driven and market.trip_cords is not None:  # pooled into full trips
            hours += market.trip_hours / market.trip_cords
        most = max(self.hours_left.units({market.step: hours}), 0.0)
        cords = min(wanted, self.stock[dryness][place], most)
        if days:
            cords = min(cords, self.rig_days / days)
        if cords <= LEAST:
            return 0.0
        self.rig_days -= cords * days
        self.stock[dryness][place] -= cords
        listed = market.price.get((place[0], dryness), 0.0)
        price = self.season.promised_price(promise) if promise else listed
        order = promise.name if promise else ""
        self.pay(Part(What.SALE, market.key, place[0], dryness, order), cords, cords * price)
        if not is_driven:
            return cords
        self.pay(Part(What.DRIVE, market.key), cords, -cords * market.cash)
        if market.trip_cords is not None:
            trips = cords / market.trip_cords
            self.pay(Part(What.TRIP, market.key), trips, -trips * market.trip_cash)
        self._spend_hours(market.step, cords * hours)
        return cords

    def _work(self, period: int, item: Work) -> None:
        each = self._steps_of(item)
        hours = min(item.hours, self.hours_left.units(each))
        if hours <= LEAST:
            return
        doing = {
            Step.FELL: self._fell, Step.SLASH: self._clear, Step.HAUL: self._haul, Step.SPLIT: self._split,
            Step.MOVE: self._move,
        }[item.step]  # fmt: skip
        spent = min(doing(period, item, hours), hours)
        for step, share in each.items():
            self._spend_hours(step, share * spent)

    def _steps_of(self, item: Work) -> dict[Step, float]:
        """What an hour of a piece of work is spent on: split wood is stacked, by whoever stacks."""
        if item.step != Step.SPLIT:
            return {item.step: 1.0}
        rates = {step: self._rate(step) for step in MAKING}
        both = sum(rates.values())
        return {step: rate / both for step, rate in rates.items()} if both else {Step.SPLIT: 1.0}

    def _rate(self, step: Step) -> float:
        guess = self.season.hours_per_cord.get(step)
        return guess.likely * self.truth.rate.get(step, 1.0) if guess else 0.0

    def _fell(self, period: int, item: Work, hours: float) -> float:
        ground = next(g for g in self.season.grounds if g.key == item.target)
        yields = sum(ground.cords_per_acre.values()) * self.truth.yields.get(ground.key, 1.0)
        per_acre = yields * self._rate(Step.FELL)
        acres = min(self.acres[ground.key], hours / per_acre if per_acre else self.acres[ground.key])
        cords = acres * yields
        self.acres[ground.key] -= acres
        self.slash[ground.key] += acres
        self.landing[ground.key] += cords
        spent = acres * ground.cash + cords * self.season.cash_per_cord
        self.pay(Part(What.FELL, ground.key), acres, -spent)
        return acres * per_acre

    def _clear(self, period: int, item: Work, hours: float) -> float:
        ground = next(g for g in self.season.grounds if g.key == item.target)
        acres = min(self.slash[ground.key], hours / ground.slash_hours if ground.slash_hours else 0.0)
        self.slash[ground.key] -= acres
        if ground.cost_share_until is None or period <= ground.cost_share_until:
            self.pay(Part(What.SHARE, ground.key), acres, acres * ground.cost_share)
        return acres * ground.slash_hours

    def _haul(self, period: int, item: Work, hours: float) -> float:
        rate = self._rate(Step.HAUL)
        key = item.target.split("/")[0]
        most = hours / rate if rate else float("inf")
        if key in self.to_haul:
            lot = next(lot for lot in self.season.rounds if lot.key == key)
            cords = min(self.to_haul[key], most)
            self.to_haul[key] -= cords
            self.rounds[lot.kind, lot.yard] += cords
            return cords * rate
        ground = next(g for g in self.season.grounds if g.key == key)
        cords = min(self.landing[key], most)
        self.landing[key] -= cords
        for kind, per_acre in ground.cords_per_acre.items():
            share = per_acre / sum(ground.cords_per_acre.values())
            self.rounds[kind, self.season.yards[0].key] += cords * share
        return cords * rate

    def _move(self, period: int, item: Work, hours: float) -> float:
        kind, origin, state, target = item.target.split("@")
        each = next(m for m in self.season.moves if (m.origin, m.target) == (origin, target))
        lies = self.stock[SEASONED] if state == SEASONED else self.rounds
        cords = min(lies[kind, origin], hours / each.hours if each.hours else lies[kind, origin])
        lies[kind, origin] -= cords
        lies[kind, target] += cords
        self.pay(Part(What.MOVE), cords, -cords * each.cash)
        return cords * each.hours

    def _split(self, period: int, item: Work, hours: float) -> float:
        kind, yard, *_ = item.target.split("@")
        rate = self._rate(Step.SPLIT) + self._rate(Step.STACK)
        cords = min(self.rounds[kind, yard], hours / rate if rate else self.rounds[kind, yard])
        self.rounds[kind, yard] -= cords
        ready = self.season.ready.get((kind, yard))
        if item.is_green or ready is None:
            self.stock[GREEN][kind, yard] += cords
        else:
            self.drying.append(((kind, yard), ready[period], cords))
        return cords * rate

    def end(self) -> Lived:
        lies = [(state, place, cords) for state, at in self.stock.items() for place, cords in at.items()]
        lies += [("drying", place, cords) for place, _, cords in self.drying]
        lies += [("rounds", place, cords) for place, cords in self.rounds.items()]
        for state, (kind, _), cords in lies:
            kept = SEASONED if state == "drying" else state
            worth = self.season.keep_value.get((kind, kept), 0.0)
            self.pay(Part(What.LEFT, kept, kind), cords, cords * worth)
        return Lived(
            money=self.money,
            hours=self.hours,
            missed=sum(self.promised.values()),
            slash_late=self.slash_late,
        )


def _split_with_stacking(work: tuple[Work, ...]) -> list[Work]:
    """Splitting and stacking of one wood are one job here."""
    made: dict[tuple[str, bool], Work] = {}
    others = []
    for item in work:
        if item.step in MAKING:
            before = made.get((item.target, item.is_green))
            hours = item.hours + (before.hours if before else 0.0)
            made[item.target, item.is_green] = item._replace(step=Step.SPLIT, hours=hours)
        else:
            others.append(item)
    return [*others, *made.values()]
