"""What one load costs: the road, loaded and empty, and the driver's minutes.

Splitting it over the load's orders is `shares`; setting it against the price is `margins`.
Sums are exact fractions inside and become dollars to the cent once, half up, on the way out.
"""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files

from inventory.core.dates import full_date
from inventory.core.gaps import FullDate
from inventory.core.sentences import Sentence
from inventory.core.units import METERS_PER_MILE
from routing.core import RoutingError

SECONDS_PER_MINUTE = 60
MINUTES_PER_HOUR = 60
SECONDS_PER_HOUR = 3600
TIME_IS_FREE = 100_000  # seconds a mile, where nobody is paid: the shortest way


class NoRates(RoutingError):
    """No running cost of the rig holds on the day."""

    def __init__(self, *, on: date, first_on: date | None) -> None:
        self.on = on
        self.first_on = first_on
        known = (
            f"the first one is in effect from {full_date(first_on)}" if first_on else "none was ever entered"
        )
        super().__init__(
            "No running cost per mile holds on {on}: {known}. Enter one that starts on or before that day.",
            on=FullDate(on),
            known=known,
        )


class BadCost(RoutingError):
    """A mile, a minute, a rate or an amount of wood that cannot be."""

    says = "{value} cannot be the {what}: use zero or more."


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A piece of road in one direction.

    Units
        miles and minutes, exact.
    """

    miles: Fraction
    minutes: Fraction

    def __post_init__(self) -> None:
        if self.miles < 0:
            raise BadCost(what="miles of a stretch of road", value=self.miles)
        if self.minutes < 0:
            raise BadCost(what="minutes of a stretch of road", value=self.minutes)

    @classmethod
    def of(cls, miles: str | int | Decimal, minutes: str | int | Decimal) -> "Stretch":
        """A stretch from figures as people write them.

        >>> Stretch.of("3.8", 8).miles
        Fraction(19, 5)
        """
        return cls(miles=Fraction(miles), minutes=Fraction(minutes))

    @classmethod
    def measured(cls, *, meters: int, seconds: int) -> "Stretch":
        """A stretch from a road engine's meters and seconds."""
        return cls(miles=meters / METERS_PER_MILE, minutes=Fraction(seconds, SECONDS_PER_MINUTE))


def crew_wage(rig_wage: Decimal, wages: Sequence[Decimal | None]) -> Decimal:
    """Dollars an hour of a run's people: one without a wage of their own earns the rig's, and with nobody
    named one person drives.
    """
    return sum((rig_wage if wage is None else wage for wage in wages or [None]), Decimal(0))


NOWHERE = Stretch(miles=Fraction(0), minutes=Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningRates:
    """What a rig's mile and its driver's hour cost from a date on.

    Units
        dollars per mile, dollars per run, dollars per hour.
    """

    from_on: date
    loaded_mile: Decimal
    empty_mile: Decimal
    fixed_run: Decimal = Decimal(0)
    wage_hour: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        for name in ("loaded_mile", "empty_mile", "fixed_run", "wage_hour"):
            if getattr(self, name) < 0:
                raise BadCost(what=name.replace("_", " "), value=getattr(self, name))

    @property
    def mile_seconds(self) -> tuple[int, int]:
        """Seconds at the wheel that cost as much as a mile, loaded and empty; they decide between ways."""
        if not self.wage_hour:
            return (TIME_IS_FREE, TIME_IS_FREE)
        loaded, empty = (
            round(SECONDS_PER_HOUR * Fraction(mile) / Fraction(self.wage_hour))
            for mile in (self.loaded_mile, self.empty_mile)
        )
        return min(loaded, TIME_IS_FREE), min(empty, TIME_IS_FREE)


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesRule:
    """How long the halts of a load take: per yard stop, per cord, per drop."""

    yard_stop: Fraction
    load_per_cord: Fraction
    drop: Fraction
    throw_off_per_cord: Fraction
    stack_per_cord: Fraction

    def __post_init__(self) -> None:
        for name in self.__slots__:
            if getattr(self, name) < 0:
                raise BadCost(
                    what=Sentence("minutes of {work}", {"work": name.replace("_", " ")}),
                    value=getattr(self, name),
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class DropWork:
    """One drop of a load and the work it asks for."""

    order: str
    cords: Fraction
    is_stacked: bool = False

    def __post_init__(self) -> None:
        if self.cords < 0:
            raise BadCost(what="cords of a drop", value=self.cords)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandMinutes:
    """The minutes one drop takes by itself, without driving and without the yard stop."""

    loading: Fraction
    halt: Fraction
    throwing_off: Fraction
    stacking: Fraction

    @property
    def total(self) -> Fraction:
        """All of them together."""
        return self.loading + self.halt + self.throwing_off + self.stacking


def minutes_rule() -> MinutesRule:
    """The rule shipped with the app, from costs.toml."""
    return MinutesRule(**_figures())


def rates_on(rates: Iterable[RunningRates], on: date) -> RunningRates:
    """The running cost that holds on a day: the newest one that has started.

    Errors
        NoRates: none has started by then.
    """
    known = sorted(rates, key=lambda rate: rate.from_on)
    started = [rate for rate in known if rate.from_on <= on]
    if not started:
        raise NoRates(on=on, first_on=known[0].from_on if known else None)
    return started[-1]


def hand_minutes(drop: DropWork, rule: MinutesRule) -> HandMinutes:
    """What one drop's own loading, halt, throwing off and stacking take, in minutes."""
    return HandMinutes(
        loading=rule.load_per_cord * drop.cords,
        halt=rule.drop,
        throwing_off=rule.throw_off_per_cord * drop.cords,
        stacking=rule.stack_per_cord * drop.cords if drop.is_stacked else Fraction(0),
    )


def exact_road_dollars(
    *,
    loaded_miles: Fraction,
    empty_miles: Fraction,
    rates: RunningRates,
    hire: Decimal = Decimal(0),
    fixed: Decimal = Decimal(0),
) -> Fraction:
    """Trip cost before rounding: loaded and empty miles at their rates, hire and fixed cost."""
    if loaded_miles < 0 or empty_miles < 0:
        raise BadCost(what="miles of a trip", value=min(loaded_miles, empty_miles))
    return (
        Fraction(rates.loaded_mile) * loaded_miles
        + Fraction(rates.empty_mile) * empty_miles
        + Fraction(hire)
        + Fraction(fixed)
    )


def drive_dollars(loaded: Stretch, empty: Stretch, rates: RunningRates) -> Fraction:
    """What a drive costs before rounding: its miles, loaded and empty, and the driver's time on them."""
    return exact_road_dollars(loaded_miles=loaded.miles, empty_miles=empty.miles, rates=rates) + (
        Fraction(rates.wage_hour) * (loaded.minutes + empty.minutes) / MINUTES_PER_HOUR
    )


@cache
def _figures() -> dict[str, Fraction]:
    table = tomllib.loads(files("routing.earned").joinpath("costs.toml").read_text("utf-8"))
    return {name: Fraction(str(entry["value"])) for name, entry in table.items()}
