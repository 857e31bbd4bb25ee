"""What prices that nobody orders leave behind, and how much of it is gone after the mornings that follow.

    python -m tests.bench.growth [--prices 1500]

Each price is asked for a new address on the customer's page. Bar: half a year later a morning's work leaves
at most a tenth of what came in any table; the room in the file is free for what comes next.
"""

import argparse
import os
import sys
from datetime import timedelta

from tests.bench.ground import stand_up
from tests.bench.insertion import pin_prices, spots

MOST_LEFT = 10  # one of so many rows that came: drives between yards and towns stay


def _rows() -> dict[str, int]:
    """How many rows each table has, as far as it has any."""
    from django.apps import apps
    from django.db.models import QuerySet

    counts = {model._meta.label: QuerySet(model).count() for model in apps.get_models()}
    return {label: count for label, count in counts.items() if count}


def _bytes() -> int:
    """What the rows and their indexes take of the file, without pages that are free."""
    from django.db import connection

    with connection.cursor() as cursor:
        found = [cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "freelist_count")]
        size = cursor.execute("PRAGMA page_size").fetchone()[0]
    return (found[0] - found[1]) * size


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--prices", type=int, default=1500)
    asked = parser.parse_args(argv)
    os.environ["TASKS_BACKEND"] = (
        "django_tasks_db.DatabaseBackend"  # what the morning asks for stays in the queue
    )
    stand_up()
    from django.utils import timezone

    from firewood_site.clock import today
    from firewood_site.daily import KEEP_QUOTES, daily_work

    before, bytes_before = _rows(), _bytes()
    quote = pin_prices()
    for _, spot in zip(range(asked.prices), spots(7), strict=False):
        quote(spot)
    grown, bytes_grown = _rows(), _bytes()
    later = KEEP_QUOTES + timedelta(days=90)
    daily_work(on=today() + later, at=timezone.now() + later)
    after, bytes_after = _rows(), _bytes()
    print(
        f"{asked.prices} prices: {bytes_before / 1e6:.1f} MB before, {bytes_grown / 1e6:.1f} MB with them, ",
        end="",
    )
    left = {
        label: after.get(label, 0)
        for label, count in grown.items()
        if (after.get(label, 0) - before.get(label, 0)) * MOST_LEFT > count - before.get(label, 0) > 0
    }
    for label in sorted(set(grown) | set(after)):
        if grown.get(label, 0) != before.get(label, 0):
            print(
                f"\n  {label:24} {before.get(label, 0):6} {grown.get(label, 0):7} {after.get(label, 0):7}",
                end="",
            )
    print(f"\n{bytes_after / 1e6:.1f} MB after that morning  {'MISSED: ' + str(left) if left else 'kept'}")
    return bool(left)


if __name__ == "__main__":
    sys.exit(main())
