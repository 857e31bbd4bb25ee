"""Markets, demand and promises of the season ahead, from prices, past sales and orders."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import ceil

from inventory.core.local import in_local_units, whole_money
from inventory.core.units import bundle_cords, by_the_unit
from orders.models import Order
from orders.selectors.money import delivered_between
from routing.core import RoutingError
from routing.models import SeasonGuesses, Stop
from routing.season.problem import SEASONED, Market, Promise, Step
from routing.selectors.earned.market import HaulAsk, haul_view
from routing.selectors.earned.worth import brought_forward_until, entries_of_books
from routing.selectors.season.periods import LENGTHS, NOT_WOOD, WEEKS_A_MONTH, YEAR, period_of
from routing.selectors.season.rigs import cords_a_day
from routing.selectors.season.work import cords_said, hours_said

DELIVERY_HOURS = 2.0  # common practice: load and deliver a cord near home
DONE = (Order.State.DECLINED, Order.State.CANCELLED)
OWED = (Order.State.CONFIRMED, Order.State.PLANNED)


def markets(
    on: date,
    starts: tuple[date, ...],
    prices: dict[tuple[str, str, str], float],
    near: set[str],
    guesses: SeasonGuesses,
    rests: list[tuple[str, str]],
) -> Iterator[Market]:
    """One near and one far market, the best price of each wood in them, demand as last year's."""
    months, shares = _cords_by_month(on), _shares(on, near)
    sold = in_local_units("cords sold in each month of the last year")
    rests.append(("Demand", f"{sold}, by wood and market of your orders"))
    for key, is_far in (("near", False), ("far", True)):
        price: dict[tuple[str, str], float] = {}
        for (wood, dryness, market), dollars in prices.items():
            if (market not in near) == is_far:
                price[wood, dryness] = max(dollars, price.get((wood, dryness), 0.0))
        if not price:
            continue
        cords, mine = months, {pair: shares.get((key, *pair), 0.0) for pair in price}
        typed = guesses.far_cords_a_month if is_far else guesses.near_cords_a_month
        if typed is not None:
            cords, mine = _as_typed(float(typed), months), _of_one_market(mine)
            rests.append(
                (f"Demand ({key})", f"{cords_said(float(typed))} a month over the year, as you typed")
            )
        demand = {
            pair: tuple(
                cords.get(start.month, 0.0) * weeks / WEEKS_A_MONTH * mine[pair]
                for start, weeks in zip(starts, LENGTHS, strict=False)
            )
            for pair in price
        }
        yield _market(key, is_far, price, demand, on, guesses, rests, len(starts))


def _market(
    key: str,
    is_far: bool,
    price: dict[tuple[str, str], float],
    demand: dict[tuple[str, str], tuple[float, ...]],
    on: date,
    guesses: SeasonGuesses,
    rests: list[tuple[str, str]],
    periods: int,
) -> Market:
    wood = max(price, key=lambda pair: (pair[1] == SEASONED, price[pair]))[0]
    hours, cash, box = DELIVERY_HOURS, 0.0, 1.0
    try:
        view = haul_view(HaulAsk(wood=wood, cords=Fraction(1)), on=on)
    except RoutingError as problem:
        rests.append((f"Driving ({key})", f"{hours_said(DELIVERY_HOURS)}, common practice: {problem}"))
    else:
        side = view.answer.far if is_far else view.answer.near
        hours, cash, box = float(side.minutes) / 60, float(side.cost), float(view.rig.box_cords)
        rests.append(
            (
                f"Driving ({key})",
                f"{whole_money(by_the_unit(Decimal(cash)))} and {hours_said(hours)} with {view.rig.name}",
            )
        )
    if not is_far:
        return Market(
            key=key, name="Near", step=Step.DELIVER_NEAR, price=price, demand=demand, hours=hours, cash=cash,
            cords_a_day=cords_a_day(hours, guesses, rests),
        )  # fmt: skip
    trips = _trips(guesses.far_trips_a_month, periods)
    return Market(
        key=key, name="Far", step=Step.DELIVER_FAR, price=price, demand=demand, hours=0.0,
        trip_hours=hours, trip_cash=cash, trip_cords=box, trips=trips,
    )  # fmt: skip


def _trips(a_month: int, periods: int) -> tuple[int, ...]:
    """Whole trips of each period, no more in any month than were typed, the first as soon as can be."""
    so_far = [ceil(a_month * sum(LENGTHS[:period]) / WEEKS_A_MONTH) for period in range(periods + 1)]
    return tuple(after - before for before, after in pairwise(so_far))


def _cords_by_month(on: date) -> dict[int, float]:
    """Cords sold in each calendar month of the last year; of our own orders, none of logs and kindling."""
    found: defaultdict[int, float] = defaultdict(float)
    for entry in entries_of_books(on - YEAR, on):
        found[entry.on.month] += float(entry.cords)
    since = max(on - YEAR, brought_forward_until() or on - YEAR)
    for order in delivered_between(since + timedelta(days=1), on).filter(wood__in=NOT_WOOD):
        cords = order.cords if order.delivered_cords is None else order.delivered_cords
        if order.delivered_on:
            found[order.delivered_on.month] -= float(cords or bundle_cords(order.bundles))
    return {month: max(cords, 0.0) for month, cords in found.items()}


def _as_typed(a_month: float, months: dict[int, float]) -> dict[int, float]:
    """So many cords in the mean month, over the year as last year's sales were, or all months alike."""
    mean = sum(months.values()) / 12
    return {month: a_month * (months.get(month, 0.0) / mean if mean else 1.0) for month in range(1, 13)}


def _of_one_market(shares: dict[tuple[str, str], float]) -> dict[tuple[str, str], float]:
    """Shares that add up to one; seasoned woods alike where nothing was sold there."""
    whole = sum(shares.values())
    if whole:
        return {pair: share / whole for pair, share in shares.items()}
    dry = [pair for pair in shares if pair[1] == SEASONED] or list(shares)
    return {pair: (pair in dry) / len(dry) for pair in shares}


def _shares(on: date, near: set[str]) -> dict[tuple[str, str, str], float]:
    """Each market's, wood's and dryness's share of the cords ordered in the last year."""
    rows = (
        Order.objects.filter(asked_on__gt=on - YEAR, cords__gt=0)
        .exclude(state__in=DONE)
        .exclude(wood__in=NOT_WOOD)
        .values_list("market__key", "wood", "dryness", "cords")
    )
    found: defaultdict[tuple[str, str, str], float] = defaultdict(float)
    for market, wood, dryness, cords in rows:
        found["near" if market in near else "far", wood, dryness] += float(cords)
    total = sum(found.values())
    return {key: cords / total for key, cords in found.items()}


def delivered_orders(first: date, last: date) -> Iterator[tuple[int, Fraction, Decimal]]:
    """Orders delivered in some days: number, cords, dollars without sales tax."""
    for order in delivered_between(first, last).order_by("number"):
        cords = order.cords if order.delivered_cords is None else order.delivered_cords
        yield order.number, cords, order.total_dollars - order.tax_dollars


def promises(starts: tuple[date, ...], known: set[str], near: set[str]) -> Iterator[Promise]:
    rows = Order.objects.filter(state__in=OWED, cords__gt=0).exclude(wood__in=NOT_WOOD)
    planned = Stop.objects.filter(order__state__in=OWED).exclude(load__run__driver=None)
    by_day = planned.order_by("load__run__day__on")
    drivers = dict(by_day.values_list("order_id", "load__run__driver__name"))
    for order in rows.select_related("market"):
        is_pick_up = order.how == Order.How.PICK_UP
        market = "near" if is_pick_up or order.market.key in near else "far"
        if market in known:
            yield Promise(
                name=str(order.number),
                market=market,
                kind=order.wood,
                dryness=order.dryness,
                cords=float(order.cords),
                price=float(order.total_dollars - order.tax_dollars) / float(order.cords),
                is_pick_up=is_pick_up,
                driver=drivers.get(order.pk, ""),
                by_period=min(period_of(order.last_on, starts), len(starts) - 1),
            )
