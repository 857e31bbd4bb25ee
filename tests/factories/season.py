"""Ten seasons of a busy firm in bulk: every table a page reads, filled as the services would have left it.

The books it is laid over need yards, towns, a price sheet and a rig (the demo's, or the factories').
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.models import AuditEntry, Expense, Hold, Lot, Movement, Reading, Unit, WorkEntry, Yard
from orders.models import (
    Claim,
    Customer,
    Letter,
    Numbering,
    Order,
    OrderHold,
    Payment,
    Place,
    PriceSheet,
    Quote,
    Ticket,
    Town,
)
from routing.models import Day, DriverEvent, Load, Rig, Run, Stop

FIRST_NUMBER = 10_000
# cords sold by month in the season of the worked scenario (Jan to Dec): the year's shape
MONTHS = (250, 150, 100, 50, 150, 200, 100, 300, 425, 550, 400, 325)
AMOUNTS = (
    (Fraction(1, 3), 100), (Fraction(1, 2), 145), (Fraction(1, 2), 145), (Fraction(2, 3), 180),
    (Fraction(1), 260),
)  # fmt: skip
LOTS_A_SEASON = 12
LOADS_A_RUN = 4
MAX_DRIFT = 0.02  # degrees around a town's middle
HOURS_A_LOAD = 2


@dataclass(slots=True, kw_only=True)
class Seasons:
    """What was made, by name of table."""

    first_on: date
    last_on: date
    rows: dict[str, int] = field(default_factory=dict)


def make_seasons(
    *,
    last_on: date,
    orders: int = 20_000,
    seasons: int = 10,
    open_orders: int = 120,
    seed: int = 1,
    first_number: int = FIRST_NUMBER,
) -> Seasons:
    """So many delivered orders over so many seasons that end the day before, and some open ones."""
    maker = _Maker(last_on=last_on, seasons=seasons, seed=seed, first_number=first_number)
    with transaction.atomic():
        maker.make(orders, open_orders)
    return Seasons(first_on=maker.first_on, last_on=last_on, rows=dict(maker.rows))


def noon(on: date, hour: int = 12) -> datetime:
    return timezone.make_aware(datetime.combine(on, time(hour)))


def _filled(orders: list[Order]) -> list[list[Order]]:
    """The day's orders in loads of a cord at most, one after the other."""
    loads: list[list[Order]] = []
    for order in sorted(orders, key=lambda row: (row.place.town_id, row.number)):
        if loads and sum((row.cords for row in loads[-1]), order.cords) <= 1:
            loads[-1].append(order)
        else:
            loads.append([order])
    return loads


class _Maker:
    def __init__(self, *, last_on: date, seasons: int, seed: int, first_number: int) -> None:
        self.first_number = first_number
        self.mark = "" if first_number == FIRST_NUMBER else f"{first_number}"
        self.dice = random.Random(seed)
        self.last_on = last_on
        self.seasons = seasons
        self.first_on = last_on - timedelta(days=365 * seasons)
        self.rows: dict[str, int] = defaultdict(int)
        self.yards = list(Yard.objects.order_by("id"))
        self.towns = list(Town.objects.select_related("market").order_by("id"))
        self.rigs = list(Rig.objects.order_by("-capacity_ft3", "id")[:1])
        self.sheet = PriceSheet.objects.order_by("from_on").first()

    def keep(self, rows: list[Any]) -> list[Any]:
        if rows:
            type(rows[0]).objects.bulk_create(rows, batch_size=500)
            self.rows[type(rows[0]).__name__] += len(rows)
        return rows

    def make(self, count: int, open_orders: int) -> None:
        self.customers, self.places = self._people(max(20, count // 6))
        self.lots = self._lots()
        delivered = self._orders(self._days(count))
        self._money_and_paper(delivered)
        self._wood_of(delivered)
        self._drive(delivered)
        self._open(open_orders, self.first_number + count)
        self._work()
        Numbering.objects.update_or_create(
            series="order", defaults={"last": self.first_number + count + open_orders}
        )

    def _people(self, count: int) -> tuple[list[Customer], list[Place]]:
        people = self.keep(
            [
                Customer(
                    name=f"Buyer {number:05d}",
                    phone=f"+1541{2_000_000 + self.first_number + number}",
                    phone_as_typed=f"541 {2_000_000 + number}",
                    is_repeat=bool(number % 3),
                    pay_first=number % 97 == 0,
                    wants_reminder=number % 2 == 0,
                    made_at=noon(self.first_on),
                )
                for number in range(count)
            ]
        )
        places = []
        for number, person in enumerate(people):
            town = self.towns[self.dice.choices(range(len(self.towns)), [6, 3, 2, 1][: len(self.towns)])[0]]
            places.append(
                Place(
                    customer=person, address=f"{number} Long Lane, {town.name}", town=town,
                    lat=round(town.lat + self.dice.uniform(-MAX_DRIFT, MAX_DRIFT), 4),
                    lon=round(town.lon + self.dice.uniform(-MAX_DRIFT, MAX_DRIFT), 4),
                )
            )  # fmt: skip
        return people, self.keep(places)

    def _lots(self) -> dict[int, list[Lot]]:
        """By season, counted from the first day; the amounts follow in `_wood_of`."""
        made: dict[int, list[Lot]] = {}
        units = self.keep(
            [
                Unit(
                    name=f"Bench {self.mark}{number}", acres=Decimal(2), started_on=self._season_start(number)
                )
                for number in range(self.seasons)
            ]
        )
        for number in range(self.seasons):
            start = self._season_start(number)
            made[number] = self.keep(
                [
                    Lot(
                        code=f"S{self.mark}{number}-{place}", name=f"Bench {number} fir {place}",
                        unit=units[number], yard=self.yards[place % len(self.yards)], mix={"fir": 100},
                        wood="fir", form=Lot.Form.SPLITS, piling=Lot.Piling.HEAPED,
                        felled_on=start - timedelta(days=300),
                        split_on=start - timedelta(days=200), drying_from=start - timedelta(days=200),
                        start_moisture_pct=Decimal(60), sale=Lot.Sale.FOR_SALE,
                    )
                    for place in range(LOTS_A_SEASON)
                ]
            )  # fmt: skip
            self.keep(
                [
                    Reading(
                        lot=lot, on=start - timedelta(days=weeks), faces=[17, 18, 19, 21, 18], basis="dry",
                        worst_dry_pct=Decimal(21), mean_dry_pct=Decimal("18.6"),
                    )
                    for lot in made[number]
                    for weeks in (60, 30, 2)
                ]
            )  # fmt: skip
        return made

    def _season_start(self, number: int) -> date:
        return self.first_on + timedelta(days=365 * number)

    def _season_of(self, on: date) -> int:
        return min(self.seasons - 1, (on - self.first_on).days // 365)

    def _days(self, count: int) -> list[date]:
        """The day of every order: more in the fall, none on a Sunday."""
        days = [self.first_on + timedelta(days=ahead) for ahead in range((self.last_on - self.first_on).days)]
        days = [on for on in days if on.weekday() != 6]
        return sorted(self.dice.choices(days, [MONTHS[on.month - 1] for on in days], k=count))

    def _orders(self, days: list[date]) -> list[Order]:
        quotes, orders = [], []
        for place, on in enumerate(days):
            number = self.first_number + place
            person = self.dice.randrange(len(self.customers))
            spot, (cords, price) = self.places[person], self.dice.choice(AMOUNTS)
            asked = on - timedelta(days=self.dice.randint(1, 14))
            fields = {
                "market": spot.town.market, "customer": self.customers[person], "place": spot, "wood": "fir",
                "dryness": "seasoned", "cords": cords, "total_dollars": Decimal(price),
                "wood_dollars": Decimal(price),
                "reasons": [{"kind": "wood", "label": f"{cords} cord fir", "dollars": f"{price}", "why": ""}],
            }  # fmt: skip
            quotes.append(
                Quote(
                    **fields, sheet=self.sheet, made_at=noon(asked), made_on=asked,
                    last_day=asked + timedelta(days=10), from_yard=self.yards[0], miles=Decimal(12),
                    minutes=20,
                )
            )  # fmt: skip
            is_owed = place >= len(days) - 30 and place % 3 == 0
            orders.append(
                Order(
                    **fields, number=number, quote=quotes[-1],
                    state=Order.State.DELIVERED if is_owed else Order.State.SETTLED,
                    first_on=asked, last_on=on, promised_on=on, delivered_on=on, delivered_cords=cords,
                    asked_at=noon(asked), asked_on=asked, confirmed_at=noon(asked, 18),
                )
            )  # fmt: skip
        self.keep(quotes)
        return self.keep(orders)

    def _money_and_paper(self, orders: list[Order]) -> None:
        payments, tickets, letters, audit, claims = [], [], [], [], []
        for place, order in enumerate(orders):
            on = order.delivered_on
            if order.state == Order.State.SETTLED:
                payments.append(
                    Payment(
                        order=order, kind=Payment.Kind.PAYMENT, dollars=order.total_dollars, on=on,
                        method=("cash", "check", "transfer")[place % 3], made_at=noon(on, 16), who="tam",
                    )
                )  # fmt: skip
            tickets.append(
                Ticket(
                    order=order, number=self.first_number + place, delivered_on=on, cords=order.cords,
                    fields={}, made_at=noon(on, 16),
                )
            )  # fmt: skip
            for kind, when in (("asked", order.asked_on), ("day_set", on), ("delivered", on)):
                letters.append(
                    Letter(
                        order=order, customer=order.customer, kind=kind, way="text", to=order.customer.phone,
                        body="Your wood comes on the day you chose.", made_at=noon(when), sent_at=noon(when),
                    )
                )  # fmt: skip
            for verb, when in (("asked", order.asked_on), ("confirmed", order.asked_on), ("delivered", on)):
                audit.append(
                    AuditEntry(
                        at=noon(when), who="ruth", verb=verb, thing=order.reference, before={}, after={}
                    )
                )
            if place % 100 == 50:
                claims.append(
                    Claim(
                        order=order, kind="short", state="answered", on=on + timedelta(days=3),
                        made_at=noon(on + timedelta(days=3)), answer="Stacked loosely.",
                    )
                )  # fmt: skip
        for rows in (payments, tickets, letters, audit, claims):
            self.keep(rows)

    def _wood_of(self, orders: list[Order]) -> None:
        """Each order's hold, drawn, and its sale out of the lot; each lot's wood measured in to cover it."""
        holds, sales = [], []
        taken: dict[int, Fraction] = defaultdict(Fraction)
        by_id = {lot.pk: lot for lots in self.lots.values() for lot in lots}
        for order in orders:
            lot = self.dice.choice(self.lots[self._season_of(order.delivered_on)])
            taken[lot.pk] += order.cords
            order.lot_used = lot
            holds.append(
                Hold(
                    lot=lot, cords=order.cords, kind="firm", state="drawn", reference=order.reference,
                    made_at=order.confirmed_at, ended_at=noon(order.delivered_on, 16),
                )
            )  # fmt: skip
            sales.append(
                Movement(
                    lot=lot, kind=Movement.Kind.SOLD, cords=-order.cords, on=order.delivered_on,
                    made_at=noon(order.delivered_on, 16), reference=order.reference,
                )
            )  # fmt: skip
        self.keep(holds)
        self.keep([OrderHold(order=order, hold=hold) for order, hold in zip(orders, holds, strict=True)])
        measured = []
        for lot in by_id.values():
            left = Fraction(20) if lot in self.lots[self.seasons - 1] else Fraction(0)
            lot.on_hand_cords = left
            amount = taken[lot.pk] + left
            measured.append(
                Movement(
                    lot=lot, kind=Movement.Kind.MEASURED, cords=amount, on=lot.drying_from,
                    made_at=noon(lot.drying_from),
                )
            )  # fmt: skip
        Lot.objects.bulk_update(by_id.values(), ["on_hand_cords"], batch_size=200)
        self.keep(measured)
        self.keep(sales)

    def _drive(self, orders: list[Order]) -> None:
        """Days, runs, loads and drops: a cord a load, four loads a run, as many rigs as it takes."""
        by_day: dict[date, list[Order]] = defaultdict(list)
        for order in orders:
            by_day[order.delivered_on].append(order)
        fillings = {on: _filled(orders) for on, orders in by_day.items()}
        self._rigs(-(-max(map(len, fillings.values())) // LOADS_A_RUN))
        days = self.keep(
            [Day(on=on, state=Day.State.DONE, proof="optimal", version=2, cost_cents=9000) for on in by_day]
        )
        runs, loads, stops, events = [], [], [], []
        for day in days:
            day_loads = fillings[day.on]
            for place in range(0, len(day_loads), LOADS_A_RUN):
                run = Run(
                    day=day, rig=self.rigs[place // LOADS_A_RUN], driver_name="tam", loaded_meters=40_000,
                    empty_meters=40_000, paid_seconds=6 * 3600, cost_cents=9000, is_frozen=True,
                    leaves_at=time(7), home_at=time(15), actual_leave_at=noon(day.on, 7),
                    actual_home_at=noon(day.on, 15), actual_loaded_miles=Decimal(25),
                    actual_empty_miles=Decimal(25),
                )  # fmt: skip
                runs.append(run)
                for sequence, drops in enumerate(day_loads[place : place + LOADS_A_RUN], start=1):
                    self._load(run, sequence, drops, loads, stops, events)
        for rows in (runs, loads, stops, events):
            self.keep(rows)

    def _load(
        self,
        run: Run,
        sequence: int,
        orders: list[Order],
        loads: list[Load],
        stops: list[Stop],
        events: list[DriverEvent],
    ) -> None:
        hour = 7 + HOURS_A_LOAD * (sequence - 1)
        cords = sum((order.cords for order in orders), Fraction(0))
        load = Load(
            run=run, sequence=sequence, yard=self.dice.choice(self.yards), cords=cords,
            loose_ft3=Decimal(180), weight_lb=3000, arrive_at=time(hour), begin_at=time(hour),
            leave_at=time(hour, 40), leg_meters=9000, leg_seconds=900,
        )  # fmt: skip
        loads.append(load)
        for place, order in enumerate(orders, start=1):
            done = noon(run.day.on, hour) + timedelta(minutes=40 + 30 * place)
            stop = Stop(
                load=load, sequence=place, order=order, cords=order.cords, lot=order.lot_used,
                leg_meters=11_000, leg_seconds=1100, unload_seconds=900, state=Stop.State.DELIVERED,
                done_at=done, arrive_at=time(hour, 50), leave_at=time(hour + 1),
            )  # fmt: skip
            stops.append(stop)
            for kind, at in (("arrived", done - timedelta(minutes=20)), ("delivered", done)):
                events.append(
                    DriverEvent(
                        kind=kind, stop=stop, load=load, run=run, said={}, happened_at=at, received_at=at,
                        who="tam", outcome="applied",
                    )
                )  # fmt: skip

    def _rigs(self, count: int) -> None:
        """Rigs of past seasons, sold since: they stand in the books and plan nothing now."""
        pattern = self.rigs[0]
        costs = list(pattern.running_costs.order_by("from_on"))
        while len(self.rigs) < count:
            rig = Rig.objects.get(pk=pattern.pk)
            rig.pk = None
            rig.name, rig.works = f"Old rig {len(self.rigs)}", False
            rig._state.adding = True
            rig.save()
            self.rigs.append(rig)
        for rig in self.rigs:
            first = rig.running_costs.order_by("from_on").first()
            if first is None or first.from_on > self.first_on:
                rig.running_costs.create(
                    from_on=self.first_on - timedelta(days=400), loaded_mile=costs[0].loaded_mile,
                    empty_mile=costs[0].empty_mile,
                )  # fmt: skip

    def _open(self, count: int, number: int) -> None:
        """Orders still to come: a third asked for, the rest confirmed with wood held, over three weeks."""
        orders = []
        for place in range(count):
            person = self.dice.randrange(len(self.customers))
            first = self.last_on + timedelta(days=self.dice.randint(1, 20))
            orders.append(
                Order(
                    number=number + place, customer=self.customers[person], place=self.places[person],
                    market=self.places[person].town.market, wood="fir", dryness="seasoned",
                    cords=Fraction(1, 3), total_dollars=Decimal(100), wood_dollars=Decimal(100),
                    state=Order.State.ASKED if place % 3 == 0 else Order.State.CONFIRMED, first_on=first,
                    last_on=first + timedelta(days=6), asked_at=noon(self.last_on), asked_on=self.last_on,
                    is_pool=self.places[person].town.market.is_far,
                )
            )  # fmt: skip
        self.keep(orders)
        live = self.lots[self.seasons - 1]
        held = [order for order in orders if order.state == Order.State.CONFIRMED]
        holds = []
        for place, order in enumerate(held):
            lot = live[place % len(live)]
            lot.firm_cords = Fraction(lot.firm_cords) + order.cords
            holds.append(
                Hold(
                    lot=lot, cords=order.cords, kind="firm", reference=order.reference, made_at=order.asked_at
                )
            )
        self.keep(holds)
        self.keep([OrderHold(order=order, hold=hold) for order, hold in zip(held, holds, strict=True)])
        Lot.objects.bulk_update(live, ["firm_cords"])

    def _work(self) -> None:
        jobs = [job for job in WorkEntry.Job if job != WorkEntry.Job.DELIVER]
        entries, receipts = [], []
        for ahead in range(0, (self.last_on - self.first_on).days, 2):
            on = self.first_on + timedelta(days=ahead)
            lot = self.dice.choice(self.lots[self._season_of(on)])
            entries += [
                WorkEntry(
                    on=on, job=job, hours_low=Decimal(1), hours_likely=Decimal(2), hours_high=Decimal(3),
                    lot=lot, unit=lot.unit, who="ruth",
                )
                for job in self.dice.sample(jobs, 3)
            ]  # fmt: skip
            receipts.append(
                Expense(
                    on=on, line=("truck fuel", "saw gas and oil", "chains and bars")[ahead % 3],
                    dollars=Decimal(40), kind=("mile", "cord", "year")[ahead % 3], lot=lot,
                )
            )  # fmt: skip
        self.keep(entries)
        self.keep(receipts)
