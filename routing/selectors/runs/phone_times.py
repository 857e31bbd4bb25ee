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
        "left": seconds_of_day(view.left_at) if view.left_at else None,
        "halts": [
            (
                halt.timed.name, halt.timed.drive_s, halt.timed.stay_s, halt.timed.begins_from_s,
                halt.timed.planned_arrive_s, seconds_of_day(halt.planned.leave_at), halt.timed.arrived_s,
                halt.timed.done_s,
            )
            for halt in view.halts
        ],
    }  # fmt: skip
