"""The people who drive and help, as pages and plans read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.rows import from_row
from routing.core.drivers import DriverFigures
from routing.models import Driver, Rig

MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverRow(DriverFigures):
    """Somebody who drives or helps. rigs: those they usually take out."""

    id: int
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


def crew_key(driver_id: int | None, helper_id: int | None) -> str:
    """A driver, alone or with a helper, as one choice of a form."""
    return "+".join(str(key) for key in (driver_id, helper_id) if key)


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
    hours = Decimal(row.longest_minutes) / MINUTES_PER_HOUR
    return from_row(DriverRow, row, longest_hours=hours, rigs=tuple(rigs))
