"""Haul it or sell it here: a far market set against the near one.

What the trip earns more, what hours that takes, what price would make it worth it, and how far it would
still be worth it. Pooling several far orders is `pools`; the caution about pests is the page's.
Costs and revenues are dollars to the cent before they are compared, so that printed sums agree.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core.charts.marks import money
from inventory.core.money import dollars
from inventory.core.sentences import FramedRefusal
from inventory.core.units import rate_words
from routing.core import RoutingError
from routing.earned.costs import MINUTES_PER_HOUR, NOWHERE, MinutesRule, Stretch


class BadTrip(FramedRefusal, RoutingError):
    """A market trip that cannot be."""

    frame = "The trip cannot be compared: {problem}."


@dataclass(frozen=True, slots=True, kw_only=True)
class TripRoad:
    """The road of a trip to a market and what it costs.

    Units
        out: loaded, back: empty, hop: between two drops. loaded_mile, empty_mile: dollars; hire: dollars
        a trip.
    """

    out: Stretch
    back: Stretch
    hop: Stretch = NOWHERE
    loaded_mile: Decimal
    empty_mile: Decimal
    hire: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketTrip(TripRoad):
    """Taking some wood to a market and coming home empty.

    Units
        revenue: dollars for all of it; cords: all of it. drops: a trip; trips: how many such trips.
    """

    revenue: Decimal
    cords: Fraction
    drops: int = 1
    trips: int = 1

    def __post_init__(self) -> None:
        if self.cords < 0:
            raise BadTrip("it carries less than no wood")
        if self.drops < 1 or self.trips < 1:
            raise BadTrip("it needs a drop and a trip at least")
        if min(self.loaded_mile, self.empty_mile, self.hire) < 0:
            raise BadTrip("a mile or the hire costs less than nothing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of the comparison: what comes in, what it costs, how long it takes.

    Units
        revenue: dollars; exact_cost: dollars before rounding; minutes: exact.
    """

    revenue: Decimal
    exact_cost: Fraction
    minutes: Fraction
    cords: Fraction

    @property
    def cost(self) -> Decimal:
        """Dollars to the cent."""
        return dollars(self.exact_cost)


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulAnswer:
    """Far against near.

    Units
        gain: dollars more; extra_minutes: more minutes (below zero when it saves time);
        per_extra_hour: dollars for each extra hour, None when there is none;
        needed_premium: dollars a cord that the far price must stand above the near one.
    """

    far: Side
    near: Side
    gain: Decimal
    extra_minutes: Fraction
    per_extra_hour: Decimal | None
    needed_premium: Decimal | None
    is_worth_it: bool
    target_wage: Decimal

    @property
    def saves_minutes(self) -> Fraction:
        """Minutes saved by hauling, when it saves any."""
        return max(Fraction(0), -self.extra_minutes)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        gain = f"{money(abs(self.gain))} {'more' if self.gain >= 0 else 'less'}"
        if self.per_extra_hour is None:
            verdict = "worth it" if self.is_worth_it else "not worth it"
            return f"Hauling brings {gain} and saves {spoken_minutes(self.saves_minutes)}: {verdict}."
        earned = f"Hauling brings {gain} for {spoken_minutes(self.extra_minutes)} more: "
        an_hour = f"{money(self.per_extra_hour)} an extra hour"
        if self.is_worth_it:
            return f"{earned}{an_hour}, at or above your {money(self.target_wage)}. Worth it."
        wanted = (
            f" It would take {rate_words(self.needed_premium)} more than here."
            if self.needed_premium is not None
            else ""
        )
        return f"{earned}{an_hour}, below your {money(self.target_wage)}. Not worth it.{wanted}"


def side_of(trip: MarketTrip, rule: MinutesRule, *, is_going_anyway: bool = False) -> Side:
    """What a trip brings, costs and takes.

    is_going_anyway: the rig would make the journey without wood; then only what the wood adds counts:
    the dearer loaded miles out, the hops between drops, and the handling, not the drive.
    """
    hops = trip.drops - 1
    hop_cost = Fraction(trip.loaded_mile) * trip.hop.miles * hops
    if is_going_anyway:
        road = (Fraction(trip.loaded_mile) - Fraction(trip.empty_mile)) * trip.out.miles + hop_cost
        drive = trip.hop.minutes * hops
    else:
        road = (
            Fraction(trip.loaded_mile) * trip.out.miles
            + hop_cost
            + Fraction(trip.empty_mile) * trip.back.miles
        )
        drive = trip.out.minutes + trip.back.minutes + trip.hop.minutes * hops
    halts = drive + rule.yard_stop + rule.drop * trip.drops
    return Side(
        revenue=dollars(trip.revenue),
        exact_cost=trip.trips * (road + Fraction(trip.hire)),
        minutes=trip.trips * halts + trip.cords * (rule.load_per_cord + rule.throw_off_per_cord),
        cords=trip.cords,
    )


def kept_instead(worth: Decimal, cords: Fraction) -> Side:
    """The near side when the wood would not sell here this season: what keeping it is worth, no work."""
    return Side(revenue=dollars(worth), exact_cost=Fraction(0), minutes=Fraction(0), cords=cords)


def haul_or_not(far: Side, near: Side, *, target_wage: Decimal) -> HaulAnswer:
    """Far against near: gain, extra hours, dollars an extra hour, the premium it would take.

    The gain is taken from costs rounded to the cent, the premium from exact ones.
    """
    gain = (far.revenue - near.revenue) - (far.cost - near.cost)
    extra = far.minutes - near.minutes
    wanted = Fraction(target_wage) * extra / MINUTES_PER_HOUR
    premium = (far.exact_cost - near.exact_cost + wanted) / far.cords if far.cords > 0 else None
    return HaulAnswer(
        far=far,
        near=near,
        gain=gain,
        extra_minutes=extra,
        per_extra_hour=dollars(Fraction(gain) * MINUTES_PER_HOUR / extra) if extra > 0 else None,
        needed_premium=dollars(premium) if premium is not None else None,
        is_worth_it=Fraction(gain) >= wanted,
        target_wage=target_wage,
    )


def break_even_miles(
    *, premium_per_cord: Decimal, trip: MarketTrip, near: Side, rule: MinutesRule, target_wage: Decimal
) -> Fraction | None:
    """Loaded miles out at which a premium just pays cost and hours, at this trip's speeds.

    The way back keeps its proportion to the way out. None when even a market next door would not pay.

    Errors
        BadTrip: the trip has no miles to scale.
    """
    if trip.out.miles <= 0:
        raise BadTrip("it has no miles; choose a market some way off")
    far = side_of(trip, rule)
    wage = Fraction(target_wage) / MINUTES_PER_HOUR
    miles = trip.out.miles
    by_mile = (
        trip.trips
        * (
            Fraction(trip.loaded_mile) * miles
            + Fraction(trip.empty_mile) * trip.back.miles
            + wage * (trip.out.minutes + trip.back.minutes)
        )
        / miles
    )
    standing = far.exact_cost + wage * far.minutes - by_mile * miles
    earned = Fraction(premium_per_cord) * trip.cords + near.exact_cost + wage * near.minutes
    if by_mile == 0 or earned < standing:
        return None
    return (earned - standing) / by_mile


def break_even_cords(
    *, premium_per_cord: Decimal, trip: MarketTrip, near: Side, rule: MinutesRule, target_wage: Decimal
) -> Fraction | None:
    """Cords on one far trip from which the premium pays cost and hours.

    Selling near is taken to cost and to last in proportion to the cords. None when no amount would pay.

    Errors
        BadTrip: the near side has no cords to go by.
    """
    if near.cords <= 0:
        raise BadTrip("the near market has no cords to compare with")
    wage = Fraction(target_wage) / MINUTES_PER_HOUR
    by_hand = wage * (rule.load_per_cord + rule.throw_off_per_cord)
    far = side_of(trip, rule)
    standing = far.exact_cost + wage * far.minutes - by_hand * trip.cords
    by_cord = Fraction(premium_per_cord) + (near.exact_cost + wage * near.minutes) / near.cords - by_hand
    if by_cord <= 0:
        return None
    return standing / by_cord


def spoken_minutes(minutes: Fraction) -> str:
    """Minutes as people say them.

    >>> spoken_minutes(Fraction(201))
    '3 h 21 min'
    """
    whole = int(minutes + Fraction(1, 2))
    hours, rest = divmod(whole, MINUTES_PER_HOUR)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
