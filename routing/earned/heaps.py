"""A heap's verdict: what each thing that could be done with it takes, brings and earns, and which is best.

Dollars an hour are told two ways: from here on (the hours already in it are sunk) and all told. The best way
is the one that leaves most once the hours to come are paid at the wage one wants: sunk hours change nothing.
Ranges hold eight of ten such heaps; the marks are the likely figures themselves.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from inventory.core.bands import Band
from inventory.core.lots import DryDays
from inventory.core.money import dollars
from routing.earned.guesses import Guess, HourGuesses, Swing, band_80, measure_next, simulated

SEED = 20_260_918
DRAWS = 2_000
AS_GOOD = Decimal(10)  # dollars between two ways that nobody could tell apart (estimate)
AS_GOOD_AN_HOUR = Decimal(2)  # and dollars an hour (estimate)


SAME_DAYS = timedelta(days=7)  # likely days no further apart are one day: half of all such lots are no surer


@dataclass(frozen=True, slots=True, kw_only=True)
class Way(DryDays):
    """Something that could be done with a heap.

    Units
        hours: still to come, for the whole heap, by step. price: dollars a cord. cash: dollars still to be
        spent, the road included. chance: dry when the first rain comes, 0 to 1, None = it is not sold dry.
        in_time: the chance that it is dry while this winter's wood is bought. barred: why it can't be done
        today, empty if it can.
    """

    key: str
    text: str
    hours: tuple[Guess, ...]
    price: Guess
    cash: Decimal = Decimal(0)
    chance: float | None = None
    in_time: float | None = None
    sold_as: str = ""
    needs: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    barred: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapSoFar:
    """What a heap holds and has taken. Units: cords; hours by step; cash: dollars spent on it."""

    cords: Guess
    hours: tuple[Guess, ...]
    cash: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayEarned:
    """A way worked out.

    Units
        hours: to come; leaves: dollars once the cash to come is paid; from_here, all_told: dollars an hour,
        None without hours; after_wages: likely dollars once the hours to come are paid.
    """

    way: Way
    hours: Band[Decimal]
    leaves: Band[Decimal]
    from_here: Band[Decimal] | None
    all_told: Band[Decimal] | None
    after_wages: Decimal

    @property
    def brings(self) -> Decimal:
        """What it sells for, likely, before the cash still to come."""
        return self.leaves.likely + self.way.cash


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapVerdict:
    """Every way, best first.

    best: the first that can be done; pays: it earns the wage one wants; runner: the next that brings money
    and gains something over it; is_close: the two pay alike, by the sum and by the hour;
    more_hours, less_a_cord: how many more hours, or dollars a cord less, make the runner as good.
    """

    ways: tuple[WayEarned, ...]
    best: WayEarned
    runner: WayEarned | None
    pays: bool
    is_close: bool
    more_hours: Decimal | None
    less_a_cord: Decimal | None
    measure_next: Swing | None  # the guess that moves the answer most

    @property
    def sold(self) -> WayEarned | None:
        """The best way that brings money and can be done."""
        return next((row for row in self.ways if row.leaves.likely > 0 and not row.way.barred), None)


def heap_verdict(heap: HeapSoFar, ways: Iterable[Way], *, target_wage: Decimal) -> HeapVerdict:
    """Every way worked out, the best and what would change it. Give one way at least."""
    found = [way_earned(heap, way, target_wage=target_wage) for way in ways]
    found.sort(key=lambda row: (bool(row.way.barred), -row.after_wages, row.hours.likely))
    best = found[0]
    runner = next(
        (
            row
            for row in found[1:]
            if not row.way.barred and row.leaves.likely > 0 and not _gains_nothing(row, best)
        ),
        None,
    )
    gap = best.after_wages - runner.after_wages if runner else None
    is_close = runner is not None and _pay_alike(best, runner)
    told = gap is not None and not is_close and best.way.price.likely > 0
    return HeapVerdict(
        ways=tuple(found),
        best=best,
        runner=runner,
        pays=best.after_wages >= 0 and best.leaves.likely > 0,
        is_close=is_close,
        more_hours=_tenths(gap / target_wage) if told and gap and target_wage > 0 else None,
        less_a_cord=dollars(Fraction(gap) / Fraction(heap.cords.likely))
        if told and gap and heap.cords.likely > 0
        else None,
        measure_next=_next(heap, best.way),
    )


def _gains_nothing(row: WayEarned, best: WayEarned) -> bool:
    """The same wood as the best way's, no dearer and no sooner, for its hours and cash or more.

    With just its hours and cash, and dry on the same days, it is as good: neither could be told the better.
    """
    if (row.hours.likely, row.way.cash) == (best.hours.likely, best.way.cash) and same_day(
        row.way.likely, best.way.likely
    ):
        return False
    return (
        row.way.sold_as == best.way.sold_as
        and row.hours.likely >= best.hours.likely
        and row.way.cash >= best.way.cash
        and row.way.price.likely <= best.way.price.likely
        and (row.way.likely or date.max) >= (best.way.likely or date.max)
    )


def same_day(one: date | None, other: date | None) -> bool:
    """Whether two likely dry days could not be told apart."""
    return one is not None and other is not None and abs(one - other) <= SAME_DAYS


def _pay_alike(best: WayEarned, runner: WayEarned) -> bool:
    hours = [row.from_here.likely for row in (best, runner) if row.from_here]
    near_by_the_hour = len(hours) < 2 or abs(hours[0] - hours[1]) < AS_GOOD_AN_HOUR
    return best.after_wages - runner.after_wages < AS_GOOD and near_by_the_hour


@lru_cache(maxsize=512)
def way_earned(heap: HeapSoFar, way: Way, *, target_wage: Decimal) -> WayEarned:
    """One way: hours to come, what it leaves, dollars an hour from here on and all told."""
    revenue, cash = _revenue(heap, way), Guess.known("expenses", way.cash)
    hours = total("hours", way.hours)
    low, high = band_80(revenue)
    leaves = Band(
        low=dollars(low - way.cash), likely=dollars(revenue.likely - way.cash), high=dollars(high - way.cash)
    )
    low, high = band_80(hours)
    return WayEarned(
        way=way,
        hours=Band(low=_tenths(low), likely=hours.likely, high=_tenths(high)),
        leaves=leaves,
        from_here=per_hour_band(way.hours, revenue, cash),
        all_told=per_hour_band(
            (*heap.hours, *way.hours), revenue, Guess.known("expenses", way.cash + heap.cash)
        ),
        after_wages=dollars(Fraction(leaves.likely) - Fraction(target_wage) * Fraction(hours.likely)),
    )


def _next(heap: HeapSoFar, way: Way) -> Swing | None:
    hours = (*heap.hours, *way.hours)
    if not hours or sum(guess.low for guess in hours) <= 0:
        return None
    cash = Guess.known("cash", way.cash + heap.cash)
    return measure_next(HourGuesses(hours=hours, revenue=_revenue(heap, way), expenses=cash))


def _revenue(heap: HeapSoFar, way: Way) -> Guess:
    ends = (
        dollars(Fraction(cords) * Fraction(price))
        for cords, price in (
            (heap.cords.low, way.price.low),
            (heap.cords.likely, way.price.likely),
            (heap.cords.high, way.price.high),
        )
    )
    low, likely, high = ends
    return Guess(name="what it brings", low=low, likely=likely, high=high)


def per_hour_band(hours: tuple[Guess, ...], revenue: Guess, expenses: Guess) -> Band[Decimal] | None:
    """Dollars an hour: likely as the figures stand, ends as guesses err; None without hours."""
    taken = total("hours", hours)
    if taken.low <= 0:
        return None
    likely = dollars(Fraction(revenue.likely - expenses.likely) / Fraction(taken.likely))
    drawn = simulated(HourGuesses(hours=hours, revenue=revenue, expenses=expenses), seed=SEED, draws=DRAWS)
    return Band(low=min(drawn.band_low, likely), likely=likely, high=max(drawn.band_high, likely))


def band_of(guess: Guess) -> Band[Decimal]:
    """A guess with the ends that eight of ten keep within."""
    low, high = band_80(guess)
    return Band(low=low, likely=guess.likely, high=high)


def total(name: str, guesses: tuple[Guess, ...]) -> Guess:
    """Guesses added up end by end: they err together."""
    return Guess(
        name=name,
        low=sum((guess.low for guess in guesses), Decimal(0)),
        likely=sum((guess.likely for guess in guesses), Decimal(0)),
        high=sum((guess.high for guess in guesses), Decimal(0)),
    )


def _tenths(value: Decimal) -> Decimal:
    return Decimal(round(Fraction(value) * 10)) / 10
