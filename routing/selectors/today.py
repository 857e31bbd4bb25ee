"""The day at a glance, for the Today page: one query."""

from dataclasses import dataclass
from datetime import date, time

from routing.models import Day, Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBrief:
    """When the first rig leaves and the last is home, and how much rides."""

    leaves_at: time | None
    home_at: time | None
    loads: int
    stops: int
    is_committed: bool


def day_brief(on: date) -> DayBrief | None:
    """A day's runs in short; None when nothing is planned on it."""
    stops = list(Stop.objects.filter(load__run__day__on=on).select_related("load__run__day"))
    if not stops:
        return None
    runs = {stop.load.run.pk: stop.load.run for stop in stops}.values()
    return DayBrief(
        leaves_at=min((run.leaves_at for run in runs if run.leaves_at), default=None),
        home_at=max((run.home_at for run in runs if run.home_at), default=None),
        loads=len({stop.load_id for stop in stops}),
        stops=len(stops),
        is_committed=stops[0].load.run.day.state in (Day.State.FIXED, Day.State.DONE),
    )
