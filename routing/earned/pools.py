"""The pool: far orders waiting to share one trip.

Who waits until when, which of them ride best together, what the trip gains as it fills, and the last day
to say yes or no. The comparison itself is `market`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory.core.dates import short_day
from inventory.core.local import money_words
from inventory.core.local_measures import measure_words
from inventory.core.rows import columns_of
from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError
from routing.core.rigs import Rig, weigh
from routing.earned.costs import MINUTES_PER_HOUR, MinutesRule, Stretch
from routing.earned.markets import HaulAnswer, MarketTrip, Side, TripRoad, haul_or_not, side_of

MOST_WEIGHED = 12


class BadPool(FramedRefusal, RoutingError):
    """A pool that cannot be weighed."""

    frame = "The pool cannot be weighed: {problem}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A far order waiting for company.

    Units
        far_price: dollars there; near_price: dollars the same wood would bring here, 0 when it would not
        sell; box_ft3: room its loose wood takes; bundle_ft3: its bundles, in box or bed; lb: planned weight.
        waits_until: the last day it will be delivered on; None waits for as long as it takes.
    """

    order: str
    customer: str
    cords: Fraction
    far_price: Decimal
    near_price: Decimal
    box_ft3: Fraction
    lb: int
    bundle_ft3: Fraction = Fraction(0)
    waits_until: date | None = None
    is_firm: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolTrip(TripRoad):
    """The far trip a pool would ride on, and the near market its wood would go to instead.

    Units
        miles and minutes each way; box_ft3, bed_ft3, payload_lb: the rig's room; dollars a mile.
        rig: what the bed may weigh beside the trailer is reckoned of it; None: any weight.
    """

    near_out: Stretch
    near_back: Stretch
    near_hop: Stretch
    box_ft3: Fraction
    payload_lb: int
    bed_ft3: Fraction = Fraction(0)
    rig: Rig | None = None
    is_going_anyway: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolStep:
    """The pool with one more order in it."""

    joined: Waiting
    answer: HaulAnswer
    box_share: Fraction
    bed_ft3: Fraction
    weight_share: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolAnswer:
    """The pool as it stands today.

    Units
        decide_by: the last day to say go so that the most impatient rider is still served, None when
        nobody is in a hurry. verdict: "go", "wait" or "call off".
    """

    steps: tuple[PoolStep, ...]
    decide_by: date | None
    verdict: str
    sentence: str

    @property
    def answer(self) -> HaulAnswer | None:
        """The comparison for all the riders; None for an empty pool."""
        return self.steps[-1].answer if self.steps else None


def pool_answer(
    waiting: Sequence[Waiting],
    trip: PoolTrip,
    *,
    rule: MinutesRule,
    target_wage: Decimal,
    on: date,
    notice_days: int = 2,
) -> PoolAnswer:
    """Which waiting orders ride together, what each adds, and whether to go, wait or call it off.

    The riders are those who together leave most after the hours are paid, among all groups that fit.
    They join in the order in which their patience ends.

    Units
        notice_days: days between saying go and driving.

    Errors
        BadPool: more than twelve still waiting, or two with the same order.
    """
    if len({order.order for order in waiting}) < len(waiting):
        raise BadPool("an order waits in it twice")
    patient = [order for order in waiting if order.waits_until is None or order.waits_until >= on]
    if len(patient) > MOST_WEIGHED:
        raise BadPool(
            "{waiting} orders wait and {most} can be weighed; plan two trips",
            waiting=len(patient),
            most=MOST_WEIGHED,
        )
    riders = sorted(
        _best_riders(patient, trip, rule=rule, target_wage=target_wage),
        key=lambda order: (order.waits_until or date.max, order.order),
    )
    steps = tuple(
        PoolStep(
            joined=riders[count - 1],
            answer=_weighed(riders[:count], trip, rule=rule, target_wage=target_wage),
            box_share=packed.box_share,
            bed_ft3=packed.bed_ft3,
            weight_share=Fraction(packed.all_lb, trip.payload_lb),
        )
        for count in range(1, len(riders) + 1)
        for packed in (_packed(riders[:count], trip),)
    )
    ends = [order.waits_until for order in riders if order.waits_until is not None]
    decide_by = min(ends) - timedelta(days=notice_days) if ends else None
    verdict = _verdict(steps, decide_by=decide_by, on=on)
    return PoolAnswer(
        steps=steps,
        decide_by=decide_by,
        verdict=verdict,
        sentence=_sentence(steps, verdict=verdict, decide_by=decide_by, on=on),
    )


@dataclass(frozen=True, slots=True)
class _Packed:
    """A group as it would lie: bundles ride in the box, and what of them it has no room for in the bed."""

    wood_ft3: Fraction
    bundle_ft3: Fraction
    all_lb: int
    bundle_lb: int
    trip: PoolTrip

    @property
    def bed_share(self) -> Fraction:
        """How much of the bundles has to ride in the bed: 0 to 1, more when even that is not enough."""
        over_ft3 = self.wood_ft3 + self.bundle_ft3 - self.trip.box_ft3
        over_lb = self.all_lb - self.trip.payload_lb
        if over_ft3 <= 0 and over_lb <= 0:
            return Fraction(0)
        if not self.bundle_ft3 or not self.bundle_lb:
            return Fraction(2)
        return max(over_ft3 / self.bundle_ft3, Fraction(over_lb, self.bundle_lb))

    @property
    def bed_ft3(self) -> Fraction:
        return min(self.bed_share, Fraction(1)) * self.bundle_ft3

    @property
    def box_share(self) -> Fraction:
        return (self.wood_ft3 + self.bundle_ft3 - self.bed_ft3) / self.trip.box_ft3


def _packed(riders: Iterable[Waiting], trip: PoolTrip) -> _Packed:
    group = tuple(riders)
    return _Packed(
        wood_ft3=sum((order.box_ft3 for order in group), Fraction(0)),
        bundle_ft3=sum((order.bundle_ft3 for order in group), Fraction(0)),
        all_lb=sum(order.lb for order in group),
        bundle_lb=sum(order.lb for order in group if order.bundle_ft3),
        trip=trip,
    )


def fits_together(riders: Iterable[Waiting], trip: PoolTrip) -> bool:
    """Whether box, bed and payload have room for all of them, the bed with that trailer on its hitch."""
    return not what_is_full(tuple(riders), trip)


def what_is_full(riders: Sequence[Waiting], trip: PoolTrip) -> str:
    """What keeps the last of them from riding with the others, as a sentence; "" when nothing does."""
    packed = _packed(riders, trip)
    if packed.wood_ft3 > trip.box_ft3:
        return "The box has no room left for it."
    if packed.all_lb - packed.bundle_lb > trip.payload_lb or (packed.bed_share > 0 and not trip.bed_ft3):
        if packed.all_lb > trip.payload_lb:
            return (
                f"Together they weigh {measure_words(packed.all_lb, 'lb')} and the rig may carry "
                f"{measure_words(trip.payload_lb, 'lb')}."
            )
        return "The box has no room left for it."
    if packed.bed_ft3 > trip.bed_ft3:
        return "Box and pickup bed have no room left for it."
    bed_lb = packed.bed_share * packed.bundle_lb
    box_lb = min(packed.all_lb, trip.payload_lb)
    room = weigh(trip.rig, wood_lb=box_lb).bed_room_lb if trip.rig else bed_lb
    if bed_lb > room:
        others = [order.order for order in riders[:-1] if order.bundle_ft3]
        whose = f"the bundles of order {' and '.join(others)}" if others else "its bundles"
        return (
            f"With it the box is full and {whose} would ride in the pickup bed: "
            f"{measure_words(bed_lb, 'lb')}, where beside that trailer it may carry "
            f"{measure_words(max(0, int(room)), 'lb')}."
        )
    return ""


def _best_riders(
    waiting: Sequence[Waiting], trip: PoolTrip, *, rule: MinutesRule, target_wage: Decimal
) -> tuple[Waiting, ...]:
    best: tuple[Waiting, ...] = ()
    most: Fraction | None = None
    for group in _groups(waiting, trip):
        if not fits_together(group, trip):
            continue
        answer = _weighed(group, trip, rule=rule, target_wage=target_wage)
        left = Fraction(answer.gain) - Fraction(target_wage) * answer.extra_minutes / MINUTES_PER_HOUR
        if most is None or left > most:
            best, most = group, left
    return best


def _groups(waiting: Sequence[Waiting], trip: PoolTrip) -> Iterator[tuple[Waiting, ...]]:
    """Groups in the order of `combinations`, but none that holds one whose wood alone is too much already."""
    grown: list[tuple[tuple[Waiting, ...], Fraction, int]] = [((), Fraction(0), 0)]
    while grown:
        smaller, grown = grown, []
        for group, ft3, lb in smaller:
            after = waiting.index(group[-1]) + 1 if group else 0
            for order in waiting[after:]:
                all_ft3, all_lb = ft3 + order.box_ft3, lb + (0 if order.bundle_ft3 else order.lb)
                if all_ft3 <= trip.box_ft3 and all_lb <= trip.payload_lb:
                    grown.append(((*group, order), all_ft3, all_lb))
                    yield grown[-1][0]


def _weighed(
    riders: Sequence[Waiting], trip: PoolTrip, *, rule: MinutesRule, target_wage: Decimal
) -> HaulAnswer:
    far = side_of(
        MarketTrip(
            revenue=sum((order.far_price for order in riders), Decimal(0)),
            cords=sum((order.cords for order in riders), Fraction(0)),
            drops=len(riders),
            **columns_of(TripRoad, trip),
        ),
        rule,
        is_going_anyway=trip.is_going_anyway,
    )
    return haul_or_not(far, _near(riders, trip, rule), target_wage=target_wage)


def _near(riders: Sequence[Waiting], trip: PoolTrip, rule: MinutesRule) -> Side:
    """What the riders' wood would bring here: one near trip for those that would sell."""
    sellable = [order for order in riders if order.near_price > 0]
    if not sellable:
        return Side(revenue=Decimal("0.00"), exact_cost=Fraction(0), minutes=Fraction(0), cords=Fraction(0))
    return side_of(
        MarketTrip(
            revenue=sum((order.near_price for order in sellable), Decimal(0)),
            cords=sum((order.cords for order in sellable), Fraction(0)),
            out=trip.near_out,
            back=trip.near_back,
            hop=trip.near_hop,
            loaded_mile=trip.loaded_mile,
            empty_mile=trip.empty_mile,
            drops=len(sellable),
        ),
        rule,
    )


def _verdict(steps: Sequence[PoolStep], *, decide_by: date | None, on: date) -> str:
    if not steps:
        return "wait"
    if steps[-1].answer.is_worth_it:
        return "go"
    if decide_by is not None and on > decide_by:
        return "call off"
    return "wait"


def _sentence(steps: Sequence[PoolStep], *, verdict: str, decide_by: date | None, on: date) -> str:
    if not steps:
        return "Nobody is waiting who fits on one trip."
    answer = steps[-1].answer
    last_day = None
    if decide_by is not None:
        last_day = "today" if decide_by <= on else f"by {short_day(decide_by)}"
    if verdict == "go":
        return f"Go: {answer.sentence} Say so {last_day or 'when you like'}."
    short = Fraction(answer.target_wage) * answer.extra_minutes / MINUTES_PER_HOUR - Fraction(answer.gain)
    wanted = money_words(int(short) + (short > int(short)))
    if verdict == "wait":
        decide = f"Decide {last_day or 'when one more asks'}."
        return f"Wait: the pool is {wanted} short of paying your hours. {decide}"
    return (
        f"Cancel it: the pool is {wanted} short of paying your hours and the last day to decide has passed."
    )
