"""Roads the seller takes or avoids, and what is posted on roads: every drive from now on counts it."""

from datetime import datetime

from django.db import transaction

from inventory.services import audit
from routing.core import RoutingError
from routing.models import RoadLimit, RoadMark
from routing.selectors.roads.current import search_streets


class NoSuchRoad(RoutingError):
    says = "There is no road called {road} on the loaded map: write it as the map does."


def mark_road(*, road: str, kind: str, at: datetime, who: str) -> str:
    """Keep what the seller says of a road, by its name on the map, and return that name.

    The same road again is corrected.

    Errors
        NoSuchRoad: the map does not know it. EngineDown: the street index is gone.
        ValidationError: a value a column refuses.
    """
    hit = next((hit for hit in search_streets(road, limit=1) if hit.kind != "place"), None)
    if hit is None:
        raise NoSuchRoad(road=road.strip())
    with transaction.atomic():
        row = RoadMark.objects.filter(road=hit.label).first() or RoadMark(road=hit.label)
        row.kind, row.lat, row.lon = kind, hit.lat, hit.lon
        row.full_clean()
        row.save()
        audit.note(at=at, who=who, verb="marked", thing=f"road {row.road}"[:40], note=row.get_kind_display())
    return row.road


@transaction.atomic
def unmark_road(*, mark_id: int, at: datetime, who: str) -> None:
    """The road is one like any other again; nothing happens when it is already."""
    row = RoadMark.objects.filter(pk=mark_id).first()
    if row is not None:
        row.delete()
        audit.note(at=at, who=who, verb="unmarked", thing=f"road {row.road}"[:40])


@transaction.atomic
def post_limit(*, name: str, whole_rig_lb: int | None, note: str, at: datetime, who: str) -> None:
    """Keep what is posted on a bridge or road, by its name; the same name again is corrected.

    Errors
        ValidationError: a value a column refuses.
    """
    row = RoadLimit.objects.filter(name__iexact=name.strip()).first() or RoadLimit(name=name.strip())
    row.whole_rig_lb, row.note = whole_rig_lb, note
    row.full_clean()
    row.save()
    after = {"pounds": whole_rig_lb, "note": note}
    audit.note(at=at, who=who, verb="posted", thing=f"limit {row.name}"[:40], after=after)


@transaction.atomic
def forget_limit(*, limit_id: int, at: datetime, who: str) -> None:
    """Nothing is posted there any more."""
    row = RoadLimit.objects.filter(pk=limit_id).first()
    if row is not None:
        row.delete()
        audit.note(at=at, who=who, verb="unposted", thing=f"limit {row.name}"[:40])
