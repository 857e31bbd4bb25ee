"""How a load lies in the box: what goes on first, where each part ends, and how full and heavy it is.

The last drop goes on first, against the front; a divider stands between drops, and woods stay apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.core.gaps import Measured
from inventory.core.local import local
from inventory.core.local_measures import measure_words
from inventory.core.rows import columns_of
from inventory.core.sentences import Sentence
from inventory.core.units import INCHES_PER_FOOT
from routing.core import RoutingError
from routing.core.rigs import Rig


class TooMuchWood(RoutingError):
    """More loose wood than the box holds."""

    says = (
        "{wanted} of loose wood will not go on the {rig}, which holds {holds}: "
        "leave a drop for the next load."
    )
    in_words = {name: lambda ft3: Measured(float(ft3), "ft3") for name in ("wanted", "holds")}
    wanted: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class DropWood:
    """The wood of one drop."""

    order: str
    customer: str
    wood: str
    cords: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel(DropWood):
    """A drop's wood, in the order of dropping. lb: planned weight."""

    lb: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLine(DropWood):
    """One line of "what goes on first".

    Units
        goes_on: 1 is loaded first; drop: 1 is dropped first; feet from the front wall of the box.
    """

    goes_on: int
    drop: int
    loose_ft3: Fraction
    from_ft: Fraction
    to_ft: Fraction
    needs_divider: bool
    changes_wood: bool

    @property
    def sentence(self) -> Sentence:
        """The line as it is read at the pile."""
        start = Sentence("the front wall") if self.goes_on == 1 else _feet(self.from_ft)
        gaps = {"customer": self.customer, "wood": self.wood, "start": start, "end": _feet(self.to_ft)}
        if self.changes_wood:
            return Sentence(
                "{customer}: {wood}, from {start} back to {end}. Divider first: another wood.", gaps
            )
        if self.needs_divider:
            return Sentence("{customer}: {wood}, from {start} back to {end}. Divider first.", gaps)
        return Sentence("{customer}: {wood}, from {start} back to {end}.", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """How full and how heavy a load is.

    Units
        box_share, weight_share: 1 = full.
    """

    loose_ft3: Fraction
    box_share: Fraction
    lb: float
    weight_share: float

    @property
    def fits(self) -> bool:
        """Whether neither the box nor the payload is exceeded."""
        return self.box_share <= 1 and self.weight_share <= 1


def load_lines(rig: Rig, parcels: Sequence[Parcel]) -> tuple[LoadLine, ...]:
    """What goes on first: the drops in reverse, each with its piece of the box's length.

    Errors
        TooMuchWood: the parcels do not go in.
    """
    wanted = sum((parcel.cords for parcel in parcels), Fraction(0)) * Fraction(rig.heap_number)
    if wanted > rig.box_ft3:
        raise TooMuchWood(rig=rig.name, wanted=wanted, holds=rig.box_ft3)
    lines: list[LoadLine] = []
    reached = Fraction(0)
    for position, parcel in enumerate(reversed(parcels)):
        loose = parcel.cords * Fraction(rig.heap_number)
        end = reached + loose / rig.box_ft3 * Fraction(rig.box_length_ft)
        lines.append(
            LoadLine(
                goes_on=position + 1,
                drop=len(parcels) - position,
                **columns_of(DropWood, parcel),
                loose_ft3=loose,
                from_ft=reached,
                to_ft=end,
                needs_divider=position > 0,
                changes_wood=bool(lines) and lines[-1].wood != parcel.wood,
            )
        )
        reached = end
    return tuple(lines)


def fill_of(rig: Rig, parcels: Sequence[Parcel]) -> Fill:
    """How full and how heavy; above 1 when it does not fit."""
    loose = sum((parcel.cords for parcel in parcels), Fraction(0)) * Fraction(rig.heap_number)
    pounds = sum(parcel.lb for parcel in parcels)
    return Fill(
        loose_ft3=loose,
        box_share=loose / rig.box_ft3,
        lb=pounds,
        weight_share=pounds / rig.payload_lb,
    )


def _feet(feet: Fraction) -> str:
    """Feet and whole inches, or meters, as on a tape."""
    if local().is_metric:
        return measure_words(feet, "ft")
    inches = int(feet * INCHES_PER_FOOT + Fraction(1, 2))
    whole, rest = divmod(inches, INCHES_PER_FOOT)
    if not whole:
        return f"{rest} in"
    return f"{whole} ft {rest} in" if rest else f"{whole} ft"
