"""What the taps taught, kept for plans and prices: renewed each morning, switched off by the seller."""

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction

from inventory.services import audit
from routing.models import LearnedPace
from routing.selectors.runs.paces import Subject, taught

COLUMN = {"load": "yard_id", "unload": "customer_id", "drive": "rig_id"}
LEAST, MOST = 50, 200  # percent: beyond, the yard's or rig's own figures are wrong, not the pace


@transaction.atomic
def learn_paces(*, on: date) -> int:
    """Keep what is taught now; how many. What the seller switched off stays off."""
    known = {
        Subject(row.kind, row.yard_id or row.customer_id or row.rig_id, row.road_class): row
        for row in LearnedPace.objects.all()
    }
    found = taught()
    for subject, pace in found.items():
        row = known.pop(subject, None)
        if row is None:
            row = LearnedPace(kind=subject.kind, road_class=subject.road_class)
            setattr(row, COLUMN[subject.kind], subject.id)
        row.percent, row.low_percent, row.high_percent = (
            min(MOST, max(LEAST, round(ratio * 100))) for ratio in (pace.ratio, pace.low, pace.high)
        )
        row.count, row.learned_on = pace.count, on
        row.full_clean(exclude=["yard", "customer", "rig"])
        row.save()
    LearnedPace.objects.filter(pk__in=[row.pk for row in known.values()]).delete()
    return len(found)


@transaction.atomic
def choose_paces(*, used: Collection[int], at: datetime, who: str) -> None:
    """Plans and prices go by these from now on, by their numbers, and by no other."""
    before = set(LearnedPace.objects.filter(is_used=True).values_list("pk", flat=True))
    LearnedPace.objects.exclude(pk__in=used).update(is_used=False)
    LearnedPace.objects.filter(pk__in=used).update(is_used=True)
    after = set(LearnedPace.objects.filter(is_used=True).values_list("pk", flat=True))
    if before != after:
        audit.note(
            at=at, who=who, verb="chosen", thing="learned times", before={"in use": str(len(before))},
            after={"in use": str(len(after))},
        )  # fmt: skip
