"""What the season model answers: this week's work, the course of the season, and prices."""

from dataclasses import dataclass, field

from routing.season.block import Place
from routing.season.ledger import Ledger, Part, total
from routing.season.problem import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodSums:
    """Means over the scenarios for one period: hours by step, cords by dryness and by market, money."""

    hours: dict[Step, float]
    seasoned_cords: float
    drying_cords: float
    green_cords: float
    rounds_cords: float
    sold: dict[str, float]
    money: Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class StepWork:
    """Hours and cords or acres of a step at a place."""

    step: Step
    target: str
    hours: float
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskPart(StepWork):
    """One line of a task. sale: which wood and whose, for deliveries."""

    sale: Part | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One scenario's course, in real dollars. demand, found: mean factors on sales and hours offered;
    drying: 0 fast, 1 likely, 2 slow."""

    money: Ledger
    hours: float
    demand: float
    found: float
    drying: int

    @property
    def net(self) -> float:
        return total(self.money)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(StepWork):
    """Work of this week: a step at a place (ground, lot or kind@yard), hours and cords or acres.

    hours: for the slowest scenario; what the parts lack of them is to spare in the mean one.
    """

    parts: tuple[TaskPart, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadTask(Task):
    """Work of the next periods: a step at a place, mean hours and amount, and where it begins."""

    first: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPlan:
    """The best plan found.

    Units
        net, bound: the objective in expected dollars, and the relaxation's. ways: the scenarios' courses;
        money: their mean, hours at what they earn elsewhere.
        sales: mean cords of the first period by (market, place, dryness). hour_price: dollars one more hour
        of the first who works would bring in each period; step_price: dollars an hour of a step takes from
        all else in the first; cord_price: by (kind, yard), one more seasoned cord in each period;
        room_price: one more cord of room by yard, over the season; trip_price: one more far trip in each
        period, by market. short: mean cords of promises missed, by name. cash_short: dollars the
        cash box falls below zero at its lowest in the worst scenario. thinned, cleared: mean acres of each
        ground by period, felled and rid of slash. slash_late: mean acres whose slash misses its day, by
        ground. ahead: work that begins within the next periods. made: by (kind, yard), mean cords split to
        be dried in each period. trips: far trips of each period, by market, whole ones in the first.
        day_price: dollars one more rig day in each period would bring; empty = days are not counted. days:
        rig days used in each period. cut: mean cords felled, by ground. most_there: mean cords in each yard
        when it is fullest.
    """

    net: float
    bound: float
    ways: tuple[Way, ...]
    money: Ledger
    tasks: tuple[Task, ...]
    choices: dict[str, str]
    sales: dict[tuple[str, Place, str], float]
    periods: tuple[PeriodSums, ...]
    hour_price: tuple[float, ...]
    cord_price: dict[Place, tuple[float, ...]]
    room_price: dict[str, float]
    trip_price: dict[str, tuple[float, ...]]
    short: dict[str, float]
    step_price: dict[Step, float] = field(default_factory=dict)
    cash_short: float = 0.0
    thinned: dict[str, tuple[float, ...]] = field(default_factory=dict)
    cleared: dict[str, tuple[float, ...]] = field(default_factory=dict)
    slash_late: dict[str, float] = field(default_factory=dict)
    ahead: tuple[AheadTask, ...] = ()
    made: dict[Place, tuple[float, ...]] = field(default_factory=dict)
    trips: dict[str, tuple[float, ...]] = field(default_factory=dict)
    day_price: tuple[float, ...] = ()
    days: tuple[float, ...] = ()
    cut: dict[str, float] = field(default_factory=dict)
    most_there: dict[str, float] = field(default_factory=dict)

    @property
    def nets(self) -> tuple[float, ...]:
        return tuple(way.net for way in self.ways)

    @property
    def hours(self) -> tuple[float, ...]:
        return tuple(way.hours for way in self.ways)

    @property
    def mean_net(self) -> float:
        return sum(self.nets) / len(self.nets)

    @property
    def mean_hours(self) -> float:
        return sum(self.hours) / len(self.hours)
