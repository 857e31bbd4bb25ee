"""Hours, ground and closures of the season ahead, from the books and the seller's guesses."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory.core.dates import month_day
from inventory.core.local import in_local_units, local
from inventory.core.local_measures import MEASURES
from inventory.core.units import cord_units
from inventory.models import Movement, Unit, WorkEntry
from inventory.selectors.work import logged_rates
from routing.models import SeasonGuesses, Shut
from routing.season.problem import Ground, Person, Range, Step
from routing.selectors.earned.worth import entries_of_books
from routing.selectors.heaps.hours import StepRates, handling
from routing.selectors.season.periods import LENGTHS, NOT_WOOD, YEAR, period_of, quarter_of

DAY_BEGINS, DAY_ENDS = 7.0, 19.0  # common practice: the hours people work outdoors
DAY_WORDS = "a day's work counted from 7 am to 7 pm"
OWN_GROUND = Range(low=0.75, likely=1.0, high=1.25)  # estimate: the next acre against those thinned
QUARTERS = ("fall", "winter", "spring", "summer")  # October to December is the first quarter of a season
SAWS = frozenset({Step.FELL})
DRIVES = frozenset({Step.HAUL, Step.MOVE, Step.DELIVER_NEAR, Step.DELIVER_FAR})
GUESS_OF = {Step.FELL: "rounds", Step.HAUL: "haul", Step.SPLIT: "split", Step.STACK: "heap"}


def cords_said(cords: float) -> str:
    """A mean of the plan in the unit of the place: "4.5 cords"."""
    return f"{_plain(cords * float(cord_units()))} {in_local_units('cords')}"


def hours_said(hours: float) -> str:
    """Hours a cord in the unit of the place: "1.7 hours a cord"."""
    return f"{_plain(hours / float(cord_units()))} hours {in_local_units('a cord')}"


def _plain(figure: float) -> str:
    return f"{figure:.2f}".rstrip("0").rstrip(".")


def _an_acre(cords: Any) -> str:
    """Cords an acre, likely (low to high), as the place counts wood and ground, without their unit."""
    each = float(cord_units()) * (float(MEASURES["by_acre"].each) if local().is_metric else 1.0)
    likely, low, high = (
        f"{float(end) * each:.1f}".removesuffix(".0") for end in (cords.likely, cords.low, cords.high)
    )
    return f"{likely} ({low} to {high})"


def people(
    on: date, starts: tuple[date, ...], guesses: SeasonGuesses, rests: list[tuple[str, str]]
) -> tuple[Person, ...]:
    own = [getattr(guesses, f"{quarter}_hours") for quarter in QUARTERS]
    if any(value is None for value in own):
        last_year = _hours_a_week(on)
        own = [last_year[i] if value is None else value for i, value in enumerate(own)]
        rests.append(("Hours a week", "as last year's work log and runs; type your own to change them"))
    helper = [getattr(guesses, f"helper_{quarter}_hours") or Decimal(0) for quarter in QUARTERS]

    worked = open_shares(starts, Shut.Kind.OFF)
    if min(worked) < 1:
        rests.append(("Days off", "as typed under Closures; no hours are planned on them"))

    def offered(week: list[Decimal]) -> tuple[float, ...]:
        return tuple(
            float(week[quarter_of(start)]) * weeks * share
            for start, weeks, share in zip(starts, LENGTHS, worked, strict=False)
        )

    people = [Person(key="you", name="You", hours=offered(own), steps=_steps(guesses.saws, guesses.drives))]
    if any(helper):
        does, name = _steps(guesses.helper_saws, guesses.helper_drives), guesses.helper_name or "Helper"
        people.append(Person(key="helper", name=name, hours=offered(helper), steps=does))
    for what, steps in (("saws", SAWS), ("drives", DRIVES)):
        who = [person.name for person in people if steps <= person.steps]
        if len(who) < len(people):
            rests.append((f"Who {what}", f"{' and '.join(who) or 'nobody'}, as you typed"))
    return tuple(people)


def _steps(saws: bool, drives: bool) -> frozenset[Step]:
    """What somebody does: all but what takes a saw or a wheel they do not take."""
    return frozenset(Step) - (frozenset() if saws else SAWS) - (frozenset() if drives else DRIVES)


def _hours_a_week(on: date) -> list[Decimal]:
    """Hours worked a week by quarter, over the last twelve months of the books."""
    sums = [Fraction(0)] * 4
    for entry in entries_of_books(on - YEAR, on):
        sums[quarter_of(entry.on)] += entry.delivery_hours + entry.yard_hours
    return [Decimal(round(float(total / 13), 1)) for total in sums]


def hours_per_cord(rests: list[tuple[str, str]]) -> dict[Step, Range]:
    """Hours a cord by step: as logged, else as guessed."""
    rates = StepRates(asked={}, logged=logged_rates(), delivering=None)
    found, sources = {}, []
    for step, key in GUESS_OF.items():
        guess, source = rates.rate(key)
        found[step] = Range(low=float(guess.low), likely=float(guess.likely), high=float(guess.high))
        sources.append(f"{guess.name} {_plain(float(guess.likely / cord_units()))} ({source})")
    rests.append(("Hours a cord", ", ".join(sources)))
    return found


def slash_owed(rests: list[tuple[str, str]], starts: tuple[date, ...]) -> Iterator[Ground]:
    """Ground thinned already whose slash still lies and has a day to be gone by."""
    rows = Unit.objects.filter(slash_by__isnull=False, slash_done_on=None).order_by("name")
    for unit in rows:
        lies = unit.acres - unit.acres_to_thin
        if unit.slash_by and not unit.acres_to_thin and lies > 0:
            rests.append((f"Slash ({unit.name})", f"gone by {month_day(unit.slash_by)}, as you typed"))
            yield replace(_bare(unit, starts), slash_left=float(lies), slash_hours=_slash_hours())


def grounds(rests: list[tuple[str, str]], starts: tuple[date, ...] = ()) -> Iterator[Ground]:
    """Ground with acres left to thin: by its counted plots, else by what thinned ground gave."""
    units = list(Unit.objects.order_by("name"))
    left = [(unit, unit.acres_to_thin) for unit in units if unit.acres_to_thin > 0]
    if not left:
        return
    so_far = _cords_per_acre(units)
    usual = handling()["cords_an_acre"]
    slash = _slash_hours()
    for unit, acres in left:
        counted = unit.counted
        if counted is not None and counted.whole.likely > 0:
            per_acre, whole = dict(counted.by_wood), counted.whole
            yields = Range(low=whole.low / whole.likely, likely=1.0, high=whole.high / whole.likely)
            source = f"{_an_acre(whole)} from {counted.plots} plots"
        elif so_far:
            per_acre, yields, source = so_far, OWN_GROUND, "what the ground you thinned so far gave"
        else:
            likely = float(usual.likely)
            per_acre = {"fir": likely}
            yields = Range(low=float(usual.low) / likely, likely=1.0, high=float(usual.high) / likely)
            source = f"estimate of {_an_acre(usual)} until you count trees on plots"
        rests.append((f"Cords an acre ({unit.name})", source))
        lies = unit.acres - acres if unit.slash_by and not unit.slash_done_on else Decimal(0)
        yield replace(
            _bare(unit, starts),
            acres=float(acres),
            cords_per_acre=per_acre,
            slash_hours=slash,
            slash_left=float(lies),
            yields=yields,
        )


def _bare(unit: Unit, starts: tuple[date, ...]) -> Ground:
    """A ground with its days and its cost-share, and nothing to do yet."""
    share = unit.cost_share_dollars if unit.cost_share_paid_on is None else Decimal(0)

    def period(day: date | None) -> int | None:
        return period_of(day, starts) if day and starts else None

    return Ground(
        key=f"ground {unit.pk}",
        name=unit.name,
        acres=0.0,
        cords_per_acre={},
        cost_share=float(share / unit.acres),
        cost_share_until=period(unit.cost_share_until),
        slash_by=None if unit.slash_done_on else period(unit.slash_by),
    )


def _cords_per_acre(units: list[Unit]) -> dict[str, float]:
    thinned = [unit for unit in units if unit.started_on and unit.acres_to_thin < unit.acres]
    acres = sum(float(unit.acres - unit.acres_to_thin) for unit in thinned)
    if not acres:
        return {}
    cords: defaultdict[str, float] = defaultdict(float)
    for unit in thinned:
        for kind, sold in unit.sold_before.items():
            cords[kind] += float(sold["cords"])
    measured = Movement.objects.filter(lot__unit__in=thinned, kind=Movement.Kind.MEASURED)
    made = measured.exclude(logged__taken_back_at__isnull=False).values_list("lot__wood", "cords")
    for kind, amount in made:
        if kind not in NOT_WOOD:
            cords[kind] += float(amount)
    return {kind: amount / acres for kind, amount in cords.items() if amount > 0}


def _slash_hours() -> float:
    """Hours an acre, as logged on ground thinned so far, else as guessed."""
    thinned = [unit for unit in Unit.objects.all() if unit.started_on]
    acres = sum(float(unit.acres - unit.acres_to_thin) for unit in thinned)
    hours = sum(
        float(hours)
        for hours in WorkEntry.objects.filter(unit__in=thinned, job=WorkEntry.Job.SLASH).values_list(
            "hours_likely", flat=True
        )
    )
    return hours / acres if acres and hours else float(handling()["slash_an_acre"].likely)


def allowed_shares(starts: tuple[date, ...], rests: list[tuple[str, str]]) -> dict[Step, tuple[float, ...]]:
    """Share of each period open to felling and slash, by date.

    Closures of saws and of burning hold; once a burning window is typed, slash is done in windows only, where
    any ground left to thin burns its slash.
    """
    found: dict[Step, tuple[float, ...]] = {}
    saws, burning = (open_shares(starts, kind) for kind in (Shut.Kind.SAW, Shut.Kind.BURN))
    if min(saws) < 1:
        found[Step.FELL] = saws
        rests.append(("Felling", f"not while saws are closed, as typed under Closures ({DAY_WORDS})"))
    closed_but_windows = open_shares(starts, Shut.Kind.WINDOW)
    left = [
        unit
        for unit in Unit.objects.all()
        if unit.acres_to_thin > 0 or (unit.slash_by and not unit.slash_done_on)
    ]
    burns = any(unit.slash_method in ("", Unit.Slash.BURN) for unit in left)
    if not burns:
        return found
    if min(closed_but_windows) < 1:
        in_window = tuple(1 - share for share in closed_but_windows)
        found[Step.SLASH] = tuple(min(a, b) for a, b in zip(in_window, burning, strict=True))
        rests.append(("Slash", "in the burning windows typed under Closures, and at no other time"))
    elif min(burning) < 1:
        found[Step.SLASH] = burning
        rests.append(("Slash", "not while burning is closed, as typed under Closures"))
    return found


def open_shares(starts: tuple[date, ...], kind: str) -> tuple[float, ...]:
    """Share of each period's working hours in which no closure of a kind holds."""
    rows = Shut.objects.filter(kind=kind, to_on__gte=starts[0])
    shuts = list(rows.values_list("from_on", "to_on", "from_time", "to_time"))
    found = []
    for start, weeks in zip(starts, LENGTHS, strict=False):
        days = [start + timedelta(days=i) for i in range(7 * weeks)]
        closed = sum(_closed([(a, b) for first, last, a, b in shuts if first <= day <= last]) for day in days)
        found.append(1 - closed / len(days))
    return tuple(found)


def _closed(hours: list[tuple[time | None, time | None]]) -> float:
    """Share of a day's working hours that some closure takes; one without hours takes them all."""
    taken, until = 0.0, DAY_BEGINS
    for begins, ends in sorted((_hour(a, DAY_BEGINS), _hour(b, DAY_ENDS)) for a, b in hours):
        taken += max(min(ends, DAY_ENDS) - max(begins, until), 0.0)
        until = max(until, ends)
    return taken / (DAY_ENDS - DAY_BEGINS)


def _hour(at: time | None, otherwise: float) -> float:
    return otherwise if at is None else at.hour + at.minute / 60
