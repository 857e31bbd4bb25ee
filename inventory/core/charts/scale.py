"""A value's place on an axis, the round numbers along it, and which labels have room."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

MOST_LINES = 4
NARROW_PX = 248  # a chart's width on a phone of 390 px, gutters taken off
BARS_PX = 294  # a row's on one of 360 px: bars have no gutters
WIDE_PX = 480  # half of a wide page
LETTER_PX = 8  # of 14 px type, on the wide side
GAP_PX = 10
NO_BREAK = "\u2060"  # as wide as nothing
MOST_LETTERS = 18  # of a name below a column; the table has it whole
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """An axis from one round number to another."""

    low: float
    high: float
    step: float

    def across(self, value: float) -> float:
        """Percent of the way from low to high, kept within it."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return share * PERCENT

    @property
    def ticks(self) -> tuple[float, ...]:
        """The round numbers, low to high."""
        count = round((self.high - self.low) / self.step)
        return tuple(self.low + self.step * place for place in range(count + 1))


def scale_over(values: Iterable[float], *, with_zero: bool = True) -> Scale:
    """The axis that holds all values with at most four round steps.

    >>> scale_over([12.0, 87.5]).ticks
    (0.0, 25.0, 50.0, 75.0, 100.0)
    """
    known = [*values, *([0.0] if with_zero else [])]
    low, high = min(known), max(known)
    if high <= low:
        low, high = (low - 1, high + 1) if not with_zero else (min(low, 0.0), max(high, 0.0) or 1.0)
    size = 10.0 ** floor(log10((high - low) / MOST_LINES))
    for times in (1, 2, 2.5, 5, 10, 20, 25):
        step = size * times
        first, last = floor(low / step) * step, ceil(high / step) * step
        if round((last - first) / step) <= MOST_LINES:
            break
    return Scale(low=first, high=last, step=step)


def labels_that_fit(
    places: Sequence[tuple[float, str]], *, wide_px: float, first: Sequence[int] = ()
) -> frozenset[int]:
    """Which centered labels can be written without meeting, those in `first` before all others.

    Units
        places: (percent across, text); wide_px: the narrowest the drawing gets.
    """
    taken: list[tuple[float, float]] = []
    kept = set()
    for place in (*first, *(n for n in range(len(places)) if n not in first)):
        across, text = places[place]
        half = half_wide(text)
        middle = min(max(across / PERCENT * wide_px, half), max(wide_px - half, half))
        half += GAP_PX / 2
        if all(middle + half <= left or right <= middle - half for left, right in taken):
            taken.append((middle - half, middle + half))
            kept.add(place)
    return frozenset(kept)


def half_wide(text: str) -> float:
    """Half of a label's width, px."""
    return len(text.replace(NO_BREAK, "")) * LETTER_PX / 2


def anchored(across: float, text: str) -> tuple[float, str]:
    """Where a centered label is written and how it hangs there: flush with the side it would leave.

    >>> anchored(50, "Oct"), anchored(1, "Oct"), anchored(99, "Oct")
    ((50, 'middle'), (0.0, 'start'), (100.0, 'end'))
    """
    middle, half = across / PERCENT * NARROW_PX, half_wide(text)
    if middle < half:
        return 0.0, "start"
    return (PERCENT, "end") if middle > NARROW_PX - half else (across, "middle")


def cut(text: str) -> str:
    """A name short enough to stand below a column."""
    return text if len(text) <= MOST_LETTERS else f"{text[: MOST_LETTERS - 1].rstrip()}…"


def label_classes(
    places: Sequence[tuple[float, str]], *, first: Sequence[int] = (), narrow_px: float = NARROW_PX
) -> tuple[str | None, ...]:
    """The class of each label: "" shown always, "w" shown where the page is wide, None left out."""
    always = labels_that_fit(places, wide_px=narrow_px, first=first)
    wide = labels_that_fit(places, wide_px=WIDE_PX, first=sorted(always))
    return tuple("" if n in always else "w" if n in wide else None for n in range(len(places)))
