"""Fifty clients order at once over HTTP, then two sellers confirm everything at the same time.

    python -m tests.bench.orders_at_once [--clients 50] [--each 10] [--postgres URL]

gunicorn with two workers of four threads, file SQLite or a PostgreSQL database made for the run and dropped
after it. Bars: no order lost, no wood promised twice, no answer of 500 or more.
"""

import argparse
import contextlib
import json
import os
import re
import secrets
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from tests.bench.ground import no_server, percentile, postgres_database

ROOT = Path(__file__).resolve().parents[2]
POSTGRES = "postgresql://postgres@127.0.0.1:5432/test"
THIRDS_IN_LOT = 60  # cords are left for so many thirds; more are asked for
KEPT_CORDS = Fraction(1, 3)
SERVER = ("--worker-class", "gthread", "--workers", "2", "--threads", "4")


@dataclass(slots=True, kw_only=True)
class Crowd:
    """What came of it."""

    statuses: Counter[int] = field(default_factory=Counter)
    milliseconds: list[float] = field(default_factory=list)
    numbers: set[int] = field(default_factory=set)
    asked: int = 0
    seconds: float = 0.0
    books: dict[str, int] = field(default_factory=dict)

    @property
    def server_errors(self) -> int:
        return sum(count for status, count in self.statuses.items() if status >= 500)


class Visitor:
    """A browser without scripts: cookies, forms, no following of redirects."""

    def __init__(self, port: int, address: int = 0) -> None:
        self.port = port
        self.address = f"10.0.{address // 250}.{address % 250 + 1}"
        self.cookies: dict[str, str] = {}

    def ask(
        self, method: str, path: str, form: Mapping[str, str | list[str]] | None = None
    ) -> tuple[int, str, str]:
        """Status, text, and where it sends us."""
        sent = dict(form or {})
        if "csrftoken" in self.cookies and form is not None:
            sent["csrfmiddlewaretoken"] = self.cookies["csrftoken"]
        headers = {
            "X-Crowd-Address": self.address,
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
        }
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        connection = HTTPConnection("127.0.0.1", self.port, timeout=120)
        try:
            connection.request(
                method, path, urlencode(sent, doseq=True) if form is not None else None, headers
            )
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
        finally:
            connection.close()
        for header in answer.headers.get_all("Set-Cookie") or []:
            name, _sign, value = header.split(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, text, answer.headers.get("Location", "")


def hidden(text: str, name: str) -> str:
    """The value of a form's field in a page; empty when it has none."""
    found = re.search(rf'<input[^>]*name="{name}"[^>]*>', text)
    value = re.search(r'value="([^"]*)"', found.group(0)) if found else None
    return value.group(1) if value else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """The app as it runs: the ports of its web servers, and its workers."""

    ports: tuple[int, ...]
    workers: tuple[subprocess.Popen[bytes], ...]


def environment(database_url: str, folder: Path, *, workers: int = 0) -> dict[str, str]:
    return {
        **os.environ, "DATA_DIR": str(folder), "DATABASE_URL": database_url, "LOG_LEVEL": "ERROR",
        "DJANGO_SETTINGS_MODULE": "tests.bench.crowd_settings", "PYTHONPATH": str(ROOT),
        "CROWD_WORKERS": "yes" if workers else "no", "DATABASE_POOL_SIZE": "4",
    }  # fmt: skip


@contextlib.contextmanager
def server(database_url: str, folder: Path, *, webs: int = 1, workers: int = 0) -> Iterator[Running]:
    """The app behind gunicorn on free ports, its books filled with the invented seller."""
    settings = environment(database_url, folder, workers=workers)
    run = [sys.executable, "-W", "ignore"]
    for command in (["migrate", "--verbosity", "0"], ["load_demo", "--verbosity", "0"]):
        subprocess.run(
            [*run, "manage.py", *command], cwd=ROOT, env=settings, check=True, stdout=subprocess.DEVNULL
        )
    subprocess.run(
        [*run, "-m", "tests.bench.orders_at_once", "--make-lot"], cwd=ROOT, env=settings, check=True
    )
    log = folder / "server.log"
    errors = log.open("w")
    ports = tuple(free_port() for _ in range(webs))
    commands = [
        ["-m", "gunicorn", "firewood_site.wsgi", *SERVER, "--bind", f"127.0.0.1:{port}", "--timeout", "120"]
        for port in ports
    ] + [["manage.py", "work"]] * workers
    started = [
        subprocess.Popen([*run, *command], cwd=ROOT, env=settings, stderr=errors, stdout=subprocess.DEVNULL)
        for command in commands
    ]
    try:
        for port in ports:
            wait_for(port)
        yield Running(ports=ports, workers=tuple(started[webs:]))
    except BaseException:
        print(log.read_text()[-3000:], file=sys.stderr)
        raise
    finally:
        for process in started:
            process.terminate()
        for process in started:
            process.wait(60)
        errors.close()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for(port: int) -> None:
    """Until the server answers that it is well."""
    for _ in range(300):
        with contextlib.suppress(OSError):
            if Visitor(port).ask("GET", "/health")[0] == 200:
                return
        time.sleep(0.1)
    raise SystemExit("The server did not answer within 30 s.")


def crowd(
    *,
    clients: int,
    each: int,
    database_url: str,
    folder: Path,
    webs: int = 1,
    workers: int = 0,
    afterwards: Callable[[Running, list[Visitor], Crowd], None] | None = None,
) -> Crowd:
    """Let them all at it; orders first, then both sellers, then whatever else is wanted while it runs."""
    from firewood_site import throttle

    found = Crowd(asked=clients * each)
    with server(database_url, folder, webs=webs, workers=workers) as running:
        quotes = _quotes(running.ports, clients, each)
        time.sleep(throttle.SOONEST_SECONDS + 0.2)  # no hand fills the form sooner, and the app knows
        start = time.perf_counter()
        with ThreadPoolExecutor(clients) as pool:
            for rows in pool.map(lambda at: _order(quotes[at]), range(clients)):
                for status, taken, number in rows:
                    found.statuses[status] += 1
                    found.milliseconds.append(taken)
                    if number:
                        found.numbers.add(number)
        found.seconds = time.perf_counter() - start
        sellers = [_seller(running.ports[at % webs]) for at in range(2)]
        with ThreadPoolExecutor(8) as pool:
            jobs = [(seller, number) for number in sorted(found.numbers) for seller in sellers]
            for status in pool.map(lambda job: _confirm(*job), jobs):
                found.statuses[status] += 1
        settings = environment(database_url, folder, workers=workers)
        if afterwards is not None:
            afterwards(running, sellers, found)
        found.books = books_now(settings)
    return found


def books_now(settings: dict[str, str]) -> dict[str, int]:
    said = subprocess.run(
        [sys.executable, "-W", "ignore", "-m", "tests.bench.orders_at_once", "--count"],
        cwd=ROOT, check=True, capture_output=True, text=True, env=settings,
    )  # fmt: skip
    books: dict[str, int] = json.loads(said.stdout)
    return books


def _quotes(
    ports: tuple[int, ...], clients: int, each: int
) -> list[tuple[Visitor, str, list[dict[str, str]]]]:
    """A price for each client and so many order forms of it, asked before the clock runs."""
    priced = []
    for at in range(clients):
        visitor = Visitor(ports[at % len(ports)], at)
        visitor.ask("GET", "/price")
        form = {
            "choice": "fir:seasoned", "amount": "1/3", "how": "delivered", "laid": "drop", "where": "",
            "town": _town(visitor),
        }  # fmt: skip
        status, text, there = visitor.ask("POST", "/price", form)
        if status != 302:
            raise SystemExit(f"No price was given ({status}): {re.sub('<[^>]+>', ' ', text)[:400]}")
        pages = [visitor.ask("GET", there)[1] for _ in range(each)]
        priced.append(
            (visitor, there, [{name: hidden(page, name) for name in ("key", "stamp")} for page in pages])
        )
    return priced


def _town(visitor: Visitor) -> str:
    page = visitor.ask("GET", "/price")[1]
    found = re.search(r'<option value="(\d+)"[^>]*>\s*Marrow Bridge', page)
    found = found or re.search(r'value="(\d+)"[^>]*>[^<]*Marrow Bridge', page)
    return found.group(1) if found else "1"


def _order(quote: tuple[Visitor, str, list[dict[str, str]]]) -> list[tuple[int, float, int]]:
    """One order after the other, the last one tapped twice."""
    visitor, path, forms = quote
    rows = []
    for stamped in forms:
        form = {
            **stamped, "name": "Crowd Buyer", "phone": f"541 555 {secrets.randbelow(9000) + 1000}",
            "email": f"{secrets.token_hex(6)}@crowd.example",
            "day": "any", "window": "any", "pay_how": "cash", "address": "12 Mill Street",
            "drop_spot": "Left of the shed",
        }  # fmt: skip
        for _tap in range(2 if stamped is forms[-1] else 1):
            start = time.perf_counter()
            status, text, there = visitor.ask("POST", f"{path}/order", form)
            taken = (time.perf_counter() - start) * 1000
            rows.append((status, taken, _number(there)))
            if status == 422 and not rows[1:]:
                print(re.findall(r'class="note bad"[^>]*>(.*?)<', text, re.S)[:1], file=sys.stderr)
    return rows


def _number(there: str) -> int:
    """The order's number out of its signed link."""
    if not there:
        return 0
    from firewood_site.access import order_number_of

    return order_number_of(urlsplit(there).path.split("/")[2]) or 0


def _seller(port: int) -> Visitor:
    from firewood_site.demo import PASSWORD

    visitor = Visitor(port)
    visitor.ask("GET", "/log-in")
    visitor.ask("POST", "/log-in", {"login": "ruth", "password": PASSWORD})
    return visitor


def _confirm(seller: Visitor, number: int) -> int:
    return seller.ask("POST", f"/seller/orders/{number}/confirm", {"lot-CROWD": "1/3"})[0]


def make_lot() -> None:
    """A lot with wood for some of the orders only; the demo's other lots are left alone."""
    from inventory.models import Business, Yard
    from tests.factories.inventory import make_lot as lot_of
    from tests.factories.inventory import make_reading

    Business.objects.update(request_hours=0)  # more is asked for than there is: sellers race for it
    lot = lot_of(code="CROWD", cords=Fraction(THIRDS_IN_LOT, 3), yard=Yard.objects.get(name="Siding Yard"))
    make_reading(lot)


def count() -> dict[str, int]:
    """The books after the rush."""
    from inventory.models import Hold, Lot, Movement
    from orders.models import Letter, Order
    from routing.models import PlanJob

    lot = Lot.objects.get(code="CROWD")
    standing = list(Hold.objects.filter(lot=lot, state=Hold.State.STANDING))
    letters = Letter.objects.filter(way="email", to__endswith="@crowd.example")
    crowd_orders = Order.objects.filter(customer__name="Crowd Buyer")
    return {
        "orders": crowd_orders.count(),
        "keys": crowd_orders.values("key").distinct().count(),
        "numbers": crowd_orders.values("number").distinct().count(),
        "confirmed": crowd_orders.filter(state="confirmed").count(),
        "holds": len(standing),
        "thirds_held": int(sum((hold.cords for hold in standing), Fraction(0)) * 3),
        "thirds_on_the_lot": int(lot.firm_cords * 3),
        "letters": letters.count(),
        "letters_to_send": letters.filter(sent_at=None).count(),
        "plans": PlanJob.objects.filter(state="done").count(),
        "plans_to_do": PlanJob.objects.filter(state__in=("waiting", "running")).count(),
        "thirds_there": int(sum(Movement.objects.filter(lot=lot).values_list("cords", flat=True)) * 3),
    }


def told(name: str, found: Crowd) -> bool:
    """One line of figures, and whether the bars were kept."""
    books = found.books
    wood = min(THIRDS_IN_LOT, found.asked)
    is_kept = (
        found.server_errors == 0
        and books["orders"] == books["keys"] == books["numbers"] == len(found.numbers) == found.asked
        and books["confirmed"] == books["holds"] == books["thirds_held"] == books["thirds_on_the_lot"] == wood
    )
    rate = found.asked / found.seconds
    print(
        f"{name:11} {found.asked} orders in {found.seconds:.1f} s = {rate:.0f}/s"
        f"  p50 {percentile(found.milliseconds, 0.5):.0f}  p95 {percentile(found.milliseconds, 0.95):.0f} ms"
        f"  answers {dict(found.statuses)}  {books}  {'kept' if is_kept else 'MISSED'}",
        flush=True,
    )
    return is_kept


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clients", type=int, default=50)
    parser.add_argument("--each", type=int, default=4)
    parser.add_argument("--postgres", default=os.environ.get("TEST_POSTGRES_URL", POSTGRES))
    parser.add_argument("--only", choices=["sqlite", "postgres"], default="")
    parser.add_argument("--make-lot", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("--count", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args(argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.crowd_settings")
    import django

    django.setup()
    if asked.make_lot:
        make_lot()
        return 0
    if asked.count:
        json.dump(count(), sys.stdout)
        return 0
    print(f"{asked.clients} clients, {asked.each} orders each, the last of each tapped twice")
    missed = 0
    with tempfile.TemporaryDirectory(prefix="firewood-crowd-") as folder:
        if asked.only != "postgres":
            found = crowd(clients=asked.clients, each=asked.each, database_url="", folder=Path(folder))
            missed += not told("SQLite", found)
    if asked.only != "sqlite":
        missed += _on_postgres(asked)
    return missed


def _on_postgres(asked: argparse.Namespace) -> int:
    if why_not := no_server(asked.postgres):
        print(f"PostgreSQL   left out: {why_not}")
        return 0
    with (
        tempfile.TemporaryDirectory(prefix="firewood-crowd-") as folder,
        postgres_database(asked.postgres) as url,
    ):
        found = crowd(clients=asked.clients, each=asked.each, database_url=url, folder=Path(folder))
        return not told("PostgreSQL", found)


if __name__ == "__main__":
    sys.exit(main())
