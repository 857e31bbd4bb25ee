"""What to look out for with a load: its weight, its box, how it lies and is held, and its way."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import ceil

from inventory.core.gaps import pounds
from inventory.core.sentences import Sentence
from inventory.selectors.spoken import in_own_words
from orders.core.places import Amount, caution, cautions_on
from routing.core.box import Fill
from routing.core.rigs import Rig as RigValue
from routing.core.rigs import wood_limits
from routing.core.securing import Piece, strap_cautions, tongue_cautions
from routing.models import Load, RoadLimit

NEAR_FULL = 0.97  # of the payload: worth a second look


class Level(StrEnum):
    """How much a caution asks of the driver."""

    BLOCKS = "blocks"  # don't drive off like this
    LOOK = "look"  # look at this load
    USUAL = "usual"  # holds for every load


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCaution:
    """One thing to look out for with a load."""

    sentence: Sentence
    level: Level = Level.LOOK
    goes_round: str = ""  # the bridge or road the load is too heavy for

    @property
    def blocks(self) -> bool:
        return self.level == Level.BLOCKS

    @property
    def is_usual(self) -> bool:
        return self.level == Level.USUAL

    def text_in(self, language: str) -> str:
        return self.sentence.text_in(language)

    def __str__(self) -> str:
        return str(self.sentence)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posted:
    """Chains posted on a road: what was posted or the town it leads to, and its hours, worded or empty."""

    what: str
    town: str
    hours: str

    def text_in(self, language: str) -> str:
        road = self.what or Sentence("the road to {town}", {"town": self.town}).text_in(language)
        return f"{road}{self.hours}"


def _in_cords(over_lb: int, *, of_lb: int, cords: Fraction) -> Sentence | str:
    """What is too much, in cords of this load, as a bracket; nothing for bundles alone."""
    if not cords or over_lb >= of_lb:
        return ""
    over = Fraction(over_lb, of_lb) * cords
    return Sentence(" (about {amount})", {"amount": Amount(Fraction(ceil(over * 12), 12))})


def load_cautions(
    load: Load,
    fill: Fill,
    rig: RigValue,
    limits: list[RoadLimit],
    *,
    box_lb: int,
    bed_lb: int,
    pieces: Sequence[Piece],
    chains: Sequence[Posted],
) -> tuple[LoadCaution, ...]:
    """Cautions for sheet and card, the blocking ones first.

    Shapes
        box_lb, bed_lb: in the box, and what rides in the pickup's bed beside a trailer;
        pieces: the wood front to back; chains: where and when they are posted on the way.
    """
    blocking, others = [], []
    if box_lb > rig.payload_lb:
        gaps = {
            "weight": pounds(box_lb),
            "most": pounds(rig.payload_lb),
            "rating": Sentence(wood_limits(rig)[0].rating),
            "over": pounds(box_lb - rig.payload_lb),
            "in_cords": _in_cords(box_lb - rig.payload_lb, of_lb=box_lb, cords=load.cords),
        }
        blocking.append(
            Sentence(
                "Too heavy: {weight} planned, {most} allowed by {rating}. Leave {over} behind{in_cords}.",
                gaps,
            )
        )
    elif box_lb > rig.payload_lb * NEAR_FULL:
        others.append(Sentence("Close to the payload. Wet wood may put it over: take a reading."))
    if fill.box_share > 1:
        blocking.append(Sentence("More than the box holds heaped as usual."))
    blocking += tongue_cautions(rig, pieces)
    others += strap_cautions(rig, length_ft=length_of(pieces), lb=box_lb)
    if rig.has_trailer:
        towing = Sentence(caution("chains").text)
        others += [
            Sentence("Chains posted: {road}. {rule}", {"road": road, "rule": towing}) for road in chains
        ]
    return (
        *(LoadCaution(sentence=sentence, level=Level.BLOCKS) for sentence in blocking),
        *_posted_limits(limits, rig, box_lb + bed_lb, load.cords),
        *(LoadCaution(sentence=sentence) for sentence in others),
        *(
            LoadCaution(sentence=Sentence(usual.text), level=Level.USUAL)
            for usual in cautions_on("load_card")
        ),
    )


def _posted_limits(
    limits: Iterable[RoadLimit], rig: RigValue, wood_lb: int, cords: Fraction
) -> Iterator[LoadCaution]:
    """Bridges and roads the loaded rig is too heavy for, and what would have to stay behind to cross."""
    whole_lb = rig.empty_lb + wood_lb
    for limit in limits:
        if not limit.whole_rig_lb or whole_lb <= limit.whole_rig_lb:
            continue
        over_lb = whole_lb - limit.whole_rig_lb
        gaps = {
            "road": limit.name,
            "most": pounds(limit.whole_rig_lb),
            "whole": pounds(whole_lb),
            "over": pounds(over_lb),
            "in_cords": _in_cords(over_lb, of_lb=wood_lb, cords=cords),
            "note": f" {note}" if (note := in_own_words(limit.note, anyway=True)) else "",
        }
        told = (
            "{road} is posted {most}; loaded you weigh {whole}. Do not cross it loaded: go around it.{note}"
        )
        if over_lb < wood_lb:
            told = (
                "{road} is posted {most}; loaded you weigh {whole}. Do not cross it loaded: go around it, "
                "or leave {over} behind{in_cords}.{note}"
            )
        yield LoadCaution(sentence=Sentence(told, gaps), level=Level.BLOCKS, goes_round=limit.name)


def length_of(pieces: Sequence[Piece]) -> float:
    """Feet of the box the wood takes from the front wall."""
    return max((piece.to_ft for piece in pieces), default=0.0)
