"""Days rigs go out, what they bring in a day, and what taking wood to another yard asks."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from inventory.models import Yard
from routing.core import RoutingError
from routing.core.roads import Point
from routing.earned.costs import Stretch
from routing.models import Rig, SeasonGuesses, Shut
from routing.season.problem import Move
from routing.selectors.earned.market_choices import rigs_with_rates
from routing.selectors.roads.legs import drives_between
from routing.selectors.season.periods import LENGTHS
from routing.selectors.season.work import cords_said, hours_said, open_shares

WORKDAYS = 6  # common practice: a week's days a rig may go out
DAY_HOURS = 8.0  # common practice: a day of loading and driving


def rig_days(
    starts: tuple[date, ...], guesses: SeasonGuesses, rests: list[tuple[str, str]]
) -> tuple[float, ...]:
    """Days rigs may go out in each period: as typed, else six a week for each pickup; less days off."""
    typed = guesses.rig_days_a_week
    rigs = Rig.objects.filter(works=True).values_list("pk", "pickup_id")
    at_once = len({pickup or f"rig {pk}" for pk, pickup in rigs})
    if typed is None and not at_once:
        return ()
    week = at_once * WORKDAYS if typed is None else typed
    source = f"{week} a week, " + (
        "as you typed" if typed is not None else f"six for each of {at_once} that can be out at once"
    )
    rests.append(("Rig days", source))
    worked = open_shares(starts, Shut.Kind.OFF)
    return tuple(week * weeks * share for weeks, share in zip(LENGTHS, worked, strict=False))


def cords_a_day(hours: float, guesses: SeasonGuesses, rests: list[tuple[str, str]]) -> float | None:
    """Cords a rig delivers near in a day: as typed, else as many as eight hours of the drive hold."""
    if guesses.near_cords_a_day is not None:
        rests.append(("Near loads", f"{cords_said(float(guesses.near_cords_a_day))} a rig day, as you typed"))
        return float(guesses.near_cords_a_day)
    if hours <= 0:
        return None
    rests.append(
        ("Near loads", f"{cords_said(DAY_HOURS / hours)} a rig day: eight hours at {hours_said(hours)}")
    )
    return DAY_HOURS / hours


def moves(on: date, yards: list[Yard], load_hours: float, rests: list[tuple[str, str]]) -> tuple[Move, ...]:
    """Ways between the yards with the rig that carries most; none where no road or no rig is known.

    Units
        load_hours: hours to load and unload a cord.
    """
    rigs = rigs_with_rates(on)
    if len(yards) < 2 or not rigs:
        return ()
    rig = rigs[0]
    points = tuple(Point(lat=yard.lat, lon=yard.lon) for yard in yards)
    try:
        there = drives_between(points, points, rig.roads.aboard(rig.payload_lb))
        home = drives_between(points, points, rig.roads.empty)
    except RoutingError:
        return ()
    found, box = [], float(rig.box_cords)
    for i, origin in enumerate(yards):
        for j, target in enumerate(yards):
            out, back = there.leg(i, j), home.leg(j, i)
            if i == j or out is None or back is None:
                continue
            loaded, empty = (Stretch.measured(meters=leg.meters, seconds=leg.seconds) for leg in (out, back))
            cash = loaded.miles * Fraction(rig.rates.loaded_mile) + empty.miles * Fraction(
                rig.rates.empty_mile
            )
            found.append(
                Move(
                    origin=str(origin.pk),
                    target=str(target.pk),
                    hours=load_hours + float(loaded.minutes + empty.minutes) / 60 / box,
                    cash=float(cash) / box,
                )
            )
    if found:
        rests.append(("Between yards", f"{hours_said(min(m.hours for m in found))} and up with {rig.name}"))
    return tuple(found)


def that_matter(
    ways: tuple[Move, ...],
    yards: list[Yard],
    ready: Mapping[tuple[str, str], tuple[tuple[int, int, int], ...]],
) -> tuple[Move, ...]:
    """Ways between yards where wood dries at another pace, and the nearest out of a yard that may fill."""
    kinds = {kind for kind, _ in ready}
    found = [
        way
        for way in ways
        if any(ready.get((kind, way.origin)) != ready.get((kind, way.target)) for kind in kinds)
    ]
    for yard in yards:
        out = [way for way in ways if way.origin == str(yard.pk)]
        if out and yard.room_cords is not None and not any(way in found for way in out):
            found.append(min(out, key=lambda way: way.hours))
    return tuple(found)
