"""A month of mixed loads read quickly is what the plainest sums give, to the last fraction."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from django.utils import timezone

from inventory.core.units import METERS_PER_MILE
from inventory.models import Expense, WorkEntry
from orders.models import Payment
from routing.earned.costs import minutes_rule
from routing.earned.worth import GROUPINGS, worth_by
from routing.models import DriverEvent, Load, Run, Stop
from routing.selectors.earned.margins import LoadEarned, loads_earned
from routing.selectors.earned.wood_costs import usual_wood_cost, wood_costs
from routing.selectors.earned.worth import entries_of_loads
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_customer, make_order, make_place
from tests.factories.routing import make_day, make_rig

pytestmark = pytest.mark.django_db
FIRST, LAST = date(2026, 9, 1), date(2026, 9, 30)
TOWNS = ("Marrow Bridge", "Larch Prairie", "Fennick")
AMOUNTS = (Fraction(1, 3), Fraction(1, 2), Fraction(2, 3), Fraction(5, 12))


def at(on: date, minute: int) -> datetime:
    return timezone.make_aware(datetime(on.year, on.month, on.day, 7)) + timedelta(minutes=minute)


def a_month(random: Random) -> None:
    """Runs out and home, of one to three loads; parts of orders, bundles, credits, no-shows, timed halts."""
    yard = make_yard()
    rig = make_rig(home_yard=yard)
    logged, plain = make_lot(yard=yard, bundle_ft3=Decimal("0.8")), make_lot(yard=yard, code="P1")
    WorkEntry.objects.create(
        on=FIRST, job="split", hours_low=6, hours_likely=Decimal("11.7"), hours_high=20, lot=logged
    )
    Expense.objects.create(on=FIRST, line="saw gas", dollars=Decimal("61.37"), kind="cord", lot=logged)
    for place in range(7):
        on = FIRST + timedelta(days=3 * place)
        is_home = place % 3 != 0
        run = Run.objects.create(
            day=make_day(on), rig=rig, loaded_meters=random.randint(20_000, 60_000), empty_meters=31_382,
            actual_leave_at=at(on, 0) if is_home else None,
            actual_home_at=at(on, random.randint(200, 500)) if is_home else None,
            actual_loaded_miles=Decimal("31.7") if place % 2 else None,
        )  # fmt: skip
        shared = an_order(random, Fraction(5, 6))
        for sequence in range(1, random.randint(2, 4)):
            load = Load.objects.create(run=run, sequence=sequence, yard=yard, cords=1, weight_lb=3000)
            orders = [an_order(random) for _ in range(random.randint(0, 2))] + [shared]
            for at_stop, order in enumerate(orders, start=1):
                cords = min(order.cords, Fraction(1, 3)) if order == shared else order.cords
                stop = Stop.objects.create(
                    load=load, sequence=at_stop, order=order, part=sequence, cords=cords,
                    bundles=order.bundles, lot=random.choice([logged, plain, None]),
                )  # fmt: skip
                if is_home:
                    what_happened(stop, on, random)


def an_order(random: Random, cords: Fraction | None = None):
    who = make_customer()
    by_bundle = cords is None and random.random() < 0.2
    return make_order(
        customer=who, place=make_place(who, town=random.choice(TOWNS)), stacked=random.random() < 0.4,
        cords=Fraction(0) if by_bundle else cords or random.choice(AMOUNTS), bundles=37 if by_bundle else 0,
        total_dollars=Decimal(random.randint(9_000, 30_000)) / 100, tax_dollars=Decimal("7.77"),
    )  # fmt: skip


def what_happened(stop: Stop, on: date, random: Random) -> None:
    stop.state = random.choice([Stop.State.DELIVERED] * 4 + [Stop.State.NO_SHOW])
    if random.random() < 0.6:
        stop.done_at = at(on, random.randint(60, 150))
        DriverEvent.objects.create(
            kind="arrived", stop=stop, happened_at=at(on, random.randint(30, 90)),
            received_at=at(on, 90), outcome="applied",
        )  # fmt: skip
    stop.save()
    if random.random() < 0.3:
        stop.order.delivered_cords = stop.order.cords + Fraction(random.randint(-40, 40), 600)
        stop.order.save()
    if random.random() < 0.3:
        Payment.objects.create(
            order=stop.order, kind="credit", dollars=Decimal("3.33"), on=on, made_at=at(on, 600)
        )


def cents(amount: Fraction | Decimal) -> Decimal:
    """Half up, by the plainest way."""
    exact = Fraction(amount) * 100
    return Decimal(int(exact + Fraction(1, 2)) if exact >= 0 else -int(Fraction(1, 2) - exact)) / 100


def shared_out(total: Decimal, weights: list[Fraction]) -> list[Decimal]:
    """Cents by weight, the odd ones to the largest remainders."""
    weights = weights if sum(weights) else [Fraction(1)] * len(weights)
    ideal = [Fraction(total) * 100 * weight / sum(weights) for weight in weights]
    shares = [int(exact) for exact in ideal]
    odd = int(Fraction(total) * 100) - sum(shares)
    for place in sorted(range(len(ideal)), key=lambda place: (shares[place] - ideal[place], place))[:odd]:
        shares[place] += 1
    return [Decimal(share) / 100 for share in shares]


def planned_plainly(load: Load, seller, told: LoadEarned) -> list[dict]:
    """Each order of a load from its stops: what was asked, its wood and its hands' minutes."""
    rows = {}
    for stop in load.stops.order_by("sequence"):
        rows.setdefault(stop.order_id, []).append(stop)
    found = []
    for drop, stops in zip(told.drops, rows.values(), strict=True):
        order, lot = stops[0].order, stops[0].lot
        cords = sum((stop.cords for stop in stops), Fraction(0))
        bundles = sum(stop.bundles for stop in stops)
        part = cords / order.cords if order.cords else Fraction(bundles, order.bundles)
        part = min(part, Fraction(1))
        each = Fraction(lot.bundle_ft3) if lot and lot.bundle_ft3 else Fraction(3, 4)
        cords = cords or bundles * each / 128
        wood = (wood_costs([lot.pk])[lot.pk] if lot else usual_wood_cost(seller)).cost
        rule = minutes_rule()
        by_cord = Fraction(load.yard.load_minutes_per_cord) + rule.throw_off_per_cord
        by_cord += rule.stack_per_cord if order.stacked else 0
        found.append({
            "stop": stops[0], "order": order, "part": part, "cords": cords, "wood": wood,
            "price": cents(Fraction(order.total_dollars - order.tax_dollars) * part),
            "road": drop.share.road, "own": by_cord * cords + rule.drop, "joint": drop.share.minutes,
        })  # fmt: skip
    exact = [Fraction(row["wood"].cash) * row["cords"] for row in found]
    for row, cash in zip(found, shared_out(cents(sum(exact)), exact), strict=True):
        row["wood_cash"] = cash
    return found


def actual_plainly(run: Run, rows: list[dict]) -> list[dict]:
    """The same rows once the run is home."""
    rates = run.rig.running_costs.get()
    told = run.actual_loaded_miles
    loaded = Fraction(told) if told is not None else run.loaded_meters / METERS_PER_MILE
    road = cents(
        Fraction(rates.loaded_mile) * loaded
        + Fraction(rates.empty_mile) * run.empty_meters / METERS_PER_MILE
        + Fraction(rates.fixed_run)
    )
    happened = []
    for row, share in zip(rows, shared_out(road, [Fraction(row["road"]) for row in rows]), strict=True):
        stop, order, is_whole = row["stop"], row["order"], row["part"] == 1
        arrived = stop.events.filter(kind="arrived").first()
        own = row["own"]
        if arrived and stop.done_at and stop.done_at > arrived.happened_at:
            own = Fraction(stop.load.yard.load_minutes_per_cord) * row["cords"]
            own += Fraction(int((stop.done_at - arrived.happened_at).total_seconds()), 60)
        cords, price = Fraction(0), Decimal(0)
        if stop.state == Stop.State.DELIVERED:
            cords = order.delivered_cords if is_whole and order.delivered_cords is not None else row["cords"]
            credited = sum(row.dollars for row in order.payments.filter(kind="credit"))
            price = cents(Fraction(order.total_dollars - order.tax_dollars - credited) * row["part"])
        happened.append({
            "cords": cords, "price": price, "road": share, "own": own, "joint": row["joint"],
            "wood": row["wood"], "wood_cash": cents(Fraction(row["wood"].cash) * cords),
            "over": cents(Fraction(row["price"]) * max(cords - row["cords"], Fraction(0)) / row["cords"]),
        })  # fmt: skip
    minutes = Fraction(int((run.actual_home_at - run.actual_leave_at).total_seconds()), 60)
    joint = max(Fraction(0), minutes - sum(row["own"] for row in happened))
    planned_joint = sum(row["joint"] for row in rows)
    for row in happened:
        row["joint"] = joint * row["joint"] / planned_joint
    return happened


def same(margin, row: dict) -> None:
    assert (margin.cords, margin.price, margin.wood_cash, margin.road) == (
        row["cords"], row["price"], row["wood_cash"], row["road"],
    )  # fmt: skip
    assert (margin.own_minutes, margin.joint_minutes) == (row["own"], row["joint"])
    assert margin.wood_hours == row["wood"].hours * row["cords"]
    assert margin.over_given == row.get("over", 0)
    left = row["price"] - row["wood_cash"] - row["road"]
    hours = (row["own"] + row["joint"]) / 60 + row["wood"].hours * row["cords"]
    assert margin.cash_left == left
    assert margin.per_hour == (cents(Fraction(left) / hours) if hours else None)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_month_of_mixed_loads_reads_as_the_plainest_sums_do(business, seed):
    a_month(Random(seed))

    told = loads_earned(FIRST, LAST)

    by_load = {load.row.id: load for load in told}
    assert len(by_load) == Load.objects.count()
    assert any(len(load.drops) > 1 for load in told)
    for run in Run.objects.all():
        loads = list(run.loads.order_by("sequence"))
        plain = {load.pk: planned_plainly(load, business, by_load[load.pk]) for load in loads}
        every = [row for load in loads for row in plain[load.pk]]
        actual = iter(actual_plainly(run, every) if run.actual_home_at else ())
        for load in loads:
            for drop, row in zip(by_load[load.pk].drops, plain[load.pk], strict=True):
                assert drop.stop.number == row["order"].number
                same(drop.planned, row)
                if drop.actual is not None:
                    same(drop.actual, next(actual))
            latest = [drop.latest for drop in by_load[load.pk].drops]
            whole = by_load[load.pk].latest
            for name in ("price", "cords", "road", "wood_cash", "own_minutes", "joint_minutes", "wood_hours"):
                assert getattr(whole, name) == sum(getattr(row, name) for row in latest)
        assert next(actual, None) is None


@pytest.mark.parametrize("grouping", GROUPINGS)
def test_the_groups_of_a_month_add_up_to_its_drops(business, grouping):
    a_month(Random(4))
    told = loads_earned(FIRST, LAST)
    latest = [drop.latest for load in told for drop in load.drops]

    rows = worth_by(entries_of_loads(told), grouping)

    assert sum(row.revenue for row in rows) == sum(margin.price for margin in latest)
    assert sum(row.net for row in rows) == sum(margin.cash_left for margin in latest)
    assert sum(row.hours for row in rows) == sum(margin.hours for margin in latest)
    assert sum(row.cords for row in rows) == sum(margin.cords for margin in latest)
