"""Ways of deciding what to do and sell in a period, from nothing but what lies there.

`follow_plan` plans anew each period; `as_last_year` sells first, then splits, hauls and fells by habit and
lets every lot lie; `green_now` does the same and sells everything green.
"""

from dataclasses import dataclass, field, replace
from typing import NamedTuple

from routing.season.block import Place
from routing.season.model import solve_season
from routing.season.problem import GREEN, SEASONED, Market, Season, Step
from routing.season.scenarios import likely_scenario, poor_scenario

ANY = 1e6  # as many cords as are asked for
CENT = 0.01
SELLING = (Step.DELIVER_NEAR, Step.DELIVER_FAR)


class Sale(NamedTuple):
    market: str
    place: Place
    dryness: str
    cords: float


class Work(NamedTuple):
    """Hours of a step at a ground, a lot of rounds, a kind@yard, or a kind@yard@green to be sold green."""

    step: Step
    target: str
    hours: float

    @property
    def is_green(self) -> bool:
        return self.target.endswith(f"@{GREEN}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """What a policy decides for one period."""

    sales: tuple[Sale, ...] = ()
    work: tuple[Work, ...] = ()
    choices: dict[str, str] = field(default_factory=dict)


def follow_plan(left: Season) -> Period:
    """The first period of the plan of what is left; buyers beyond it by bid prices.

    The plan is for the likely season; while anything is promised, or slash has a day, it keeps those in a
    poor one too. Slash that lies is cleared before more is made, and what was made after.

    Wood goes to whoever asks, best payer first, where the price pays the drive, the hours at their price and
    the cord at its own, or where the plan itself sells it.

    Source
        Bid prices from duals: Talluri and van Ryzin 1998, Management Science 44(11): 1577-1593.
    """
    owed = left.promises or any(ground.slash_by is not None for ground in left.grounds)
    scenarios = (likely_scenario(left), poor_scenario(left)) if owed else (likely_scenario(left),)
    plan = solve_season(left, scenarios)
    sales = [Sale(*key, cords) for key, cords in plan.sales.items()]
    bids = [
        (
            _left_over(market, price) - market.hours * plan.step_price[market.step],
            Sale(market.key, (kind, yard.key), dry, ANY),
        )
        for market in left.markets
        for (kind, dry), price in market.price.items()
        for yard in left.yards
        if dry == SEASONED and (kind, yard.key) in plan.cord_price  # wood that is sold out has no price
    ]
    sales += [
        sale
        for left_over, sale in sorted(bids, reverse=True)
        if left_over >= plan.cord_price[sale.place][0] - CENT
    ]
    work = [Work(task.step, task.target, task.hours) for task in plan.tasks if task.step not in SELLING]
    slash = [item for item in work if item.step == Step.SLASH]
    others = [item for item in work if item.step != Step.SLASH]
    return Period(
        sales=tuple(sales),
        work=(*slash, *others, *slash),
        choices=plan.choices,
    )


def _left_over(market: Market, price: float) -> float:
    """Dollars a cord leaves after its drive."""
    trip = market.trip_cash / market.trip_cords if market.trip_cords else 0.0
    return price - market.cash - trip


def as_last_year(left: Season) -> Period:
    """By habit: sell what is asked for, split what lies there, haul what is felled, fell and clear evenly.

    Promises are kept as they are under the plan: wood promised green is split green first.
    """
    hours = sum(person.hours[0] for person in left.people)
    work: list[Work] = []
    makes = left.hours_per_cord[Step.SPLIT].likely + left.hours_per_cord[Step.STACK].likely
    green = _green_to_make(left)
    for lot in left.rounds:
        if lot.needs_haul:
            work.append(Work(Step.HAUL, lot.key, lot.cords * left.hours_per_cord[Step.HAUL].likely))
            continue
        place = f"{lot.kind}@{lot.yard}"
        promised = min(lot.cords, green.get(lot.kind, 0.0))
        green[lot.kind] = green.get(lot.kind, 0.0) - promised
        work.append(Work(Step.SPLIT, f"{place}@{GREEN}", promised * makes))
        work.append(Work(Step.SPLIT, place, (lot.cords - promised) * makes))
    for ground in left.grounds:
        acres = ground.acres / max(left.periods, 1)
        cords = sum(ground.cords_per_acre.values()) * acres
        work.append(Work(Step.FELL, ground.key, cords * left.hours_per_cord[Step.FELL].likely))
        if left.share_allowed(Step.SLASH, 0) > 0:  # all that lies, when it may be burned
            work.append(Work(Step.SLASH, ground.key, (acres + ground.slash_left) * ground.slash_hours))
    asked = sum(item.hours for item in work)
    share = min(1.0, hours / asked) if asked > 0 else 0.0
    return Period(
        sales=_all_that_is_asked(left),
        work=tuple(item._replace(hours=item.hours * share) for item in work),
        choices={lot.key: lot.choices[0].key for lot in left.lots},
    )


def _green_to_make(left: Season) -> dict[str, float]:
    """Cords promised green by kind, less what lies there green."""
    found: dict[str, float] = {}
    for promise in left.promises:
        if promise.dryness == GREEN:
            found[promise.kind] = found.get(promise.kind, 0.0) + promise.cords
    for lot in left.lots:
        if lot.kind in found and lot.choices[0].becomes == GREEN:
            found[lot.kind] -= lot.cords
    return {kind: max(cords, 0.0) for kind, cords in found.items()}


def green_now(left: Season) -> Period:
    """As last year, but whatever is split is sold green and lots that may be sold green are."""
    habit = as_last_year(left)
    greens = {lot.key: c.key for lot in left.lots for c in lot.choices if c.becomes == GREEN}
    return replace(
        habit,
        work=tuple(
            item._replace(target=f"{item.target.removesuffix(f'@{GREEN}')}@{GREEN}")
            if item.step == Step.SPLIT
            else item
            for item in habit.work
        ),
        choices={**habit.choices, **greens},
    )


def _all_that_is_asked(left: Season) -> tuple[Sale, ...]:
    return tuple(
        Sale(market.key, (kind, yard.key), dryness, weeks[0])
        for market in left.markets
        for (kind, dryness), weeks in market.demand.items()
        for yard in left.yards
    )
