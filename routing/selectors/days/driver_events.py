"""Events from phones that could not be applied: what the phone says, what the plan says, the ways out."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from uuid import UUID, uuid5

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.core.gaps import day_words
from inventory.core.local import money_words
from inventory.core.sentences import ENGLISH
from inventory.selectors.spoken import reader_language
from orders.core.places import Amount
from orders.models import Payment
from routing.core.driver_input import UnreadableFigure, dollars_given, seen_drop
from routing.models import DriverEvent, Stop

KINDS = {
    "left": gettext_lazy("left"),
    "loaded": gettext_lazy("loaded"),
    "ticked": gettext_lazy("checked off"),
    "on_the_way": gettext_lazy("on the way"),
    "arrived": gettext_lazy("arrived"),
    "delivered": gettext_lazy("delivered"),
    "paid": gettext_lazy("paid"),
    "no_show": gettext_lazy("nobody there"),
    "trouble": gettext_lazy("trouble"),
    "photo": gettext_lazy("photo"),
    "home": gettext_lazy("home"),
}
ENDING = ("delivered", "no_show", "trouble")


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """A conflict between a phone and the plan.

    Units
        dollars: money the driver took that is not booked yet; None when there is none.
        choices: (value, label) of the ways to end it, as `resolve_event` takes them.
    """

    key: str
    kind: str
    order: int | None
    customer: str
    happened_at: datetime
    who: str
    message: str
    phone: str
    plan: str
    dollars: Decimal | None
    choices: tuple[tuple[str, str], ...]


def events_to_look_at(*, on: date | None = None) -> tuple[EventRow, ...]:
    """Conflicts not ended yet, oldest first; constant queries."""
    rows = DriverEvent.objects.filter(outcome=DriverEvent.Outcome.CONFLICT)
    if on is not None:
        first = timezone.make_aware(datetime.combine(on, time()))
        rows = rows.filter(happened_at__gte=first, happened_at__lt=first + timedelta(days=1))
    found = list(rows.select_related("order__customer", "stop__load__run__day"))
    if not found:
        return ()
    stops = Stop.objects.filter(order__in={row.order_id for row in found if row.order_id})
    by_order: dict[int, list[Stop]] = {}
    for stop in stops.select_related("load__run__day").order_by("load__run__day__on", "part"):
        by_order.setdefault(stop.order_id, []).append(stop)
    booked = set(
        Payment.objects.filter(key__in=[_money_key(row) for row in found]).values_list("key", flat=True)
    )
    return tuple(
        _row(row, by_order.get(row.order_id or 0, []), is_booked=_money_key(row) in booked) for row in found
    )


def _row(row: DriverEvent, stops: list[Stop], *, is_booked: bool) -> EventRow:
    dollars = None if is_booked else _dollars(row)
    return EventRow(
        key=str(row.key),
        kind=_kind_words(row),
        order=row.order.number if row.order else None,
        customer=row.order.customer.name if row.order else "",
        happened_at=row.happened_at,
        who=row.who,
        message=row.message
        if _language() == ENGLISH
        else _("This could not be recorded. The seller sees why."),
        phone=_phone_words(row, dollars),
        plan="; ".join(_stop_words(stop, len(stops)) for stop in stops) or _("On no run"),
        dollars=dollars,
        choices=_choices(row, stops, dollars),
    )


def _choices(row: DriverEvent, stops: list[Stop], dollars: Decimal | None) -> tuple[tuple[str, str], ...]:
    """The phone's version where it can be booked, its money alone, or the plan's."""
    if row.order is None or row.kind not in (*ENDING, "paid"):
        return (("plan", _("Dealt with")),)
    choices = []
    is_over = row.stop is not None and row.stop.state == Stop.State.DELIVERED
    may_reopen = row.kind == "delivered" and row.stop is not None and not is_over
    has_open = any(stop.state in (Stop.State.PLANNED, Stop.State.ARRIVED) for stop in stops)
    if row.kind in ENDING and not is_over and (may_reopen or has_open) and _ends_drop(row):
        money = f", {_money(dollars)}" if dollars else ""
        version = _("Use the phone's: %(what)s") % {"what": f"{_kind_words(row)}{money}"}
        choices.append(("phone", version))
    if dollars:
        text = _("Keep the plan, book %(money)s") if choices else _("Book %(money)s")
        choices.append(("money", text % {"money": _money(dollars)}))
    choices.append(("plan", _("Keep the plan, book nothing") if choices else _("Dealt with")))
    return tuple(choices)


def _ends_drop(row: DriverEvent) -> bool:
    return row.kind != "trouble" or bool(row.input.get("comes_home"))


def _phone_words(row: DriverEvent, dollars: Decimal | None) -> str:
    parts = [_kind_words(row).capitalize()]
    if row.kind == "delivered":
        cords = str(row.input.get("cords") or "")
        if cords:
            parts.append(cords if "cord" in cords else _("%(amount)s cord") % {"amount": cords})
        elif (seen := seen_drop(row.input).cords) is not None:
            parts.append(Amount(seen).text_in(_language()))
    if dollars:
        parts.append(f"{_money(dollars)} {row.input.get('method') or _('cash')}")
    if row.input.get("note"):
        parts.append(str(row.input["note"]))
    return ", ".join(parts)


def _stop_words(stop: Stop, count: int) -> str:
    part = _("part %(part)s of %(count)s") % {"part": stop.part, "count": count} + ", " if count > 1 else ""
    day = stop.load.run.day.on
    ended = f" {timezone.localtime(stop.done_at):%H:%M}" if stop.done_at else ""
    state = _("still to come") if stop.state == Stop.State.PLANNED else str(stop.get_state_display())
    amount = Amount(stop.cords).text_in(_language())
    return f"{day_words(day, language=_language())}: {part}{amount}, {state}{ended}"


def _kind_words(row: DriverEvent) -> str:
    return str(KINDS.get(row.kind, row.kind.replace("_", " ")))


def _language() -> str:
    return reader_language()


def _money_key(row: DriverEvent) -> UUID:
    """The key its money is booked under (`routing.services.driver_events.handover`)."""
    return uuid5(row.key, "money")


def _dollars(row: DriverEvent) -> Decimal | None:
    try:
        return dollars_given(row.input)
    except UnreadableFigure:
        return None


def _money(dollars: Decimal) -> str:
    return money_words(dollars)
