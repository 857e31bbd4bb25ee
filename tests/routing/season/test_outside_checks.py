"""The season's program against published examples, exhaustive search, HiGHS, and changes of its limits."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from routing.season.model import Program, planned, solve_season
from routing.season.problem import (
    SEASONED,
    Choice,
    Market,
    Person,
    Season,
    SplitLot,
    Step,
    Yard,
)
from routing.season.scenarios import draw_scenarios, likely_scenario
from tests.routing.season.seasons import random_season, season

FIR = ("fir", SEASONED)
CENT = 0.01
TIE_AN_HOUR = 0.02  # dollars: the most that preferring the sooner adds to a price


def two_markets(
    *, hours: float, cords: float, near: tuple[float, float, float], far: tuple[float, float, float]
) -> Season:
    """One month, dry fir in one yard; a market is its price, its hours a cord and the cords it takes."""

    def market(key: str, step: Step, terms: tuple[float, float, float]) -> Market:
        price, each, takes = terms
        return Market(key=key, name=key, step=step, price={FIR: price}, demand={FIR: (takes,)}, hours=each)

    lot = SplitLot(key="L", name="L", kind="fir", yard="y", cords=cords,
                   choices=(Choice(key="leave", name="leave", ready=(0, 0, 0)),))  # fmt: skip
    return Season(
        lengths=(4,), people=(Person(key="r", name="Ruth", hours=(hours,)),),
        yards=(Yard(key="y", name="Yard"),), grounds=(), rounds=(), lots=(lot,),
        markets=(market("near", Step.DELIVER_NEAR, near), market("far", Step.DELIVER_FAR, far)),
        promises=(), hours_per_cord={}, cash_per_cord=0.0, ready={}, keep_value={},
    )  # fmt: skip


def sold(plan):
    return {market: cords for (market, _, _), cords in plan.sales.items()}


def test_the_glass_makers_example():
    """Max 3x + 5y with x <= 4, 2y <= 12, 3x + 2y <= 18: (2, 6), 36; shadow prices 0, 3/2, 1.

    Source: Hillier and Lieberman, Introduction to Operations Research, the Wyndor Glass example.
    """
    asked = two_markets(hours=18, cords=100, near=(3, 3, 4), far=(5, 2, 6))

    plan = solve_season(asked, (likely_scenario(asked),))

    assert sold(plan) == pytest.approx({"near": 2.0, "far": 6.0})
    assert plan.nets[0] == pytest.approx(36.0)
    assert plan.hour_price[0] == pytest.approx(1.0, abs=CENT)
    one_more = replace(asked.markets[1], demand={FIR: (7.0,)})  # 2y <= 14 pays twice 3/2
    more = replace(asked, markets=(asked.markets[0], one_more))
    assert solve_season(more, (likely_scenario(more),)).nets[0] == pytest.approx(39.0)


def test_the_gas_makers_example():
    """Max 40 g + 50 c with g + c <= 50, 3 g + 4 c <= 180, c <= 40: (20, 30), 2300; prices 10, 10, 0.

    Source: the Volsay production planning problem, IBM ILOG CPLEX Optimization Studio documentation.
    """
    asked = two_markets(hours=180, cords=50, near=(40, 3, 1000), far=(50, 4, 40))

    plan = solve_season(asked, (likely_scenario(asked),))

    assert sold(plan) == pytest.approx({"near": 20.0, "far": 30.0})
    assert plan.nets[0] == pytest.approx(2300.0)
    assert plan.hour_price[0] == pytest.approx(10.0, abs=CENT)
    assert plan.cord_price["fir", "y"][0] == pytest.approx(10.0, abs=CENT)


@pytest.mark.parametrize("seed", range(25))
def test_tiny_seasons_by_trying_every_whole_cord(seed):
    """Whole cords, an hour to deliver each: the program's corners are whole, so it equals the best try."""
    dice = np.random.default_rng(seed)
    months, kept = 3, 20.0
    hours = [int(h) for h in dice.integers(0, 4, months)]
    prices = [float(p) for p in dice.integers(100, 400, 2)]
    demand = dice.integers(0, 3, (2, months))
    lots = [(int(dice.integers(1, 4)), ready) for ready in dice.integers(0, months, 2)]

    asked = Season(
        lengths=(4,) * months, people=(Person(key="r", name="Ruth", hours=tuple(map(float, hours))),),
        yards=(Yard(key="y", name="Yard"),), grounds=(), rounds=(),
        lots=tuple(
            SplitLot(key=f"L{i}", name="L", kind="fir", yard="y", cords=float(cords),
                     choices=(Choice(key="leave", name="leave", ready=(int(ready),) * 3),))
            for i, (cords, ready) in enumerate(lots)
        ),
        markets=tuple(
            Market(key=key, name=key, step=step, price={FIR: price}, hours=1.0,
                   demand={FIR: tuple(float(d) for d in row)})
            for key, step, price, row in zip(
                ("near", "far"), (Step.DELIVER_NEAR, Step.DELIVER_FAR), prices, demand, strict=True)
        ),
        promises=(), hours_per_cord={}, cash_per_cord=0.0, ready={}, keep_value={FIR: kept},
    )  # fmt: skip
    best = 0.0
    for tried in product(*(range(demand[m, p] + 1) for p in range(months) for m in range(2))):
        weeks = [tried[2 * p : 2 * p + 2] for p in range(months)]
        there = [sum(cords for cords, ready in lots if ready <= p) for p in range(months)]
        gone = [sum(map(sum, weeks[: p + 1])) for p in range(months)]
        if any(sum(w) > h for w, h in zip(weeks, hours, strict=True)) or any(
            g > t for g, t in zip(gone, there, strict=True)
        ):
            continue
        paid = sum(a * prices[0] + b * prices[1] for a, b in weeks)
        best = max(best, paid + kept * (sum(cords for cords, _ in lots) - gone[-1]))

    assert solve_season(asked, (likely_scenario(asked),)).nets[0] == pytest.approx(best, abs=CENT)


@pytest.mark.parametrize("seed", range(6))
def test_random_seasons_agree_with_highs(seed):
    """Reference: scipy.optimize.linprog (HiGHS) on the same rows."""
    optimize = pytest.importorskip("scipy.optimize")
    asked = random_season(seed)
    program = Program(asked, draw_scenarios(asked, count=1 + seed % 2, seed=seed))
    ours = program.solve()
    columns, rows = program.solver.variables(), program.solver.constraints()
    matrix = np.array([[row.GetCoefficient(column) for column in columns] for row in rows])
    lows, highs = np.array([r.lb() for r in rows]), np.array([r.ub() for r in rows])
    gains = np.array([program.objective.GetCoefficient(column) for column in columns])

    reference = optimize.linprog(
        -gains,
        A_ub=np.vstack([matrix[np.isfinite(highs)], -matrix[np.isfinite(lows)]]),
        b_ub=np.concatenate([highs[np.isfinite(highs)], -lows[np.isfinite(lows)]]),
        bounds=[(column.lb(), None if np.isinf(column.ub()) else column.ub()) for column in columns],
    )

    assert reference.status == 0
    assert -reference.fun == pytest.approx(ours, rel=1e-6, abs=1e-4)


# -- prices equal what a little more of each limit brings ---------------------------------------------------

LITTLE = 0.02


def a_little(asked: Season, what: str, period: int, amount: float) -> Season:
    """The season with a little more (or less) of a limit: an hour, a dry cord, room, a far trip."""
    if what == "hour":
        first, *others = asked.people
        hours = tuple(h + amount * (p == period) for p, h in enumerate(first.hours))
        return replace(asked, people=(replace(first, hours=hours), *others))
    if what == "cord":  # the lot is there from the start and a little larger: no choice is taken anew
        lot = next(lot for lot in asked.lots if lot.key == f"dry {period}")
        larger = replace(lot, cords=lot.cords + amount)
        return replace(asked, lots=tuple(larger if other is lot else other for other in asked.lots))
    if what == "room":
        yards = tuple(
            yard if yard.room_cords is None else replace(yard, room_cords=yard.room_cords + amount)
            for yard in asked.yards
        )
        return replace(asked, yards=yards)
    far = next(market for market in asked.markets if market.trip_cords is not None)
    trips = tuple(t + amount * (p == period) for p, t in enumerate(far.trips))
    markets = tuple(replace(far, trips=trips) if m is far else m for m in asked.markets)
    return replace(asked, markets=markets)


def with_dry_lots(asked: Season) -> Season:
    """A cord of fir that turns dry in each period, in the yard without a limit, to be made larger."""
    dry = tuple(
        SplitLot(key=f"dry {p}", name="dry", kind="fir", yard="upper", cords=0.5,
                 choices=(Choice(key="leave", name="leave", ready=(p, p, p)),))
        for p in range(asked.periods)
    )  # fmt: skip
    return replace(asked, lots=(*asked.lots, *dry))


@pytest.mark.slow
@pytest.mark.parametrize("what", ["hour", "cord", "room", "trip"])
@pytest.mark.parametrize("seed", range(2))
def test_prices_lie_between_what_a_little_less_costs_and_a_little_more_brings(what, seed):
    """A program's value is concave in its limits: the dual is between the two one-sided differences."""
    asked = with_dry_lots(season(yards=(Yard(key="siding", name="S", room_cords=4.0), season().yards[1])))
    drawn = draw_scenarios(asked, count=2, seed=seed)
    _, plan = planned(asked, drawn)
    prices = {
        "hour": plan.hour_price,
        "cord": plan.cord_price["fir", "upper"],
        "room": (plan.room_price["siding"],),
        "trip": plan.trip_price["far"],
    }[what]

    for period, price in enumerate(prices):
        more, less = (
            solve_season(a_little(asked, what, period, amount), drawn, choices=plan.choices).net
            for amount in (LITTLE, -LITTLE)
        )
        brings, costs = (more - plan.net) / LITTLE, (plan.net - less) / LITTLE
        assert brings - TIE_AN_HOUR <= price <= costs + TIE_AN_HOUR
