"""Reads the plan file format firewood-plan-1 into a DayProblem and writes plans in it.

The format counts wood in twelfths of a cord; see fixtures/instances/README.md.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from routing.core import RoutingError
from routing.core.plan import Plan, PlanResult, RunSketch
from routing.core.problem import DayProblem, PlanOrder, PlanPart, PlanRig, PlanYard, Roads, Shift, Wood

FORMAT = "firewood-plan-1"
UNITS = 12


class UnreadableInstance(RoutingError):
    """A file that is not a firewood-plan-1 instance."""

    def __init__(self, *, trouble: str) -> None:
        self.trouble = trouble
        super().__init__(f"This is not a {FORMAT} instance: {trouble}.")


def problem_from(instance: Mapping[str, Any]) -> DayProblem:
    """The problem an instance describes.

    Errors
        UnreadableInstance: a field is missing or of the wrong kind. BadProblem: it contradicts itself.
    """
    if not isinstance(instance, Mapping):
        raise UnreadableInstance(trouble="it is not an object with named fields")
    if instance.get("format") != FORMAT:
        raise UnreadableInstance(trouble=f"its format is {instance.get('format')!r}")
    try:
        return _read(instance)
    except KeyError as missing:
        raise UnreadableInstance(trouble=f"the field {missing} is missing") from missing
    except (TypeError, ValueError, IndexError, AttributeError) as wrong:
        raise UnreadableInstance(trouble=f"a field is of the wrong kind ({wrong})") from wrong


def plan_document(problem: DayProblem, result: PlanResult) -> dict[str, Any]:
    """The plan as the format wants it, with cost_c, lower_bound_c and status beside it."""
    return {
        "instance": problem.name,
        "shifts": shifts_document(result.plan),
        "cost_c": result.cost_c,
        "lower_bound_c": result.lower_bound_c,
        "status": result.status,
        "postponed": [{"order": p.order, "code": p.code, "reason": p.reason} for p in result.postponed],
    }


def shifts_document(plan: Plan) -> list[dict[str, Any]]:
    """Only the decisions of a plan, as the format wants them."""
    return [
        {
            "shift": run.shift,
            "loads": [{"yard": load.yard, "stops": list(load.parts)} for load in run.loads],
        }
        for run in plan.runs
    ]


def sketch_from(document: Mapping[str, Any]) -> tuple[RunSketch, ...]:
    """The bare sequences of a plan document."""
    return tuple(
        (row["shift"], tuple((load["yard"], tuple(load["stops"])) for load in row["loads"]))
        for row in document["shifts"]
    )


def _read(instance: Mapping[str, Any]) -> DayProblem:
    return DayProblem(
        name=str(instance["name"]),
        dates=tuple(str(day) for day in instance["dates"]),
        woods=tuple(
            Wood(
                id=p["id"],
                lb_per_cord=_whole(p["lb_12"]) * UNITS,
                ft3_per_cord=_whole(p["ft3_12"]) * UNITS,
                name=p.get("name", ""),
            )
            for p in instance["products"]
        ),
        yards=tuple(
            PlanYard(
                id=y["id"],
                loc=_whole(y["loc"]),
                open_s=_whole(y["open_s"]),
                close_s=_whole(y["close_s"]),
                load_fixed_s=_whole(y["load_fixed_s"]),
                load_s_per_cord=_whole(y["load_s_12"]) * UNITS,
                stock=tuple((wood, _whole(units)) for wood, units in y["stock_12"].items()),
                name=y.get("name", ""),
            )
            for y in instance["yards"]
        ),
        rigs=tuple(
            PlanRig(
                id=r["id"],
                home=r["home"],
                loaded_roads=r["profile"],
                empty_roads=r.get("empty_profile", r["profile"]),
                has_trailer=bool(r["trailer"]),
                cap_ft3=_whole(r["cap_ft3"]),
                cap_lb=_whole(r["cap_lb"]),
                loaded_c_km=Fraction(r["loaded_c_km"]),
                empty_c_km=Fraction(r["empty_c_km"]),
                fixed_c=_whole(r["fixed_c"]),
                name=r.get("name", ""),
            )
            for r in instance["rigs"]
        ),
        shifts=tuple(
            Shift(
                id=s["id"],
                rig=s["rig"],
                date=_whole(s["date"]),
                start_s=_whole(s["start_s"]),
                end_s=_whole(s["end_s"]),
                max_s=_whole(s["max_s"]),
                wage_c_h=_whole(s["wage_c_h"]),
            )
            for s in instance["shifts"]
        ),
        orders=tuple(_order(o) for o in instance["orders"]),
        roads=tuple((name, Roads.of(m["m"], m["s"])) for name, m in instance["matrices"].items()),
        wood_units_per_cord=UNITS,
    )


def _order(row: Mapping[str, Any]) -> PlanOrder:
    return PlanOrder(
        id=row["id"],
        loc=_whole(row["loc"]),
        window_s=(_whole(row["window_s"][0]), _whole(row["window_s"][1])),
        dates=tuple(_whole(day) for day in row["dates"]),
        parts=tuple(
            PlanPart(id=p["id"], lines=tuple((wood, _whole(units)) for wood, units in p["lines"].items()))
            for p in row["parts"]
        ),
        no_trailer=bool(row["no_trailer"]),
        stop_s=_whole(row["stop_s"]),
        unload_s_per_cord=_whole(row["unload_s_12"]) * UNITS,
        price_c=_whole(row.get("price_c", 0)),
        value_c=_whole(row["value_c"]),
        postpone_c=_whole(row["postpone_c"]),
        name=row.get("name", ""),
    )


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"{value!r} is not a whole number")
    return value
