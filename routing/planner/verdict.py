"""What the referee says: the rules by key, a fault as fields, the verdict with its costs."""

from dataclasses import dataclass
from fractions import Fraction

RULES = {
    "plan": "the plan names only what is in the problem, each part and each run at most once",
    "date": "an order is brought on one of its dates",
    "trailer": "no trailer where none may come",
    "capacity": "a load fits box, bed and payload",
    "fill": "a load is filled at as many yards as allowed, each part at one of them",
    "stock": "no yard gives more than it has",
    "split": "all parts of an order or none",
    "road": "every leg has a way at the weight aboard",
    "clock": "loading in the yard's hours, unloading in the window, home by the end of the run",
    "shared": "a truck and a driver are out with one run at a time",
    "pause": "the pause has its place",
    "hours": "no longer paid than the longest day",
    "crew": "no more cords a day than the crew can handle",
    "pin": "what is pinned stays where it was put",
    "frozen": "a fixed run stays as it is",
    "times": "the times the plan states are the times it takes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One broken rule: its key in RULES and what it is about.

    Units
        kind: which side of the rule, such as "volume" or "weight" of "capacity". load: from 1, 0 = none.
        found, limit: seconds, pounds, ft3, wood units or counts, as the kind has it.
    """

    rule: str
    kind: str = ""
    run: str = ""
    load: int = 0
    order: str = ""
    part: str = ""
    yard: str = ""
    wood: str = ""
    other_run: str = ""
    found: Fraction = Fraction(0)
    limit: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the referee found. cost_c is meaningful only when ok."""

    ok: bool
    faults: tuple[Fault, ...]
    cost_c: int
    road_c: int
    driver_c: int
    fixed_c: int
    left_out_c: int
    left_out: tuple[str, ...]

    @property
    def rules(self) -> tuple[str, ...]:
        """The keys of the rules broken."""
        return tuple(sorted({fault.rule for fault in self.faults}))
