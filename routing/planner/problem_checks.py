"""What a planning problem must be: whole road tables, known names, one home for runs that share."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from inventory.core.sentences import Sentence
from routing.planner import BadProblem
from routing.planner.sketches import fills_of

if TYPE_CHECKING:
    from routing.planner.problem import DayProblem


def refuse_nonsense(problem: "DayProblem") -> None:
    """Refuse a problem that names what is not there, or the same twice.

    Errors
        BadProblem: what is wrong and where.
    """
    size = problem.location_count
    if min(problem.wood_units_per_cord, problem.volume_units_per_ft3, problem.fill_yards) < 1:
        raise BadProblem("The problem counts wood, volume or yards in units of no size.")
    for name, table in problem.roads:
        for rows in (table.meters, table.seconds):
            if len(rows) != size or any(len(row) != size for row in rows):
                raise BadProblem("The road table {table} is not {size} by {size}.", table=name, size=size)
            if any(figure is not None and figure < 0 for row in rows for figure in row):
                raise BadProblem("The road table {table} has a figure below zero.", table=name)
    ids = _ids(problem)
    for kind, named in ids.items():
        if len(set(named)) != len(named):
            twin = next(i for i in named if named.count(i) > 1)
            raise BadProblem("The problem names the {kind} {twin} twice.", kind=Sentence(kind), twin=twin)
    known: dict[str, set[object]] = {kind: set(named) for kind, named in ids.items()}
    known |= {"location": set(range(size)), "date": set(range(len(problem.dates)))}
    known["home yard"] = known["yard"]
    for where, kind, wanted in _references(problem):
        if wanted not in known[kind]:
            raise BadProblem(
                "{where} names a {kind} that is not there: {wanted}.",
                where=where,
                kind=Sentence(kind),
                wanted=wanted,
            )
    if any(yard.hours and len(yard.hours) != len(problem.dates) for yard in problem.yards):
        raise BadProblem("A yard lists hours for some dates only.")
    _refuse_two_homes(problem)


def _ids(problem: "DayProblem") -> dict[str, list[str]]:
    return {
        "wood": [w.id for w in problem.woods],
        "yard": [y.id for y in problem.yards],
        "truck": [t.id for t in problem.trucks],
        "rig": [r.id for r in problem.rigs],
        "run": [s.id for s in problem.runs],
        "order": [o.id for o in problem.orders],
        "part": [p.id for o in problem.orders for p in o.parts],
        "road table": [name for name, _ in problem.roads],
        "fixed run": [run for run, _ in problem.frozen],
        "part in a fixed run": [p for _, loads in problem.frozen for _, parts in loads for p in parts],
    }


def _references(problem: "DayProblem") -> Iterator[tuple[Sentence, str, object]]:
    """(where, kind of thing, what is named there) of everything that must be in the problem."""
    for yard in problem.yards:
        where = Sentence("The yard {yard}", {"yard": yard.label})
        yield where, "location", yard.loc
        yield from ((where, "wood", wood) for wood, _ in yard.stock)
    for rig in problem.rigs:
        where = Sentence("The rig {rig}", {"rig": rig.label})
        yield where, "home yard", rig.home
        yield from ((where, "road table", band.table) for band in rig.roads)
    for run in problem.runs:
        where = Sentence("The run {run}", {"run": run.id})
        yield from ((where, "rig", run.rig), (where, "date", run.date))
    for order in problem.orders:
        where = Sentence("The order {order}", {"order": order.label})
        yield where, "location", order.loc
        yield from ((where, "date", on) for on in order.dates)
        yield from ((where, "wood", wood) for part in order.parts for wood, _ in part.lines)
    for pin in problem.pins:
        where = Sentence("The pin of {part}", {"part": pin.part})
        yield where, "part", pin.part
        yield where, "run", pin.run
        if pin.yard is not None:
            yield where, "yard", pin.yard
    for run_id, loads in problem.frozen:
        where = Sentence("The fixed run {run}", {"run": run_id})
        yield where, "run", run_id
        for load in loads:
            yield from ((where, "yard", yard_id) for yard_id, _ in fills_of(load))
            yield from ((where, "part", part) for part in load[1])
    yield from ((Sentence("A closure"), "yard", shut.yard) for shut in problem.shuts)


def _refuse_two_homes(problem: "DayProblem") -> None:
    """Rigs that share a truck, and rigs of runs that share a driver, start from one yard."""
    rigs = {rig.id: rig for rig in problem.rigs}
    homes: dict[str, str] = {}
    keys = [(rig.truck_key, rig) for rig in problem.rigs]
    keys += [(run.driver_key, rigs[run.rig]) for run in problem.runs]
    for key, rig in keys:
        if homes.setdefault(key, rig.home) != rig.home:
            raise BadProblem("The rig {rig} has another home than others of {key}.", rig=rig.label, key=key)
