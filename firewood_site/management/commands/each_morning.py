"""What wants doing once a day, from a timer: lapse unpaid holds, write reminders."""

from typing import Any

from django.core.management.base import BaseCommand

from firewood_site.clock import now, today
from firewood_site.letters import remind, tell
from orders.services.orders import lapse_unpaid


class Command(BaseCommand):
    help = "Run once a day: releases soft holds whose day has come, and writes this season's reminders."

    def handle(self, *args: Any, **options: Any) -> None:
        on, at = today(), now()
        lapsed = lapse_unpaid(on=on, at=at)
        for number in lapsed:
            tell(number, "cancelled", at=at)
        written = remind(on=on, at=at)
        self.stdout.write(f"{len(lapsed)} unpaid orders lapsed, {written} reminders written.")
