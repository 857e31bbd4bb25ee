"""Every seller list page, and the customer's pages, over 20,000 orders in ten seasons.

    python -m tests.bench.pages [--times 40] [--only margins,money]

Bar: 95 of 100 answers within 200 ms, and as many queries as over the demo's dozen orders.
"""

import argparse
import importlib
import statistics
import sys
from collections.abc import Callable
from dataclasses import dataclass

from tests.bench.ground import percentile, stand_up, timed, timed_with_cpu

ORDERS = 20_000
BAR_MS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class PageTime:
    """One address: milliseconds by the clock (first call apart) and of the processor, and its queries."""

    name: str
    path: str
    first_ms: float
    p50_ms: float
    p95_ms: float
    cpu_p95_ms: float
    queries: int
    bytes: int

    @property
    def is_kept(self) -> bool:
        return self.p95_ms < BAR_MS


def addresses() -> dict[str, str]:
    """Name of the page to an address that shows the fullest of it."""
    from inventory.models import Lot
    from orders.models import Customer, Order
    from routing.models import Day, Load, Run, Stop

    fullest = Day.objects.filter(state=Day.State.DONE).order_by("-on").first()
    past = fullest.on if fullest else Day.objects.get().on
    newest = Order.objects.filter(state=Order.State.SETTLED).order_by("-number").first()
    order = newest or Order.objects.order_by("number").first()
    load, stop, run = Load.objects.last(), Stop.objects.last(), Run.objects.last()
    lot = Lot.objects.filter(code="S9-1").first() or Lot.objects.get(code="K1")
    customer = Customer.objects.order_by("-id").first()
    return {
        "today": "/seller/",
        "orders": "/seller/orders",
        "orders, open": "/seller/orders?state=confirmed",
        "orders, settled": "/seller/orders?state=settled",
        "orders, page 200": "/seller/orders?page=200",
        "orders, words": "/seller/orders?q=Buyer+0001",
        "orders, day": f"/seller/orders?day={past}",
        "order": f"/seller/orders/{order.number}",
        "customers": "/seller/customers",
        "customers, words": "/seller/customers?q=0042",
        "customer": f"/seller/customers/{customer.pk}",
        "money": "/seller/money",
        "claims": "/seller/claims",
        "margins": "/seller/worth/margins",
        "margins, October": f"/seller/worth/margins?month={past.year - 1}-10",
        "load margin": f"/seller/worth/margins/load/{load.pk}",
        "order margin": f"/seller/worth/margins/order/{order.number}",
        "worth": "/seller/worth",
        "worth by season": "/seller/worth?by=season",
        "worth by order": f"/seller/worth?by=order&month={past.year - 1}-10",
        "season": "/seller/worth/season",
        "haul": "/seller/worth/near-or-far",
        "pool": "/seller/worth/pool",
        "acre sheet": "/seller/worth/patches",
        "stock": "/seller/wood",
        "lot": f"/seller/lots/{lot.code}",
        "log": "/seller/log",
        "yards": "/seller/set-up/yards",
        "ground": "/seller/set-up/ground",
        "prices": "/seller/set-up/prices",
        "days": "/seller/days",
        "day": "/seller/days/2026-09-18",
        "day, past": f"/seller/days/{past}",
        "day, to plan": "/seller/days/2026-09-25",
        "load sheet": "/seller/days/2026-09-18/load-sheet",
        "rigs": "/seller/set-up/rigs",
        "shuts": "/seller/set-up/closures",
        "audit": "/seller/set-up/audit",
        "settings": "/seller/set-up/settings",
        "text-back": "/seller/quote",
        "driver today": "/driver/",
        "driver run": f"/driver/run/{run.pk}",
        "driver drop": f"/driver/drop/{stop.pk}",
        "shop": "/",
        "quote": "/price",
        **_customer_addresses(order),
    }


def _customer_addresses(order: object) -> dict[str, str]:
    from firewood_site.access import order_path
    from orders.models import Quote

    quote = Quote.objects.filter(place__isnull=False).order_by("-made_at").first()
    paths = {"order status": order_path(order.number, order.link_secret)}  # type: ignore[attr-defined]
    if quote is not None:
        paths["quote's price"] = f"/price/{quote.token}"
    return paths


def measured(
    times: int, only: tuple[str, ...] = (), say: Callable[[PageTime], None] = print
) -> list[PageTime]:
    """The pages, one after the other, through every middleware, as the seller."""
    from django.contrib.auth.models import User
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client()
    client.force_login(User.objects.get(username="ruth"))
    found = []
    for name, path in addresses().items():
        if only and not any(word in name for word in only):
            continue
        first = timed(lambda path=path: client.get(path), times=1, warm=0)[0]
        with CaptureQueriesContext(connection) as seen:
            answer = client.get(path)
            queries = len(seen)  # the next call empties the log
        if answer.status_code != 200:
            raise SystemExit(f"{path} answered {answer.status_code}: the page could not be measured.")
        taken = timed_with_cpu(lambda path=path: client.get(path), times=times, warm=1)
        wall, cpu = zip(*taken, strict=True)
        row = PageTime(
            name=name, path=path, first_ms=first, p50_ms=statistics.median(wall),
            p95_ms=percentile(wall, 0.95), cpu_p95_ms=percentile(cpu, 0.95), queries=queries,
            bytes=len(answer.content),
        )  # fmt: skip
        say(row)
        found.append(row)
    return found


def told(row: PageTime) -> None:
    verdict = "kept" if row.is_kept else "MISSED"
    print(
        f"{row.name:18} first {row.first_ms:7.1f}  p50 {row.p50_ms:7.1f}  p95 {row.p95_ms:7.1f}"
        f"  cpu p95 {row.cpu_p95_ms:6.1f} ms"
        f"  {row.queries:3d} queries  {row.bytes / 1024:6.0f} KB  {verdict}",
        flush=True,
    )


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=40)
    parser.add_argument("--only", default="")
    asked = parser.parse_args(argv)
    stand_up(orders=ORDERS, keep="seasons")
    importlib.import_module("firewood_site.wsgi")  # the server's own way with memory
    print(f"Pages over {ORDERS:,} orders in ten seasons; bar p95 < {BAR_MS} ms")
    rows = measured(asked.times, tuple(word for word in asked.only.split(",") if word), told)
    return sum(not row.is_kept for row in rows)


if __name__ == "__main__":
    sys.exit(main())
