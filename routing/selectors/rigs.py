"""Rigs as pages and plans read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core.heap_number import HeapNumber, RestackSeen, learned
from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from inventory.models import Lot, Restack
from inventory.selectors.work import restack_seen
from orders.core.places import caution
from routing.core import rigs as core
from routing.core.securing import missing_ratings
from routing.earned.costs import RunningRates
from routing.models import Rig, RoadLimit, RunningCost, Stop
from routing.selectors.roads.current import LimitRow

BESIDE_IT = ("home_yard", "pickup", "driver", "helper")


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitOfRig(LimitRow):
    """A posted limit and the most wood this rig may carry over it."""

    room_lb: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RigRow(core.Rig):
    """A rig with its costs, cautions and what customers' stacks taught about it."""

    id: int
    truck: str
    hitch_minutes: int
    home_yard: str
    crew: str
    works: bool
    out_reason: str
    payload_rating: str  # the rating that allows no more
    capacity_ft3: Decimal
    costs: tuple[RunningRates, ...]
    restacks: tuple[RestackSeen, ...]
    learned: HeapNumber | None  # of splits; None before the first restack
    limits: tuple[LimitOfRig, ...]
    missing: tuple[str, ...]  # ratings and measures nobody wrote down, in words
    cautions: tuple[str, ...]


def largest_load() -> Fraction | None:
    """What the largest working rig's heaped box stacks to; None without a rig."""
    return max((rig.box_cords for rig in rigs(only_working=True)), default=None)


def rig_value(row: Rig | core.Rig) -> core.Rig:
    """The rig as the rules see it."""
    return row if isinstance(row, core.Rig) else from_row(core.Rig, row)


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtBy:
    """The rig that brought an order, its heap number, and the form of what it brought."""

    rig: str
    form: str
    heap_number: Decimal


def load_behind(number: int) -> BroughtBy | None:
    """The one rig that delivered an order; None when nobody did, or several."""
    stops = Stop.objects.filter(order__number=number, state=Stop.State.DELIVERED)
    rows = list(stops.select_related("load__run__rig", "lot"))
    rigs_there = {row.load.run.rig for row in rows}
    if len(rigs_there) != 1:
        return None
    is_rounds = any(row.lot is not None and row.lot.form == Lot.Form.ROUNDS for row in rows)
    rig = rigs_there.pop()
    form = "rounds" if is_rounds else "splits"
    return BroughtBy(rig=rig.name, form=form, heap_number=rig.heap_number)


def is_taught_by(reference: str) -> bool:
    """Whether this order's stack has been learned from already."""
    return Restack.objects.filter(reference=reference).exists()


def rates_by_rig(rig_ids: Iterable[int]) -> dict[int, tuple[RunningRates, ...]]:
    """Running costs of several rigs, oldest first, in one query."""
    found: dict[int, list[RunningRates]] = {rig_id: [] for rig_id in rig_ids}
    for row in RunningCost.objects.filter(rig__in=list(found)).order_by("from_on"):
        found[row.rig_id].append(from_row(RunningRates, row))
    return {rig_id: tuple(rates) for rig_id, rates in found.items()}


@once_a_page
def rigs(*, only_working: bool = False) -> tuple[RigRow, ...]:
    """All rigs by name, in four queries."""
    rows = Rig.objects.select_related(*BESIDE_IT).prefetch_related("running_costs")
    if only_working:
        rows = rows.filter(works=True)
    restacks = list(Restack.objects.order_by("on", "id"))
    limits = list(RoadLimit.objects.order_by("name"))
    return tuple(_row(row, restacks, limits) for row in rows)


def rig(rig_id: int) -> RigRow | None:
    """One rig."""
    row = Rig.objects.select_related(*BESIDE_IT).prefetch_related("running_costs").filter(pk=rig_id).first()
    if row is None:
        return None
    return _row(row, list(Restack.objects.order_by("on", "id")), list(RoadLimit.objects.order_by("name")))


def _row(row: Rig, restacks: list[Restack], limits: list[RoadLimit]) -> RigRow:
    value = rig_value(row)
    taught = [entry for entry in restacks if entry.rig_name == row.name]
    splits = [restack_seen(entry) for entry in taught if entry.form == "splits"]
    heavy = (caution("combination_weight").text,) if core.is_heavy_combination(value) else ()
    return from_row(
        RigRow,
        row,
        hitch_minutes=row.pickup.hitch_minutes if row.pickup else core.HITCH_MINUTES,
        home_yard=row.home_yard.name,
        crew=" and ".join(person.name for person in (row.driver, row.helper) if person),
        payload_rating=core.wood_limits(value)[0].rating,
        costs=tuple(from_row(RunningRates, cost) for cost in row.running_costs.all()),
        restacks=tuple(restack_seen(entry) for entry in taught),
        learned=learned(splits, form="splits") if splits else None,
        limits=tuple(
            from_row(
                LimitOfRig,
                limit,
                room_lb=max(0, limit.whole_rig_lb - value.empty_lb) if limit.whole_rig_lb else None,
            )
            for limit in limits
        ),
        missing=missing_ratings(value),
        cautions=(*heavy, *core.rig_cautions(value)),
    )
