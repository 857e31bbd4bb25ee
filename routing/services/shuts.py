"""Closed yards, roads, saw hours and burn windows: kept for as long as they last."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db import transaction

from inventory.services import audit
from routing.core import RoutingError
from routing.models import Day, Load, Shut

PLANNED = (Day.State.DRAFT, Day.State.FIXED)


OF_A_ROAD = (Shut.Kind.ROAD, Shut.Kind.CHAIN)


class NoSuchShut(RoutingError):
    says = "This closure is not in the books any more: look at the list again."


class ShutOfNothing(RoutingError):
    """A closed yard or road that names neither."""

    def __init__(self, *, kind: str) -> None:
        self.kind = kind
        thing = "yard" if kind == Shut.Kind.YARD else "town the road leads to"
        super().__init__("Say which it is: choose the {thing}.", thing=thing)


class ShutBackward(RoutingError):
    says = "It cannot end on {to_on} when it starts on {from_on}: swap the days."


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutMade:
    """The closure kept, and the planned days it falls on: those want planning again."""

    id: int
    days: tuple[date, ...]


@transaction.atomic
def shut(
    *,
    kind: str,
    from_on: date,
    to_on: date,
    reason: str,
    at: datetime,
    who: str,
    yard_id: int | None = None,
    town_id: int | None = None,
    what: str = "",
    from_time: time | None = None,
    to_time: time | None = None,
) -> ShutMade:
    """Keep a closure. Plans made from now on go around it.

    Units
        from_time, to_time: the shut hours of each day; None is all day.

    Errors
        ShutOfNothing, ShutBackward
        ValidationError: a value a column refuses.
    """
    if to_on < from_on:
        raise ShutBackward(from_on=from_on, to_on=to_on)
    if (kind == Shut.Kind.YARD and yard_id is None) or (kind in OF_A_ROAD and town_id is None):
        raise ShutOfNothing(kind=kind)
    row = Shut(
        kind=kind,
        yard_id=yard_id if kind == Shut.Kind.YARD else None,
        town_id=town_id if kind in OF_A_ROAD else None,
        what=what.strip(),
        from_on=from_on,
        to_on=to_on,
        from_time=from_time,
        to_time=to_time,
        reason=reason.strip(),
    )
    row.full_clean()
    row.save()
    audit.note(
        at=at, who=who, verb="shut", thing=_thing(row), note=f"{row.reason}, {from_on} to {to_on}"[:300]
    )
    return ShutMade(id=row.pk, days=_days_touched(row))


@transaction.atomic
def open_again(*, shut_id: int, on: date, at: datetime, who: str) -> None:
    """The closure is over from this day on; one that had not begun is forgotten.

    Errors
        NoSuchShut
    """
    row = Shut.objects.filter(pk=shut_id).first()
    if row is None:
        raise NoSuchShut(shut_id=shut_id)
    thing = _thing(row)
    if row.from_on >= on:
        row.delete()
    else:
        row.to_on = min(row.to_on, on - timedelta(days=1))
        row.save(update_fields=["to_on"])
    audit.note(at=at, who=who, verb="open again", thing=thing, note=f"from {on}")


def _days_touched(row: Shut) -> tuple[date, ...]:
    if row.kind == Shut.Kind.YARD:
        loads = Load.objects.filter(yard=row.yard)
    elif row.kind == Shut.Kind.ROAD:
        loads = Load.objects.filter(stops__order__place__town=row.town)
    else:
        return ()
    days = loads.filter(run__day__on__range=(row.from_on, row.to_on), run__day__state__in=PLANNED)
    return tuple(days.order_by("run__day__on").values_list("run__day__on", flat=True).distinct())


def _thing(row: Shut) -> str:
    name = row.yard.name if row.yard else row.town.name if row.town else row.what
    return f"{row.get_kind_display()} {name}"[:40]
