"""Planning in the background: one call into the services, its progress and end written on the job."""

from datetime import date, datetime, time
from time import monotonic
from uuid import UUID

from django.tasks import task
from django.utils import timezone

from inventory.core import InventoryError
from inventory.core.sentences import Sentence
from orders.core import OrdersError
from routing.core import RoutingError
from routing.planner.plan import Moment
from routing.selectors.season.outlook import is_planned_since
from routing.services import jobs
from routing.services.days import plan_day
from routing.services.road_loads import load_roads_asked_for
from routing.services.season import plan_season

BETWEEN_NOTES = 0.5  # seconds
SUMMARIES = {  # one drop or several; some orders left out or none
    (True, False): "{drops} drop planned",
    (False, False): "{drops} drops planned",
    (True, True): "{drops} drop planned, {left} left out",
    (False, True): "{drops} drops planned, {left} left out",
}
BROKE_OFF = (
    "Planning broke off and nothing was changed. The worker's log says why; plan again, or with fewer orders."
)


@task(queue_name="planner")
def plan_in_background(key: str) -> str:
    """Plan what the job of this key asks for; returns how it ended."""
    job = jobs.begin(key=UUID(key), at=timezone.now())
    if job is None:
        return "not waiting"
    watch = _Watch(job.key)
    options = job.options
    try:
        planned = plan_day(
            on=job.first_on,
            last_on=job.last_on,
            not_on=[date.fromisoformat(str(text)) for text in options.get("not_on", ())],
            at=timezone.now(),
            who=str(options.get("who", "planner")),
            order_numbers=job.orders or None,
            rig_ids=options.get("rigs") or None,
            starts_at=_time(options.get("starts_at")),
            ends_at=_time(options.get("ends_at")),
            seconds=float(job.seconds),
            seed=job.seed,
            around_fixed=bool(options.get("around_fixed")),
            progress=watch.note,
            cancelled=watch.is_stopped,
        )
    except (RoutingError, OrdersError, InventoryError) as failure:
        jobs.finish(key=job.key, at=timezone.now(), failure=failure.sentence)
        return "failed"
    except Exception:
        jobs.finish(key=job.key, at=timezone.now(), failure=Sentence(BROKE_OFF))
        raise
    left = len(planned.postponed)
    words = SUMMARIES[planned.drops == 1, bool(left)]
    summary = Sentence(words, {"drops": planned.drops, "left": left})
    jobs.finish(key=job.key, at=timezone.now(), message=summary)
    return "done"


class _Watch:
    """Writes progress now and then, and hears when somebody wants it to stop."""

    def __init__(self, key: UUID) -> None:
        self.key = key
        self.noted = self.asked = monotonic() - BETWEEN_NOTES
        self.stopped = False

    def note(self, moment: Moment) -> None:
        if monotonic() - self.noted < BETWEEN_NOTES:
            return
        self.noted = monotonic()
        bound = moment.lower_bound_c
        self.stopped = jobs.note_progress(
            key=self.key,
            at=timezone.now(),
            seconds=moment.seconds,
            best_cents=moment.cost_c - moment.left_out_c,
            bound_cents=None if bound is None else max(0, bound - moment.left_out_c) or None,
            message=Sentence("{count} left out so far", {"count": moment.left_out})
            if moment.left_out
            else Sentence("everything fits so far"),
        )

    def is_stopped(self) -> bool:
        if not self.stopped and monotonic() - self.asked >= BETWEEN_NOTES:
            self.asked = monotonic()
            self.stopped = jobs.stop_is_asked(key=self.key)
        return self.stopped


def _time(text: object) -> time | None:
    return time.fromisoformat(str(text)) if text else None


@task(queue_name="planner")
def plan_season_in_background(on: str, asked_at: str = "") -> str:
    """Work the season out from a day on; a refusal is kept as the task's answer.

    Asked for several times while another was planned, it is planned once: what was guessed before it began is
    in it.
    """
    if asked_at and is_planned_since(datetime.fromisoformat(asked_at)):
        return "done"
    try:
        plan_season(on=date.fromisoformat(on), at=timezone.now())
    except (RoutingError, OrdersError, InventoryError) as problem:
        return str(problem)
    return "done"


@task(queue_name="planner")
def load_roads_in_background(load_id: int) -> str:
    """Build and switch to the map that a page asked for."""
    return load_roads_asked_for(load_id=load_id)
