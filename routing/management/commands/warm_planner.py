"""Compile the planner's inner loops now, so that the first plan does not wait for it."""

import time
from typing import Any

from django.core.management.base import BaseCommand

from routing.planner.compiled import IS_COMPILED
from routing.planner.solve import warm_up


class Command(BaseCommand):
    """`warm_planner`: half a minute once; a second when it was done before."""

    help = "Compile the planner's inner loops (with the extra `fast`); without it there is nothing to do."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Warm up and say how long it took."""
        began = time.monotonic()
        warm_up()
        if IS_COMPILED:
            self.stdout.write(f"The planner's loops are compiled ({time.monotonic() - began:.1f} s).")
        else:
            self.stdout.write("numba is not installed: the planner runs as plain Python.")
