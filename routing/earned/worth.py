"""What an hour earned: by order, load, run, market, month, season, or any other grouping."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars, dollars_over
from inventory.core.sums import exact_sum
from routing.core import RoutingError

SEASON_STARTS_IN = 10


class UnknownGrouping(RoutingError):
    """A grouping nobody knows."""

    says = "Hours cannot be read by {wanted}: choose one of {known}."
    in_words = {"known": ", ".join}


@dataclass(frozen=True, slots=True, kw_only=True)
class EarnedAmounts:
    """What came in and what it took.

    Units
        dollars; miles; hours exact: delivery_hours on the road, yard_hours in yard and woods.
    """

    revenue: Decimal = Decimal(0)
    cash_out: Decimal = Decimal(0)
    cords: Fraction = Fraction(0)
    miles: Decimal = Decimal(0)
    delivery_hours: Fraction = Fraction(0)
    yard_hours: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earned(EarnedAmounts):
    """One entry of the books: a delivered order, a day's work, a receipt, a month brought forward.

    Empty names mean that it belongs to no order, load, run or market.
    """

    on: date
    order: str = ""
    load: str = ""
    run: str = ""
    market: str = ""
    wood: str = ""
    customer: str = ""
    town: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth(EarnedAmounts):
    """Entries added up, dollars to the cent."""

    name: str

    @property
    def net(self) -> Decimal:
        """Revenue less cash out."""
        return self.revenue - self.cash_out

    @property
    def hours(self) -> Fraction:
        """All the hours."""
        return self.delivery_hours + self.yard_hours

    @property
    def per_hour(self) -> Decimal | None:
        """Net dollars an hour; None when no hours were written down."""
        return dollars_over(self.net, self.hours) if self.hours > 0 else None

    @property
    def per_cord(self) -> Decimal | None:
        """Revenue a cord; None when no wood was sold."""
        return dollars_over(self.revenue, self.cords) if self.cords > 0 else None

    @property
    def hours_per_cord(self) -> Fraction | None:
        """Hours a cord; None when no wood was sold."""
        return self.hours / self.cords if self.cords > 0 else None

    def left_after_wages(self, target_wage: Decimal) -> Decimal:
        """Net dollars once every hour is paid at the target wage."""
        return dollars(Fraction(self.net) - Fraction(target_wage) * self.hours)


def season_of(on: date) -> str:
    """The season a day belongs to: October to September.

    >>> season_of(date(2026, 9, 17))
    '2025-26'
    """
    starts = on.year if on.month >= SEASON_STARTS_IN else on.year - 1
    return f"{starts}-{(starts + 1) % 100:02d}"


def month_of(on: date) -> str:
    """The month of a day, sortable: 2026-09."""
    return f"{on:%Y-%m}"


GROUPINGS: Mapping[str, Callable[[Earned], str]] = {
    "order": lambda entry: entry.order,
    "load": lambda entry: entry.load,
    "run": lambda entry: entry.run,
    "market": lambda entry: entry.market,
    "wood": lambda entry: entry.wood,
    "customer": lambda entry: entry.customer,
    "town": lambda entry: entry.town,
    "month": lambda entry: month_of(entry.on),
    "season": lambda entry: season_of(entry.on),
}


def worth_by(entries: Iterable[Earned], grouping: str) -> tuple[Worth, ...]:
    """The books by a grouping, in the order of its names; entries that belong to none stand under "".

    Errors
        UnknownGrouping: the grouping is not one of GROUPINGS.
    """
    if grouping not in GROUPINGS:
        raise UnknownGrouping(wanted=grouping, known=GROUPINGS)
    named: dict[str, list[Earned]] = {}
    for entry in entries:
        named.setdefault(GROUPINGS[grouping](entry), []).append(entry)
    return tuple(worth_of(named[name], name=name) for name in sorted(named))


def worth_of(entries: Sequence[Earned], *, name: str = "total") -> Worth:
    """Entries added up under one name."""
    return Worth(
        name=name,
        revenue=dollars(sum((entry.revenue for entry in entries), Decimal(0))),
        cash_out=dollars(sum((entry.cash_out for entry in entries), Decimal(0))),
        cords=exact_sum(entry.cords for entry in entries),
        miles=sum((entry.miles for entry in entries), Decimal(0)),
        delivery_hours=exact_sum(entry.delivery_hours for entry in entries),
        yard_hours=exact_sum(entry.yard_hours for entry in entries),
    )
