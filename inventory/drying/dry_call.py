"""What a lot may be called: from five fresh faces, the worst of them, never from habit.

The words themselves differ by place and are data of the sale; this gives the claim behind them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.core import InventoryError
from inventory.core.figures import rule
from inventory.core.gaps import FullDate, InTurn, day_ahead
from inventory.core.moisture import READY_DRY_PCT, on_dry_basis, wet_from_dry
from inventory.core.sentences import FramedRefusal, Sentence, noop
from inventory.drying.forecast import Forecast
from inventory.drying.history import FaceReading

PART_DRY_PCT = rule("part_dry").value
FULL_FACES = 5
MOST_FACES = 9
FRESH_DAYS = int(rule("fresh_reading").value)
WORST = noop("Worst of {faces} fresh faces {pin}% on the pin ({weight}% by weight), read {day}.")
WORST_ONE = noop("Worst of {faces} fresh face {pin}% on the pin ({weight}% by weight), read {day}.")
TOO_OLD = noop(
    "Read too long ago: worst of {faces} fresh faces {pin}% on the pin ({weight}% by weight), read {day}."
)
TOO_OLD_ONE = noop(
    "Read too long ago: worst of {faces} fresh face {pin}% on the pin ({weight}% by weight), read {day}."
)


class BadFaces(FramedRefusal, InventoryError):
    """Readings that cannot be used."""

    frame = "These readings can't be used: {problem}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Faces read, on dry basis: mean and worst."""

    read: tuple[float, ...]
    basis: str
    mean_dry_pct: float
    worst_dry_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DryCall:
    """The claim: "seasoned", "part_seasoned", "green" or "not_read"; with its evidence in one sentence."""

    claim: str
    evidence: Sentence | InTurn
    is_backed: bool


def faces_read(values: Sequence[float], *, basis: str) -> Faces:
    """Mean and worst of the faces, on dry basis.

    Errors
        BadFaces: none or too many, or a percent no meter shows.
    """
    if not 1 <= len(values) <= MOST_FACES:
        raise BadFaces(
            "read one to {most} fresh faces, best five; there are {count}.",
            most=MOST_FACES,
            count=len(values),
        )
    highest = 80 if basis == "wet" else 200
    for value in values:
        if not 3 <= value <= highest:
            raise BadFaces(
                "{value}% on {basis} basis is not a reading; meters show 3 to {highest}.",
                value=value,
                basis=basis,
                highest=highest,
            )
    dry = [on_dry_basis(float(value), basis) for value in values]
    return Faces(
        read=tuple(float(value) for value in values),
        basis=basis,
        mean_dry_pct=sum(dry) / len(dry),
        worst_dry_pct=max(dry),
    )


def dry_call(*, worst_dry_pct: float | None, read_on: date | None, faces: int, on: date) -> DryCall:
    """What the readings allow on a day. Without fresh readings nothing may be claimed."""
    if worst_dry_pct is None or read_on is None:
        return _not_read(Sentence("No fresh split tested yet."))
    if read_on > on:
        return _not_read(Sentence("No fresh split tested by that day."))
    gaps = {
        "faces": faces,
        "pin": f"{round(worst_dry_pct, 1):g}",
        "weight": f"{wet_from_dry(worst_dry_pct):.0f}",
        "day": FullDate(read_on),
    }
    if (on - read_on).days > FRESH_DAYS:
        old = Sentence(TOO_OLD_ONE if faces == 1 else TOO_OLD, gaps)
        return _not_read(InTurn((old, Sentence("Read it again."))))
    claim = (
        "seasoned"
        if worst_dry_pct <= READY_DRY_PCT
        else "part_seasoned"
        if worst_dry_pct <= PART_DRY_PCT
        else "green"
    )
    backed = claim != "seasoned" or faces >= FULL_FACES
    worst = Sentence(WORST_ONE if faces == 1 else WORST, gaps)
    hint = () if backed else (Sentence("Read five faces before you call it dry."),)
    return DryCall(claim=claim, evidence=InTurn((worst, *hint)), is_backed=backed)


def _not_read(evidence: Sentence | InTurn) -> DryCall:
    return DryCall(claim="not_read", evidence=evidence, is_backed=False)


def ready_words(likely: date | None, on: date) -> Sentence:
    """When it is likely dry, the same on every page: "ready now", "likely dry Oct 4".

    >>> str(ready_words(date(2027, 3, 25), date(2026, 9, 18)))
    'likely dry Mar 25, 2027'
    """
    if likely is None:
        return Sentence("not dry within three years")
    if likely <= on:
        return Sentence("ready now")
    return Sentence("likely dry {day}", {"day": day_ahead(likely, on)})


@dataclass(frozen=True, slots=True, kw_only=True)
class RainAnswer:
    """Will it be dry before the first rain? `is_yes` from four chances in five on; words fit to show."""

    chance: float
    is_yes: bool
    text: Sentence


SURE, LIKELY, UNLIKELY = 0.8, 0.5, 0.2  # chances at which the answer changes its words (chosen)


def dry_before_rain(known: Forecast, *, first_rain: date) -> RainAnswer:
    """Yes or no, with the chance out of a hundred such lots."""
    chance = known.chance_dry_on(first_rain)
    hundred = min(max(round(chance * 100), 1), 99) if 0 < chance < 1 else round(chance * 100)
    answer = Sentence(
        "Should be dry before the rain"
        if chance >= SURE
        else "Probably dry before the rain, but not for sure"
        if chance >= LIKELY
        else "Probably won’t be dry before the rain"
        if chance >= UNLIKELY
        else "Won’t be dry before the rain"
    )
    text = Sentence("{answer} ({percent}% chance).", {"answer": answer, "percent": hundred})
    return RainAnswer(chance=chance, is_yes=chance >= SURE, text=text)


def limit_for_worst(readings: Sequence[FaceReading], *, air_pct: float | None = None) -> float:
    """The mean a lot must reach for its worst face to be ready, from how far its faces stood apart last.

    Without readings the limit itself. With the air's moisture the faces draw together as they near it:
    drying at one rate, mean and worst keep the ratio of what each still has to lose. Without it the gap
    is taken to stay, which errs to the wet side.
    """
    if not readings:
        return READY_DRY_PCT
    last = max(readings, key=lambda reading: reading.on)
    gap = last.worst_pct - last.mean_pct
    if air_pct is None or not air_pct < min(last.mean_pct, READY_DRY_PCT):
        return READY_DRY_PCT - gap
    ratio = (last.mean_pct - air_pct) / (last.worst_pct - air_pct)
    return air_pct + (READY_DRY_PCT - air_pct) * ratio
