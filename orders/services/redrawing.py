"""An order's wood taken from other lots, or another amount of it: held anew, or drawn and put back.

All of it runs inside the caller's transaction.
"""

from collections.abc import Iterable
from datetime import date, datetime
from fractions import Fraction

from django.utils import timezone

from inventory.models import Hold, Lot
from inventory.selectors.drawn import drawn_for
from inventory.services.draws import sell_open, undo_sale
from orders.core.corrections import THERE
from orders.models import Order
from orders.services.held import cords_of_bundles, release_holds, standing_holds
from orders.services.orders import Picked, WrongAmountPicked, hold_picks


def lots_of(order: Order) -> dict[str, Fraction]:
    """Cords by lot code: what stands held, or once it is delivered what was drawn."""
    if order.state in THERE:
        return drawn_for(order.reference)
    held: dict[str, Fraction] = {}
    for hold in standing_holds(order):
        held[hold.lot.code] = held.get(hold.lot.code, Fraction(0)) + hold.cords
    return held


def hold_instead(order: Order, picks: Iterable[Picked], *, at: datetime, who: str) -> None:
    """Hold these lots for the order in place of what is held; none given leaves it if it still adds up.

    Errors
        WrongAmountPicked, UnknownLot, NotEnoughOpen
    """
    standing = standing_holds(order)
    chosen = tuple(pick for pick in picks if pick.cords > 0) or tuple(
        Picked(lot=code, cords=cords) for code, cords in lots_of(order).items()
    )
    if not chosen and not standing and order.state not in (Order.State.CONFIRMED, Order.State.PLANNED):
        return  # a new request holds nothing yet
    if {pick.lot: pick.cords for pick in chosen} == lots_of(order):
        _check_amount(order, chosen)
        return
    soft = next((hold for hold in standing if hold.kind == Hold.Kind.SOFT), None)
    release_holds(order, at=at)
    hold_picks(order, chosen, lapses_on=soft.lapses_on if soft else None, at=at)


def draw_instead(order: Order, picks: Iterable[Picked], *, at: datetime, who: str) -> None:
    """Draw these lots for a delivered order in place of what was drawn.

    With none given, more comes from the lot that gave most of its kind, and less goes back to it.

    Errors
        WrongAmountPicked, NotEnoughOpen
    """
    gave = lots_of(order)
    wanted = {pick.lot: pick.cords for pick in picks if pick.cords > 0} or _stretched(order, gave)
    _check_amount(order, tuple(Picked(lot=code, cords=cords) for code, cords in wanted.items()))
    on: date = timezone.localdate(at)
    for code in sorted({*gave, *wanted}):
        change = wanted.get(code, Fraction(0)) - gave.get(code, Fraction(0))
        if change < 0:
            undo_sale(code=code, cords=-change, reference=order.reference, on=on, at=at, who=who)
    for code in sorted(wanted):
        change = wanted[code] - gave.get(code, Fraction(0))
        if change > 0:
            sell_open(code=code, cords=change, reference=order.reference, on=on, at=at, who=who)


def _stretched(order: Order, gave: dict[str, Fraction]) -> dict[str, Fraction]:
    """What was drawn, made to fit: wood among the lots that gave wood, bundles among the kindling."""
    if not gave:
        return {}
    kindling = _kindling(gave)
    bundles, wood = {lot.code for lot in kindling}, _amount(order)
    return _fit({code: cords for code, cords in gave.items() if code not in bundles}, wood) | _fit(
        {lot.code: gave.get(lot.code, Fraction(0)) for lot in kindling},
        cords_of_bundles(order.bundles, kindling),
    )


def _fit(gave: dict[str, Fraction], wanted: Fraction) -> dict[str, Fraction]:
    """The lot that gave most gives what is more; it takes back first what is less, and then the others."""
    fitted, change = {}, wanted - sum(gave.values(), Fraction(0))
    for code in sorted(gave, key=lambda code: (-gave[code], code)):
        fitted[code] = max(gave[code] + change, Fraction(0))
        change -= fitted[code] - gave[code]
    return fitted


def _kindling(codes: Iterable[str]) -> list[Lot]:
    """The kindling among these lots; where none is, what is for sale, fullest first."""
    every = Lot.objects.filter(form=Lot.Form.KINDLING)
    for_sale = every.filter(sale=Lot.Sale.FOR_SALE).order_by("-on_hand_cords", "code")
    return list(every.filter(code__in=list(codes))) or list(for_sale[:1])


def _check_amount(order: Order, chosen: tuple[Picked, ...]) -> None:
    picked = sum((pick.cords for pick in chosen), Fraction(0))
    wanted = _wanted(order, [pick.lot for pick in chosen])
    if chosen and picked != wanted:
        raise WrongAmountPicked(number=order.number, wanted=wanted, picked=picked)


def _wanted(order: Order, codes: Iterable[str]) -> Fraction:
    return _amount(order) + cords_of_bundles(order.bundles, _kindling(codes))


def _amount(order: Order) -> Fraction:
    """Cords of wood, without the bundles."""
    is_there = order.state in THERE and order.delivered_cords is not None
    return (order.delivered_cords if is_there else None) or order.cords
