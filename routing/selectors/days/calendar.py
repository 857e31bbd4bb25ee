"""Committed runs as entries of a calendar."""

from datetime import date, time

from routing.models import Run
from routing.selectors.runs.run_rows import WholeRun, run_rows
from routing.selectors.runs.runs import SHOWN


def calendar_runs(first: date, last: date) -> tuple[WholeRun, ...]:
    """Committed runs between two dates that bring something, as they leave; two queries."""
    timed = Run.objects.filter(
        SHOWN, day__on__range=(first, last), leaves_at__isnull=False, home_at__isnull=False
    )
    runs = [run for run in run_rows(timed) if run.stops]
    return tuple(sorted(runs, key=lambda run: (run.on, run.leaves_at or time())))
