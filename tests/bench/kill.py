"""Orders asked, confirmed and drawn in a loop by a process that is killed with SIGKILL, again and again.

    python -m tests.bench.kill [--kills 6] [--seconds 3]

Bars: the file passes SQLite's own check, everything acknowledged is there, nothing is there by half, and
each lot's columns are the sum of its movements and holds.
"""

import argparse
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

from tests.bench.ground import ROOT

LOT, LOT_CORDS = "KILL", 6000
EACH = Fraction(1, 3)
ON = date(2026, 9, 18)


@dataclass(frozen=True, slots=True, kw_only=True)
class Survived:
    """What stood after the last kill. lost: what was acknowledged and is not there; wrong: what disagrees."""

    kills: int
    acknowledged: int
    orders: int
    check: str
    lost: tuple[str, ...]
    wrong: tuple[str, ...]

    @property
    def is_kept(self) -> bool:
        return self.check == "ok" and not self.lost and not self.wrong and self.acknowledged > 0


def write_for_ever() -> None:
    """Ask, confirm, draw; say each once its service has returned, and so on until killed."""
    from inventory.models import Lot
    from inventory.services.draws import draw_wood
    from orders.models import OrderHold, PriceSheet
    from orders.services.orders import Picked, confirm_order
    from orders.services.placing import place_order
    from tests.factories.inventory import an_instant, make_lot, make_reading
    from tests.factories.orders import make_sheet
    from tests.orders.services.test_asking import saved, two_thirds_stacked

    if not PriceSheet.objects.exists():
        make_sheet()
    if not Lot.objects.filter(code=LOT).exists():
        make_reading(make_lot(code=LOT, cords=LOT_CORDS))
    token, at = saved(two_thirds_stacked(cords=EACH, stacked=False)).token, an_instant()
    while True:
        placed = place_order(
            key=uuid4(), quote_token=token, name="Kill Buyer", phone=f"541 555 {random.randint(1000, 9999)}",
            on=ON, at=at,
        )  # fmt: skip
        print(f"asked {placed.number}", flush=True)
        confirm_order(number=placed.number, picks=[Picked(lot=LOT, cords=EACH)], at=at, who="ruth")
        print(f"confirmed {placed.number}", flush=True)
        if placed.number % 2:
            hold = OrderHold.objects.get(order__number=placed.number).hold_id
            draw_wood(hold_id=hold, on=ON, at=at, reference=f"order {placed.number}")
            print(f"drawn {placed.number}", flush=True)


def killed(*, kills: int, seconds: float, folder: Path, seed: int = 1) -> Survived:
    """Start it, kill it in the middle, so many times over; then read the books from a new process' view."""
    dice = random.Random(seed)
    settings = {
        **os.environ, "DATA_DIR": str(folder), "DATABASE_URL": "", "LOG_LEVEL": "ERROR",
        "DJANGO_SETTINGS_MODULE": "tests.bench.crowd_settings",
    }  # fmt: skip
    python = [sys.executable, "-W", "ignore"]
    subprocess.run([*python, "manage.py", "migrate", "--verbosity", "0"], cwd=ROOT, env=settings, check=True)
    said: list[str] = []
    for _ in range(kills):
        with subprocess.Popen(
            [*python, "-m", "tests.bench.kill", "--write"], cwd=ROOT, env=settings, text=True,
            stdout=subprocess.PIPE,
        ) as writer:  # fmt: skip
            assert writer.stdout is not None
            first = writer.stdout.readline()
            time.sleep(dice.uniform(0.1, seconds))
            os.kill(writer.pid, signal.SIGKILL)
            said += [first, *writer.stdout.read().splitlines()]
    return _read(folder / "db.sqlite3", [line.strip() for line in said if line.strip()], kills)


def _read(file: Path, said: list[str], kills: int) -> Survived:
    with closing(sqlite3.connect(file)) as books:
        return _read_open(books, said, kills)


def _read_open(books: sqlite3.Connection, said: list[str], kills: int) -> Survived:
    check = str(books.execute("pragma integrity_check").fetchone()[0])
    states = dict(books.execute("select 'order ' || number, state from orders_order"))
    holds = dict(books.execute("select reference, state from inventory_hold"))
    sold = {row[0] for row in books.execute("select reference from inventory_movement where kind = 'sold'")}
    lost, wrong = [], []
    for line in said:
        verb, _sign, number = line.partition(" ")
        name = f"order {number}"
        there = {
            "asked": name in states,
            "confirmed": states.get(name) == "confirmed" and name in holds,
            "drawn": holds.get(name) == "drawn" and name in sold,
        }[verb]
        if not there:
            lost.append(line)
    for name, state in states.items():
        if (state == "confirmed") != (name in holds):
            wrong.append(f"{name} is {state}, hold {holds.get(name, 'missing')}")
        if (holds.get(name) == "drawn") != (name in sold):
            wrong.append(f"{name}: hold {holds.get(name)}, sold {name in sold}")
    lots = books.execute(
        """select code, on_hand_cords, firm_cords, soft_cords,
             (select coalesce(sum(cords), 0) from inventory_movement where lot_id = l.id),
             (select coalesce(sum(cords), 0) from inventory_hold
               where lot_id = l.id and state = 'standing' and kind = 'firm'),
             (select coalesce(sum(cords), 0) from inventory_hold
               where lot_id = l.id and state = 'standing' and kind = 'soft')
           from inventory_lot l"""
    )
    wrong += [f"lot {row[0]}: {row[1:4]} is not {row[4:]}" for row in lots if row[1:4] != row[4:]]
    return Survived(
        kills=kills, acknowledged=len(said), orders=len(states), check=check, lost=tuple(lost),
        wrong=tuple(wrong),
    )  # fmt: skip


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=6)
    parser.add_argument("--seconds", type=float, default=3.0)
    parser.add_argument("--write", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args(argv)
    if asked.write:
        import django

        django.setup()
        write_for_ever()
    with tempfile.TemporaryDirectory(prefix="firewood-kill-") as folder:
        found = killed(kills=asked.kills, seconds=asked.seconds, folder=Path(folder))
    print(
        f"{found.kills} kills, {found.acknowledged} writes acknowledged, {found.orders} orders; integrity "
        f"{found.check}, lost {len(found.lost)}, wrong {len(found.wrong)}  "
        f"{'kept' if found.is_kept else 'MISSED'}"
    )
    for line in (*found.lost, *found.wrong)[:10]:
        print("  ", line)
    return not found.is_kept


if __name__ == "__main__":
    sys.exit(main())
