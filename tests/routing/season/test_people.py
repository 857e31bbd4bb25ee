"""Who can do what: the rows for hours against columns for each person, and every way to spend whole hours."""

from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest

from routing.season.model import Program, planned, solve_season
from routing.season.people import HoursLeft, limits
from routing.season.policies import follow_plan
from routing.season.problem import (
    GREEN,
    SEASONED,
    Choice,
    Market,
    Person,
    Range,
    Rounds,
    Season,
    SplitLot,
    Step,
    Yard,
)
from routing.season.questions import reliefs
from routing.season.scenarios import draw_scenarios, likely_scenario
from routing.season.simulate import live
from tests.routing.season.seasons import random_season, season
from tests.routing.season.test_model import one_lot
from tests.routing.season.test_questions import promised

DRIVES = frozenset({Step.HAUL, Step.MOVE, Step.DELIVER_NEAR, Step.DELIVER_FAR})
LITTLE = 0.02
TIE_AN_HOUR = 0.02  # dollars: the most that preferring the sooner adds to a price


def crew(asked, seed):
    """Three people of random hours, each with random steps; now and then a step that nobody does."""
    dice = np.random.default_rng(seed)
    return tuple(
        Person(
            key=name, name=name, hours=tuple(float(h) for h in dice.uniform(0, 4, asked.periods)),
            steps=frozenset(step for step in Step if dice.random() < 0.55),
        )
        for name in ("ruth", "tam", "ada")
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
def test_rows_for_sets_of_steps_are_what_columns_for_each_person_would_say(seed):
    """Reference: HiGHS on the same program with hours of each person to each step for its hour rows."""
    optimize = pytest.importorskip("scipy.optimize")
    asked = random_season(seed)
    asked = replace(asked, people=crew(asked, seed), allowed={
        **asked.allowed, Step.SLASH: tuple(float(p % 2) / 2 for p in range(asked.periods)),
    })  # fmt: skip
    program = Program(asked, draw_scenarios(asked, count=1 + seed % 2, seed=seed))
    ours = program.solve()

    hour_rows = {row.index() for row, _ in program.now_rows}
    weeks = [(0, 1.0, [*program._now_terms()])]
    for block in program.blocks:
        for period in range(1, asked.periods):
            hour_rows |= {row.index() for row, _ in block.hour_rows[period]}
            work = [*block.work[period]]
            if period < len(program.tend):
                work.append((Step.TEND, [(program.tend[period], 1.0)]))
            weeks.append((period, block.scenario.hours[period], work))
    columns = program.solver.variables()
    rows = [row for row in program.solver.constraints() if row.index() not in hour_rows]
    matrix = np.array([[row.GetCoefficient(column) for column in columns] for row in rows])
    lows, highs = np.array([r.lb() for r in rows]), np.array([r.ub() for r in rows])
    given = len(weeks) * len(asked.people) * len(Step)
    bounds = [(column.lb(), None if np.isinf(column.ub()) else column.ub()) for column in columns]
    fits, fits_by, equal = [], [], []
    for week, (period, found, work) in enumerate(weeks):
        at = {}
        for who, person in enumerate(asked.people):
            mine = np.zeros(len(columns) + given)
            for number, step in enumerate(Step):
                at[who, step] = len(columns) + (week * len(asked.people) + who) * len(Step) + number
                hours = person.hours[period] * found * asked.share_allowed(step, period)
                bounds.append((0.0, hours if step in person.steps else 0.0))
                mine[at[who, step]] = 1.0
            fits.append(mine)
            fits_by.append(person.hours[period] * found)
        for step in Step:
            handed = np.zeros(len(columns) + given)
            for other, terms in work:
                for column, hours in terms if other == step else ():
                    handed[column.index()] += hours
            for who in range(len(asked.people)):
                handed[at[who, step]] = -1.0
            equal.append(handed)
    wide = np.hstack([matrix, np.zeros((len(rows), given))])
    gains = np.array([program.objective.GetCoefficient(column) for column in columns])
    reference = optimize.linprog(
        -np.concatenate([gains, np.zeros(given)]),
        A_ub=np.vstack([wide[np.isfinite(highs)], -wide[np.isfinite(lows)], *fits]),
        b_ub=np.concatenate([highs[np.isfinite(highs)], -lows[np.isfinite(lows)], fits_by]),
        A_eq=np.vstack(equal), b_eq=np.zeros(len(equal)), bounds=bounds,
    )  # fmt: skip

    assert reference.status == 0
    assert -reference.fun == pytest.approx(ours, rel=1e-6, abs=1e-4)


STEPS = (Step.DELIVER_NEAR, Step.DELIVER_FAR, Step.SPLIT)


@pytest.mark.parametrize("seed", range(12))
def test_two_people_of_different_skills_by_trying_every_whole_hour(seed):
    """Reference: each way two people can spend whole hours on three steps in two months, an hour a cord."""
    dice = np.random.default_rng(seed)
    skills = [frozenset(step for step in STEPS if dice.random() < 0.6) for _ in range(2)]
    hours = dice.integers(0, 3, (2, 2))  # person, month
    prices, split_worth = dice.integers(100, 400, 2), float(dice.integers(20, 90))
    demand, dry, raw = dice.integers(0, 3, (2, 2)), int(dice.integers(1, 5)), int(dice.integers(0, 4))
    fir = ("fir", SEASONED)
    asked = Season(
        lengths=(4, 4), yards=(Yard(key="y", name="Yard"),), grounds=(), promises=(), ready={},
        people=tuple(
            Person(key=f"{i}", name=f"{i}", hours=tuple(map(float, hours[i])), steps=skills[i])
            for i in range(2)
        ),
        rounds=(Rounds(key="R", name="R", kind="fir", yard="y", cords=float(raw)),),
        lots=(SplitLot(key="L", name="L", kind="fir", yard="y", cords=float(dry),
                       choices=(Choice(key="leave", name="leave", ready=(0, 0, 0)),)),),
        markets=tuple(
            Market(key=str(step), name=str(step), step=step, price={fir: float(prices[m])}, hours=1.0,
                   demand={fir: tuple(map(float, demand[m]))})
            for m, step in enumerate(STEPS[:2])
        ),
        hours_per_cord={Step.SPLIT: Range.exactly(1.0), Step.STACK: Range.exactly(0.0)},
        cash_per_cord=0.0, keep_value={("fir", GREEN): split_worth},
    )  # fmt: skip

    def spent(person, month):
        """Every way to spend a month's hours: so many on each step."""
        for each in product(range(hours[person][month] + 1), repeat=3):
            idle = any(n for n, step in zip(each, STEPS, strict=True) if step not in skills[person])
            if sum(each) <= hours[person][month] and not idle:
                yield np.array(each)

    best = 0.0
    months = [
        {tuple(a + b) for a in spent(0, month) for b in spent(1, month)} for month in range(2)
    ]  # what the two do together
    for first, second in product(*months):
        near, far, split = (a + b for a, b in zip(first, second, strict=True))
        asked_for = all(week[m] <= demand[m][i] for i, week in enumerate((first, second)) for m in range(2))
        if asked_for and near + far <= dry and split <= raw:
            best = max(best, near * prices[0] + far * prices[1] + split * split_worth)

    assert solve_season(asked, (likely_scenario(asked),)).nets[0] == pytest.approx(best, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("who", [0, 1])
@pytest.mark.parametrize("seed", range(2))
def test_an_hour_of_each_person_is_priced_by_what_they_do(who, seed):
    """The dual of each person's hours lies between what a little less costs and a little more brings."""
    base = season()
    asked = season(people=(base.people[who], base.people[1 - who]))  # the first one's hours are priced
    drawn = draw_scenarios(asked, count=2, seed=seed)
    _, plan = planned(asked, drawn)

    for period, price in enumerate(plan.hour_price):
        first, other = asked.people
        brings, costs = (
            sign * (
                solve_season(
                    replace(asked, people=(replace(first, hours=tuple(
                        h + sign * LITTLE * (p == period) for p, h in enumerate(first.hours)
                    )), other)), drawn, choices=plan.choices,
                ).net - plan.net
            ) / LITTLE
            for sign in (1, -1)
        )  # fmt: skip
        assert brings - TIE_AN_HOUR <= price <= costs + TIE_AN_HOUR


def test_a_saw_closed_half_the_day_leaves_half_of_the_fellers_hours():
    """By hand: Ruth alone fells, so Tam's hours open no saw."""
    found = limits(season(allowed={Step.FELL: (0.5,) * 6}), 0)

    assert [limit.shares for limit in found if limit.steps == {Step.FELL}] == [(0.5, 0.0)]


@pytest.mark.parametrize("seed", range(8))
def test_no_row_says_what_others_say(seed):
    """Each row left out lets some hours through that no people could give."""
    asked = replace(season(), people=crew(season(), seed))
    found = limits(asked, 0)

    for limit in found:
        others = [other for other in found if other is not limit]
        assert not any(
            limit.steps <= frozenset[Step]().union(*(one.steps for one in these))
            and all(
                sum(shares) <= mine + 1e-9
                for mine, shares in zip(
                    limit.shares, zip(*(one.shares for one in these), strict=True), strict=True
                )
            )
            for size in (1, 2)
            for these in combinations(others, size)
        )


def test_where_nobody_drives_nothing_is_delivered_and_the_missing_hands_are_named():
    person = replace(one_lot().people[0], hours=(20.0, 20.0), steps=frozenset(Step) - DRIVES)
    asked = one_lot(people=(person,), promises=(promised(),))

    plan = solve_season(asked, (likely_scenario(asked),))

    assert plan.short["7"] == pytest.approx(1.0)
    assert {relief.what for relief in reliefs(asked)} == {"hands"}


def test_wood_that_is_picked_up_takes_no_drive_and_no_driver():
    """By hand: nobody drives, no rig goes out, yet the buyer comes for the cord; $260, no drive to pay."""
    person = replace(one_lot().people[0], steps=frozenset(Step) - DRIVES)
    asked = one_lot(people=(person,), promises=(replace(promised(), is_pick_up=True),))
    asked = replace(asked, rig_days=(0.0, 0.0), markets=(replace(asked.markets[0], cords_a_day=1.0),))

    plan = solve_season(asked, (likely_scenario(asked),))
    lived = live(asked, likely_scenario(asked), follow_plan)

    assert plan.short["7"] == pytest.approx(0.0)
    assert (plan.mean_net, plan.mean_hours) == pytest.approx((260.0, 0.0))
    assert (lived.net, lived.hours, lived.missed) == pytest.approx((260.0, 0.0, 0.0))


def test_a_season_lived_keeps_to_what_each_does():
    base = season(promises=())
    apart = replace(base, people=(
        replace(base.people[0], steps=frozenset(Step) - DRIVES), replace(base.people[1], steps=DRIVES),
    ))  # fmt: skip
    seen = []

    def watch(left):
        seen.append(left.people)
        return follow_plan(left)

    ours, free = (live(s, likely_scenario(s), watch) for s in (apart, base))

    assert seen[0][1].steps == DRIVES
    assert 0 < ours.net < free.net


def test_hours_left_are_those_of_the_people_who_do_a_step():
    left = HoursLeft(season(), 0, 1.0)  # Ruth 6 h, Tam 3 h and no saw

    left.spend(Step.FELL, 4.0)
    assert left.units({Step.FELL: 1.0}) == pytest.approx(2.0)
    assert left.units({Step.SPLIT: 1.0}) == pytest.approx(5.0)
    left.spend(Step.SPLIT, 4.0)
    assert left.units({Step.FELL: 1.0}) == pytest.approx(1.0)
    assert left.units({Step.SPLIT: 1.0, Step.STACK: 1.0}) == pytest.approx(0.5)
