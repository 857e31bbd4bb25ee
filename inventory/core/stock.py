"""Movements folded into balances. Wood is only ever moved, lost or sold: never made from nothing.

Cords are signed: what comes to a lot is above 0, what leaves it below.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core import InventoryError
from inventory.core.gaps import Cords, FullDate
from inventory.core.sentences import FramedRefusal, Sentence

ARRIVING = {"felled", "measured"}
BACK = {"returned"}  # a sale undone: the wood lies there still
STAYING = {"bucked", "hauled", "split", "stacked"}
PAIRED = {"moved", "sorted_out", "merged"}
LEAVING = {"sold", "lost", "own_use"}
FREE = {"corrected"}
KINDS = ARRIVING | BACK | STAYING | PAIRED | LEAVING | FREE
LIFE = ("felled", "bucked", "hauled", "split", "stacked")


class BadMovement(FramedRefusal, InventoryError):
    """A movement that can't have happened."""

    frame = "This can't be written down: {problem}"


class TooLittleThere(InventoryError):
    """More would leave a lot than is there."""

    says = "Lot {lot} had {there} on {on}; {leaving} can't leave it."
    in_words = {"there": Cords, "on": FullDate, "leaving": Cords}


@dataclass(frozen=True, slots=True, kw_only=True)
class Haul:
    """The drive of a move, charged to the wood moved.

    Units
        miles: there and back; minutes: driving, loading and unloading; cost_dollars: cash, hours left out.
    """

    miles: Decimal | None = None
    minutes: int | None = None
    cost_dollars: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One movement of one lot. `pair` ties the two sides of a move between lots together."""

    lot: str
    kind: str
    cords: Fraction
    on: date
    pair: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadMovement("there is no movement called {kind!r}.", kind=self.kind)
        if self.kind in LEAVING and self.cords > 0:
            raise BadMovement(
                "wood that is {kind} leaves the lot; its cords are below 0.",
                kind=Sentence(self.kind.replace("_", " ")),
            )
        if self.kind in ARRIVING | BACK and self.cords < 0:
            raise BadMovement(
                "wood that is {kind} comes to the lot; its cords are 0 or more.", kind=self.kind
            )
        if self.kind in STAYING and self.cords != 0:
            raise BadMovement(
                "wood that is {kind} stays the same solid wood; its cords are 0.", kind=self.kind
            )


def balances(moves: Iterable[Move], *, on: date | None = None) -> dict[str, Fraction]:
    """Cords of every lot after the movements up to and with a day; within a day, what comes comes first.

    Errors
        TooLittleThere: a lot would have had less than nothing on some day.
    """
    there: dict[str, Fraction] = {}
    for move in sorted(moves, key=lambda move: (move.on, move.cords < 0)):
        if on is not None and move.on > on:
            continue
        before = there.get(move.lot, Fraction(0))
        if before + move.cords < 0:
            raise TooLittleThere(lot=move.lot, on=move.on, there=before, leaving=-move.cords)
        there[move.lot] = before + move.cords
    return there


def open_wood(on_hand: Fraction, *, firm: Fraction, soft: Fraction, kept: Fraction) -> Fraction:
    """What may still be promised; below 0 when too much was."""
    return on_hand - firm - soft - kept


def next_step(kind: str, *, done: Iterable[str]) -> None:
    """Refuse a step of a lot's life that comes before one already done.

    Errors
        BadMovement: for instance bucking what is split.
    """
    if kind not in LIFE:
        return
    later = [step for step in done if step in LIFE and LIFE.index(step) > LIFE.index(kind)]
    if later and kind not in ("hauled", "stacked"):
        raise BadMovement(
            "this wood is {later} already; it can't be {kind} after that.",
            later=Sentence(later[-1]),
            kind=Sentence(kind),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What became of wood, in cords: what came, what left by which door, and what is there."""

    came: Fraction
    sold: Fraction
    own_use: Fraction
    lost: Fraction
    corrected: Fraction
    between_lots: Fraction
    on_hand: Fraction


def account(moves: Iterable[Move], *, on: date | None = None) -> Account:
    """All lots together, up to and with a day: came - sold - own use - lost + corrected = on hand.

    `between_lots` is 0 whenever both sides of every move are in.

    Errors
        TooLittleThere
    """
    done = [move for move in moves if on is None or move.on <= on]
    sums = {kind: Fraction(0) for kind in KINDS}
    for move in done:
        sums[move.kind] += move.cords
    return Account(
        came=sum((sums[kind] for kind in ARRIVING), Fraction(0)),
        sold=-sums["sold"] - sums["returned"],
        own_use=-sums["own_use"],
        lost=-sums["lost"],
        corrected=sums["corrected"],
        between_lots=sum((sums[kind] for kind in PAIRED), Fraction(0)),
        on_hand=sum(balances(done).values(), Fraction(0)),
    )


def timeline(moves: Iterable[Move], *, lot: str) -> tuple[tuple[date, Fraction], ...]:
    """One lot's cords after each day on which something happened to it."""
    days: dict[date, Fraction] = {}
    there = Fraction(0)
    for move in sorted((move for move in moves if move.lot == lot), key=lambda move: move.on):
        there += move.cords
        days[move.on] = there
    return tuple(days.items())
