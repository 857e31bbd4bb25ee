"""A planning under way as a row: how far it is, and whether somebody wants it to stop."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.core.sentences import Sentence
from routing.models import PlanJob
from routing.selectors.days.jobs import SILENT_AFTER

MOST_POINTS = 120
DIED = "Planning was cut off and nothing was changed: plan it again."
LIVE = (PlanJob.State.WAITING, PlanJob.State.RUNNING)


@transaction.atomic
def start_job(
    *,
    first_on: date,
    last_on: date,
    orders: Iterable[int],
    at: datetime,
    seconds: int = 10,
    seed: int = 1,
    options: dict[str, Any] | None = None,
) -> UUID:
    """Keep a wish to plan; any older one for the same days is asked to stop. Returns its key.

    Units
        options: rigs and start hour as `plan_day` takes them, in JSON.
    """
    PlanJob.objects.filter(first_on=first_on, last_on=last_on, state__in=LIVE).update(stop_asked=True)
    row = PlanJob(
        first_on=first_on,
        last_on=last_on,
        orders=sorted(orders),
        options=options or {},
        seconds=seconds,
        seed=seed,
        made_at=at,
    )
    row.full_clean(exclude=["orders"])  # an empty list means every order that may go
    row.save()
    return row.key


def begin(*, key: UUID, at: datetime) -> PlanJob | None:
    """Take a waiting job; None when it is gone, taken, or was called off before it began."""
    taken = PlanJob.objects.filter(key=key, state=PlanJob.State.WAITING).update(
        state=PlanJob.State.RUNNING, heard_at=at
    )
    return PlanJob.objects.filter(key=key).first() if taken else None


def note_progress(
    *,
    key: UUID,
    at: datetime,
    seconds: float,
    best_cents: int | None,
    bound_cents: int | None,
    message: Sentence | str = "",
) -> bool:
    """Write how far the planner is; True when somebody asked it to stop."""
    row = PlanJob.objects.filter(key=key).first()
    if row is None:
        return True
    row.best_cents, row.bound_cents, row.heard_at = best_cents, bound_cents, at
    row.message = message
    row.progress = [*row.progress, [round(seconds, 1), best_cents, bound_cents]][-MOST_POINTS:]
    row.save(update_fields=["best_cents", "bound_cents", "progress", "heard_at", "message"])
    return row.stop_asked


def stop_is_asked(*, key: UUID) -> bool:
    return PlanJob.objects.filter(key=key, stop_asked=True).exists()


@transaction.atomic
def ask_stop(*, key: UUID) -> None:
    """Ask the planner to keep the best it has."""
    PlanJob.objects.filter(key=key, state__in=LIVE).update(stop_asked=True)


@transaction.atomic
def close_dead(*, at: datetime) -> int:
    """End plannings whose worker has died, with a sentence; how many there were.

    Units
        at: the wall clock, also where the seller's day is pinned: workers write by it.
    """
    dead = [
        row.pk
        for row in PlanJob.objects.filter(state=PlanJob.State.RUNNING, heard_at__isnull=False)
        if row.heard_at and at - row.heard_at > timedelta(seconds=row.seconds) + SILENT_AFTER
    ]
    still_running = PlanJob.objects.filter(pk__in=dead, state=PlanJob.State.RUNNING)
    return still_running.update(state=PlanJob.State.FAILED, message=Sentence(DIED), ended_at=at)


@transaction.atomic
def finish(*, key: UUID, at: datetime, failure: Sentence | str = "", message: Sentence | str = "") -> None:
    """The planning is over: done, stopped with the best kept, or failed with a sentence."""
    row = PlanJob.objects.filter(key=key).first()
    if row is None:
        return
    if failure:
        row.state = PlanJob.State.FAILED
    else:
        row.state = PlanJob.State.STOPPED if row.stop_asked else PlanJob.State.DONE
    row.message, row.ended_at = failure or message, at
    row.save(update_fields=["state", "message", "ended_at"])
