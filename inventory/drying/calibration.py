"""How often later readings fell inside the band that was told before them: is the forecast to be trusted?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from math import erf, hypot, sqrt

import numpy as np

from inventory.core.charts.bars import Share, shares_chart
from inventory.core.charts.figure import Chart
from inventory.core.figures import NORMAL_80
from inventory.core.gaps import InTurn
from inventory.core.sentences import ENGLISH, Sentence, say
from inventory.drying.forecast import forecast, reading_error
from inventory.drying.history import FaceReading, History

PROMISED = 0.8  # share of readings the band is meant to hold
FEW = 5  # readings under which no score is told
BINS = 5
TOLD = (0.2, 0.4, 0.6, 0.8, 0.9)  # widths of the range around the likely, as shares of such lots
LEAST_WIDTH_PCT = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """A reading against the forecast made without it and all after it.

    Units
        % dry basis; low, high: the band told before, widened by the meter's own error.
    """

    lot: str
    on: date
    read_pct: float
    low_pct: float
    likely_pct: float
    high_pct: float

    @property
    def is_inside(self) -> bool:
        return self.low_pct <= self.read_pct <= self.high_pct

    @property
    def rank(self) -> float:
        """0 to 1: the share of such lots that would have read drier."""
        off = self.read_pct - self.likely_pct
        wide = self.high_pct - self.likely_pct if off > 0 else self.likely_pct - self.low_pct
        return 0.5 * (1 + erf(NORMAL_80 * off / max(wide, LEAST_WIDTH_PCT) / sqrt(2)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """The score of a seller's forecasts.

    Shapes
        by_rank: readings in each fifth of the forecast, driest first; even when the forecast is honest.
        mean_error: points the wood was read wetter than forecast.
        within: for each width of range told (TOLD), how many readings fell inside it.
    """

    scored: tuple[Scored, ...]
    inside: int
    by_rank: tuple[int, ...]
    mean_error: float
    within: tuple[int, ...] = ()

    @property
    def is_enough(self) -> bool:
        return len(self.scored) >= FEW

    @property
    def text(self) -> Sentence | InTurn:
        """The score in a sentence or two."""
        count = len(self.scored)
        if not count:
            return Sentence("No reading has tested the forecasts yet.")
        told = Sentence(
            "{inside} of {all} later readings fell inside the forecast's range",
            {"inside": self.inside, "all": count},
        )
        if not self.is_enough:
            return Sentence(
                "{told}; {few} and more will show whether it can be trusted.", {"told": told, "few": FEW}
            )
        told = Sentence(
            "{told}; it should be 8 of 10. Trust the dates less than they say."
            if self.inside / count < PROMISED - 0.15
            else "{told}; it should be about 8 of 10.",
            {"told": told},
        )
        if abs(self.mean_error) < 1:
            return told
        off = Sentence(
            "They read {points} points wetter on average."
            if self.mean_error > 0
            else "They read {points} points drier on average.",
            {"points": f"{abs(self.mean_error):.0f}"},
        )
        return InTurn((told, off))


def reliability(scored: Iterable[Scored]) -> Reliability:
    rows = tuple(sorted(scored, key=lambda row: (row.on, row.lot)))
    counts = [0] * BINS
    for row in rows:
        counts[min(int(row.rank * BINS), BINS - 1)] += 1
    errors = [row.read_pct - row.likely_pct for row in rows]
    return Reliability(
        scored=rows,
        inside=sum(row.is_inside for row in rows),
        by_rank=tuple(counts),
        mean_error=sum(errors) / len(errors) if errors else 0.0,
        within=tuple(sum(abs(row.rank - 0.5) <= told / 2 for row in rows) for told in TOLD),
    )


def reliability_chart(told: Reliability, *, language: str = ENGLISH) -> Chart | None:
    """The diagram of a seller's forecasts: the share each range promised against what fell inside it."""
    if not told.is_enough:
        return None
    shares = [
        Share(
            label=say("{share} range", language=language, share=f"{promised:.0%}"),
            count=count,
            of=len(told.scored),
            promised=promised,
        )
        for promised, count in zip(TOLD, told.within, strict=True)
    ]
    return shares_chart(
        shares,
        key="reliability",
        title=say("How often readings fell inside the range told before", language=language),
        finding=told.text.text_in(language),
        limit_name=say("what it promised", language=language),
        language=language,
    )


def forecast_before(history: History, reading: FaceReading) -> tuple[float, float, float]:
    """What the forecast says of a reading's day before it is known: low, likely, high.

    The band is widened by the meter's own error: it is the reading that must fall inside.
    """
    stages = tuple(stage for stage in history.stages if stage.from_on <= reading.on)
    earlier = tuple(one for one in history.readings if one.on < reading.on)
    signs = tuple(one for one in history.signs if one.on < reading.on)
    known = forecast(replace(history, stages=stages, readings=earlier, signs=signs))
    likely = known.median_on(reading.on)
    low, high = known.band_on(reading.on)
    meter = NORMAL_80 * float(reading_error(reading.mean_pct, np.array([likely]))[0])
    return likely - hypot(likely - low, meter), likely, likely + hypot(high - likely, meter)
