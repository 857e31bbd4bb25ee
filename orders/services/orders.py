"""An order's steps after it was asked for: held, declined, cancelled, set for a day, delivered."""

from collections.abc import Iterable
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from django.utils import timezone

from inventory.core.gaps import Cords, FullDate
from inventory.core.kept import at_most
from inventory.core.sentences import Sentence
from inventory.models import Hold, Lot
from inventory.selectors.stock import LotRow
from inventory.services import audit
from inventory.services.draws import draw_wood
from inventory.services.holds import firm_up_hold, hold_wood
from orders.core import OrdersError, lifecycle
from orders.core.picking import Picked
from orders.models import Order, OrderHold
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing
from orders.services.customers import customer_paying_first
from orders.services.held import cords_of_bundles, release_holds, standing_holds
from orders.services.sharing import share_drive

State = lifecycle.State


class WrongAmountPicked(OrdersError):
    """The chosen lots do not add up to the order."""

    says = "Order {number} is for {wanted} and the chosen lots come to {picked}: make them add up."
    in_words = {"wanted": Cords, "picked": Cords}


class UnknownLot(OrdersError):
    says = "There is no lot {lot}: choose one from the list."


class NotFetched(OrdersError):
    """The order goes out on a truck, so its drop ends it."""

    says = "Order {number} is to be delivered: change it to pickup first if they came for it."


class PayFirst(OrdersError):
    """The customer pays before wood is held, and has not yet."""

    says = "{name} pays first ({reason}): take the money, or say that you confirm anyway."


class LotNotReady(OrdersError):
    """A chosen lot may not be sold under the order's word on the day."""

    def __init__(self, *, lot: str, dryness: str, on: date, dry_on: date | None) -> None:
        self.lot = lot
        self.dryness = dryness
        self.on = on
        self.dry_on = dry_on
        when = (
            Sentence("it will be ready about {day}", {"day": FullDate(dry_on)})
            if dry_on
            else Sentence("no date can be given yet")
        )
        super().__init__(
            "Lot {lot} cannot be called {dryness} on {on}: {when}. Choose another lot, or say"
            " that you confirm anyway.",
            lot=lot,
            dryness=Sentence(dryness),
            on=FullDate(on),
            when=when,
        )


@transaction.atomic
def confirm_order(
    *,
    number: int,
    picks: Iterable[Picked],
    at: datetime,
    who: str,
    promised_on: date | None = None,
    lapses_on: date | None = None,
    lots_open: Iterable[LotRow] = (),
    despite: bool = False,
) -> int | None:
    """Hold the wood of the chosen lots and confirm the order.

    Gives the number of a neighbor's order whose price falls, since this one shares its drive.

    Units
        lapses_on: the holds are soft until then (a deposit is awaited); None holds firmly.
        lots_open: the lots as the picking sees them, to check that each is ready under the order's word.
        despite: the seller means it, pays-first note and unready lots or not.

    Errors
        NoSuchOrder, WrongStep
        WrongAmountPicked, UnknownLot: the picks are not for this order.
        NotEnoughOpen (inventory): somebody else got the wood first; nothing is held.
        PayFirst: the customer's note says so and the order is not paid.
        LotNotReady: a chosen lot is not dry by the day.
    """
    order = order_for_writing(number)
    state = lifecycle.confirmed(State(order.state), order=order.reference)
    payer = customer_paying_first(order.customer)
    if payer is not None and not despite and not _is_paid(order):
        raise PayFirst(name=payer.name, reason=payer.pay_first_reason)
    chosen = tuple(pick for pick in picks if pick.cords > 0)
    if not despite:
        _check_ready(order, chosen, lots_open, on=promised_on or order.first_on)
    hold_picks(order, chosen, lapses_on=lapses_on, at=at)
    order.state, order.confirmed_at = state, at
    is_their_day = order.how == Order.How.PICK_UP and order.first_on == order.last_on
    if promised_on is None and is_their_day and order.first_on >= timezone.localdate(at):
        promised_on = order.first_on  # the day they chose to come: no run has to be planned for it
    if promised_on is not None:
        order.promised_on = promised_on
    order.save(update_fields=["state", "confirmed_at", "promised_on"])
    cheaper = share_drive(order, at=at, who=who)
    audit.note(
        at=at,
        who=who,
        verb="confirmed",
        thing=order.reference,
        after={"lots": {pick.lot: str(pick.cords) for pick in chosen}},
    )
    return cheaper


def hold_picks(order: Order, chosen: tuple[Picked, ...], *, lapses_on: date | None, at: datetime) -> None:
    """Hold the chosen lots for an order. Runs inside the caller's transaction.

    Errors
        WrongAmountPicked, UnknownLot, NotEnoughOpen
    """
    lots = {lot.code: lot for lot in Lot.objects.filter(code__in=[pick.lot for pick in chosen])}
    for pick in chosen:
        if pick.lot not in lots:
            raise UnknownLot(lot=pick.lot)
    wanted = order.cords + cords_of_bundles(order.bundles, lots.values())
    picked = sum((pick.cords for pick in chosen), Fraction(0))
    if picked != wanted:
        raise WrongAmountPicked(number=order.number, wanted=wanted, picked=picked)
    for pick in chosen:
        hold_id = hold_wood(
            lot_id=lots[pick.lot].pk,
            cords=pick.cords,
            kind=Hold.Kind.SOFT if lapses_on else Hold.Kind.FIRM,
            reference=order.reference,
            made_at=at,
            lapses_on=lapses_on,
        )
        OrderHold.objects.create(order=order, hold_id=hold_id)


@transaction.atomic
def reopen_order(*, number: int, at: datetime, who: str) -> bool:
    """Take back a cancellation or a decline: the order is a new request again and holds no wood yet.

    What nobody was told of its end yet is not told any more. True where the customer was told already.

    Errors
        NoSuchOrder, WrongStep
    """
    order = order_for_writing(number)
    order.state = lifecycle.step(State(order.state), to=State.ASKED, order=order.reference)
    order.ended_reason, order.kept_dollars = "", Decimal(0)
    order.promised_on = order.comes_from = order.comes_to = order.on_the_way_at = None
    order.save()
    letters = order.letters.filter(kind__in=("declined", "cancelled"))
    letters.filter(sent_at__isnull=True).delete()
    audit.note(at=at, who=who, verb="reopened", thing=order.reference)
    return letters.exists()


@transaction.atomic
def decline_order(*, number: int, reason: str, at: datetime, who: str) -> None:
    """Say no, with the reason that the customer reads.

    Errors
        NoSuchOrder, WrongStep
    """
    order = order_for_writing(number)
    order.state = lifecycle.step(State(order.state), to=State.DECLINED, order=order.reference)
    order.ended_reason = at_most(200, reason)
    order.save(update_fields=["state", "ended_reason"])
    audit.note(at=at, who=who, verb="declined", thing=order.reference, note=order.ended_reason)


@transaction.atomic
def cancel_order(
    *,
    number: int,
    at: datetime,
    who: str,
    reason: str | Sentence = "",
    by_customer: bool = False,
    cut_off_hour: int = lifecycle.NOON,
) -> None:
    """Call an order off and give its wood back to the open stock.

    Errors
        NoSuchOrder, WrongStep
        TooLateToChange: the customer's cut-off has passed.
    """
    order = order_for_writing(number)
    if by_customer:
        lifecycle.check_customer_change(
            State(order.state),
            order=order.reference,
            day=order.promised_on,
            now=timezone.localtime(at),
            hour=cut_off_hour,
        )
    order.state = lifecycle.step(State(order.state), to=State.CANCELLED, order=order.reference)
    order.ended_reason = at_most(200, reason)
    order.save(update_fields=["state", "ended_reason"])
    release_holds(order, at=at)
    audit.note(at=at, who=who, verb="cancelled", thing=order.reference, note=order.ended_reason)


@transaction.atomic
def mark_planned(
    *,
    number: int,
    promised_on: date,
    at: datetime,
    who: str,
    comes_from: time | None = None,
    comes_to: time | None = None,
) -> None:
    """A committed day carries this order; the hours told to the customer go with it.

    An order already set for a day may be set for another. Wood held until a deposit comes is promised now: a
    day that was told must not lose it.

    Errors
        NoSuchOrder, WrongStep
    """
    order = order_for_writing(number)
    if order.state != State.PLANNED:
        order.state = lifecycle.step(State(order.state), to=State.PLANNED, order=order.reference)
    before = {"day": str(order.promised_on or "")}
    order.promised_on, order.comes_from, order.comes_to = promised_on, comes_from, comes_to
    order.on_the_way_at = None
    order.save(update_fields=["state", "promised_on", "comes_from", "comes_to", "on_the_way_at"])
    for hold in standing_holds(order):
        firm_up_hold(hold_id=hold.pk)
    audit.note(
        at=at,
        who=who,
        verb="day set",
        thing=order.reference,
        before=before,
        after={"day": promised_on.isoformat()},
    )


@transaction.atomic
def mark_unplanned(*, number: int, at: datetime, who: str, reason: str | Sentence = "") -> None:
    """The order came off its day; its wood stays held.

    Errors
        NoSuchOrder, WrongStep
    """
    order = order_for_writing(number)
    order.state = lifecycle.step(State(order.state), to=State.CONFIRMED, order=order.reference)
    order.promised_on = order.comes_from = order.comes_to = order.on_the_way_at = None
    order.save(update_fields=["state", "promised_on", "comes_from", "comes_to", "on_the_way_at"])
    audit.note(at=at, who=who, verb="taken off its day", thing=order.reference, note=reason)


@transaction.atomic
def mark_on_the_way(*, number: int, at: datetime) -> None:
    """The rig has left for this drop; the status page says so.

    Errors
        NoSuchOrder
    """
    order = order_for_writing(number)
    if order.state == State.PLANNED and order.on_the_way_at is None:
        order.on_the_way_at = at
        order.save(update_fields=["on_the_way_at"])


@transaction.atomic
def mark_delivered(
    *, number: int, delivered_on: date, at: datetime, who: str, cords: Fraction | None = None
) -> None:
    """The wood is with the customer; whoever calls has drawn it from the lots.

    Holds left standing are released. An order already delivered is left as it is, so that a phone
    may say it twice.

    Units
        cords: what was delivered; None is what was ordered.

    Errors
        NoSuchOrder, WrongStep
    """
    order = order_for_writing(number)
    if order.state in (State.DELIVERED, State.SETTLED):
        return
    is_pick_up = order.how == Order.How.PICK_UP
    order.state = lifecycle.step(
        State(order.state), to=State.DELIVERED, order=order.reference, is_pick_up=is_pick_up
    )
    order.delivered_on = delivered_on
    order.delivered_cords = order.cords if cords is None else cords
    order.save(update_fields=["state", "delivered_on", "delivered_cords"])
    release_holds(order, at=at)
    if not order.customer.is_repeat:
        order.customer.is_repeat = True
        order.customer.save(update_fields=["is_repeat"])
    audit.note(at=at, who=who, verb="delivered", thing=order.reference)
    settle_if_paid(order, at=at, who=who)


@transaction.atomic
def hand_over_pick_up(*, number: int, on: date, at: datetime, who: str) -> None:
    """The customer fetched the wood at the yard: draw every hold, then mark it delivered.

    Errors
        NoSuchOrder, NotFetched, WrongStep
    """
    order = order_for_writing(number)
    if order.how != Order.How.PICK_UP:
        raise NotFetched(number=number)
    lifecycle.step(State(order.state), to=State.DELIVERED, order=order.reference, is_pick_up=True)
    for hold in standing_holds(order):
        draw_wood(hold_id=hold.pk, on=on, at=at, who=who, reference=order.reference)
    mark_delivered(number=number, delivered_on=on, at=at, who=who)


def settle_if_paid(order: Order, *, at: datetime, who: str) -> None:
    """A delivered order with nothing due is settled. Runs inside the caller's transaction."""
    if order.state == State.DELIVERED and _is_paid(order):
        order.state = lifecycle.step(State(order.state), to=State.SETTLED, order=order.reference)
        order.save(update_fields=["state"])
        audit.note(at=at, who=who, verb="settled", thing=order.reference)


def resettle(order: Order, *, at: datetime, who: str) -> None:
    """Settled or not, as the money now stands. Runs inside the caller's transaction."""
    if order.state == State.SETTLED and not _is_paid(order):
        order.state = lifecycle.step(State(order.state), to=State.DELIVERED, order=order.reference)
        order.save(update_fields=["state"])
        audit.note(at=at, who=who, verb="money is due again", thing=order.reference)
    settle_if_paid(order, at=at, who=who)


def _check_ready(order: Order, chosen: Iterable[Picked], lots_open: Iterable[LotRow], *, on: date) -> None:
    known = {lot.code: lot for lot in lots_open}
    for pick in chosen:
        lot = known.get(pick.lot)
        if lot is not None and lot.wood == order.wood and not lot.is_ready(dryness=order.dryness, on=on):
            raise LotNotReady(lot=lot.code, dryness=order.dryness, on=on, dry_on=lot.dry_on)


def _is_paid(order: Order) -> bool:
    return balance_of_order(order.pk, total=order.billed_dollars).due <= 0
