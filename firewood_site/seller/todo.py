"""What wants doing: gathered from wood, sale and road, worded for the Today page."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse

from inventory.selectors.business import BusinessRow
from inventory.selectors.stock import LotRow, OpenWood
from orders.selectors.claims import ClaimRow
from orders.selectors.orders import OrderRow
from routing.selectors.shuts import ShutRow
from routing.selectors.today import GoneDrop, UpsetDay

SOON = timedelta(days=10)
RAIN_SOON = timedelta(days=35)


@dataclass(frozen=True, slots=True, kw_only=True)
class Todo:
    """One thing to do: how pressing ("bad", "warn" or ""), what, why, and where to do it."""

    level: str
    what: str
    why: str
    href: str
    action: str


def sale_todos(asked: tuple[OrderRow, ...], claims: tuple[ClaimRow, ...]) -> Iterator[Todo]:
    """Orders that wait for a yes or no, and claims that wait for an answer."""
    for order in asked:
        pay_first = " Pay first." if order.pay_first else ""
        yield Todo(
            level="bad" if order.pay_first else "warn",
            what=f"{order.customer} asked for wood",
            why=f"Order {order.number}, {order.town}, ${order.total:,.2f}.{pay_first}",
            href=reverse("order", args=[order.number]),
            action="Answer",
        )
    for row in claims:
        if row.claim.state == "open":
            yield Todo(
                level="bad",
                what=f"{row.customer} says: {row.claim.kind_words}",
                why=f"Order {row.number}. {row.claim.words[:120]}",
                href=reverse("order", args=[row.number]),
                action="Look",
            )


def road_todos(waiting: tuple[OrderRow, ...], *, on: date) -> Iterator[Todo]:
    """Promised wood without a day yet, those due soonest first; far orders belong to the pool."""
    near = [row for row in waiting if row.state == "confirmed" and not row.is_pool]
    for row in sorted(near, key=lambda row: (row.last_on, row.number)):
        if row.how == "pick_up":
            if row.first_on <= on + timedelta(days=2):
                yield Todo(
                    level="",
                    what=f"{row.customer} comes for wood",
                    why=f"Order {row.number}, {row.first_on:%A}. Keep saws and splitter away from visitors.",
                    href=reverse("order", args=[row.number]),
                    action="Hand over",
                )
        elif row.last_on <= on + SOON and row.promised_on is None:
            late = row.last_on < on
            days = f"{row.first_on.day} {row.first_on:%b}"
            if row.last_on != row.first_on:
                days += f" to {row.last_on.day} {row.last_on:%b}"
            yield Todo(
                level="bad" if late else "warn",
                what=f"Set a day for {row.customer}",
                why=f"Order {row.number}, {row.town}: {'was wanted' if late else 'wanted'} {days}.",
                href=f"{reverse('days')}?on={max(row.first_on, on).isoformat()}",
                action="Plan",
            )


def gone_todos(gone: tuple[GoneDrop, ...]) -> Iterator[Todo]:
    """Orders called off that still stand on a day."""
    for row in gone:
        then = ", then commit the day again" if row.is_committed else ""
        yield Todo(
            level="bad",
            what=f"Take {row.customer} off {row.on:%A} {row.on.day} {row.on:%b}",
            why=f"Order {row.number} was called off and its wood is open again. Take it off the day{then}.",
            href=reverse("day", args=[row.on.isoformat()]),
            action="Take off",
        )


def upset_todos(upset: tuple[UpsetDay, ...]) -> Iterator[Todo]:
    """Days a broken rig or a closure is in the way of."""
    for row in upset:
        then = " Commit it again: only those whose hours move are told." if row.is_committed else ""
        yield Todo(
            level="bad" if row.is_committed else "warn",
            what=f"Plan {row.on:%A} {row.on.day} {row.on:%b} again",
            why=f"{'; '.join(row.reasons)}.{then}",
            href=f"{reverse('day', args=[row.on.isoformat()])}#again",
            action="Plan",
        )


def wood_todos(wood: OpenWood, *, on: date, business: BusinessRow) -> Iterator[Todo]:
    """Dry lots to cover before the first rain, lots to read, lots promised beyond what is there."""
    rain = business.first_rain_after(on)
    for lot in wood.lots:
        link = reverse("lot", args=[lot.code])
        if lot.open < 0:
            yield Todo(
                level="bad",
                what=f"{lot.code} is promised twice",
                why=f"{lot.name} has less on hand than is promised.",
                href=link,
                action="Mend",
            )
        if not lot.is_covered and lot.form in ("splits", "kindling") and rain <= on + RAIN_SOON:
            days = (rain - on).days
            dry = lot.dry.claim == "seasoned"
            yield Todo(
                level="warn" if dry else "",
                what=f"Cover {lot.code} {lot.name}",
                why=f"First rain usually {rain.day} {rain:%B}, in {days} days. "
                + ("It is dry now and would take up water." if dry else "It dries on under a top cover."),
                href=link,
                action="Look",
            )
        if lot.sale == "for_sale" and lot.form == "splits" and _wants_reading(lot, on):
            yield Todo(
                level="",
                what=f"Read five fresh faces of {lot.code}",
                why="No reading backs its dryness yet."
                if lot.dry.read_on is None
                else f"Last read {lot.dry.read_on.day} {lot.dry.read_on:%b}.",
                href=link,
                action="Read",
            )


def shut_notes(shut: tuple[ShutRow, ...]) -> tuple[str, ...]:
    """What is shut on the day, one line each."""
    return tuple(f"{row.what or row.kind_words}: {row.reason}" for row in shut)


def money_todos(owed: tuple[OrderRow, ...]) -> Iterator[Todo]:
    """Delivered wood not yet paid."""
    for row in owed:
        if row.due > 0:
            yield Todo(
                level="warn",
                what=f"{row.customer} owes ${row.due:,.2f}",
                why=f"Order {row.number}, delivered.",
                href=reverse("order", args=[row.number]),
                action="Look",
            )


def _wants_reading(lot: LotRow, on: date) -> bool:
    return lot.dry.read_on is None or (on - lot.dry.read_on).days > 30
