"""What one order leaves, over all the loads that carry a part of it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet, Sum

from inventory.core.money import dollars, dollars_for
from inventory.core.units import bundle_cords
from inventory.selectors.business import BusinessRow, business
from orders.models import Order, Payment
from orders.selectors.orders import STATE_WORDS
from orders.selectors.parts import ListedOrder
from routing.earned.costs import DropWork, hand_minutes, minutes_rule
from routing.earned.margins import Margin, added_up
from routing.models import Run
from routing.selectors.earned.margins import DropEarned, earned_of
from routing.selectors.earned.wood_costs import usual_wood_cost, wood_costs


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderEarned(ListedOrder):
    """One order over all the loads that carry a part of it.

    loads: (load id, name, the part's drop). margin: the parts added up, None while no load carries it.
    drive_price: what the customer pays for the drive; it stands, whatever the plan becomes.
    """

    market_name: str
    is_far: bool
    state_words: str
    on: date | None
    price: Decimal
    loads: tuple[tuple[int, str, DropEarned], ...]
    margin: Margin | None
    problem: str
    drive_price: Decimal = Decimal(0)

    @property
    def drive_left(self) -> Decimal | None:
        """What was charged for the drive less its share of the road as it is now, dollars."""
        return None if self.margin is None else self.drive_price - self.margin.road


def order_earned(number: int) -> OrderEarned | None:
    """One order and what it leaves, over its loads; a picked-up one needs no load."""
    order = Order.objects.select_related("customer", "market", "place__town").filter(number=number).first()
    if order is None:
        return None
    seller = business()
    loads = earned_of(Run.objects.filter(loads__stops__order=order).distinct(), seller)
    parts = tuple(
        (load.row.id, load.name, drop) for load in loads for drop in load.drops if drop.stop.number == number
    )
    price = net_prices(Order.objects.filter(pk=order.pk))[number]
    problem = next((load.problem for load in loads if load.problem), "")
    margin = None
    if parts:
        margin = added_up([drop.latest for _, _, drop in parts], name=str(number))
    elif order.how == Order.How.PICK_UP:
        margin = _picked_up(order, price, seller)
    elif not problem:
        problem = (
            "No load was kept for it, so its drive is not known."
            if order.delivered_on
            else "No load carries it yet: plan its day, then look here again."
        )
    return OrderEarned.of(
        order,
        market_name=order.market.name,
        is_far=order.market.is_far,
        state_words=STATE_WORDS[order.state],
        on=order.delivered_on or order.promised_on,
        price=price,
        loads=parts,
        margin=margin,
        problem=problem,
        drive_price=order.drive_dollars,
    )


def net_prices(orders: QuerySet[Order]) -> dict[int, Decimal]:
    """By number, prices without sales tax and less what was credited for short wood; two queries."""
    credits = Payment.objects.filter(order__in=orders.order_by().values("pk"), kind=Payment.Kind.CREDIT)
    credited = dict(credits.order_by().values_list("order__number").annotate(sum=Sum("dollars")))
    rows = orders.order_by().values_list("number", "total_dollars", "tax_dollars")
    return {number: total - tax - credited.get(number, Decimal(0)) for number, total, tax in rows}


def _picked_up(order: Order, price: Decimal, seller: BusinessRow) -> Margin:
    """A picked-up order: its wood and the loading, no road."""
    hold = order.order_holds.select_related("hold__lot").first()
    lot = hold.hold.lot if hold else None
    cost = wood_costs([lot.pk]).get(lot.pk) if lot else None
    cords = (
        order.delivered_cords or order.cords or bundle_cords(order.bundles, lot.bundle_ft3 if lot else None)
    )
    used = (cost or usual_wood_cost(seller)).cost
    work = hand_minutes(DropWork(order=str(order.number), cords=cords), minutes_rule())
    return Margin(
        name=str(order.number),
        cords=cords,
        price=dollars(price),
        wood_cash=dollars_for(used.cash, cords),
        road=Decimal("0.00"),
        fees=Decimal("0.00"),
        own_minutes=work.loading + work.halt,
        joint_minutes=Fraction(0),
        wood_hours=used.hours * cords,
    )
