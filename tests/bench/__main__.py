"""`python -m tests.bench`: plan every instance and print one table.

--seconds S      for each instance (10)
--only A,B       these instances
--public         the public CVRP and MDVRP ones too (--seconds applies; the bar is set for 30)
--largest N      leave out public instances with more than N customers (100)
--rivals         PyVRP, if installed, and the OR-Tools routing library in the same minute
--seed K, --threads T
"""

import argparse
import json
from typing import Any

from tests.bench.planning import (
    HEADINGS,
    best_costs,
    in_own_process,
    names_wanted,
    planned,
    reference,
    table_row,
)


def main() -> None:
    """Run what is asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--only", default="")
    parser.add_argument("--public", action="store_true")
    parser.add_argument("--largest", type=int, default=100)
    parser.add_argument("--rivals", action="store_true")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument("--one", default="", help=argparse.SUPPRESS)
    parser.add_argument("--rival", default="", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(_one(asked)))
        return
    names = names_wanted(
        [name for name in asked.only.split(",") if name], with_public=asked.public, largest=asked.largest
    )
    best, refs = best_costs(), reference()
    rivals = _rivals() if asked.rivals else []
    print(
        HEADINGS + "".join(f"{rival + ' %':>12}" for rival in ["ref pyvrp", "ref ortools", *rivals]),
        flush=True,
    )
    options = [f"--seconds={asked.seconds}", f"--seed={asked.seed}", f"--threads={asked.threads}"]
    for name in names:
        found = in_own_process("tests.bench", name, options)
        given = [refs[name][key] for key in ("pyvrp10_c", "ortools10_c")] if name in refs else []
        costs = [float(cost) if cost else None for cost in given]
        if name in refs and any(given):
            costs += [
                float(in_own_process("tests.bench", name, [*options, f"--rival={rival}"])["cost"])
                for rival in rivals
            ]
        against = "".join(
            f"{100 * (found['cost'] / cost - 1):>+12.2f}" if cost else f"{'':>12}" for cost in costs
        )
        print(f"{table_row(name, found, best.get(name)):<110}{against}", flush=True)


def _one(asked: argparse.Namespace) -> dict[str, Any]:
    if asked.rival:
        from tests.bench.rivals import rival_cost

        return rival_cost(asked.rival, asked.one, seconds=asked.seconds, seed=asked.seed)
    return planned(asked.one, seconds=asked.seconds, seed=asked.seed, threads=asked.threads)


def _rivals() -> list[str]:
    from tests.bench.rivals import installed

    return installed()


if __name__ == "__main__":
    main()
