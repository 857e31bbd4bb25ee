"""Wood that came home from a run and lies nobody has said where, and the places it may lie."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from inventory.core.rows import from_row
from inventory.models import Lot, Yard
from orders.models import Order
from orders.selectors.parts import NamedOrder
from routing.models import Stop
from routing.selectors.runs.drops import DropView
from routing.selectors.runs.run_rows import StopRow

ASKED_FOR = timedelta(days=30)  # older wood was found or counted since
ON_LOT, IN_YARD = "lot:", "yard:"
AWAY = (Stop.State.NO_SHOW, Stop.State.TROUBLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class HomePlace:
    """A place wood may lie. key: "lot:K1" or "yard:3"; lot: none, it lies by itself."""

    key: str
    yard: str
    lot: str
    is_where_it_was: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CameHome(NamedOrder):
    """One drop's wood, come home; while its drop is open the page only keeps the question."""

    drop: StopRow
    on: date
    places: tuple[HomePlace, ...]


def came_home(drops: Iterable[DropView], *, on: date) -> tuple[CameHome, ...]:
    """The drops of a run whose wood came home or may yet, with where it may lie: two queries."""
    asked = [drop for drop in drops if drop.lot_code and (drop.is_open or _is_waiting(drop))]
    if not asked:
        return ()
    places = _places({drop.lot_code for drop in asked})
    return tuple(
        CameHome(
            number=drop.order.number,
            customer=drop.order.customer.name,
            drop=drop,
            on=on,
            places=places[drop.lot_code],
        )
        for drop in asked
    )


def waiting_home(on: date, *, number: int | None = None) -> tuple[CameHome, ...]:
    """Wood of the last month that came home and lies nobody said where, newest first."""
    rows = Stop.objects.filter(
        state__in=AWAY, back_lot=None, lot__isnull=False, load__run__day__on__range=(on - ASKED_FOR, on)
    ).exclude(order__state__in=(Order.State.DELIVERED, Order.State.SETTLED))
    if number is not None:
        rows = rows.filter(order__number=number)
    found = list(rows.select_related("order__customer", "lot", "load__run__day").order_by("-done_at", "pk"))
    places = _places({row.lot.code for row in found if row.lot}) if found else {}
    return tuple(
        CameHome(
            number=row.order.number,
            customer=row.order.customer.name,
            drop=from_row(StopRow, row),
            on=row.load.run.day.on,
            places=places[row.lot.code] if row.lot else (),
        )
        for row in found
    )


def lot_of_place(key: str) -> Lot | None:
    """The lot a place names."""
    if not key.startswith(ON_LOT):
        return None
    return Lot.objects.select_related("yard").filter(code=key.removeprefix(ON_LOT)).first()


def yard_of_place(key: str) -> int | None:
    """The yard a place names."""
    named = key.removeprefix(IN_YARD)
    return int(named) if key.startswith(IN_YARD) and named.isascii() and named.isdigit() else None


def _is_waiting(drop: DropView) -> bool:
    return drop.state in AWAY and drop.back_lot_id is None


def _places(codes: Collection[str]) -> Mapping[str, tuple[HomePlace, ...]]:
    """By lot: back on it, by itself in another yard, or on a lot of the same wood there."""
    yards = list(Yard.objects.order_by("name"))
    wanted = Q(on_hand_cords__gt=0) | Q(code__in=codes)
    lots = list(Lot.objects.filter(wanted).select_related("yard").order_by("code"))
    found = {}
    for own in (lot for lot in lots if lot.code in codes):
        was = HomePlace(key=f"{ON_LOT}{own.code}", yard=own.yard.name, lot=own.code, is_where_it_was=True)
        rows = [was]
        for yard in yards:
            if yard.pk == own.yard_id:
                continue
            rows.append(HomePlace(key=f"{IN_YARD}{yard.pk}", yard=yard.name, lot=""))
            rows += [
                HomePlace(key=f"{ON_LOT}{lot.code}", yard=yard.name, lot=lot.code)
                for lot in lots
                if lot.yard_id == yard.pk and _may_join(own, lot)
            ]
        found[own.code] = tuple(rows)
    return found


def _may_join(own: Lot, lot: Lot) -> bool:
    return (own.wood, own.form, own.sale) == (lot.wood, lot.form, lot.sale)
