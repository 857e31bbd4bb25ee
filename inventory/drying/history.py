"""What is known of a lot: how it lay from each day on, what was read, what was seen without a meter."""

from dataclasses import dataclass
from datetime import date

from inventory.drying.engine import BadDrying, Heap
from inventory.drying.start import Start
from inventory.drying.weather import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceReading:
    """Fresh faces read on a day: mean and worst, % dry basis, corrected for cold wood where known."""

    on: date
    mean_pct: float
    worst_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A moisture guessed without a meter on a day, % dry basis, with its standard deviation in points."""

    on: date
    likely_pct: float
    error_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How the wood lay from a day on, and in what air."""

    from_on: date
    heap: Heap
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A lot from its start on: every way it has lain, oldest first, what was read and what was seen of it."""

    start: Start
    stages: tuple[Stage, ...]
    readings: tuple[FaceReading, ...] = ()
    signs: tuple[Sign, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.start.likely_pct <= 300:
            raise BadDrying(
                "it can't have started at {likely_pct:g}% dry basis.", likely_pct=self.start.likely_pct
            )
        if not self.stages or self.stages[0].from_on > self.start.on:
            raise BadDrying("how it lay at its start is not known.")
        if any(
            now.from_on < before.from_on for before, now in zip(self.stages, self.stages[1:], strict=False)
        ):
            raise BadDrying("the ways it has lain are out of order.")

    @property
    def is_known(self) -> bool:
        """Whether anybody read or saw how dry it is."""
        return bool(self.readings or self.signs)

    @property
    def now(self) -> Stage:
        return self.stages[-1]
