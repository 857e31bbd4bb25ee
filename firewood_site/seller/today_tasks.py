"""What is to be done: gathered from wood, sale and road, worded for the Today page."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.text import get_text_list

from firewood_site.health import Check
from inventory.core.dates import month_day
from inventory.core.local import to_the_cent
from inventory.core.units import format_cords
from inventory.selectors.business import BusinessRow
from inventory.selectors.stock import LotRow, OpenWood
from orders.selectors.claims import ClaimRow
from orders.selectors.letters import FailedLetter
from orders.selectors.money import OwedRow
from orders.selectors.orders import OrderRow
from orders.selectors.sharing import LeftAlone
from orders.selectors.shortfalls import ShortLot
from orders.selectors.waiting import WaitingRow
from routing.selectors.days.driver_events import EventRow
from routing.selectors.days.today import GoneDrop, ShortDrop, UpsetDay
from routing.selectors.rigs import RigRow
from routing.selectors.runs.brought_home import CameHome

SOON = timedelta(days=10)
RAIN_SOON = timedelta(days=35)
FEW_LOTS = 4  # named one by one on a card


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do: how pressing ("bad", "warn" or ""), what, why, and where to do it."""

    level: str
    what: str
    why: str
    href: str
    action: str


def sale_tasks(asked: tuple[OrderRow, ...], claims: tuple[ClaimRow, ...]) -> Iterator[Task]:
    """Orders that wait for a yes or no, and claims that wait for an answer."""
    for order in asked:
        pay_first = " Pay first." if order.pay_first else ""
        yield Task(
            level="bad" if order.pay_first else "warn",
            what=f"{order.customer} asked for wood",
            why=f"Order {order.number}, {order.town}, {to_the_cent(order.total)}.{pay_first}",
            href=reverse("order", args=[order.number]),
            action="Answer",
        )
    for row in claims:
        if row.claim.state == "open":
            yield Task(
                level="bad",
                what=f"{row.customer} says: {row.claim.kind_words}",
                why=f"Order {row.number}. {row.claim.message[:120]}",
                href=reverse("order", args=[row.number]),
                action="Look",
            )


def road_tasks(waiting: tuple[OrderRow, ...], *, on: date) -> Iterator[Task]:
    """Promised wood without a day yet, those due soonest first; far orders belong to the pool."""
    near = [row for row in waiting if row.state == "confirmed" and not row.is_pool]
    for row in sorted(near, key=lambda row: (row.last_on, row.number)):
        if row.how == "pick_up":
            if row.first_on <= on + timedelta(days=2):
                yield Task(
                    level="",
                    what=f"{row.customer} comes for wood",
                    why=f"Order {row.number}, {row.first_on:%A}. Keep saws and splitter away from visitors.",
                    href=reverse("order", args=[row.number]),
                    action="Hand over",
                )
        elif row.last_on <= on + SOON and row.promised_on is None:
            late = row.last_on < on
            days = month_day(row.first_on)
            if row.last_on != row.first_on:
                days += f" to {month_day(row.last_on)}"
            yield Task(
                level="bad" if late else "warn",
                what=f"Set a day for {row.customer}",
                why=f"Order {row.number}, {row.town}: {'was wanted' if late else 'wanted'} {days}.",
                href=f"{reverse('days')}?on={max(row.first_on, on).isoformat()}",
                action="Plan",
            )


def gone_tasks(gone: tuple[GoneDrop, ...]) -> Iterator[Task]:
    """Orders called off that still stand on a day."""
    for row in gone:
        then = ", then commit the day again" if row.is_committed else ""
        yield Task(
            level="bad",
            what=f"Take {row.customer} off {row.on:%A}, {row.on:%b} {row.on.day}",
            why=f"Order {row.number} was called off and its wood is open again. Take it off the day{then}.",
            href=reverse("day", args=[row.on.isoformat()]),
            action="Take off",
        )


def conflict_tasks(rows: tuple[EventRow, ...]) -> Iterator[Task]:
    """Phones and plan that disagree, with the dollars nobody has booked."""
    for row in rows:
        money = f" {to_the_cent(row.dollars)} is not booked." if row.dollars else ""
        whom = f"order {row.order}, {row.customer}" if row.order else f"{row.kind} by {row.who}"
        day = timezone.localdate(row.happened_at)
        yield Task(
            level="bad",
            what=f"The road and the plan disagree: {whom}",
            why=f"{row.phone}.{money}",
            href=f"{reverse('day', args=[day.isoformat()])}#look",
            action="Decide",
        )


def short_tasks(rows: tuple[ShortDrop, ...]) -> Iterator[Task]:
    """Orders that got less than was ordered in the last days, and what was taken off for it."""
    for row in rows:
        yield Task(
            level="warn",
            what=f"{row.customer} got {format_cords(row.left)} of {format_cords(row.ordered)}",
            why=f"Order {row.number}, {row.on:%A}: {to_the_cent(row.credited)} taken off. "
            "Tell them, or bring the rest.",
            href=reverse("order", args=[row.number]),
            action="Look",
        )


def came_home_tasks(rows: tuple[CameHome, ...]) -> Iterator[Task]:
    """Wood that came home from a run and is still booked where it was taken from."""
    for row in rows:
        was = next((place for place in row.places if place.is_where_it_was), None)
        yield Task(
            level="warn",
            what=f"Say where {row.customer}'s wood lies",
            why=f"Order {row.number} came home {row.on:%A}; the books still have it"
            f"{f' in {was.yard}, lot {was.lot}' if was else ''}.",
            href=f"{reverse('order', args=[row.number])}#came-home",
            action="Say where",
        )


def upset_tasks(upset: tuple[UpsetDay, ...]) -> Iterator[Task]:
    """Days a broken rig or a closure is in the way of."""
    for row in upset:
        then = " Commit it again: only those whose hours move are told." if row.is_committed else ""
        yield Task(
            level="bad" if row.is_committed else "warn",
            what=f"Plan {row.on:%A}, {row.on:%b} {row.on.day} again",
            why=f"{'; '.join(row.reasons)}.{then}",
            href=f"{reverse('day', args=[row.on.isoformat()])}#again",
            action="Plan",
        )


def alone_tasks(rows: tuple[LeftAlone, ...]) -> Iterator[Task]:
    """Orders that keep the price of a shared drive, though the neighbor has cancelled."""
    for row in rows:
        yield Task(
            level="",
            what=f"{row.customer}'s neighbor has cancelled",
            why=f"Order {row.number} keeps its price: ${row.dollars:,.2f} of the drive is yours, unless "
            "somebody else joins.",
            href=reverse("order", args=[row.number]),
            action="Look",
        )


def shortfall_tasks(short: tuple[ShortLot, ...]) -> Iterator[Task]:
    """Lots a true count found below what is promised, with whom to call first."""
    for lot in short:
        first = next(iter(lot.promised), None)
        can_move = first is not None and bool(first.instead)
        then = f" Call {first.whom} first{f', {first.phone}' if first.phone else ''}." if first else ""
        if first and can_move:
            then = f" What {first.whom} lacks can come from another lot."
        yield Task(
            level="bad",
            what=f"{lot.code} is {format_cords(lot.short)} short of what is promised",
            why=f"{format_cords(lot.on_hand)} is there.{then}",
            href=f"{reverse('lot', args=[lot.code])}#short",
            action="Move it" if can_move else "Look",
        )


def wood_tasks(wood: OpenWood, *, on: date, business: BusinessRow) -> Iterator[Task]:
    """One card for all lots to cover before the first rain and one for all to read."""
    rain = business.first_rain_after(on)
    if rain <= on + RAIN_SOON:
        bare = [lot for lot in wood.lots if not lot.is_covered and lot.form in ("splits", "kindling")]
        if bare:
            yield _cover_task(bare, on=on, rain=rain)
    unread = [
        lot
        for lot in wood.lots
        if lot.sale == "for_sale" and lot.form == "splits" and _wants_reading(lot, on)
    ]
    if unread:
        known = [lot.dry.read_on for lot in unread if lot.dry.read_on is not None]
        oldest = f" Last read {month_day(min(known))}." if len(known) == len(unread) else ""
        yield Task(
            level="",
            what=f"Read five fresh faces of {_lots(unread)}",
            why=oldest.strip() or "No reading backs their dryness yet.",
            href=_page_of(unread),
            action="Read",
        )


def _cover_task(bare: list[LotRow], *, on: date, rain: date) -> Task:
    """All that lies bare before the rain, as one card: dry wood would take up water."""
    dry = [lot for lot in bare if lot.dry.claim == "seasoned"]
    verb = "is" if len(dry) == 1 else "are"
    why = (
        f"{_lots(dry)} {verb} dry now and would take up water." if dry else "Wood dries on under a top cover."
    )
    return Task(
        level="warn" if dry else "",
        what=f"Cover {_lots(bare)} before {month_day(rain)}",
        why=f"First rain usually comes then, in {(rain - on).days} days. " + why,
        href=_page_of(bare),
        action="Look",
    )


def _lots(lots: list[LotRow]) -> str:
    """ "K1 Knob fir", "K1 and K2", "12 lots, K1 to K9"."""
    codes = [lot.code for lot in lots]
    if len(codes) > FEW_LOTS:
        return f"{len(codes)} lots ({', '.join(codes[:FEW_LOTS])} ...)"
    return get_text_list(codes, "and") if len(codes) > 1 else f"{codes[0]} {lots[0].name}"


def _page_of(lots: list[LotRow]) -> str:
    return reverse("lot", args=[lots[0].code]) if len(lots) == 1 else reverse("stock")


def rating_tasks(rows: tuple[RigRow, ...]) -> Iterator[Task]:
    """Rigs in service whose ratings nobody wrote down."""
    for row in rows:
        if row.works and row.missing:
            first, *more = row.missing
            yield Task(
                level="",
                what=f"{row.name}: write down {first}" + (f" and {len(more)} more" if more else ""),
                why="Until then nothing checks a load by them: look on plate, hitch and sidewalls.",
                href=reverse("rig", args=[row.id]),
                action="Write",
            )


def money_tasks(owed: tuple[OrderRow, ...], back: tuple[OwedRow, ...]) -> Iterator[Task]:
    """What we owe after a credit, and delivered wood not yet paid."""
    for owing in back:
        yield Task(
            level="bad",
            what=f"Pay {to_the_cent(owing.due)} back to {owing.customer}",
            why=f"Order {owing.number} was credited after it was paid.",
            href=reverse("order", args=[owing.number]) + "#refund",
            action="Refund",
        )
    for row in owed:
        if row.due > 0:
            yield Task(
                level="warn",
                what=f"{row.customer} owes {to_the_cent(row.due)}",
                why=f"Order {row.number}, delivered.",
                href=reverse("order", args=[row.number]),
                action="Look",
            )


def tell_tasks(count: int) -> Iterator[Task]:
    """Messages nobody has told yet, late ones among them."""
    if count:
        yield Task(
            level="warn",
            what=f"Tell {count} customer{'' if count == 1 else 's'}",
            why="Their messages are ready for your phone, each in their language.",
            href=reverse("tell"),
            action="Tell",
        )


def waiting_tasks(rows: tuple[WaitingRow, ...]) -> Iterator[Task]:
    """People on the waiting list whose wood can be had now."""
    if rows:
        others = f" and {len(rows) - 1} more" if len(rows) > 1 else ""
        yield Task(
            level="warn",
            what=f"Their wood is ready: tell {rows[0].name}{others}",
            why="They asked to be told. Each gets one message, in their language.",
            href=f"{reverse('tell')}#waiting",
            action="Tell",
        )


def letter_tasks(failed: tuple[FailedLetter, ...]) -> Iterator[Task]:
    """E-mails that did not go out, each with its reason."""
    for row in failed:
        yield Task(
            level="bad" if row.is_given_up else "warn",
            what=f"The letter to {row.customer} was not sent",
            why=f"{row.reason} " + ("" if row.is_given_up else "It is tried again by itself."),
            href=reverse("order", args=[row.number]) + "#letters" if row.number else reverse("customers"),
            action="Send anew or text",
        )


def system_tasks(found: tuple[Check, ...]) -> Iterator[Task]:
    """What is wrong behind the pages."""
    for check in found:
        if check.problem:
            yield Task(
                level="bad" if check.name in ("worker", "disk") else "warn",
                what=check.name.capitalize(),
                why=check.problem,
                href=reverse("health"),
                action="Look",
            )


def _wants_reading(lot: LotRow, on: date) -> bool:
    return lot.dry.read_on is None or (on - lot.dry.read_on).days > 30
