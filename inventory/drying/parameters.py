"""Figures of drying.toml, and their draws for the members of an ensemble.

Member k keeps its place in every range through splitting, moving and covering: wood that dries slowly for
its kind stays so. The draws are fixed, a Latin hypercube, so that equal lots always get equal answers.
"""

from functools import cache
from math import log

import numpy as np
from numpy.typing import NDArray

from inventory.core.figures import NORMAL_80, Figure, table_of

MEMBERS = 48
DRAWN = (  # one column of draws each
    "piece", "species", "bark", "heap", "rain", "ground", "end_grain", "gravity",
)  # fmt: skip


@cache
def figure(name: str) -> Figure:
    """A figure by its dotted name, "heap.row"."""
    group, _, key = name.partition(".")
    return Figure.read(table_of("drying.toml", package="inventory.drying")[group][key], f"drying.{name}")


@cache
def figure_names() -> tuple[str, ...]:
    """Every figure of the engine, in the order of the file."""
    table = table_of("drying.toml", package="inventory.drying")
    return tuple(f"{group}.{key}" for group, rows in table.items() for key in rows)


@cache
def normal_scores(count: int) -> NDArray[np.float64]:
    """Evenly spaced points of the standard normal, middle of each of `count` equal slices."""
    rng = np.sort(np.random.default_rng(7).standard_normal(200_001))
    places = ((np.arange(count) + 0.5) / count * len(rng)).astype(int)
    scores = rng[places]
    centered = (scores - scores[::-1]) / 2  # symmetric to the digit
    return np.asarray(centered, dtype=np.float64)


@cache
def draws(members: int = MEMBERS) -> NDArray[np.float64]:
    """members x DRAWN standard normal draws, each column one of each slice."""
    rng = np.random.default_rng(11)
    return np.column_stack([rng.permutation(normal_scores(members)) for _ in DRAWN])


def drawn(name: str, column: str, members: int = MEMBERS) -> NDArray[np.float64]:
    """A figure's value for every member: lognormal about it, low and high as the 80 percent points."""
    known = figure(name)
    if known.low <= 0 or known.low == known.high:
        return np.full(members, known.value)
    z = draws(members)[:, DRAWN.index(column)]
    below, above = (log(known.value / known.low) / NORMAL_80, log(known.high / known.value) / NORMAL_80)
    return np.asarray(known.value * np.exp(z * np.where(z < 0, below, above)), dtype=np.float64)
