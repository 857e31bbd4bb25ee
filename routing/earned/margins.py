"""What an order and a load leave: price less wood, road share, fees and the hours they took.

Margins are read two ways: cash only (hours shown beside it, dollars per hour), or with every hour paid
at the target wage, or at the own wage of a crew the run names. Planned and actual stand side by side once
the run is home.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars, dollars_for, dollars_over, from_cents, share_out, to_cents
from inventory.core.sums import exact_sum
from routing.core import RoutingError
from routing.earned.costs import MINUTES_PER_HOUR, DropWork, MinutesRule, hand_minutes
from routing.earned.shares import LoadShares


class SaleMissing(RoutingError):
    """The load's orders and its shares do not name the same orders."""

    says = "Order {order} has no sale and share on this load: plan the load again, then read its margin."


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodCost:
    """What a cord of the lot took to make.

    Units
        cash: dollars per cord; hours: hours per cord.
    """

    cash: Decimal
    hours: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale(DropWork):
    """An order as the margin sees it.

    Units
        price: dollars without sales tax; fees: dollars (card fee, permit); cords as delivered.
        over_given: dollars of wood given beyond the order, for notice only; it is in no sum.
    """

    price: Decimal
    wood: WoodCost
    fees: Decimal = Decimal(0)
    over_given: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """What one order, or one load, leaves.

    Units
        dollars to the cent; minutes and hours exact.
        own_minutes: loading, halt, throwing off, stacking; joint_minutes: share of drive and yard stop;
        wood_hours: woods and yard hours in the wood. crew_minutes: of the delivery minutes, those driven by
        people with a wage of their own; crew_wages: what they earn, dollars to the cent.
    """

    name: str
    cords: Fraction
    price: Decimal
    wood_cash: Decimal
    road: Decimal
    fees: Decimal
    own_minutes: Fraction
    joint_minutes: Fraction
    wood_hours: Fraction
    over_given: Decimal = Decimal(0)
    crew_minutes: Fraction = Fraction(0)
    crew_wages: Decimal = Decimal("0.00")

    @property
    def cash_left(self) -> Decimal:
        """Price less wood cash, road and fees: what the hours earned."""
        return self.price - self.wood_cash - self.road - self.fees

    @property
    def delivery_minutes(self) -> Fraction:
        """Own and joint minutes together."""
        return self.own_minutes + self.joint_minutes

    @property
    def hours(self) -> Fraction:
        """Delivery and production hours together."""
        return self.delivery_minutes / MINUTES_PER_HOUR + self.wood_hours

    @property
    def per_hour(self) -> Decimal | None:
        """Dollars an hour, production hours counted; None when no hour went in."""
        return _over(self.cash_left, self.hours)

    @property
    def per_delivery_hour(self) -> Decimal | None:
        """Dollars an hour of delivering alone, the wood taken as already made."""
        return _over(self.cash_left, self.delivery_minutes / MINUTES_PER_HOUR)

    def wages(self, target_wage: Decimal) -> Decimal:
        """The crew's hours at its own wage, all others at the target wage, dollars."""
        return self.crew_wages + dollars_for(target_wage, self.other_hours)

    @property
    def crew_hours(self) -> Fraction:
        """Hours paid at the crew's own wage."""
        return self.crew_minutes / MINUTES_PER_HOUR

    @property
    def other_hours(self) -> Fraction:
        """Hours paid at the target wage."""
        return self.hours - self.crew_hours

    def left_after_wages(self, target_wage: Decimal) -> Decimal:
        """Dollars left once every hour is paid; below zero when the work paid less than the target."""
        return self.cash_left - self.wages(target_wage)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadMargin:
    """A load's margin and those of its orders, which add up to it."""

    whole: Margin
    orders: tuple[Margin, ...]
    shares: LoadShares


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One line of planned beside actual.

    Units
        unit: "dollars", "minutes", "hours" or "dollars an hour". None where the figure has no meaning.
    """

    line: str
    unit: str
    planned: Decimal | Fraction | None
    actual: Decimal | Fraction | None

    @property
    def difference(self) -> Decimal | Fraction | None:
        """Actual less planned."""
        if isinstance(self.planned, Decimal) and isinstance(self.actual, Decimal):
            return self.actual - self.planned
        if isinstance(self.planned, Fraction) and isinstance(self.actual, Fraction):
            return self.actual - self.planned
        return None


def margins_of_load(
    sales: Sequence[Sale],
    *,
    shares: LoadShares,
    rule: MinutesRule,
    name: str = "load",
    crew_wage: Decimal | None = None,
) -> LoadMargin:
    """The margin of every order of a load, and of the load as their sum.

    Units
        crew_wage: dollars an hour of the people on the run; None where none has a wage of their own.

    Errors
        SaleMissing: the sales and the shares do not name the same orders.
    """
    named = {share.order for share in shares.shares}
    for order in sorted(named ^ {sale.order for sale in sales}):
        raise SaleMissing(order=order)
    cash = _wood_cash(sales)
    orders = tuple(
        at_crew_wage(_margin(sale, wood_cash=cash[i], shares=shares, rule=rule), crew_wage)
        for i, sale in enumerate(sales)
    )
    return LoadMargin(whole=added_up(orders, name=name), orders=orders, shares=shares)


def added_up(margins: Sequence[Margin], *, name: str) -> Margin:
    """Several margins as one."""
    if len(margins) == 1:
        return replace(margins[0], name=name)
    none = Decimal("0.00")
    return Margin(
        name=name,
        cords=exact_sum(m.cords for m in margins),
        price=sum((m.price for m in margins), none),
        wood_cash=sum((m.wood_cash for m in margins), none),
        road=sum((m.road for m in margins), none),
        fees=sum((m.fees for m in margins), none),
        own_minutes=exact_sum(m.own_minutes for m in margins),
        joint_minutes=exact_sum(m.joint_minutes for m in margins),
        wood_hours=exact_sum(m.wood_hours for m in margins),
        over_given=sum((m.over_given for m in margins), none),
        crew_minutes=exact_sum(m.crew_minutes for m in margins),
        crew_wages=sum((m.crew_wages for m in margins), none),
    )


def at_crew_wage(margin: Margin, wage_hour: Decimal | None) -> Margin:
    """The margin with its delivery minutes paid at the crew's own wage; as it was where it has none."""
    if wage_hour is None:
        return margin
    minutes = margin.delivery_minutes
    return replace(
        margin, crew_minutes=minutes, crew_wages=dollars_for(wage_hour, minutes / MINUTES_PER_HOUR)
    )


def side_by_side(planned: Margin, actual: Margin, *, target_wage: Decimal) -> tuple[Compared, ...]:
    """Planned and actual margin, line by line."""

    def line(label: str, unit: str, read: str) -> Compared:
        return Compared(line=label, unit=unit, planned=getattr(planned, read), actual=getattr(actual, read))

    return (
        line("price", "dollars", "price"),
        line("wood, cash", "dollars", "wood_cash"),
        line("road", "dollars", "road"),
        line("fees", "dollars", "fees"),
        line("cash left", "dollars", "cash_left"),
        line("drive and yard stops", "minutes", "joint_minutes"),
        line("loading, unloading, stacking", "minutes", "own_minutes"),
        line("woods and yard", "hours", "wood_hours"),
        line("an hour earned", "dollars an hour", "per_hour"),
        Compared(
            line="left after wages",
            unit="dollars",
            planned=planned.left_after_wages(target_wage),
            actual=actual.left_after_wages(target_wage),
        ),
    )


def _margin(sale: Sale, *, wood_cash: Decimal, shares: LoadShares, rule: MinutesRule) -> Margin:
    share = shares.of(sale.order)
    return Margin(
        name=sale.order,
        cords=sale.cords,
        price=dollars(sale.price),
        wood_cash=wood_cash,
        road=share.road,
        fees=dollars(sale.fees),
        own_minutes=hand_minutes(sale, rule).total,
        joint_minutes=share.minutes,
        wood_hours=sale.wood.hours * sale.cords,
        over_given=dollars(sale.over_given),
    )


def _wood_cash(sales: Sequence[Sale]) -> tuple[Decimal, ...]:
    """Each order's wood cash, the load's total rounded once and shared out by the exact parts."""
    if len(sales) == 1:
        return (dollars_for(sales[0].wood.cash, sales[0].cords),)
    exact = [Fraction(sale.wood.cash) * sale.cords for sale in sales]
    total = to_cents(exact_sum(exact))
    if total == 0:
        return (Decimal("0.00"),) * len(sales)
    return tuple(from_cents(cents) for cents in share_out(total, exact))


def _over(left: Decimal, hours: Fraction) -> Decimal | None:
    return dollars_over(left, hours) if hours > 0 else None
