"""What planning leaves behind goes after a while: jobs that are over, steps to undo, old outlooks."""

from datetime import date, datetime, timedelta

from django.db.models import Q

from routing.models import Day, PlanJob, SeasonOutlook

KEEP_JOBS = timedelta(days=14)
KEEP_STEPS = timedelta(days=7)  # after the day itself: nobody takes back a step of a load that was driven
OUTLOOKS_KEPT = 60  # more than a year of weeks; a page holds the last against the one before it


def forget_old_plans(*, on: date, at: datetime) -> None:
    """Delete jobs ended or never begun, steps of days gone by, and outlooks that no page shows any more."""
    PlanJob.objects.filter(Q(ended_at__lt=at - KEEP_JOBS) | Q(made_at__lt=at - KEEP_JOBS)).delete()
    Day.objects.filter(on__lt=on - KEEP_STEPS).exclude(undo=[], redo=[]).update(undo=[], redo=[])
    old = SeasonOutlook.objects.order_by("-week_on").values_list("pk", flat=True)[OUTLOOKS_KEPT:]
    SeasonOutlook.objects.filter(pk__in=list(old)).delete()
