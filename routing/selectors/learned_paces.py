"""The learned paces that plans and prices go by, and all of them for the seller to see."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from routing.core.road_engine import RoadPaces
from routing.models import LearnedPace

Kind = LearnedPace.Kind
USUAL = 100  # percent


@dataclass(frozen=True, slots=True, kw_only=True)
class PacesInUse:
    """Percent of what is planned otherwise; whoever is not named goes by all together.

    Shapes
        load by yard, unload by customer, drive by rig and road class ("": any); key None or "": all.
    """

    load: Mapping[int | None, int] = field(default_factory=dict)
    unload: Mapping[int | None, int] = field(default_factory=dict)
    drive: Mapping[tuple[int | None, str], int] = field(default_factory=dict)

    def of_yard(self, yard_id: int) -> int:
        return self.load.get(yard_id) or self.load.get(None, USUAL)

    def of_customer(self, customer_id: int | None) -> int:
        """None, and whoever nobody has delivered to yet: as all."""
        return self.unload.get(customer_id) or self.unload.get(None, USUAL)

    def of_rig(self, rig_id: int) -> RoadPaces:
        whole = self.drive.get((rig_id, "")) or self.drive.get((None, ""), USUAL)
        return RoadPaces(
            **{name: self.drive.get((rig_id, name), whole) for name in ("slow", "country", "fast")}
        )


NO_PACES = PacesInUse()


@once_a_page
def paces_in_use() -> PacesInUse:
    """What is switched on, in one query."""
    load: dict[int | None, int] = {}
    unload: dict[int | None, int] = {}
    drive: dict[tuple[int | None, str], int] = {}
    rows = LearnedPace.objects.filter(is_used=True).order_by()
    for kind, yard, customer, rig, road_class, percent in rows.values_list(
        "kind", "yard_id", "customer_id", "rig_id", "road_class", "percent"
    ):
        if kind == Kind.LOAD:
            load[yard] = percent
        elif kind == Kind.UNLOAD:
            unload[customer] = percent
        else:
            drive[rig, road_class] = percent
    return PacesInUse(load=load, unload=unload, drive=drive)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceRow:
    """One thing learned, as the rigs page shows it. name: the yard, customer or rig; empty, all."""

    id: int
    kind: str
    name: str
    road_class: str
    percents: tuple[int, int, int]  # more than planned: usual, and the ends of an 80 % band
    count: int
    is_used: bool


def pace_rows() -> tuple[PaceRow, ...]:
    """All together first, then each by name, those with most taps first."""
    order = list(Kind.values)
    rows = LearnedPace.objects.select_related("yard", "customer", "rig")
    found = [
        from_row(
            PaceRow,
            row,
            name=next((one.name for one in (row.yard, row.customer, row.rig) if one), ""),
            percents=(row.percent - USUAL, row.low_percent - USUAL, row.high_percent - USUAL),
        )
        for row in rows
    ]
    found.sort(key=lambda row: (order.index(row.kind), row.name != "", -row.count, row.name, row.road_class))
    return tuple(found)
