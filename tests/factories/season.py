"""Ten seasons of a busy firm in bulk: every table a page reads, filled as the services would have left it.

The books it is laid over need yards, towns, a price sheet and a rig (the demo's, or the factories').
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction

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
from routing.models import Rig
from tests.factories.season_driving import drive, noon

FIRST_NUMBER = 10_000
# cords sold by month in the season of the worked scenario (Jan to Dec): the year's shape
MONTHS = (250, 150, 100, 50, 150, 200, 100, 300, 425, 550, 400, 325)
AMOUNTS = (
    (Fraction(1, 3), 100), (Fraction(1, 2), 145), (Fraction(1, 2), 145), (Fraction(2, 3), 180),
    (Fraction(1), 260),
)  # fmt: skip
LOTS_A_SEASON = 12
DRIVE_DOLLARS, DEPOSIT_DOLLARS = 10, 20  # of every order
MAX_DRIFT = 0.02  # degrees around a town's middle


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
        drive(self, delivered)
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
                "wood_dollars": Decimal(price - DRIVE_DOLLARS), "drive_dollars": Decimal(DRIVE_DOLLARS),
                "deposit_dollars": Decimal(DEPOSIT_DOLLARS),
                "reasons": [
                    {"kind": kind, "label": kind, "dollars": f"{dollars}", "why": ""}
                    for kind, dollars in (("wood", price - DRIVE_DOLLARS), ("drive", DRIVE_DOLLARS))
                ],
            }  # fmt: skip
            offer = {
                "on": f"{on}", "total": f"{price}", "saved": "0", "why": "", "drive": f"{DRIVE_DOLLARS}",
                "tax": "0", "deposit": f"{DEPOSIT_DOLLARS}", "reasons": fields["reasons"],
            }  # fmt: skip
            quotes.append(
                Quote(
                    **fields, sheet=self.sheet, made_at=noon(asked), made_on=asked,
                    last_day=asked + timedelta(days=10), from_yard=self.yards[0], miles=Decimal(12),
                    minutes=20, is_estimate=True, first_honest_day=on, day_offers=[offer],
                )
            )  # fmt: skip
            is_owed = place >= len(days) - 30 and place % 3 == 0
            orders.append(
                Order(
                    **fields, number=number, quote=quotes[-1],
                    state=Order.State.DELIVERED if is_owed else Order.State.SETTLED,
                    first_on=asked, last_on=on, promised_on=on, delivered_on=on, delivered_cords=cords,
                    asked_at=noon(asked), asked_on=asked, confirmed_at=noon(asked, 18),
                    comes_from=time(10), comes_to=time(12),
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
                        received_dollars=order.total_dollars,
                    )
                )  # fmt: skip
            tickets.append(
                Ticket(
                    order=order, number=self.first_number + place, delivered_on=on, cords=order.cords,
                    fields={"seller_name": "Quarrel Ridge Wood", "price": f"{order.total_dollars}"},
                    loaded_ft3=Decimal(180), made_at=noon(on, 16),
                )
            )  # fmt: skip
            for kind, when in (("asked", order.asked_on), ("day_set", on), ("delivered", on)):
                letters.append(
                    Letter(
                        order=order, customer=order.customer, kind=kind, way="text", to=order.customer.phone,
                        subject="Your wood", body="It comes on the day you chose.", made_at=noon(when),
                        sent_at=noon(when),
                    )
                )  # fmt: skip
            for verb, when in (("asked", order.asked_on), ("confirmed", order.asked_on), ("delivered", on)):
                audit.append(
                    AuditEntry(
                        at=noon(when),
                        who="ruth",
                        verb=verb,
                        thing=order.reference,
                        before={},
                        after={"state": verb},
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
                    lot=lot, kind=Movement.Kind.SOLD, cords=-order.cords, on=order.delivered_on, who="tam",
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
