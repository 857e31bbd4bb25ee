"""Hours a cord of every step: the seller's guess for the heap, else the own log, else the usual."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as noop

from inventory.selectors.work import LoggedRate
from routing.earned.guesses import Guess
from routing.earned.patches import scaled_by
from routing.selectors.earned.guesses import guess_figures

STEP_WORDS = {
    "rounds": noop("felling and bucking"),
    "buck": noop("bucking"),
    "haul": noop("hauling"),
    "split": noop("splitting"),
    "heap": noop("stacking or spreading"),
    "cover": noop("covering"),
    "deliver": noop("loading and delivering"),
    "paper": noop("paper and phone"),
    "give": noop("handing it over"),
    "burn": noop("piling and burning"),
}
LAYING = ("row", "spread", "low_heap")


@cache
def handling() -> Mapping[str, Guess]:
    """What handling a heap takes, from handling.toml: hours a cord, "tarp" in dollars a cord."""
    table = tomllib.loads(files("routing.selectors.heaps").joinpath("handling.toml").read_text("utf-8"))
    return {key: Guess.of(key, *(str(value) for value in entry["value"])) for key, entry in table.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRates:
    """Hours a cord by step, as this heap's page counts them; `asked`: the seller's own guesses for it."""

    asked: Mapping[str, tuple[Fraction, Fraction, Fraction]]
    logged: Mapping[str, LoggedRate]
    delivering: Guess | None  # by the road to the nearest town, where it is known

    def rate(self, step: str) -> tuple[Guess, str]:
        """Hours a cord of a step, and where they come from."""
        job = "heap" if step in LAYING else step
        if job in self.asked:
            return _guess(STEP_WORDS[job], *self.asked[job]), _("your guess for this heap")
        if job in self.logged and step not in LAYING:
            own = self.logged[job]
            return (
                Guess(name=STEP_WORDS[job], low=own.low, likely=own.likely, high=own.high),
                _("your log, {cords} cords").format(cords=f"{float(own.cords):g}"),
            )
        if step == "deliver" and self.delivering is not None:
            return self.delivering, _("the road to the nearest town")
        usual = dict(guess_figures().guesses)
        found = handling()[step] if step in handling() else usual[step]
        return Guess(name=STEP_WORDS[job], low=found.low, likely=found.likely, high=found.high), _(
            "the usual"
        )

    def hours(self, steps: Iterable[str], cords: Fraction) -> tuple[Guess, ...]:
        """Hours of some steps for so many cords."""
        return tuple(scaled_by(self.rate(step)[0], cords) for step in steps)


def _guess(name: str, low: Fraction, likely: Fraction, high: Fraction) -> Guess:
    ends = (Decimal(round(end * 10_000)) / 10_000 for end in (low, likely, high))
    low_hours, likely_hours, high_hours = ends
    return Guess(name=name, low=low_hours, likely=likely_hours, high=high_hours)
