"""What is to be done: gathered from wood, sale and road, worded for the Today page."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from firewood_site.health import Check
from inventory.core.local import to_the_cent
from inventory.core.sentences import text_of
from inventory.selectors.business import BusinessRow
from inventory.selectors.spoken import listed, month_day, reader_language, spoken_cords, weekday, weekday_day
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
LATE_DAYS = 30  # wood is paid at the door: money still out after a month waits no longer (common practice)
RAIN_SOON = timedelta(days=35)
FEW_LOTS = 4  # named one by one on a card


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do, in the reader's words: how pressing ("bad", "warn" or ""), what, why and where."""

    level: str
    what: str
    why: str
    href: str
    action: str


def _order(number: int) -> str:
    return _("Order {number}").format(number=number)


def sale_tasks(asked: tuple[OrderRow, ...], claims: tuple[ClaimRow, ...]) -> Iterator[Task]:
    """Orders that wait for a yes or no, and open claims."""
    for order in asked:
        pay_first = f" {_('Gets wood only after paying.')}" if order.pay_first else ""
        yield Task(
            level="bad" if order.pay_first else "warn",
            what=_("{customer} wants wood").format(customer=order.customer),
            why=f"{_order(order.number)}, {order.town}, {to_the_cent(order.total)}.{pay_first}",
            href=reverse("order", args=[order.number]),
            action=_("Answer"),
        )
    for row in claims:
        yield Task(
            level="bad",
            what=_("{customer} says: {what}").format(customer=row.customer, what=row.claim.kind_words),
            why=f"{_order(row.number)}. {row.claim.message[:120]}",
            href=reverse("order", args=[row.number]),
            action=_("Look"),
        )


def road_tasks(waiting: tuple[OrderRow, ...], *, on: date) -> Iterator[Task]:
    """Promised wood without a day yet, those due soonest first; far orders belong to the pool."""
    near = [row for row in waiting if row.state == "confirmed" and not row.is_pool]
    for row in sorted(near, key=lambda row: (row.last_on, row.number)):
        if row.how == "pick_up":
            if row.first_on <= on + timedelta(days=2):
                yield Task(
                    level="",
                    what=_("{customer} is picking up").format(customer=row.customer),
                    why=f"{_order(row.number)}, {weekday(row.first_on)}. "
                    + _("Keep saws and splitter away from visitors."),
                    href=reverse("order", args=[row.number]),
                    action=_("Hand over"),
                )
        elif row.last_on <= on + SOON and row.promised_on is None:
            late = row.last_on < on
            if late:
                needed = _("Order {number}, {town}: was needed by {days}.")
            elif row.first_on <= on:
                needed = _("Order {number}, {town}: needed by {days}.")
            else:
                needed = _("Order {number}, {town}: needed {days}.")
            days = month_day(row.last_on)
            if row.last_on != row.first_on > on:
                days = _("{first} to {last}").format(first=month_day(row.first_on), last=days)
            yield Task(
                level="bad" if late else "warn",
                what=_("Set a day for {customer}").format(customer=row.customer),
                why=needed.format(number=row.number, town=row.town, days=days),
                href=f"{reverse('days')}?on={max(row.first_on, on).isoformat()}",
                action=_("Plan"),
            )


def gone_tasks(gone: tuple[GoneDrop, ...]) -> Iterator[Task]:
    """Orders called off that still stand on a day."""
    for row in gone:
        yield Task(
            level="bad",
            what=_("Take {customer} off {day}").format(customer=row.customer, day=weekday_day(row.on)),
            why=_("Order {number} was cancelled and its wood is for sale again.").format(number=row.number)
            + " "
            + (
                _("Take it off the day, then commit the day again.")
                if row.is_committed
                else _("Take it off the day.")
            ),
            href=reverse("day", args=[row.on.isoformat()]),
            action=_("Take off"),
        )


def conflict_tasks(rows: tuple[EventRow, ...]) -> Iterator[Task]:
    """Phones and plan that disagree, with the dollars nobody has booked."""
    for row in rows:
        money = (
            " " + _("{dollars} is not booked.").format(dollars=to_the_cent(row.dollars))
            if row.dollars
            else ""
        )
        whom = (
            _("order {number}, {customer}").format(number=row.order, customer=row.customer)
            if row.order
            else _("{what} by {who}").format(what=row.kind, who=row.who)
        )
        day = timezone.localdate(row.happened_at)
        yield Task(
            level="bad",
            what=_("The road and the plan disagree: {whom}").format(whom=whom),
            why=f"{row.phone}.{money}",
            href=f"{reverse('day', args=[day.isoformat()])}#look",
            action=_("Decide"),
        )


def short_tasks(rows: tuple[ShortDrop, ...]) -> Iterator[Task]:
    """Orders that got less than was ordered in the last days, and what was taken off for it."""
    for row in rows:
        yield Task(
            level="warn",
            what=_("{customer} got {left} of {ordered}").format(
                customer=row.customer, left=spoken_cords(row.left), ordered=spoken_cords(row.ordered)
            ),
            why=_("Order {number}, {weekday}: {dollars} taken off. Tell them, or bring the rest.").format(
                number=row.number, weekday=weekday(row.on), dollars=to_the_cent(row.credited)
            ),
            href=reverse("order", args=[row.number]),
            action=_("Look"),
        )


def came_home_tasks(rows: tuple[CameHome, ...]) -> Iterator[Task]:
    """Wood that came home from a run and is still booked where it was taken from."""
    for row in rows:
        was = next((place for place in row.places if place.is_where_it_was), None)
        yield Task(
            level="warn",
            what=_("Say where {customer}'s wood lies").format(customer=row.customer),
            why=(
                _("Order {number} came home {weekday}; the books still have it in {yard}, lot {lot}.").format(
                    number=row.number, weekday=weekday(row.on), yard=was.yard, lot=was.lot
                )
                if was
                else _("Order {number} came home {weekday}; the books still have it.").format(
                    number=row.number, weekday=weekday(row.on)
                )
            ),
            href=f"{reverse('order', args=[row.number])}#came-home",
            action=_("Say where"),
        )


def upset_tasks(upset: tuple[UpsetDay, ...]) -> Iterator[Task]:
    """Days a broken rig or a closure is in the way of."""
    for row in upset:
        then = " " + _("Commit it again: only those whose hours move are told.") if row.is_committed else ""
        yield Task(
            level="bad" if row.is_committed else "warn",
            what=_("Plan {day} again").format(day=weekday_day(row.on)),
            why=f"{'; '.join(row.reasons)}.{then}",
            href=f"{reverse('day', args=[row.on.isoformat()])}#again",
            action=_("Plan"),
        )


def alone_tasks(rows: tuple[LeftAlone, ...]) -> Iterator[Task]:
    """Orders that keep the price of a shared drive, though the neighbor has cancelled."""
    for row in rows:
        yield Task(
            level="",
            what=_("{customer}'s neighbor has cancelled").format(customer=row.customer),
            why=_(
                "Order {number} keeps its price: {dollars} of the drive is yours, unless somebody else joins."
            ).format(number=row.number, dollars=to_the_cent(row.dollars)),
            href=reverse("order", args=[row.number]),
            action=_("Look"),
        )


def shortfall_tasks(short: tuple[ShortLot, ...]) -> Iterator[Task]:
    """Lots a true count found below what is promised, with whom to call first."""
    for lot in short:
        first = next(iter(lot.promised), None)
        can_move = first is not None and bool(first.instead)
        then = ""
        if first:
            call = _("Call {whom} first, {phone}.") if first.phone else _("Call {whom} first.")
            then = " " + call.format(whom=first.whom, phone=first.phone)
        if first and can_move:
            then = " " + _("What {whom} lacks can come from another lot.").format(whom=first.whom)
        yield Task(
            level="bad",
            what=_("{lot} is {cords} short of what is promised").format(
                lot=lot.code, cords=spoken_cords(lot.short)
            ),
            why=_("{cords} is there.").format(cords=spoken_cords(lot.on_hand)) + then,
            href=f"{reverse('lot', args=[lot.code])}#short",
            action=_("Move it") if can_move else _("Look"),
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
        oldest = _("Last read {day}.").format(day=month_day(min(known))) if len(known) == len(unread) else ""
        yield Task(
            level="",
            what=_("Read five fresh faces of {lots}").format(lots=_lots(unread)),
            why=oldest or _("No reading backs their dryness yet."),
            href=_page_of(unread),
            action=_("Read"),
        )


def _cover_task(bare: list[LotRow], *, on: date, rain: date) -> Task:
    """All that lies bare before the rain, as one card: dry wood would take up water."""
    dry = [lot for lot in bare if lot.dry.claim == "seasoned"]
    why = (
        ngettext(
            "{lots} is dry now and would soak it up.",
            "{lots} are dry now and would soak it up.",
            len(dry),
        ).format(lots=_lots(dry))
        if dry
        else _("Wood dries on under a top cover.")
    )
    days = (rain - on).days
    ahead = ngettext(
        "First rain usually comes around {day}, {days} day out.",
        "First rain usually comes around {day}, {days} days out.",
        days,
    ).format(day=month_day(rain), days=days)
    return Task(
        level="warn" if dry else "",
        what=_("Cover {lots} before {day}").format(lots=_lots(bare), day=month_day(rain)),
        why=f"{ahead} {why}",
        href=_page_of(bare),
        action=_("Look"),
    )


def _lots(lots: list[LotRow]) -> str:
    """ "K1 Knob fir", "K1 and K2", "12 lots, K1 to K9"."""
    codes = [lot.code for lot in lots]
    if len(codes) > FEW_LOTS:
        few = ", ".join(codes[:FEW_LOTS])
        return _("{count} lots ({few} ...)").format(count=len(codes), few=few)
    return listed(codes) if len(codes) > 1 else f"{codes[0]} {lots[0].name}"


def _page_of(lots: list[LotRow]) -> str:
    return reverse("lot", args=[lots[0].code]) if len(lots) == 1 else reverse("stock")


def rating_tasks(rows: tuple[RigRow, ...]) -> Iterator[Task]:
    """Rigs in service whose ratings nobody wrote down."""
    for row in rows:
        if row.works and row.missing:
            first, *more = row.missing
            yield Task(
                level="",
                what=(
                    _("{rig}: write down {what} and {count} more").format(
                        rig=row.name, what=_(first), count=len(more)
                    )
                    if more
                    else _("{rig}: write down {what}").format(rig=row.name, what=_(first))
                ),
                why=_("Until then nothing checks a load by them: look on plate, hitch and sidewalls."),
                href=reverse("rig", args=[row.id]),
                action=_("Write"),
            )


def money_tasks(owed: tuple[OwedRow, ...], back: tuple[OwedRow, ...]) -> Iterator[Task]:
    """What we owe after a credit, and delivered wood not yet paid."""
    for owing in back:
        yield Task(
            level="bad",
            what=_("Pay {dollars} back to {customer}").format(
                dollars=to_the_cent(owing.due), customer=owing.customer
            ),
            why=_("Order {number} was credited after it was paid.").format(number=owing.number),
            href=reverse("order", args=[owing.number]) + "#refund",
            action=_("Refund"),
        )
    for row in owed:
        late = ngettext("Order {number}: late, {days} day.", "Order {number}: late, {days} days.", row.days)
        yield Task(
            level="bad" if row.days > LATE_DAYS else "warn",
            what=_("{customer} owes {dollars}").format(customer=row.customer, dollars=to_the_cent(row.due)),
            why=(late if row.days > 0 else _("Order {number}, delivered.")).format(
                number=row.number, days=row.days
            ),
            href=reverse("order", args=[row.number]),
            action=_("Look"),
        )


def tell_tasks(count: int) -> Iterator[Task]:
    """Messages nobody has told yet, late ones among them."""
    if count:
        yield Task(
            level="warn",
            what=ngettext("Tell {count} customer", "Tell {count} customers", count).format(count=count),
            why=_("Their messages are ready for your phone, each in their language."),
            href=reverse("tell"),
            action=_("Tell"),
        )


def waiting_tasks(rows: tuple[WaitingRow, ...]) -> Iterator[Task]:
    """People on the waiting list whose wood can be had now."""
    if rows:
        yield Task(
            level="warn",
            what=(
                _("Their wood is ready: tell {name} and {count} more").format(
                    name=rows[0].name, count=len(rows) - 1
                )
                if len(rows) > 1
                else _("Their wood is ready: tell {name}").format(name=rows[0].name)
            ),
            why=_("They asked to be told. Each gets one message, in their language."),
            href=f"{reverse('tell')}#waiting",
            action=_("Tell"),
        )


def letter_tasks(failed: tuple[FailedLetter, ...]) -> Iterator[Task]:
    """E-mails that did not go out, each with its reason."""
    for row in failed:
        yield Task(
            level="bad" if row.is_given_up else "warn",
            what=_("The letter to {customer} was not sent").format(customer=row.customer),
            why=f"{text_of(row.reason, reader_language())} "
            + ("" if row.is_given_up else _("It is tried again by itself.")),
            href=reverse("order", args=[row.number]) + "#letters" if row.number else reverse("customers"),
            action=_("Send anew or text"),
        )


def system_tasks(found: tuple[Check, ...]) -> Iterator[Task]:
    """What is wrong behind the pages."""
    for check in found:
        if check.problem:
            yield Task(
                level="bad" if check.name in ("worker", "disk") else "warn",
                what=_(check.name).capitalize(),
                why=check.problem,
                href=reverse("health"),
                action=_("Look"),
            )


def _wants_reading(lot: LotRow, on: date) -> bool:
    return lot.dry.read_on is None or (on - lot.dry.read_on).days > 30
