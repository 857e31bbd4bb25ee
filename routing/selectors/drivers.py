"""The people who drive and help, as pages and plans read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from routing.models import Driver, Rig

MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverRow:
    """Somebody who drives or helps. rigs: those they usually take out. Units as in `Driver`."""

    id: int
    name: str
    wage_hour: Decimal | None
    starts_at: time
    ends_at: time
    longest_hours: Decimal
    break_minutes: int
    break_from: time
    break_to: time
    most_cords: Decimal | None
    works: bool
    signs_in_as: str
    rigs: tuple[str, ...]


def drivers() -> tuple[DriverRow, ...]:
    """Everybody, by name."""
    return tuple(_row(row) for row in Driver.objects.prefetch_related("usual_rigs", "usual_help"))


def driver(driver_id: int) -> DriverRow | None:
    """One of them."""
    row = Driver.objects.prefetch_related("usual_rigs", "usual_help").filter(pk=driver_id).first()
    return None if row is None else _row(row)


def driver_signed_in(name: str) -> int | None:
    """Who drives or helps and signs in by this name."""
    return Driver.objects.filter(signs_in_as=name).values_list("pk", flat=True).first() if name else None


def driver_names() -> tuple[tuple[int, str], ...]:
    """Everybody who works, to choose from."""
    return tuple(Driver.objects.filter(works=True).values_list("pk", "name"))


def usual_crews(rig_ids: Iterable[int]) -> dict[int, tuple[int | None, int | None]]:
    """Driver and helper of each rig as its page names them; else whoever drives when there is only one."""
    working = set(Driver.objects.filter(works=True).values_list("pk", flat=True))
    sole = next(iter(working)) if len(working) == 1 else None
    rows = Rig.objects.filter(pk__in=list(rig_ids)).values_list("pk", "driver_id", "helper_id")
    return {
        rig: (driver if driver in working else sole, helper if helper in working else None)
        for rig, driver, helper in rows
    }


def _row(row: Driver) -> DriverRow:
    rigs = sorted({rig.name for rig in (*row.usual_rigs.all(), *row.usual_help.all())})
    return DriverRow(
        id=row.pk,
        name=row.name,
        wage_hour=row.wage_hour,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        longest_hours=Decimal(row.longest_minutes) / MINUTES_PER_HOUR,
        break_minutes=row.break_minutes,
        break_from=row.break_from,
        break_to=row.break_to,
        most_cords=row.most_cords,
        works=row.works,
        signs_in_as=row.signs_in_as,
        rigs=tuple(rigs),
    )
