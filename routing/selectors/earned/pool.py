"""The pool: far orders that wait for company, town by town, and whether their trip is worth it yet.

Each town's trip is figured with the rig it leaves most with.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from inventory.core.rows import from_row
from inventory.core.units import BUNDLE_FT3, CORD_FT3
from inventory.core.woods import Wood
from inventory.models import Hold
from inventory.selectors.business import business
from inventory.selectors.sale import plan_weights
from orders.models import Order, OrderHold
from orders.selectors.prices import TownRow, town
from routing.earned.costs import MINUTES_PER_HOUR, minutes_rule
from routing.earned.pools import PoolAnswer, PoolTrip, Waiting, pool_answer, what_is_full
from routing.selectors.earned.market import near_price
from routing.selectors.earned.market_choices import MarketChoices, RigChoice, TripView, market_choices
from routing.selectors.earned.market_roads import hop_stretch, road_between
from routing.selectors.runs.run_rows import YardSpot

STILL_WAITING = (Order.State.ASKED, Order.State.CONFIRMED)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRow(Waiting):
    """One order in the pool, as the page shows it. why_not: what keeps it from riding; "" when it rides."""

    number: int
    wood: str
    bundles: int
    days_left: int | None
    lot: str
    yard: str
    rides: bool
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolView(TripView):
    """One town's pool."""

    town: TownRow
    rows: tuple[WaitingRow, ...]
    answer: PoolAnswer
    trip: PoolTrip
    target_wage: Decimal


def pools(on: date, *, is_going_anyway: bool = False, would_sell_here: bool = True) -> tuple[PoolView, ...]:
    """Every town that somebody waits in, by name; none when nobody waits.

    Errors
        NothingToCompare, BadPool, NoRoad, EngineDown
    """
    waiting = list(
        Order.objects.filter(is_pool=True, state__in=STILL_WAITING)
        .select_related("customer", "market", "place__town")
        .order_by("waits_until", "number")
    )
    by_town: dict[int, list[Order]] = {}
    for order in waiting:
        if order.place is not None and order.place.town_id is not None:
            by_town.setdefault(order.place.town_id, []).append(order)
    if not by_town:
        return ()
    choices = market_choices(on)
    holds = _holds(waiting, on)
    asked: dict[str, Any] = {"on": on, "anyway": is_going_anyway, "sells": would_sell_here}
    views = [
        max((_pool(rows, town_id, choices, rig, holds, **asked) for rig in choices.rigs), key=_left_of)
        for town_id, rows in by_town.items()
    ]
    return tuple(sorted(views, key=lambda view: view.town.name))


def _left_of(view: PoolView) -> Fraction:
    """What its riders leave once the hours are paid, in dollars."""
    answer = view.answer.answer
    if answer is None:
        return Fraction(0)
    return Fraction(answer.gain) - Fraction(view.target_wage) * answer.extra_minutes / MINUTES_PER_HOUR


@dataclass(frozen=True, slots=True)
class _Held:
    lot: str
    yard_id: int
    yard: str
    is_firm: bool
    lb_per_cord: float
    bundle_ft3: Fraction


def _pool(
    orders: Sequence[Order],
    town_id: int,
    choices: MarketChoices,
    rig: RigChoice,
    holds: dict[int, _Held],
    *,
    on: date,
    anyway: bool,
    sells: bool,
) -> PoolView:
    far = town(town_id)
    assert far is not None
    near = choices.near_towns[0]
    yard = _yard(orders, holds, choices)
    out, back, far_guessed = road_between(yard, far, rig)
    near_out, near_back, near_guessed = road_between(yard, near, rig)
    trip = PoolTrip(
        out=out,
        back=back,
        hop=hop_stretch(choices.hop_miles[far.id]),
        near_out=near_out,
        near_back=near_back,
        near_hop=hop_stretch(choices.hop_miles[near.id]),
        loaded_mile=rig.rates.loaded_mile,
        empty_mile=rig.rates.empty_mile,
        box_ft3=rig.box_ft3,
        payload_lb=rig.payload_lb,
        bed_ft3=Fraction(rig.bundle_room_ft3),
        rig=rig,
        is_going_anyway=anyway,
    )
    riders = tuple(_waiting(order, holds, choices, rig, near=near, sells=sells) for order in orders)
    answer = pool_answer(riders, trip, rule=minutes_rule(), target_wage=business().target_wage, on=on)
    joined = {step.joined.order for step in answer.steps}
    return PoolView(
        town=far,
        near_town=near,
        yard=yard,
        rig=rig,
        rows=tuple(
            from_row(
                WaitingRow,
                rider,
                number=order.number,
                wood=order.wood,
                cords=order.cords,
                bundles=order.bundles,
                days_left=(order.waits_until - on).days if order.waits_until else None,
                lot=holds[order.pk].lot if order.pk in holds else "",
                yard=holds[order.pk].yard if order.pk in holds else "",
                rides=rider.order in joined,
                why_not="" if rider.order in joined else _why_not(rider, answer, trip),
            )
            for order, rider in zip(orders, riders, strict=True)
        ),
        answer=answer,
        trip=trip,
        cords=sum((step.joined.cords for step in answer.steps), Fraction(0)),
        is_estimate=far_guessed or near_guessed,
        target_wage=business().target_wage,
    )


def _why_not(rider: Waiting, answer: PoolAnswer, trip: PoolTrip) -> str:
    together = [step.joined for step in answer.steps]
    return what_is_full([*together, rider], trip) or "With it the trip would leave less."


def _waiting(
    order: Order,
    holds: dict[int, _Held],
    choices: MarketChoices,
    rig: RigChoice,
    *,
    near: TownRow,
    sells: bool,
) -> Waiting:
    held = holds.get(order.pk)
    bundle_ft3 = order.bundles * (held.bundle_ft3 if held else Fraction(BUNDLE_FT3))
    cords = order.cords or bundle_ft3 / CORD_FT3
    lb_per_cord = held.lb_per_cord if held else rig.payload_lb / float(rig.box_cords)
    here = Decimal(0)
    if sells and order.wood != Wood.KINDLING:
        here = near_price(
            choices.sheet, wood=order.wood, dryness=order.dryness, cords=order.cords, market=near.market
        )
    return Waiting(
        order=str(order.number),
        customer=order.customer.name,
        cords=cords,
        far_price=order.total_dollars - order.tax_dollars,
        near_price=here,
        box_ft3=order.cords * Fraction(rig.heap_number),
        bundle_ft3=bundle_ft3,
        lb=ceil(round(lb_per_cord * float(cords), 3)),  # no extra pound for a float's last digit
        waits_until=order.waits_until,
        is_firm=held.is_firm if held else order.state == Order.State.CONFIRMED,
    )


def _holds(orders: Sequence[Order], on: date) -> dict[int, _Held]:
    links = list(
        OrderHold.objects.filter(
            order__in=[order.pk for order in orders], hold__state=Hold.State.STANDING
        ).select_related("hold__lot__yard")
    )
    weights = plan_weights(on, {link.hold.lot_id for link in links})
    found: dict[int, _Held] = {}
    for link in links:
        lot = link.hold.lot
        found.setdefault(
            link.order_id,
            _Held(
                lot=lot.code,
                yard_id=lot.yard_id,
                yard=lot.yard.name,
                is_firm=link.hold.kind == Hold.Kind.FIRM,
                lb_per_cord=weights[lot.pk],
                bundle_ft3=Fraction(lot.bundle_ft3 or BUNDLE_FT3),
            ),
        )
    return found


def _yard(orders: Sequence[Order], holds: dict[int, _Held], choices: MarketChoices) -> YardSpot:
    """The yard that holds most of the pool's wood, else the first."""
    weight: dict[int, Fraction] = {}
    for order in orders:
        if order.pk in holds and order.cords:
            yard_id = holds[order.pk].yard_id
            weight[yard_id] = weight.get(yard_id, Fraction(0)) + order.cords
    best = max(weight, key=lambda yard_id: weight[yard_id], default=None)
    return next((yard for yard in choices.yards if yard.id == best), choices.yards[0])
