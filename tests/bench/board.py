"""The board of a day with 25 drops: its page, and the answer to a drop let go somewhere else.

    python -m tests.bench.board [--times 40]

Bars: p95 < 300 ms for the page, < 250 ms for the answer.
"""

import argparse
import importlib
import random
import sys
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import cycle

from tests.bench.ground import percentile, stand_up, timed_with_cpu
from tests.bench.insertion import booked_order, lay_out_runs

PAGE_MS, ANSWER_MS = 300, 250
LOADS = ((3, 3, 3), (3, 3, 2), (3, 3, 2))  # drops of each load, rig by rig
FIRST_NUMBER = 7000


def book_day() -> date:
    """Three rigs out with 25 drops in nine loads, as a draft."""
    from firewood_site.demo import DEMO_DAY
    from inventory.models import Yard
    from orders.models import Town
    from routing.models import Rig, Stop
    from tests.factories.inventory import make_lot, make_reading
    from tests.factories.orders import make_customer
    from tests.factories.routing import make_rig

    on = DEMO_DAY + timedelta(days=4)
    yard = Yard.objects.get(name="Siding Yard")
    rigs = [Rig.objects.get(name="Big trailer")]
    rigs += [make_rig(name=f"Trailer {number}", home_yard=yard) for number in range(len(LOADS) - 1)]
    lot = make_lot(code="BOARD", cords=40, yard=yard)
    make_reading(lot)
    towns = list(Town.objects.filter(market__is_far=False).order_by("name"))
    dice, numbers = random.Random(4), iter(range(FIRST_NUMBER, 8000))
    laid = {}
    for rig, sizes in zip(rigs, LOADS, strict=True):
        town, loads = dice.choice(towns), []
        for size in sizes:
            orders = [next(numbers) for _ in range(size)]
            for number in orders:
                booked_order(number, make_customer(f"Board {number}"), town, lot, on, dice)
            loads.append((str(yard.pk), orders))
        laid[rig.pk] = loads
    lay_out_runs(on, laid)
    assert Stop.objects.filter(load__run__day__on=on).count() == sum(map(sum, LOADS)) == 25
    return on


def measured(times: int) -> int:
    """How many bars were missed."""
    from django.contrib.auth.models import User
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    on, client = book_day(), Client()
    client.force_login(User.objects.get(username="ruth"))
    drags = cycle(_drags(on))
    asks = {
        "page of the day": (lambda: f"/seller/days/{on}", PAGE_MS),
        "answer to a drag": (lambda: next(drags), ANSWER_MS),
    }
    missed = 0
    for name, (address, bar) in asks.items():

        def ask(address=address) -> None:  # type: ignore[no-untyped-def]
            path = address()
            answer = client.get(path)
            if answer.status_code != 200:
                raise SystemExit(f"{path} answered {answer.status_code}: nothing was measured.")

        ask()
        with CaptureQueriesContext(connection) as seen:
            ask()
            queries = len(seen)
        wall, cpu = zip(*timed_with_cpu(ask, times=times, warm=2), strict=True)
        is_kept = percentile(wall, 0.95) < bar
        missed += not is_kept
        print(
            f"{name:18} p50 {percentile(wall, 0.5):6.1f}  p95 {percentile(wall, 0.95):6.1f} ms"
            f"  cpu p50 {percentile(cpu, 0.5):6.1f} p95 {percentile(cpu, 0.95):6.1f} ms"
            f"  {queries:3d} queries  bar {bar}  {'kept' if is_kept else 'MISSED'}",
            flush=True,
        )
    return missed


def _drags(on: date) -> Iterator[str]:
    """Each drop let go as the last of each load that it is not on."""
    from routing.models import Load, Stop

    loads = list(Load.objects.filter(run__day__on=on).order_by("pk"))
    for stop in Stop.objects.filter(load__run__day__on=on).order_by("pk"):
        for load in loads:
            if load.pk != stop.load_id:
                yield f"/seller/days/{on}/drops/{stop.pk}/moves?to={load.pk}:{load.stops.count() + 1}"


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=40)
    asked = parser.parse_args(argv)
    stand_up()
    importlib.import_module("firewood_site.wsgi")  # the server's own way with memory
    print(f"A day of {sum(map(sum, LOADS))} drops in {sum(map(len, LOADS))} loads of {len(LOADS)} rigs")
    return measured(asked.times)


if __name__ == "__main__":
    sys.exit(main())
