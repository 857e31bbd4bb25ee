"""The season ahead: how long the advice takes, and a hundred seeded seasons under the plan and as last year.

    python -m tests.bench.season [--seasons 100] [--seed 16]

Bars: the advice within 10 s of one core; the plan better than last year's habit by more than chance; no
promise broken.
"""

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from statistics import median

from routing.season.advice import advise
from routing.season.policies import as_last_year, follow_plan, green_now
from routing.season.problem import Season
from routing.season.scenarios import draw_scenarios
from tests.bench.ground import percentile, stand_up
from tests.routing.season.compare import Margins, lived
from tests.routing.season.seasons import season as small_season

ADVICE_SECONDS = 10.0
PROCESSES = 2
LEAST_CORDS = 1e-6


def main() -> int:
    """The demo's books and the small season of the tests; how many bars were missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.season", description=__doc__)
    parser.add_argument("--seasons", type=int, default=100)
    parser.add_argument("--seed", type=int, default=16)
    asked = parser.parse_args()
    missed = 0
    for name, season in (("demo's year", _demo_season()), ("small season", small_season())):
        start, cpu = time.perf_counter(), time.process_time()
        advice = advise(season)
        wall, seconds = time.perf_counter() - start, time.process_time() - cpu
        print(f"{name}: advice in {seconds:.1f} s of one core ({wall:.1f} s on the clock) over "
              f"{len(advice.plan.nets)} scenarios, expected net ${advice.plan.mean_net:,.0f} "
              f"(${advice.net_low:,.0f} to ${advice.net_high:,.0f})")  # fmt: skip
        missed += seconds > ADVICE_SECONDS
        missed += _compare(season, asked.seasons, asked.seed)
    return missed


def _demo_season() -> Season:
    stand_up()
    from firewood_site.demo import DEMO_DAY
    from routing.selectors.season.season_problem import season_asked

    start = time.perf_counter()
    season = season_asked(DEMO_DAY).season
    print(f"the books read in {time.perf_counter() - start:.1f} s")
    return season


def _compare(season: Season, count: int, seed: int) -> int:
    truths = draw_scenarios(season, count=count, seed=seed)
    halves = [truths[i::PROCESSES] for i in range(PROCESSES)]
    found = {}
    start = time.perf_counter()
    with ProcessPoolExecutor(PROCESSES) as pool:
        for policy in (follow_plan, as_last_year, green_now):
            parts = pool.map(partial(lived, season, policy=policy), halves)
            found[policy.__name__] = tuple(life for part in parts for life in part)
    print(f"  {count} seasons, three ways, in {time.perf_counter() - start:.0f} s")
    missed = 0
    for other in ("as_last_year", "green_now"):
        margins = Margins(ours=found["follow_plan"], theirs=found[other])
        each = margins.each
        print(f"  plan against {other}: ${margins.likely:,.0f} ± {margins.unsure:,.0f} more a season (spread "
              f"${margins.spread:,.0f}, worst ${min(each):,.0f}, median ${median(each):,.0f}, 9 in 10 above "
              f"${percentile(each, 0.1):,.0f}), better in {margins.won} of {count}")  # fmt: skip
        missed += margins.likely <= margins.unsure
    broken = sum(life.missed > LEAST_CORDS for life in found["follow_plan"])
    habits = sum(life.missed > LEAST_CORDS for life in found["as_last_year"])
    print(f"  seasons with a promise broken: {broken} under the plan, {habits} as last year")
    late = sum(life.slash_late > LEAST_CORDS for life in found["follow_plan"])
    print(f"  seasons with slash past its day: {late} under the plan, "
          f"{sum(life.slash_late > LEAST_CORDS for life in found['as_last_year'])} as last year")  # fmt: skip
    return missed + (broken > 0)


if __name__ == "__main__":
    sys.exit(main())
