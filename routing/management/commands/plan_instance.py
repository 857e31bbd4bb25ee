"""Plan a firewood-plan-2 instance from a file and write the plan beside its proof."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from routing.core import RoutingError
from routing.planner.plan_format import plan_document, problem_from
from routing.planner.solve import StopRule, plan


class Command(BaseCommand):
    """`plan_instance INSTANCE.json --out PLAN.json [--seconds S] [--steps N] [--seed K] [--threads T]`."""

    help = (
        "Plan an instance in the format firewood-plan-2 and write a plan with cost_c, lower_bound_c, status."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Name the files and the limits."""
        parser.add_argument("instance", type=Path)
        parser.add_argument("--out", type=Path, required=True)
        parser.add_argument(
            "--seconds", type=float, help="stop after so many seconds (10 when nothing is said)"
        )
        parser.add_argument("--steps", type=int, help="stop after so many search steps")
        parser.add_argument("--seed", type=int, default=0)
        parser.add_argument("--threads", type=int, default=1)

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, plan, write, and say in one line what came out."""
        seconds, steps = options["seconds"], options["steps"]
        if seconds is None and steps is None:
            seconds = 10.0
        try:
            problem = problem_from(json.loads(options["instance"].read_text(encoding="utf-8")))
            result = plan(
                problem,
                stop=StopRule(seconds=seconds, steps=steps),
                seed=options["seed"],
                threads=options["threads"],
            )
            options["out"].write_text(json.dumps(plan_document(problem, result), indent=1), encoding="utf-8")
        except RoutingError as failure:
            raise CommandError(str(failure)) from failure
        except (OSError, ValueError) as failure:
            raise CommandError(f"{options['instance']} or {options['out']}: {failure}") from failure
        bound = "no bound" if result.lower_bound_c is None else f"bound {result.lower_bound_c}"
        self.stdout.write(
            f"{problem.name}: cost {result.cost_c}, {bound}, {result.status}, "
            f"{len(result.postponed)} left out, {result.seconds:.1f} s, {result.steps} steps"
        )
