"""The work of each morning by hand; the worker does it by itself."""

from typing import Any

from django.core.management.base import BaseCommand

from firewood_site.clock import now, today
from firewood_site.daily import daily_work
from firewood_site.heartbeats import DAILY, beat


class Command(BaseCommand):
    help = "Does now what the worker does each morning: unpaid holds lapse, reminders are written."

    def handle(self, *args: Any, **options: Any) -> None:
        done = daily_work(on=today(), at=now())
        beat(DAILY)
        self.stdout.write(
            f"{done.lapsed} unpaid orders lapsed, {done.reminded} reminders written, "
            f"{done.forgotten} old prices forgotten."
        )
