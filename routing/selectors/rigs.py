"""Rigs as pages and plans read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.heap_number import HeapNumber as Estimate
from inventory.core.heap_number import RestackSeen, learned
from inventory.models import Lot, Restack
from orders.core.places import caution
from routing.core import rigs as core
from routing.core.costs import RunningRates
from routing.models import Rig, RoadLimit, RunningCost, Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """What a mile and an hour cost from a day on, in dollars."""

    from_on: date
    loaded_mile: Decimal
    empty_mile: Decimal
    fixed_run: Decimal
    wage_hour: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class RestackRow:
    """One load somebody stacked and measured."""

    on: date
    form: str
    loose_ft3: Decimal
    stacked_ft3: Decimal
    heap_number: Decimal
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapNumber:
    """What restacks taught, with its 80 percent band. Units: loose ft3 to a cord."""

    heap_number: Decimal
    low: Decimal
    high: Decimal
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """A posted limit and the most wood this rig may carry over it."""

    name: str
    whole_rig_lb: int | None
    note: str
    room_lb: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RigRow:
    """A rig with its costs, cautions and what customers' stacks taught about it."""

    id: int
    name: str
    truck: str
    home_yard_id: int
    home_yard: str
    has_trailer: bool
    is_small: bool
    works: bool
    out_reason: str
    truck_lb: int
    truck_gross_lb: int
    trailer_empty_lb: int
    trailer_gross_lb: int
    bed_payload_lb: int
    payload_lb: int
    empty_lb: int
    combined_gross_lb: int
    box_length_ft: Decimal
    box_width_ft: Decimal
    box_side_ft: Decimal
    box_heap_ft: Decimal
    capacity_ft3: Decimal
    heap_number: Decimal
    box_cords: Fraction
    length_ft: Decimal
    height_ft: Decimal
    top_speed_mph: int
    costs: tuple[CostRow, ...]
    restacks: tuple[RestackRow, ...]
    learned: HeapNumber | None  # of splits; None before the first restack
    limits: tuple[LimitRow, ...]
    cautions: tuple[str, ...]


def rig_value(row: Rig | RigRow) -> core.Rig:
    """The rig as the rules see it."""
    fields = core.Rig.__dataclass_fields__
    return core.Rig(**{name: getattr(row, name) for name in fields})


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtBy:
    """The rig that brought an order, and the form of what it brought."""

    rig: str
    form: str


def load_behind(number: int) -> BroughtBy | None:
    """The one rig that delivered an order; None when nobody did, or several."""
    stops = Stop.objects.filter(order__number=number, state=Stop.State.DELIVERED)
    rows = list(stops.select_related("load__run__rig", "lot"))
    rigs_there = {row.load.run.rig.name for row in rows}
    if len(rigs_there) != 1:
        return None
    is_rounds = any(row.lot is not None and row.lot.form == Lot.Form.ROUNDS for row in rows)
    return BroughtBy(rig=rigs_there.pop(), form="rounds" if is_rounds else "splits")


def is_taught_by(reference: str) -> bool:
    """Whether this order's stack has been learned from already."""
    return Restack.objects.filter(reference=reference).exists()


def rates_of(rig_id: int) -> tuple[RunningRates, ...]:
    """Running costs of a rig, oldest first."""
    return rates_by_rig((rig_id,))[rig_id]


def rates_by_rig(rig_ids: Iterable[int]) -> dict[int, tuple[RunningRates, ...]]:
    """Running costs of several rigs, oldest first, in one query."""
    found: dict[int, list[RunningRates]] = {rig_id: [] for rig_id in rig_ids}
    for row in RunningCost.objects.filter(rig__in=list(found)).order_by("from_on"):
        found[row.rig_id].append(
            RunningRates(
                from_on=row.from_on,
                loaded_mile=row.loaded_mile,
                empty_mile=row.empty_mile,
                fixed_run=row.fixed_run,
                wage_hour=row.wage_hour,
            )
        )
    return {rig_id: tuple(rates) for rig_id, rates in found.items()}


def rigs(*, only_working: bool = False) -> tuple[RigRow, ...]:
    """All rigs by name, in four queries."""
    rows = Rig.objects.select_related("home_yard").prefetch_related("running_costs")
    if only_working:
        rows = rows.filter(works=True)
    restacks = list(Restack.objects.order_by("on", "id"))
    limits = list(RoadLimit.objects.order_by("name"))
    return tuple(_row(row, restacks, limits) for row in rows)


def rig(rig_id: int) -> RigRow | None:
    """One rig."""
    row = Rig.objects.select_related("home_yard").prefetch_related("running_costs").filter(pk=rig_id).first()
    if row is None:
        return None
    return _row(row, list(Restack.objects.order_by("on", "id")), list(RoadLimit.objects.order_by("name")))


def _row(row: Rig, restacks: list[Restack], limits: list[RoadLimit]) -> RigRow:
    value = rig_value(row)
    taught = tuple(_restack(entry) for entry in restacks if entry.rig_name == row.name)
    said = core.rig_cautions(value)
    return RigRow(
        id=row.pk,
        name=row.name,
        truck=row.truck,
        home_yard_id=row.home_yard_id,
        home_yard=row.home_yard.name,
        has_trailer=row.has_trailer,
        is_small=row.is_small,
        works=row.works,
        out_reason=row.out_reason,
        truck_lb=row.truck_lb,
        truck_gross_lb=row.truck_gross_lb,
        trailer_empty_lb=row.trailer_empty_lb,
        trailer_gross_lb=row.trailer_gross_lb,
        bed_payload_lb=row.bed_payload_lb,
        payload_lb=row.payload_lb,
        empty_lb=value.empty_lb,
        combined_gross_lb=row.truck_gross_lb + (row.trailer_gross_lb if row.has_trailer else 0),
        box_length_ft=row.box_length_ft,
        box_width_ft=row.box_width_ft,
        box_side_ft=row.box_side_ft,
        box_heap_ft=row.box_heap_ft,
        capacity_ft3=row.capacity_ft3,
        heap_number=row.heap_number,
        box_cords=value.box_cords,
        length_ft=row.length_ft,
        height_ft=row.height_ft,
        top_speed_mph=row.top_speed_mph,
        costs=tuple(
            CostRow(
                from_on=cost.from_on,
                loaded_mile=cost.loaded_mile,
                empty_mile=cost.empty_mile,
                fixed_run=cost.fixed_run,
                wage_hour=cost.wage_hour,
            )
            for cost in row.running_costs.all()
        ),
        restacks=taught,
        learned=_learned(taught),
        limits=tuple(
            LimitRow(
                name=limit.name,
                whole_rig_lb=limit.whole_rig_lb,
                note=limit.note,
                room_lb=max(0, limit.whole_rig_lb - value.empty_lb) if limit.whole_rig_lb else None,
            )
            for limit in limits
        ),
        cautions=(*said, caution("combination_weight").text) if said else (),
    )


def _restack(entry: Restack) -> RestackRow:
    return RestackRow(
        on=entry.on,
        form=entry.form,
        loose_ft3=entry.loose_ft3,
        stacked_ft3=entry.stacked_ft3,
        heap_number=(entry.loose_ft3 * 128 / entry.stacked_ft3).quantize(Decimal("0.1")),
        note=entry.note,
    )


def _learned(taught: tuple[RestackRow, ...]) -> HeapNumber | None:
    """The estimate for splits, the form a heap number is used for."""
    seen = [
        RestackSeen(on=row.on, loose_ft3=float(row.loose_ft3), stacked_ft3=float(row.stacked_ft3))
        for row in taught
        if row.form == "splits"
    ]
    if not seen:
        return None
    found: Estimate = learned(seen, form="splits")
    tenth = Decimal("0.1")
    return HeapNumber(
        heap_number=Decimal(found.mean).quantize(tenth),
        low=Decimal(found.low).quantize(tenth),
        high=Decimal(found.high).quantize(tenth),
        count=len(seen),
    )
