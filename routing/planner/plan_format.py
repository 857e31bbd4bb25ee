"""Reads the plan file format firewood-plan-2 into a DayProblem and writes plans in it.

The format counts wood in twelfths of a cord; see fixtures/instances/README.md.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inventory.core.sentences import Sentence
from routing.core import RoutingError
from routing.planner.fleet import PlanRig, PlanRun, RoadBand, Roads, Truck
from routing.planner.plan import LoadPlan, Plan, PlanResult
from routing.planner.problem import TWELFTHS, DayProblem, PlanOrder, PlanPart, PlanYard, Wood
from routing.planner.sketches import LoadSketch, RunSketch

FORMAT = "firewood-plan-2"


class UnreadableInstance(RoutingError):
    """A file that is not a firewood-plan-2 instance."""

    def __init__(self, problem: str, /, **gaps: object) -> None:
        super().__init__(
            "This is not a {format} instance: {problem}.", format=FORMAT, problem=Sentence(problem, gaps)
        )


def problem_from(instance: Mapping[str, Any]) -> DayProblem:
    """The problem an instance describes.

    Errors
        UnreadableInstance: a field is missing or of the wrong kind. BadProblem: it contradicts itself.
    """
    if not isinstance(instance, Mapping):
        raise UnreadableInstance("it is not an object with named fields")
    if instance.get("format") != FORMAT:
        raise UnreadableInstance("its format is {given!r}", given=instance.get("format"))
    try:
        return _read(instance)
    except KeyError as missing:
        raise UnreadableInstance("the field {field} is missing", field=missing) from missing
    except (TypeError, ValueError, IndexError, AttributeError) as wrong:
        raise UnreadableInstance("a field is of the wrong kind ({error})", error=wrong) from wrong


def plan_document(problem: DayProblem, result: PlanResult) -> dict[str, Any]:
    """The plan as the format wants it, with cost_c, lower_bound_c and status beside it."""
    return {
        "instance": problem.name,
        "runs": runs_document(result.plan),
        "cost_c": result.cost_c,
        "lower_bound_c": result.lower_bound_c,
        "status": result.status,
        "postponed": [{"order": p.order, "code": p.code, "reason": str(p.reason)} for p in result.postponed],
    }


def runs_document(plan: Plan) -> list[dict[str, Any]]:
    """Only the decisions of a plan, as the format wants them."""
    return [{"run": run.id, "loads": [_load_document(load) for load in run.loads]} for run in plan.runs]


def sketch_from(document: Mapping[str, Any]) -> tuple[RunSketch, ...]:
    """The bare sequences of a plan document."""
    return tuple((row["run"], tuple(_load_sketch(load) for load in row["loads"])) for row in document["runs"])


def _load_document(load: LoadPlan) -> dict[str, Any]:
    stops = list(load.parts)
    if len(load.fills) == 1:
        return {"yard": load.fills[0].yard, "stops": stops}
    return {"fill": [{"yard": fill.yard, "parts": list(fill.parts)} for fill in load.fills], "stops": stops}


def _load_sketch(load: Mapping[str, Any]) -> LoadSketch:
    stops = tuple(load["stops"])
    if "fill" not in load:
        return load["yard"], stops
    return tuple((fill["yard"], tuple(fill["parts"])) for fill in load["fill"]), stops


def _read(instance: Mapping[str, Any]) -> DayProblem:
    return DayProblem(
        name=str(instance["name"]),
        dates=tuple(str(day) for day in instance["dates"]),
        woods=tuple(
            Wood(
                id=w["id"],
                lb_per_cord=_whole(w["lb_12"]) * TWELFTHS,
                ft3_per_cord=_whole(w["ft3_12"]) * TWELFTHS,
                name=w.get("name", ""),
                rides_in_bed=_flag(w.get("bed", False)),
            )
            for w in instance["woods"]
        ),
        yards=tuple(
            PlanYard(
                id=y["id"],
                loc=_whole(y["loc"]),
                open_s=_whole(y["open_s"]),
                close_s=_whole(y["close_s"]),
                load_fixed_s=_whole(y["load_fixed_s"]),
                load_s_per_cord=_whole(y["load_s_12"]) * TWELFTHS,
                stock=tuple((wood, _whole(units)) for wood, units in y["stock_12"].items()),
                name=y.get("name", ""),
            )
            for y in instance["yards"]
        ),
        trucks=tuple(Truck(id=t["id"], hitch_s=_whole(t["hitch_s"])) for t in instance.get("trucks", [])),
        rigs=tuple(_rig(r) for r in instance["rigs"]),
        runs=tuple(_run(r) for r in instance["runs"]),
        orders=tuple(_order(o) for o in instance["orders"]),
        roads=tuple(
            (name, Roads.of(_table(t["meters"]), _table(t["seconds"])))
            for name, t in instance["road_tables"].items()
        ),
        fill_yards=_whole(instance.get("fill_yards", 1)),
        wood_units_per_cord=TWELFTHS,
    )


def _rig(row: Mapping[str, Any]) -> PlanRig:
    bands = row.get("roads") or [{"over_lb": 0, "table": row["road"]}]
    return PlanRig(
        id=row["id"],
        home=row["home"],
        roads=tuple(RoadBand(over_lb=_whole(b["over_lb"]), table=b["table"]) for b in bands),
        has_trailer=_flag(row["trailer"]),
        cap_ft3=_whole(row["cap_ft3"]),
        cap_lb=_whole(row["cap_lb"]),
        loaded_c_km=Fraction(row["loaded_c_km"]),
        empty_c_km=Fraction(row["empty_c_km"]),
        fixed_c=_whole(row["fixed_c"]),
        name=row.get("name", ""),
        truck=row.get("truck") or "",
        bed_ft3=_whole(row.get("bed_ft3", 0)),
        bed_lb=_whole(row.get("bed_lb", 0)),
    )


def _run(row: Mapping[str, Any]) -> PlanRun:
    break_s = _whole(row.get("break_s", 0))
    first, last = row["break_window_s"] if break_s else (0, 0)
    return PlanRun(
        id=row["id"],
        rig=row["rig"],
        date=_whole(row["date"]),
        start_s=_whole(row["start_s"]),
        end_s=_whole(row["end_s"]),
        max_s=_whole(row["max_s"]),
        wage_c_h=_whole(row["wage_c_h"]),
        driver=row.get("driver") or "",
        break_s=break_s,
        break_window_s=(_whole(first), _whole(last)),
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
        no_trailer=_flag(row["no_trailer"]),
        stop_s=_whole(row["stop_s"]),
        unload_s_per_cord=_whole(row["unload_s_12"]) * TWELFTHS,
        price_c=_whole(row.get("price_c", 0)),
        value_c=_whole(row["value_c"]),
        postpone_c=_whole(row["postpone_c"]),
        name=row.get("name", ""),
    )


def _table(rows: list[list[object]]) -> list[list[int | None]]:
    return [[None if figure is None else _whole(figure) for figure in row] for row in rows]


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError(f"{value!r} is neither true nor false")
    return value


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"{value!r} is not a whole number")
    return value
