"""What holds a load: tie-downs by length and weight, how it lies on the hitch, which ratings are missing.

Cautions in plain sentences, never advice: a seller's own manual and local rules come first.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from inventory.core.gaps import Measured, pounds
from inventory.core.sentences import Sentence
from routing.core.rigs import Rig, rig_figures

# a rating that nothing checks while it is 0, and what it is called
ASKED_OF_TRAILERS = {
    "hitch_tongue_lb": "the hitch's tongue rating",
    "hitch_tow_lb": "the hitch's towing rating",
    "combined_rating_lb": "the rating of pickup and trailer together",
    "trailer_axle_lb": "the rating of the trailer's axles",
    "trailer_tires_lb": "the rating of its tires",
    "hitch_to_axle_ft": "how far its axles lie behind the ball",
}
ASKED_OF_ALL = {"bed_payload_lb": "the pickup's payload", "straps": "the straps that ride along"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Wood of one drop in the box. Units: feet from the front wall; lb as planned."""

    from_ft: float
    to_ft: float
    lb: float


def tie_downs_needed(*, length_ft: float, lb: float) -> int:
    """The least number of straps over a load.

    Source
        49 CFR 393.110: one up to 5 ft and 1,100 lb, two up to 10 ft, one more for each further 10 ft or part.

    >>> [tie_downs_needed(length_ft=feet, lb=3000) for feet in (4, 10, 12, 21)]
    [2, 2, 3, 4]
    """
    figures = rig_figures()
    if length_ft <= figures["tie_down_short_ft"] and lb <= figures["tie_down_light_lb"]:
        return 1
    each = figures["tie_down_each_ft"]
    return 2 + ceil(max(length_ft - each, 0) / each)


def strap_cautions(rig: Rig, *, length_ft: float, lb: float) -> tuple[Sentence, ...]:
    """What is wrong with the straps written down for a rig: too few, or rated too low together."""
    if not rig.straps:
        return ()
    needed = tie_downs_needed(length_ft=length_ft, lb=lb)
    found = []
    if rig.straps < needed:
        found.append(
            Sentence(
                "Too few straps: {straps} ride along, {feet} of load needs {needed} (49 CFR 393.110).",
                {"straps": rig.straps, "feet": Measured(length_ft, "ft", 0), "needed": needed},
            )
        )
    asked = lb * rig_figures()["tie_down_strength"]
    if rig.strap_lb and rig.straps * rig.strap_lb < asked:
        found.append(
            Sentence(
                "Straps too weak: together rated {rated}, half the load is {half} (49 CFR 393.106).",
                {"rated": pounds(rig.straps * rig.strap_lb), "half": pounds(asked)},
            )
        )
    return tuple(found)


def tongue_lb(rig: Rig, pieces: Sequence[Piece]) -> float | None:
    """Pounds on the ball with the wood where it lies; None without a trailer or its measures.

    The empty trailer is taken at the usual share (rigs.toml); each piece turns about the axles.
    """
    axle = float(rig.hitch_to_axle_ft)
    if not rig.has_trailer or axle <= 0:
        return None
    on_ball = rig_figures()["tongue_share"] * rig.trailer_empty_lb
    for piece in pieces:
        middle = float(rig.hitch_to_box_ft) + (piece.from_ft + piece.to_ft) / 2
        on_ball += piece.lb * (axle - middle) / axle
    return on_ball


def tongue_cautions(rig: Rig, pieces: Sequence[Piece]) -> tuple[Sentence, ...]:
    """A tongue too light to tow or heavier than a rating, full or after a drop.

    Shapes
        pieces: front to back; the last one is dropped first.
    """
    least, most = rig_figures()["tongue_light"], _most_on_ball_lb(rig)
    for dropped in range(len(pieces)):
        aboard = pieces[: len(pieces) - dropped]
        on_ball = tongue_lb(rig, aboard)
        if on_ball is None:
            return ()
        share = on_ball / (rig.trailer_empty_lb + sum(piece.lb for piece in aboard))
        when = Sentence(" after drop {number}", {"number": dropped}) if dropped else ""
        if share < least:
            gaps = {"when": when, "weight": pounds(max(on_ball, 0)), "share": max(share, 0), "least": least}
            return (
                Sentence(
                    "Tongue too light{when}: about {weight}, {share:.0%} of the trailer. "
                    "Under {least:.0%} it sways: load more ahead of the axles.",
                    gaps,
                ),
            )
        if on_ball > most:
            return (
                Sentence(
                    "Tongue too heavy{when}: about {weight}, {most} allowed. "
                    "Load more over the axles, or leave {over} of the front behind.",
                    {
                        "when": when,
                        "weight": pounds(on_ball),
                        "most": pounds(most),
                        "over": pounds(_over_lb(rig, aboard[0], on_ball - most)),
                    },
                ),
            )
    return ()


def _over_lb(rig: Rig, front: Piece, too_much_lb: float) -> int:
    """Wood at the front that presses the ball so much, rounded up to 10 lb; all of it at the most."""
    axle = float(rig.hitch_to_axle_ft)
    lever = (axle - float(rig.hitch_to_box_ft) - (front.from_ft + front.to_ft) / 2) / axle
    return ceil(min(too_much_lb / max(lever, 0.01), front.lb) / 10) * 10


def _most_on_ball_lb(rig: Rig) -> float:
    """What hitch and pickup may bear on the ball, by the ratings that are written down."""
    figures = rig_figures()
    allowed = [float(rig.truck_gross_lb - rig.truck_lb)]
    if rig.hitch_tongue_lb:
        allowed.append(float(rig.hitch_tongue_lb))
    if rig.bed_payload_lb:
        allowed.append(rig.bed_payload_lb - figures["driver"] - figures["tools"])
    return min(allowed)


def missing_ratings(rig: Rig) -> tuple[str, ...]:
    """Ratings and measures of a rig nobody wrote down, in words: until then nothing checks them."""
    asked = ASKED_OF_ALL | ASKED_OF_TRAILERS if rig.has_trailer else ASKED_OF_ALL
    return tuple(words for name, words in asked.items() if not getattr(rig, name))
