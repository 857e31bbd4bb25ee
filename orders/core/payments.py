"""The arithmetic of the money ledger: due, received, change, and when to stop and think.

Entries are signed: what came in and what was credited is above zero, what went back or bounced below. An
entry made by mistake is undone by another of the opposite sign: neither counts any more, both stay.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from inventory.core.gaps import FullDate
from inventory.core.sentences import Sentence
from orders.core import OrdersError
from orders.core.places import caution

CASH = "cash"
NOTHING = Decimal("0.00")


class EntryKind(StrEnum):
    """What a line of the ledger records."""

    DEPOSIT = "deposit"
    PAYMENT = "payment"
    REFUND = "refund"
    RETURNED = "returned"
    CREDIT = "credit"
    UNDONE = "undone"


COMING_IN = frozenset({EntryKind.DEPOSIT, EntryKind.PAYMENT, EntryKind.CREDIT})


class BadEntry(OrdersError):
    """A line of money that cannot be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of an order's ledger, in dollars to the cent.

    Units
        over: the part beyond what was due when it came. stands: False once it is undone.
    """

    kind: EntryKind
    dollars: Decimal
    on: date
    method: str = CASH
    over: Decimal = NOTHING
    stands: bool = True

    def __post_init__(self) -> None:
        if self.kind not in tuple(EntryKind):
            raise BadEntry("{kind!r} is not a kind of payment we keep.", kind=str(self.kind))
        object.__setattr__(self, "kind", EntryKind(self.kind))
        _check_cents(self.dollars)
        if self.kind is EntryKind.UNDONE:
            return
        if self.kind in COMING_IN and self.dollars <= 0:
            raise BadEntry(
                "A {kind} of {dollars} is not money: write an amount above zero.",
                kind=Sentence(self.kind),
                dollars=self.dollars,
            )
        if self.kind not in COMING_IN and self.dollars >= 0:
            raise BadEntry(
                "A {kind} takes money away: write {dollars} with a minus sign.",
                kind=Sentence(self.kind),
                dollars=-self.dollars,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where an order's money stands.

    Units
        received: money in hand, refunds and returned checks taken off; credited: knocked off for
        short wood; due: still to come, never below zero; overpaid: the buyer's money we still hold.
        sent_too_much: the part of what is overpaid that came so, as strangers do who want it back.
    """

    total: Decimal
    received: Decimal
    credited: Decimal
    due: Decimal
    overpaid: Decimal
    returned: Decimal
    sent_too_much: Decimal = NOTHING
    returned_on: date | None = None

    @property
    def owed_back(self) -> Decimal:
        """What a credit, a lower price or a cancellation left with us: ours to pay back."""
        return self.overpaid - self.sent_too_much


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """Money handed over at the door: what to book, what to give back, and a caution if there is one."""

    received: Decimal
    applied: Decimal
    change: Decimal
    still_due: Decimal
    is_stop: bool = False
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PayFirst:
    """Why a buyer pays before the next load: dated facts only."""

    owed: Decimal
    since: date
    days: int
    reason: Sentence


def balance_of(total: Decimal, entries: Iterable[Entry]) -> Balance:
    """Fold a ledger into a balance.

    Errors
        BadEntry: a total below zero.
    """
    if total < 0:
        raise BadEntry("An order's total cannot be below zero, and {total} is: price it again.", total=total)
    lines = tuple(line for line in entries if line.stands and line.kind is not EntryKind.UNDONE)
    credited = sum((line.dollars for line in lines if line.kind is EntryKind.CREDIT), NOTHING)
    received = sum((line.dollars for line in lines if line.kind is not EntryKind.CREDIT), NOTHING)
    returned = [line for line in lines if line.kind is EntryKind.RETURNED]
    left = total - credited - received
    return Balance(
        total=total,
        received=received,
        credited=credited,
        due=max(left, NOTHING),
        overpaid=max(-left, NOTHING),
        sent_too_much=min(max(-left, NOTHING), sum((line.over for line in lines), NOTHING)),
        returned=-sum((line.dollars for line in returned), NOTHING),
        returned_on=max((line.on for line in returned), default=None),
    )


def hand_over(*, due: Decimal, handed: Decimal, method: str = CASH, is_known_buyer: bool = False) -> Handed:
    """What to book when money is handed over, and what to give back.

    Cash above what is due is changed at the door. Any other way of paying too much is a stop: the
    money may be taken back later, so nothing is sent back until the bank has it for good. A buyer of
    old gets the caution without the stop.

    Errors
        BadEntry: nothing handed over, or a due below zero.
    """
    _check_cents(handed)
    if handed <= 0:
        raise BadEntry("No money was handed over: write the amount, or leave it unpaid.")
    if due < 0:
        raise BadEntry("What is due cannot be below zero, and {due} is: refund it instead.", due=due)
    over = max(handed - due, NOTHING)
    if method == CASH:
        return Handed(
            received=handed, applied=handed - over, change=over, still_due=max(due - handed, NOTHING)
        )
    return Handed(
        received=handed,
        applied=handed,
        change=NOTHING,
        still_due=max(due - handed, NOTHING),
        is_stop=bool(over) and not is_known_buyer,
        caution=caution("overpayment").text if over else "",
    )


def pay_first(
    entries: Iterable[Entry], *, owed: Decimal, on: date, bounced_before: date | None = None
) -> PayFirst | None:
    """Whether a buyer pays before the next load: a check came back and money is still owed.

    Units
        owed: dollars over all their orders; bounced_before: a returned check from before these books.
    """
    returned = [line.on for line in entries if line.kind is EntryKind.RETURNED and line.stands]
    if bounced_before is not None:
        returned.append(bounced_before)
    if owed <= 0 or not returned:
        return None
    since = max(returned)
    return PayFirst(
        owed=owed,
        since=since,
        days=(on - since).days,
        reason=Sentence(
            "Owes {owed:.2f}; check returned {day}. Paid before loading.",
            {"owed": owed, "day": FullDate(since)},
        ),
    )


def _check_cents(dollars: Decimal) -> None:
    if not dollars.is_finite() or dollars != dollars.quantize(NOTHING):
        raise BadEntry("{dollars} is not an amount in dollars and cents.", dollars=dollars)
