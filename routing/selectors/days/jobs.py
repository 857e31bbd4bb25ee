"""Plannings in the background as the pages show them."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext

from inventory.core.rows import from_row
from routing.models import PlanJob
from routing.selectors.background import Background

LIVE = (PlanJob.State.WAITING, PlanJob.State.RUNNING)
SILENT_AFTER = timedelta(minutes=1)  # beyond the seconds it may take: its worker was killed


@dataclass(frozen=True, slots=True, kw_only=True)
class JobView(Background):
    """A planning under way or over. gap: percent the best is above the bound, None = no bound yet."""

    key: str
    first_on: date
    last_on: date
    seconds: int
    best_cents: int | None
    bound_cents: int | None
    made_at: datetime

    @property
    def gap(self) -> float | None:
        if self.bound_cents is None or not self.best_cents:
            return None
        return max(0.0, (self.best_cents - self.bound_cents) / self.best_cents * 100)

    @property
    def shows_days(self) -> bool:
        return self.day_count > 1 and not self.is_live

    @property
    def day_count(self) -> int:
        return (self.last_on - self.first_on).days + 1


def job_view(key: str, *, at: datetime) -> JobView | None:
    """A planning job.

    Units
        at: this instant by the wall clock, also where the seller's day is pinned: workers write by it.
    """
    row = PlanJob.objects.filter(key=key).first()
    return _job(row, at) if row else None


def live_job(on: date, *, at: datetime) -> JobView | None:
    """The planning under way for a day, if any; one whose worker has died counts no more."""
    rows = PlanJob.objects.filter(first_on__lte=on, last_on__gte=on, state__in=LIVE)
    return next((view for view in (_job(row, at) for row in rows) if not view.is_silent), None)


def _job(row: PlanJob, at: datetime) -> JobView:
    is_silent = (
        row.state == PlanJob.State.RUNNING
        and row.heard_at is not None
        and at - row.heard_at > timedelta(seconds=row.seconds) + SILENT_AFTER
    )
    return from_row(
        JobView,
        row,
        key=str(row.key),
        state_words=gettext(row.get_state_display()),
        is_silent=is_silent,
    )
