"""What a phone needs to reckon new times by itself where there is no signal."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from routing.selectors.runs.halts import SAY_LATE_MINUTES, seconds_of_day
from routing.selectors.runs.runs import RunView


def phone_times(view: RunView, *, at: datetime) -> dict[str, Any]:
    """The halts of a run and what is known of them, for the phone's own `new_times`.

    Units
        seconds after midnight in the seller's zone; say_late: minutes.

    Shapes
        halts: name, drive, stay, opens, planned arrival and leave, arrived, done; None = not yet.
    """
    return {
        "run": view.id,
        "on": view.on.isoformat(),
        "zone": timezone.get_current_timezone_name(),
        "now": seconds_of_day(at) if timezone.localdate(at) == view.on else 0,
        "say_late": SAY_LATE_MINUTES,
        "leaves": seconds_of_day(view.leaves_at),
        "left": seconds_of_day(view.actual_leave_at) if view.actual_leave_at else None,
        "halts": [
            (
                halt.name, halt.drive_s, halt.stay_s, halt.begins_from_s, halt.planned_arrive_s,
                seconds_of_day(row.planned.leave_at), halt.arrived_s, halt.done_s,
            )
            for row in view.halts
            for halt in (row.now.halt,)
        ],
    }  # fmt: skip
