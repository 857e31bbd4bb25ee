"""The map that is being loaded, or was last: how far it is, for the page that asked."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.core.rows import from_row
from routing.models import RoadLoad
from routing.selectors.background import Background

SLOW_START = timedelta(seconds=10)
SILENT_AFTER = timedelta(minutes=30)  # one step of a large state takes many minutes
SHOWN_FOR = timedelta(hours=1)  # how long an end is told
LIVE = (RoadLoad.State.WAITING, RoadLoad.State.RUNNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadLoadView(Background):
    """is_late_start: no worker has taken it up."""

    name: str
    is_late_start: bool
    minutes: int


def road_load(*, at: datetime) -> RoadLoadView | None:
    """The newest loading, while it runs and for a while after.

    Units
        at: the wall clock, also where the seller's day is pinned.
    """
    row = RoadLoad.objects.first()
    if row is None:
        return None
    age = at - row.asked_at
    is_live = row.state in LIVE
    is_silent = is_live and row.heard_at is not None and at - row.heard_at > SILENT_AFTER
    if not is_live and row.heard_at is not None and at - row.heard_at > SHOWN_FOR:
        return None
    return from_row(
        RoadLoadView,
        row,
        state_words=str(row.get_state_display()),
        is_late_start=row.state == RoadLoad.State.WAITING and age > SLOW_START,
        is_silent=is_silent,
        minutes=int(age.total_seconds() // 60),
    )
