"""Guesses to start from: what one cord takes, brings and costs, low, likely and high."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from routing.earned.guesses import Guess


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessFigures:
    """The shipped guesses by key, hours first, and where each comes from (name, unit, source)."""

    guesses: tuple[tuple[str, Guess], ...]
    sources: tuple[tuple[str, str, str], ...]


@cache
def guess_figures() -> GuessFigures:
    """The guesses of guesses.toml, in its order."""
    table = tomllib.loads(files("routing.selectors.earned").joinpath("guesses.toml").read_text("utf-8"))
    return GuessFigures(
        guesses=tuple(
            (key, Guess.of(entry["name"], *(str(value) for value in entry["value"])))
            for key, entry in table.items()
        ),
        sources=tuple((entry["name"], entry["unit"], entry["source"]) for entry in table.values()),
    )
