"""The referee's faults in words: whole sentences, hours and minutes, things by their names."""

from fractions import Fraction
from string import Formatter

from inventory.core.gaps import First, Measured, pounds
from inventory.core.sentences import Sentence
from routing.planner.problem import SECONDS_PER_HOUR, DayProblem
from routing.planner.verdict import Fault, Verdict


def fault_sentences(problem: DayProblem, verdict: Verdict) -> tuple[Sentence, ...]:
    """Every fault of a verdict as a sentence."""
    return tuple(fault_sentence(problem, fault) for fault in verdict.faults)


def fault_sentence(problem: DayProblem, fault: Fault) -> Sentence:
    """What is wrong, in one sentence."""
    english = _SENTENCES.get((fault.rule, fault.kind)) or _SENTENCES[fault.rule, ""]
    named = {name for _, name, _, _ in Formatter().parse(english) if name}
    return Sentence(english, {name: gap for name, gap in _gaps(problem, fault).items() if name in named})


def run_label(problem: DayProblem, run_id: str) -> Sentence:
    """A run by its rig's name, with the day where there are several."""
    run = next((run for run in problem.runs if run.id == run_id), None)
    rig = next((rig for rig in problem.rigs if run is not None and rig.id == run.rig), None)
    if run is None or rig is None or not rig.name:
        return Sentence("the run {run}", {"run": run_id})
    if len(problem.dates) > 1:
        return Sentence("{rig}'s run on {date}", {"rig": rig.name, "date": problem.dates[run.date]})
    return Sentence("{rig}'s run", {"rig": rig.name})


def plan_cords(problem: DayProblem, units: int | Fraction) -> Sentence:
    """Wood units as cords: "2 cords", "1 1/3 cord"."""
    cords = Fraction(units) / problem.wood_units_per_cord
    whole, rest = divmod(cords.numerator, cords.denominator)
    if not rest:
        return Sentence("{number} cord" if whole == 1 else "{number} cords", {"number": whole})
    return Sentence("{number} cord", {"number": f"{f'{whole} ' if whole else ''}{rest}/{cords.denominator}"})


def hours_text(seconds: int | Fraction) -> str:
    """Seconds as hours and minutes, a part of a minute as a whole one."""
    hours, minutes = divmod(-(-int(seconds) // 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def out_with(holder: str, rig: str, home_s: int) -> Sentence:
    """Why a truck or a driver is not there for a run."""
    gaps = {"holder": holder, "rig": rig, "until": clock_text(home_s)}
    return Sentence("{holder} is out with {rig} until {until}.", gaps)


def clock_text(seconds: int | Fraction) -> str:
    """A second of the day as 7:05."""
    return f"{int(seconds) // SECONDS_PER_HOUR}:{int(seconds) // 60 % 60:02d}"


_SENTENCES = {
    ("plan", "unknown run"): "{run} is not in the problem.",
    ("plan", "unknown yard"): "{run} loads at {yard}, which is not in the problem.",
    ("plan", "unknown part"): "{run} brings {part}, which is not in the problem.",
    ("plan", "run twice"): "{run} is used {count} times.",
    ("plan", "part twice"): "{order} is brought {count} times.",
    ("date", ""): "{order} may not be brought on {date}.",
    ("trailer", ""): "{order} cannot take a trailer, and {rig} has one.",
    ("capacity", "volume"): "Load {load} of {run_inside} is {volume} loose, {rig} holds {limit_volume}.",
    (
        "capacity",
        "weight",
    ): "Load {load} of {run_inside} weighs {weight}, {rig} may carry {limit_weight}.",
    ("capacity", "bed"): "Load {load} of {run_inside} does not go into the bed and the trailer of {rig}.",
    (
        "fill",
        "too many",
    ): "Load {load} of {run_inside} is filled at {count} yards, at most {most} are allowed.",
    ("fill", "yards"): "Load {load} of {run_inside} names a yard twice, or one where nothing is loaded.",
    ("fill", "parts"): "What load {load} of {run_inside} is filled with is not what its drops unload.",
    ("stock", ""): "{yard} gives {cords} of {wood} but has {limit_cords}.",
    ("split", ""): "Only {count} of {most} parts of {order} are brought.",
    ("road", "home"): "{run} has no road home.",
    ("road", ""): "{run} has no road to {place} with {weight} aboard.",
    ("clock", "home"): "{run} is back {hours} too late.",
    ("clock", "shut"): "{run} loads at {yard}, which is shut on {date}.",
    ("clock", "yard"): "{run} begins loading at {yard} {hours} too late.",
    ("clock", "drop"): "{run} begins unloading at {order} {hours} too late.",
    ("shared", ""): "{run} cannot leave in time: {holder} is out with {other_rig} until {limit_clock}.",
    ("pause", ""): "{run} has no place for its pause of {pause}.",
    ("hours", ""): "{run} is paid for {hours}, at most {limit_hours} are allowed.",
    ("hours", "driver"): "{driver} is paid for {hours} that day with {run_inside}, at most {limit_hours}.",
    ("crew", ""): "{run} brings its crew to {cords} that day, more than the {limit_cords} it can handle.",
    ("pin", ""): "{order} is pinned to {run_inside}{pinned_yard}, not {other_run}.",
    ("frozen", ""): "{run} is fixed and was changed.",
    ("times", ""): "{run} states times that do not follow from its road.",
}


def _gaps(problem: DayProblem, fault: Fault) -> dict[str, object]:
    run = next((run for run in problem.runs if run.id == fault.run), None)
    rigs = {rig.id: rig for rig in problem.rigs}
    rig = rigs[run.rig] if run is not None else None
    other = next((run for run in problem.runs if run.id == fault.other_run), None)
    order = next(
        (o for o in problem.orders if o.id == fault.order or any(p.id == fault.part for p in o.parts)), None
    )
    yard = next((yard.label for yard in problem.yards if yard.id == fault.yard), fault.yard)
    order_text = order.label if order is not None else fault.part or fault.order
    found, limit = fault.found, fault.limit
    return {
        "run": First(run_label(problem, fault.run)),
        "run_inside": run_label(problem, fault.run),
        "other_run": run_label(problem, fault.other_run) if fault.other_run else "",
        "rig": rig.label if rig is not None else "",
        "other_rig": rigs[other.rig].label if other is not None else Sentence("another rig"),
        "holder": holder_label(problem, fault),
        "driver": (run and (run.driver_name or run.driver)) or Sentence("The driver"),
        "load": str(fault.load),
        "part": fault.part,
        "order": order_text,
        "yard": yard,
        "place": yard if fault.yard else order_text,
        "pinned_yard": Sentence(" from {yard}", {"yard": yard}) if fault.yard else "",
        "wood": Sentence(next((wood.label for wood in problem.woods if wood.id == fault.wood), fault.wood)),
        "date": problem.dates[run.date] if run is not None else "",
        "pause": hours_text(run.break_s) if run is not None else "",
        "count": str(found),
        "most": str(limit),
        "volume": Measured(float(found) / problem.volume_units_per_ft3, "ft3"),
        "limit_volume": Measured(float(limit) / problem.volume_units_per_ft3, "ft3"),
        "weight": pounds(-(-found // 1)),
        "limit_weight": pounds(limit // 1),
        "cords": plan_cords(problem, found),
        "limit_cords": plan_cords(problem, limit),
        "hours": hours_text(found),
        "limit_hours": hours_text(limit),
        "limit_clock": clock_text(limit),
    }


def holder_label(problem: DayProblem, fault: Fault) -> str:
    """The truck or the driver two runs share."""
    run = next((run for run in problem.runs if run.id == fault.run), None)
    if run is None:
        return ""
    if fault.kind == "driver":
        return run.driver_name or run.driver
    rig = next(rig for rig in problem.rigs if rig.id == run.rig)
    return next((truck.label for truck in problem.trucks if truck.id == rig.truck), rig.label)
