"""Several web and worker processes on one PostgreSQL, one worker killed while it plans and sends letters.

    python -m tests.bench.several [--webs 2] [--workers 2] [--clients 50] [--each 4] [--postgres URL]

Each web is a gunicorn of two processes with four threads. Bars: those of `orders_at_once`; every day is
planned, every letter goes out, none twice.
"""

import argparse
import os
import re
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tests.bench import orders_at_once
from tests.bench.ground import no_server, postgres_database
from tests.bench.orders_at_once import (
    Crowd,
    Running,
    Visitor,
    books_now,
    environment,
)

DAYS = ("2026-09-21", "2026-09-22", "2026-09-23")
ORDERS_A_DAY = 20  # enough that a worker plans them, not the page
PLAN_SECONDS = 5
KILLED_AFTER = 3.0  # seconds: in the middle of a plan
LONGEST_WAIT = 300.0  # seconds; a letter that a killed worker had taken is due again after its lease


@dataclass(slots=True, kw_only=True)
class Worked:
    """What the workers did, and in how many seconds after the last order was confirmed."""

    letters_seconds: float = 0.0
    plans_seconds: float = 0.0
    mails: int = 0
    different_mails: int = 0


def let_them_work(
    running: Running, sellers: list[Visitor], found: Crowd, *, settings: dict[str, str], worked: Worked
) -> None:
    """Ask for plans, kill a worker, and wait until nothing is left to do."""
    began = time.perf_counter()
    for at, day in enumerate(DAYS):
        found.statuses[_ask_for_a_plan(sellers[at % len(sellers)], day, at)] += 1
    if len(running.workers) > 1:
        time.sleep(KILLED_AFTER)
        running.workers[0].send_signal(signal.SIGKILL)
    while (passed := time.perf_counter() - began) < LONGEST_WAIT:
        books = books_now(settings)
        if not books["letters_to_send"] and not worked.letters_seconds:
            worked.letters_seconds = passed
        if not books["plans_to_do"] and not worked.plans_seconds:
            worked.plans_seconds = passed
        if worked.letters_seconds and worked.plans_seconds:
            break
    names = [
        line for file in Path(settings["DATA_DIR"], "mail").glob("*.log")
        for line in file.read_text(encoding="utf-8").splitlines() if line.startswith("Message-ID:")
    ]  # fmt: skip
    worked.mails, worked.different_mails = len(names), len(set(names))


def _ask_for_a_plan(seller: Visitor, day: str, place: int) -> int:
    """Tick this day's share of the orders on its page, and every rig."""
    page = seller.ask("GET", f"/seller/days/{day}")[1]
    orders, rigs = (re.findall(rf'name="{name}" value="(\d+)"', page) for name in ("orders", "rigs"))
    first = place * ORDERS_A_DAY
    form = {
        "orders": orders[first : first + ORDERS_A_DAY], "rigs": rigs, "starts_at": "07:00",
        "ends_at": "18:00", "seconds": str(PLAN_SECONDS),
    }  # fmt: skip
    return seller.ask("POST", f"/seller/days/{day}/plan", form)[0]


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--webs", type=int, default=2)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--clients", type=int, default=50)
    parser.add_argument("--each", type=int, default=4)
    parser.add_argument("--postgres", default=os.environ.get("TEST_POSTGRES_URL", orders_at_once.POSTGRES))
    asked = parser.parse_args(argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.crowd_settings")
    import django

    django.setup()
    if why_not := no_server(asked.postgres):
        print(f"PostgreSQL   left out: {why_not}")
        return 0
    worked = Worked()
    with (
        tempfile.TemporaryDirectory(prefix="firewood-several-") as folder,
        postgres_database(asked.postgres) as url,
    ):
        settings = environment(url, Path(folder), workers=asked.workers)
        found = orders_at_once.crowd(
            clients=asked.clients, each=asked.each, database_url=url, folder=Path(folder), webs=asked.webs,
            workers=asked.workers, afterwards=partial(let_them_work, settings=settings, worked=worked),
        )  # fmt: skip
    is_kept = orders_at_once.told("PostgreSQL", found)
    books = found.books
    is_done = (
        books["letters"] == worked.mails == worked.different_mails
        and not books["letters_to_send"]
        and not books["plans_to_do"]
    )
    print(
        f"{asked.webs} webs, {asked.workers} workers, one killed: {worked.mails} letters out after "
        f"{worked.letters_seconds:.0f} s, {books['plans']} of {len(DAYS)} days planned after "
        f"{worked.plans_seconds:.0f} s  {'kept' if is_done else 'MISSED'}"
    )
    return not (is_kept and is_done)


if __name__ == "__main__":
    sys.exit(main())
