"""The invented seller's Friday as rows, and its roads as the job's own table."""

from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils import timezone

from inventory.core.units import METERS_PER_MILE
from inventory.models import Hold, Lot, Yard
from orders.models import Order, OrderHold
from routing.core.road_engine import RigProfile
from routing.core.roads import Leg, Matrix, Point, Route
from routing.engines.straight_line import StraightLineEngine
from routing.models import Rig, RunningCost, Stop
from routing.services import commits, days
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet
from tests.factories.routing import make_rig, make_small_rig

FRIDAY = date(2026, 9, 18)
SPOTS = {
    "Upper": (44.1158, -150.1006),
    "Creek": (44.0463, -150.0604),
    "Siding": (44.0, -150.0),
    "Marrow": (44.0087, -150.0604),
    "Larch": (43.7974, -150.161),
    "Fennick": (44.1158, -149.8189),
}
# miles and minutes of the job's road table; the bridge is the short way from Creek to Marrow
ROADS = {
    ("Upper", "Creek"): ("6.4", 17),
    ("Upper", "Siding"): ("11.2", 24),
    ("Creek", "Siding"): ("5.1", 10),
    ("Siding", "Marrow"): ("3.8", 8),
    ("Siding", "Larch"): ("19.5", 29),
    ("Marrow", "Larch"): ("17.0", 25),
    ("Siding", "Fennick"): ("14.0", 27),
    ("Larch", "Upper"): ("30.7", 53),  # by Siding, as the job's day drives home
}
BRIDGE = ("Creek", "Marrow"), ("3.0", 7)
BRIDGE_LB = 12_000


class JobRoads:
    """The job's road table in place of an engine; counted as an estimate, so that no drive is kept."""

    key = "job"
    is_estimate = True

    def matrix(self, sources: Any, targets: Any, profile: RigProfile) -> Matrix:
        return job_matrix(sources, targets, profile)

    def route(self, points: Any, profile: RigProfile) -> Route:
        return StraightLineEngine().route(points, profile)


def job_matrix(sources: Any, targets: Any, profile: RigProfile) -> Matrix:
    """Shortest ways through the job's road table for a rig of this weight."""
    names = {Point(lat=lat, lon=lon): name for name, (lat, lon) in SPOTS.items()}
    legs = dict(ROADS)
    if profile.weight_lb <= BRIDGE_LB:
        legs[BRIDGE[0]] = BRIDGE[1]
    best: dict[tuple[str, str], tuple[int, Fraction]] = {}
    for (start, end), (miles, minutes) in legs.items():
        best[start, end] = best[end, start] = (minutes, Fraction(miles))
    listed = set(best)
    for via in SPOTS:
        for start in SPOTS:
            for end in SPOTS:
                if (
                    (start, end) not in listed
                    and (start, via) in best
                    and (via, end) in best
                    and start != end
                ):
                    through = (
                        best[start, via][0] + best[via, end][0],
                        best[start, via][1] + best[via, end][1],
                    )
                    if (start, end) not in best or through < best[start, end]:
                        best[start, end] = through

    def leg(start: Point, end: Point) -> Leg | None:
        if start == end:
            return Leg(meters=0, seconds=0)
        minutes, miles = best[names[start], names[end]]
        return Leg(meters=round(miles * METERS_PER_MILE), seconds=minutes * 60)

    return Matrix(legs=tuple(tuple(leg(start, end) for end in targets) for start in sources))


def drive_by_the_job(monkeypatch: Any) -> None:
    """Every drive is read from the job's road table."""
    for asker in ("roads.legs", "roads.rig_roads", "earned.kept_splits"):
        monkeypatch.setattr(f"routing.selectors.{asker}.current_engine", JobRoads)


@dataclass
class Friday:
    upper: Yard
    creek: Yard
    siding: Yard
    big: Rig
    small: Rig
    knob_fir: Lot
    mixed: Lot
    marlow: Order
    greta: Order
    pilar: Order


def make_friday() -> Friday:
    """Upper, Creek and Siding; K1 and K5; both rigs; orders 201, 202 and 203, confirmed with firm holds."""
    make_sheet()
    yards = {name: make_yard(name=f"{name} Yard", **_at(name)) for name in ("Upper", "Creek", "Siding")}
    big = make_rig(name="Big trailer", home_yard=yards["Upper"])
    small = make_small_rig(name="Small trailer", home_yard=yards["Upper"])
    knob_fir = make_lot(code="K1", cords="6.05", yard=yards["Siding"])
    mixed = make_lot(
        code="K5", cords=2, name="Fir and oak", mix={"fir": 60, "oak": 40}, wood="mixed", yard=yards["Creek"]
    )
    make_reading(knob_fir, 17, 18, 19, 21, 18)
    make_reading(mixed, 19, 20, 22, 20, 21)
    marlow = confirmed(
        mixed, number=201, name="Marlow Finch", at="Marrow", cords=1, total="300.00",
        window_from=time(8, 30), window_to=time(10),
    )  # fmt: skip
    greta = confirmed(knob_fir, number=202, name="Greta Sool", at="Marrow", cords="1/3", total="100.00")
    pilar = confirmed(
        knob_fir, number=203, name="Pilar Ostrander", at="Larch", cords="2/3", total="242.00",
        stacked=True, window_from=time(11),
    )  # fmt: skip
    return Friday(
        upper=yards["Upper"], creek=yards["Creek"], siding=yards["Siding"], big=big, small=small,
        knob_fir=knob_fir, mixed=mixed, marlow=marlow, greta=greta, pilar=pilar,
    )  # fmt: skip


def confirmed(lot: Lot, *, number: int, name: str, at: str, cords: Any, total: str, **kwargs: Any) -> Order:
    """A confirmed order for Friday with a firm hold of one lot."""
    customer = make_customer(name)
    towns = {"Marrow": "Marrow Bridge", "Larch": "Larch Prairie", "Fennick": "Fennick"}
    place = make_place(customer, town=towns[at], address=f"{number} Street, {towns[at]}", **_at(at))
    fields: dict[str, Any] = {
        "first_on": FRIDAY, "last_on": FRIDAY, "wood": lot.wood, "state": Order.State.CONFIRMED,
        "total_dollars": Decimal(total), "wood_dollars": Decimal(total), "small_rig_only": False,
    }  # fmt: skip
    fields.update(kwargs)
    order = make_order(number=number, customer=customer, place=place, cords=Fraction(cords), **fields)
    hold = make_hold(lot, cords=cords, kind=Hold.Kind.FIRM, reference=order.reference)
    OrderHold.objects.create(order=order, hold=hold)
    return order


def lay_out(friday: Friday, an_instant: datetime, starts_at: time = time(7, 30)) -> Any:
    """The day of the worked example: Marlow from the creek, Greta and Pilar from the siding."""
    return days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
        starts_at=starts_at,
    )


def commit(friday: Friday, an_instant: datetime) -> Friday:
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    return friday


def drop(number: int) -> Stop:
    """The only drop of an order."""
    return Stop.objects.get(order__number=number)


def at(hour: int, minute: int = 0) -> datetime:
    """A moment of that Friday."""
    return timezone.make_aware(datetime.combine(FRIDAY, time(hour, minute)))


def rated(rig: Rig, *, wage: str) -> None:
    RunningCost.objects.filter(rig=rig).update(wage_hour=Decimal(wage))


def _at(name: str) -> dict[str, float]:
    lat, lon = SPOTS[name]
    return {"lat": lat, "lon": lon}
