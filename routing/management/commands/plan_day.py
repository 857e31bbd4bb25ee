"""Plan a delivery day from the terminal."""

from datetime import date, time
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from inventory.core import InventoryError
from inventory.core.local import to_the_cent
from orders.core import OrdersError
from routing.core import RoutingError
from routing.services.commits import commit_day
from routing.services.days import plan_day


class Command(BaseCommand):
    help = "Plan the confirmed orders that may go on a day (or several), and keep the plan as a draft."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("on", help="the day, 2026-09-18")
        parser.add_argument("--last", help="plan every day through this one")
        parser.add_argument("--orders", nargs="+", type=int, help="these order numbers, all of them")
        parser.add_argument("--seconds", type=float, help="look for so long; 2 when not said")
        parser.add_argument("--steps", type=int, help="or so many steps: equal steps give equal plans")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--from", dest="starts_at", help="leave no earlier than, 07:00")
        parser.add_argument("--home-by", dest="ends_at", help="home by, 18:00")
        parser.add_argument("--commit", action="store_true", help="commit the (single) day as well")

    def handle(self, *args: Any, **options: Any) -> None:
        on = _date(options["on"])
        try:
            planned = plan_day(
                on=on,
                last_on=_date(options["last"]) if options["last"] else None,
                at=now(),
                who="terminal",
                order_numbers=options["orders"],
                seconds=options["seconds"],
                steps=options["steps"],
                seed=options["seed"],
                starts_at=_time(options["starts_at"]),
                ends_at=_time(options["ends_at"]),
            )
            if options["commit"] and planned.drops:
                commit_day(on=on, at=now(), who="terminal")
        except (RoutingError, OrdersError, InventoryError) as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"{planned.drops} drops, {to_the_cent(planned.cost_cents / 100)} of road and driver."
        )
        if planned.lower_bound_cents is not None:
            self.stdout.write(f"Nothing costs less than {to_the_cent(planned.lower_bound_cents / 100)}.")
        for row in planned.postponed:
            self.stdout.write(f"Left out, order {row.order}: {row.reason}")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise CommandError(f"{text!r} is no day: write it as 2026-09-18.") from error


def _time(text: str | None) -> time | None:
    try:
        return time.fromisoformat(text) if text else None
    except ValueError as error:
        raise CommandError(f"{text!r} is no time: write it as 07:30.") from error
