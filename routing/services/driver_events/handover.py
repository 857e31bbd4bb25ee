"""Wood left at a customer's: drawn from its lots, priced as delivered, paid, marked and written down."""

from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from inventory.core.local import to_the_cent
from inventory.core.money import dollars
from inventory.core.sentences import Sentence
from inventory.core.units import bundle_cords, format_cords
from inventory.models import Hold, Lot, Movement
from inventory.selectors.drawn import OUT_AND_BACK
from inventory.services.draws import draw_wood
from orders.core import OrdersError
from orders.core.places import Amount
from orders.models import Order
from orders.services.held import standing_holds
from orders.services.orders import mark_delivered
from orders.services.payments import record_credit, record_payment
from orders.services.tickets import make_ticket
from routing.core import RoutingError
from routing.core.driver_input import dollars_given
from routing.models import Stop
from routing.services.driver_events.values import OPEN_STATES, EventInput, EventResult, NoWoodHeld


def hand_over(event: EventInput, *, order: Order, stops: Iterable[Stop], cords: Fraction) -> EventResult:
    """End the drops as delivered; with the order's last one, price, ticket and letter follow what was left.

    What is short of the order is taken off its price before the money is booked. Money or paper that cannot
    be booked does not undo the delivery: it is said and kept for a look.

    Units
        cords: left at these drops together, bundles not counted.
    """
    ended = list(stops)
    for stop in ended:
        end_stop(stop, Stop.State.DELIVERED, event)
    is_last = not order.stops.filter(state__in=OPEN_STATES).exists()
    kindling = ((stop.bundles, stop.lot.bundle_ft3 if stop.lot else None) for stop in ended)
    bundles = sum((bundle_cords(count, each) for count, each in kindling), Fraction(0))
    _draw(event, order, ended, cords=cords, bundles=bundles, is_last=is_last)
    short = _take_off_short(event, order) if is_last else None
    failures = [_tried(take_money, event, order)]
    letters: tuple[tuple[int, str], ...] = ()
    if is_last:
        mark_delivered(
            number=order.number,
            delivered_on=timezone.localdate(event.at),
            at=event.at,
            who=event.who,
            cords=_left_cords(order),
        )
        letters = ((order.number, "delivered"),)
        failures.append(_tried(_write_ticket, event, order))
    failed = [failure for failure in failures if failure]
    news = [*([short] if short else []), *failed]
    sentences = (Sentence("Delivered."), *news) if news else ()
    return EventResult(sentences=sentences, letters=letters, needs_look=bool(failed))


def take_money(event: EventInput, order: Order) -> None:
    """Book what the driver took, once for the event.

    Errors
        UnreadableFigure: no amount of money.
        TooMuchPaid (orders)
    """
    amount = dollars_given(event.input)
    if amount is None:
        return
    record_payment(
        number=order.number,
        dollars=amount,
        method=str(event.input.get("method") or "cash"),
        on=timezone.localdate(event.at),
        at=event.at,
        who=event.who,
        key=uuid5(event.key, "money"),
        keep_too_much=bool(event.input.get("keep_too_much")),
    )


def end_stop(stop: Stop, state: str, event: EventInput) -> None:
    """The drop is over, one way or another."""
    stop.state, stop.done_at = state, event.at
    stop.save(update_fields=["state", "done_at", "note"])


def _draw(
    event: EventInput, order: Order, stops: list[Stop], *, cords: Fraction, bundles: Fraction, is_last: bool
) -> None:
    """Take the drops' wood out of the order's holds; what other drops still need stays held."""
    held = standing_holds(order)
    lots = {stop.lot_id for stop in stops}
    own = [hold for hold in held if None in lots or hold.lot_id in lots] or held
    kindling = [hold for hold in own if hold.lot.form == Lot.Form.KINDLING]
    wood = [hold for hold in own if hold.lot.form != Lot.Form.KINDLING]
    _draw_from(event, order, wood or own, cords=cords, is_last=is_last)
    _draw_from(event, order, kindling or own, cords=bundles, is_last=is_last)


def _draw_from(event: EventInput, order: Order, own: list[Hold], *, cords: Fraction, is_last: bool) -> None:
    if cords <= 0:
        return
    if not own:
        raise NoWoodHeld(order=order.number)
    left = cords
    for hold in own:
        takes_all = is_last and hold is own[-1]
        taken = left if takes_all else min(hold.cords, left)
        if taken <= 0:
            continue
        draw_wood(
            hold_id=hold.pk,
            cords=taken,
            on=timezone.localdate(event.at),
            at=event.at,
            who=event.who,
            reference=order.reference,
            key=uuid5(event.key, f"hold {hold.pk}"),
            keep_rest=not is_last,
        )
        left -= taken
    if left > 0 and not is_last:
        raise NoWoodHeld(order=order.number)


def _left_cords(order: Order) -> Fraction:
    """All the order's wood that has been left there so far, bundles not counted."""
    sold = Movement.objects.filter(reference=order.reference, kind__in=OUT_AND_BACK)
    sold = sold.exclude(lot__form=Lot.Form.KINDLING)
    return sum((-row.cords for row in sold), Fraction(0))


def _take_off_short(event: EventInput, order: Order) -> Sentence | None:
    """Take the price of wood that was not left off the bill; the sentence that says so."""
    left = _left_cords(order)
    short = order.cords - left
    if short <= 0:
        return None
    net = order.total_dollars - order.tax_dollars
    with_tax = Fraction(order.total_dollars) / Fraction(net) if net > 0 else Fraction(1)
    off = dollars(Fraction(order.wood_dollars) * with_tax * short / order.cords)
    amounts = {"left": Amount(left), "ordered": Amount(order.cords)}
    if off <= 0:
        return Sentence("{left} of {ordered}.", amounts)
    record_credit(
        number=order.number,
        dollars=off,
        on=timezone.localdate(event.at),
        at=event.at,
        who=event.who,
        key=short_key(event.key),
        note=f"{format_cords(short)} short at the drop",
    )
    return Sentence("{left} of {ordered}. {off} is taken off.", {**amounts, "off": to_the_cent(off)})


def short_key(event_key: UUID) -> UUID:
    """The key of the credit for wood that a delivery left short."""
    return uuid5(event_key, "short")


def _write_ticket(event: EventInput, order: Order) -> None:
    heap_number = event.stop.load.run.rig.heap_number if event.stop else None
    loose = (order.cords * Fraction(heap_number)).limit_denominator(100) if heap_number else None
    make_ticket(
        number=order.number,
        at=event.at,
        who=event.who,
        loaded_ft3=round(Decimal(loose.numerator) / loose.denominator, 2) if loose else None,
    )


def _tried(step: Callable[[EventInput, Order], None], event: EventInput, order: Order) -> Exception | None:
    """Run a step that must not undo the delivery; what refused it when it fails."""
    try:
        with transaction.atomic():
            step(event, order)
    except (OrdersError, RoutingError) as error:
        return error
    return None
