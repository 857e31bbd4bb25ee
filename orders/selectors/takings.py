"""Money over any days: by month and way of payment, by town with its tax, and what is open."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum
from django.db.models.functions import TruncMonth

from orders.models import Order, Payment
from orders.selectors.money import (
    NOTHING,
    PaymentRow,
    balances,
    delivered_between,
    owed,
    rows_of,
    to_pay_back,
)

NOT_MONEY = Q(kind=Payment.Kind.CREDIT) | Q(kind=Payment.Kind.UNDONE, reverses__kind=Payment.Kind.CREDIT)
AT_THE_YARD = "picked up at the yard"


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRow:
    """What came in and went back in one month, in the order of the ways of payment."""

    month: date
    by_way: tuple[Decimal, ...]
    total: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TownRow:
    """Wood delivered in the days, by where it went. Units: dollars."""

    town: str
    orders: int
    before_tax: Decimal
    tax: Decimal
    credited: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Takings:
    """The books of some days.

    Units
        deposits_held: paid for wood not delivered yet. owed: to us. to_pay_back: by us; all as of now.
    """

    ways: tuple[str, ...]
    months: tuple[MonthRow, ...]
    by_way: tuple[Decimal, ...]
    total: Decimal
    towns: tuple[TownRow, ...]
    deposits_held: Decimal
    owed: Decimal
    to_pay_back: Decimal


def takings(first_on: date, last_on: date, *, today: date) -> Takings:
    """What came in between two days, both included, and what is open today."""
    lines = Payment.objects.filter(on__range=(first_on, last_on)).exclude(NOT_MONEY)
    sums: dict[date, dict[str, Decimal]] = defaultdict(lambda: defaultdict(lambda: NOTHING))
    by_month = lines.annotate(month=TruncMonth("on")).order_by().values("month", "method")
    for row in by_month.annotate(dollars=Sum("dollars")):
        sums[row["month"]][row["method"]] = row["dollars"].quantize(NOTHING)  # SQLite sums in floats
    ways = tuple(sorted({way for month in sums.values() for way in month}))
    months = tuple(
        MonthRow(
            month=month,
            by_way=tuple(sums[month][way] for way in ways),
            total=sum(sums[month].values(), NOTHING),
        )
        for month in sorted(sums)
    )
    totals = tuple(sum((sums[month][way] for month in sums), NOTHING) for way in ways)
    return Takings(
        ways=ways,
        months=months,
        by_way=totals,
        total=sum(totals, NOTHING),
        towns=_towns(first_on, last_on),
        deposits_held=_deposits_held(),
        owed=sum((row.due for row in owed(today)), NOTHING),
        to_pay_back=sum((row.due for row in to_pay_back()), NOTHING),
    )


def ledger_between(first_on: date, last_on: date) -> tuple[PaymentRow, ...]:
    """Every line of the ledger between two days, oldest first."""
    return rows_of(Payment.objects.filter(on__range=(first_on, last_on)))


def _towns(first_on: date, last_on: date) -> tuple[TownRow, ...]:
    rows = delivered_between(first_on, last_on).values_list(
        "pk", "how", "place__town__name", "total_dollars", "tax_dollars"
    )
    money = balances({pk: total for pk, _, _, total, _ in rows})
    by_town: dict[str, list[tuple[Decimal, Decimal, Decimal]]] = defaultdict(list)
    for pk, how, town, total, tax in rows:
        brought_to = town if how == Order.How.DELIVERED else ""
        by_town[brought_to or AT_THE_YARD].append((total - tax, tax, money[pk].credited))
    return tuple(
        TownRow(
            town=town,
            orders=len(found),
            before_tax=sum((before_tax for before_tax, _, _ in found), NOTHING),
            tax=sum((tax for _, tax, _ in found), NOTHING),
            credited=sum((credited for _, _, credited in found), NOTHING),
        )
        for town, found in sorted(by_town.items())
    )


def _deposits_held() -> Decimal:
    rows = Order.objects.filter(state__in=(Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED))
    money = balances(dict(rows.filter(payments__isnull=False).values_list("pk", "total_dollars")))
    return sum((balance.received for balance in money.values()), NOTHING)
