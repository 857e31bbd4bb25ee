"""The plans a day had before its last steps, as they are kept with it."""

from collections.abc import Iterable
from dataclasses import asdict
from datetime import date, datetime, time
from typing import Any, Literal

from inventory.core.kept import keep
from inventory.core.sentences import Sentence
from routing.models import Day
from routing.planner.sketches import RunSketch, fills_of
from routing.selectors.planning.plans import day_sketch, open_runs_of, pins_of
from routing.selectors.planning.problem_values import OpenRun

type Step = Literal["do", "undo", "redo"]

STEPS_KEPT = 20


def remember(day: Day, *, step: Step, at: datetime, verb: Sentence, together: Iterable[date]) -> None:
    """Put the plan that is about to be replaced where undo, or redo, will find it; the caller saves."""
    if step == "do":
        what = {"verb": keep(verb), "at": at.isoformat(), "days": sorted(on.isoformat() for on in together)}
        day.undo = [*day.undo, {**what, **_standing(day.on)}][-STEPS_KEPT:]
        day.redo = []
        return
    source, target = ("undo", "redo") if step == "undo" else ("redo", "undo")
    taken = getattr(day, source)
    what = {name: taken[-1][name] for name in ("verb", "at", "days")}
    setattr(day, source, taken[:-1])
    setattr(day, target, [*getattr(day, target), {**what, **_standing(day.on)}])


def open_runs_in(entry: dict[str, Any]) -> tuple[OpenRun, ...]:
    """The rigs that were out, with their hours and crew."""
    return tuple(
        OpenRun(
            **{
                **row["out"],
                "on": date.fromisoformat(row["out"]["on"]),
                "starts_at": time.fromisoformat(row["out"]["starts_at"]),
                "ends_at": time.fromisoformat(row["out"]["ends_at"]),
            }
        )
        for row in entry["runs"]
    )


def sketch_in(entry: dict[str, Any], known: Iterable[str]) -> tuple[RunSketch, ...]:
    """The loads and drops that were planned, of parts still known."""
    parts = set(known)
    sketch: list[RunSketch] = []
    for run in open_runs_in(entry):
        [row] = [row for row in entry["runs"] if _key(row["out"]) == run.id]
        loads = []
        for filled, stops in row["loads"]:
            fills = [(yard, tuple(part for part in at if part in parts)) for yard, at in filled]
            fills = [fill for fill in fills if fill[1]]
            if fills:
                where = fills[0][0] if len(fills) == 1 else tuple(fills)
                loads.append((where, tuple(part for part in stops if part in parts)))
        sketch.append((run.id, tuple(loads)))
    return tuple(sketch)


def _standing(on: date) -> dict[str, Any]:
    loads = dict(day_sketch(on))
    runs = [
        {
            "out": asdict(run)
            | {
                "on": on.isoformat(),
                "starts_at": run.starts_at.isoformat(),
                "ends_at": run.ends_at.isoformat(),
            },
            "loads": [[[list(fill) for fill in fills_of(load)], list(load[1])] for load in loads[run.id]],
        }
        for run in open_runs_of((on,))
    ]
    return {"runs": runs, "pins": [pin.part for pin in pins_of((on,))]}


def _key(out: dict[str, Any]) -> str:
    return f"{out['on']}/{out['rig_id']}"
