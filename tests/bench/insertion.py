"""What one more drop adds, with eighteen runs booked: the price page, the quick look and the exact offers.

    python -m tests.bench.insertion [--times 40]

Bars: p95 < 150 ms with the road times kept, < 400 ms for a new address.
"""

import argparse
import random
import sys
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import cycle

from tests.bench.ground import percentile, stand_up, timed_with_cpu

RIGS, DAYS = 3, 6
KEPT_MS, NEW_MS = 150, 400
DROPS_A_LOAD, LOADS_A_RUN = 2, 2
DRIFT = 0.012  # degrees around a town's middle, where the invented streets are
FIRST_NUMBER = 5000


def book_runs() -> tuple[date, ...]:
    """Three rigs out on each of six days, two loads of two drops each: eighteen runs, 72 drops."""
    from firewood_site.demo import DEMO_DAY
    from inventory.models import Yard
    from orders.models import Order, Town
    from routing.models import Rig, Run
    from tests.factories.inventory import make_lot, make_reading
    from tests.factories.orders import make_customer
    from tests.factories.routing import make_rig

    dates = [DEMO_DAY + timedelta(days=ahead) for ahead in range(3, 12)]
    dates = [on for on in dates if on.weekday() != 6][:DAYS]
    yard = Yard.objects.get(name="Siding Yard")
    rigs = [Rig.objects.get(name="Big trailer")]
    rigs += [make_rig(name=f"Trailer {number}", home_yard=yard) for number in range(RIGS - 1)]
    lot = make_lot(code="BOOKED", cords=60, yard=yard)
    make_reading(lot)
    towns = list(Town.objects.filter(market__is_far=False).order_by("name"))
    dice, numbers = random.Random(1), iter(range(FIRST_NUMBER, 9000))
    for on in dates:
        laid = {}
        for rig in rigs:
            town, loads = dice.choice(towns), []
            for _ in range(LOADS_A_RUN):
                orders = [next(numbers) for _ in range(DROPS_A_LOAD)]
                for number in orders:
                    booked_order(number, make_customer(f"Booked {number}"), town, lot, on, dice)
                loads.append((str(yard.pk), orders))
            laid[rig.pk] = loads
        lay_out_runs(on, laid)
    assert Order.objects.filter(number__gte=FIRST_NUMBER).count() == RIGS * DAYS * 4
    assert Run.objects.filter(day__on__in=dates).count() == RIGS * DAYS
    return tuple(dates)


def lay_out_runs(on: date, laid: dict[int, list[tuple[str, list[int]]]]) -> None:
    """Several rigs' runs of one day, kept as a draft."""
    from routing.planner.hand_edits import judged
    from routing.selectors.planning.parcels import part_id
    from routing.selectors.planning.problem_values import OpenRun
    from routing.selectors.planning.problems import prepare
    from routing.services.storing import store
    from tests.factories.inventory import an_instant

    open_runs = {rig_id: OpenRun(rig_id=rig_id, on=on) for rig_id in laid}
    numbers = {number for loads in laid.values() for _, orders in loads for number in orders}
    prepared = prepare(open_runs=tuple(open_runs.values()), order_numbers=numbers, must_go=True)
    sketch = tuple(
        (
            open_runs[rig_id].id,
            tuple((yard, tuple(part_id(number, 1) for number in orders)) for yard, orders in loads),
        )
        for rig_id, loads in laid.items()
    )
    plan, verdict = judged(prepared.problem, sketch)
    assert verdict.ok, verdict
    store(
        prepared=prepared, plan=plan, proof="hand", lower_bound_cents=None, postponed=(), pins=(),
        at=an_instant(), who="ruth", verb="laid out",
    )  # fmt: skip


def booked_order(
    number: int, customer: object, town: object, lot: object, on: date, dice: random.Random
) -> None:
    from orders.models import Order, OrderHold, Place
    from tests.factories.inventory import make_hold
    from tests.factories.orders import make_order

    lat, lon = _near(town, dice)
    place = Place.objects.create(
        customer=customer, address=f"{number} Booked Lane", town=town, lat=lat, lon=lon
    )
    order = make_order(
        number=number, customer=customer, place=place, state=Order.State.CONFIRMED, first_on=on, last_on=on,
        total_dollars=Decimal(100),
    )  # fmt: skip
    hold = make_hold(lot, cords=Fraction(1, 3), reference=order.reference)
    OrderHold.objects.create(order=order, hold=hold)


def _near(town: object, dice: random.Random) -> tuple[float, float]:
    return (
        round(town.lat + dice.uniform(-DRIFT, DRIFT), 5),  # type: ignore[attr-defined]
        round(town.lon + dice.uniform(-DRIFT, DRIFT), 5),  # type: ignore[attr-defined]
    )


def measured(times: int) -> int:
    """How many bars were missed."""
    dates = book_runs()
    ways = (("price page", pin_prices()), ("exact offers", _offers(dates)))
    missed = 0
    for name, quote in ways:
        known = [spot for spot, _ in zip(spots(1), range(5), strict=False)]
        for spot in known:
            quote(spot)
        missed += not _told(f"{name}, road times kept", quote, cycle(known), times, KEPT_MS)
        missed += not _told(
            f"{name}, new address", quote, spots(2 if name == "price page" else 3), times, NEW_MS
        )
    return missed


def _told(
    name: str,
    quote: Callable[[tuple[float, float]], None],
    spots: Iterator[tuple[float, float]],
    times: int,
    bar: int,
) -> bool:
    taken = timed_with_cpu(lambda: quote(next(spots)), times=times, warm=2)
    wall, cpu = zip(*taken, strict=True)
    is_kept = percentile(wall, 0.95) < bar
    print(
        f"{name:32} p50 {percentile(wall, 0.5):6.1f}  p95 {percentile(wall, 0.95):6.1f} ms"
        f"  cpu p95 {percentile(cpu, 0.95):6.1f} ms  bar {bar}  {'kept' if is_kept else 'MISSED'}",
        flush=True,
    )
    return is_kept


def spots(seed: int) -> Iterator[tuple[float, float]]:
    """Places around the near towns, never the same twice."""
    from orders.models import Town

    towns, dice = list(Town.objects.filter(market__is_far=False).order_by("name")), random.Random(seed)
    while True:
        yield _near(dice.choice(towns), dice)


def pin_prices() -> Callable[[tuple[float, float]], None]:
    """The customer's own way: the form is sent with a pin, the answer names the price."""
    from django.test import Client

    senders, client = iter(range(60_000)), Client()

    def quote(spot: tuple[float, float]) -> None:
        sender = next(senders)  # a new one each time, or the throttle answers
        answer = client.post(
            "/price",
            {
                "choice": "fir:seasoned", "amount": "1/3", "how": "delivered", "laid": "drop",
                "where": "a pin", "picked": "a pin", "lat": spot[0], "lon": spot[1],
            },
            REMOTE_ADDR=f"10.9.{sender // 250}.{sender % 250 + 1}",
        )  # fmt: skip
        if answer.status_code != 302:
            raise SystemExit(f"/price answered {answer.status_code} for {spot}: nothing was measured.")

    return quote


def _offers(dates: tuple[date, ...]) -> Callable[[tuple[float, float]], None]:
    """The planner's answer: every window, weight and hour kept, over all eighteen runs."""
    from routing.quoting.days import day_offers

    def quote(spot: tuple[float, float]) -> None:
        offers = day_offers(
            dates=dates, lat=spot[0], lon=spot[1], picks=(("BOOKED", Fraction(1, 3)),), exact=True
        )
        if not offers:
            raise SystemExit(f"No day was offered for {spot}: nothing was measured.")

    return quote


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=40)
    asked = parser.parse_args(argv)
    stand_up()
    print(f"One more drop against {RIGS * DAYS} booked runs of {DROPS_A_LOAD * LOADS_A_RUN} drops")
    return measured(asked.times)


if __name__ == "__main__":
    sys.exit(main())
