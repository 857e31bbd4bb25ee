"""Firewood in standing trees, from trees counted on a few plots: cords an acre by wood, with an error band.

Plots are circles of one radius, or points seen through a prism; where that size is in meters, the trees are
in cm. A tree's cords come from its diameter.
Plots differ, and so does the table from the trees; both are in the band. Thinner trees go by the square
of their diameter. Every figure stands in stand.toml with its source.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import log, pi, sqrt
from statistics import mean, stdev

from inventory.core import InventoryError
from inventory.core.bands import Band
from inventory.core.figures import table_of
from inventory.core.local import local
from inventory.core.local_measures import HECTARES_PER_ACRE, MEASURES, bare_here, measure_words
from inventory.core.species import woods
from inventory.core.woods import SPLIT_WOODS, sold_as

ACRE_FT2 = 43_560
FT2_PER_SQUARE_INCH = pi / 4 / 144  # basal area of a tree one inch thick
LEAST_IN, MOST_IN = 1.0, 60.0
LEAST_FT, MOST_FT = 3.0, 150.0
LEAST_FACTOR, MOST_FACTOR = 1.0, 80.0
NONE = ("none", "nothing", "-", "0")
FT_PER_M, IN_PER_CM = (float(1 / MEASURES[kept].each) for kept in ("ft", "in"))
FT2_PER_ACRE = FT_PER_M**2 * float(HECTARES_PER_ACRE)  # in a square meter a hectare
METERS = re.compile(r"(?<![a-z])m(?:eters?|etres?|2|²)?(?![a-z])")
FEET = re.compile(r"(?<![a-z])(?:ft|foot|feet)(?![a-z])")
FIGURE = re.compile(r"\d+(?:\.\d+)?")
EXAMPLES = {  # a circle, a prism and a plot's trees as a place that counts in meters writes them, or not
    False: {"circle": "37 ft", "prism": "prism 10", "trees": "fir 5 6 8; oak 7", "unit": "inches"},
    True: {"circle": "11.3 m", "prism": "prism 2", "trees": "fir 12 15 20; oak 18", "unit": "cm"},
}


class BadPlots(InventoryError):
    """A count of trees that can't be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandEstimate:
    """What the plots say of an acre, cords 8 times in 10 between low and high.

    by_tree: by the word written; by_wood: by the wood it is sold as.
    """

    plots: int
    trees: float
    inches: float  # the tree of mean basal area
    whole: Band[float]
    by_tree: Mapping[str, Band[float]]
    by_wood: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class PlotSize:
    """A circle's radius in feet, or a prism's basal area factor in square feet an acre."""

    radius_ft: float | None
    factor: float | None

    def trees_per_acre(self, inches: float) -> float:
        """Trees an acre that one counted tree stands for."""
        if self.radius_ft is not None:
            return ACRE_FT2 / (pi * self.radius_ft**2)
        return (self.factor or 0.0) / (FT2_PER_SQUARE_INCH * inches**2)


def plot_size(text: str) -> PlotSize:
    """ "37 ft" is a circle, "prism 10" a point.

    Errors
        BadPlots: no number, or one that no plot has.
    """
    number = FIGURE.search(text)
    if number is None:
        raise BadPlots(
            'Write how large a plot is: "{circle}" (its radius), or "{prism}" (its factor).',
            **EXAMPLES[local().is_metric],
        )
    value, metric = float(number[0]), in_meters(text)
    if is_prism(text):
        value *= FT2_PER_ACRE if metric else 1
        if not LEAST_FACTOR <= value <= MOST_FACTOR:
            raise BadPlots(
                "A prism's factor lies between {least_factor:g} and {most_factor:g}.",
                least_factor=_factor_here(LEAST_FACTOR),
                most_factor=_factor_here(MOST_FACTOR),
            )
        return PlotSize(None, value)
    value *= FT_PER_M if metric else 1
    if not LEAST_FT <= value <= MOST_FT:
        raise BadPlots(
            "A plot's radius lies between {least} and {most}.",
            least=bare_here(LEAST_FT, "ft", places=0),
            most=measure_words(MOST_FT, "ft", places=0),
        )
    return PlotSize(value, None)


def in_meters(size: str) -> bool:
    """Whether a plot's size, and so its trees, are metric: "11.3 m", "prism 2 m²/ha".

    >>> in_meters("11.3 m"), in_meters("37 ft"), in_meters("prism 10")
    (True, False, False)
    """
    return METERS.search(size.lower()) is not None


def is_prism(size: str) -> bool:
    """Whether trees were counted through a prism, not in a circle."""
    return "prism" in size.lower() or "baf" in size.lower()


def with_unit(size: str) -> str:
    """A size as it is kept: one without a unit gets that of a place that counts in meters.

    >>> with_unit("37")
    '37'
    """
    if not local().is_metric or METERS.search(size.lower()) or FEET.search(size.lower()):
        return size
    return f"{size} m²/ha" if is_prism(size) else f"{size} m"


def plots_here(size: str, plots: str) -> tuple[str, str]:
    """A count kept in the other system, in the units of the place: "37 ft" is "11.3 m", 5 inches 12.7 cm.

    >>> plots_here("11.3 m", "fir 12.7")
    ('37.1 ft', 'fir 5')
    """
    metric = local().is_metric
    found = FIGURE.search(size)
    if found is None or in_meters(size) == metric:
        return size, plots
    per, unit = (FT2_PER_ACRE, "m²/ha") if is_prism(size) else (FT_PER_M, "m")
    figure = _figure(found[0], 1 / per if metric else per)
    begins = "prism " if is_prism(size) else ""
    ends = f" {unit}" if metric else "" if begins else " ft"
    each = 1 / IN_PER_CM if metric else IN_PER_CM
    return f"{begins}{figure}{ends}", FIGURE.sub(lambda found: _figure(found[0], each), plots)


def _figure(text: str, times: float) -> str:
    return f"{round(float(text) * times, 1):g}"


def _factor_here(factor: float) -> float:
    return round(factor / FT2_PER_ACRE, 2) if local().is_metric else factor


def read_plots(text: str, *, metric: bool = False) -> tuple[dict[str, list[float]], ...]:
    """One plot a line: "fir 5 6 6 8; oak 7", or "none"; the diameters by wood as written, in inches.

    Errors
        BadPlots: says which line and what is wrong with it.
    """
    found = []
    for number, line in enumerate((line.strip() for line in text.splitlines() if line.strip()), start=1):
        plot: dict[str, list[float]] = {}
        for part in (part.strip() for part in line.lower().split(";")):
            if not part or part in NONE:
                continue
            name = " ".join(re.findall(r"[a-z]+", part))
            sizes = [float(size) * (IN_PER_CM if metric else 1) for size in FIGURE.findall(part)]
            if not name or not sizes:
                raise BadPlots(
                    'Plot {number}: write the wood, then {unit}, such as "{trees}".',
                    number=number,
                    **EXAMPLES[local().is_metric],
                )
            if any(not LEAST_IN <= size <= MOST_IN for size in sizes):
                raise BadPlots(
                    "Plot {number}: a tree is {least} to {most} {unit} thick.",
                    number=number,
                    least=bare_here(LEAST_IN, "in"),
                    most=bare_here(MOST_IN, "in"),
                    **EXAMPLES[local().is_metric],
                )
            _wood_of(name, plot=number)
            plot.setdefault(name, []).extend(sizes)
        found.append(plot)
    if not found:
        raise BadPlots(
            'Write one plot a line, such as "{trees}", or "none" for a plot without trees.',
            **EXAMPLES[local().is_metric],
        )
    return tuple(found)


def _wood_of(name: str, *, plot: int) -> str:
    """The wood a kind of tree is sold as, by its own name or a wood's.

    Errors
        BadPlots: no such tree.
    """
    if name in SPLIT_WOODS:
        return str(name)
    for key, kind in woods().items():
        if name == key.replace("_", " ") or set(name.split()) <= set(
            re.findall(r"[a-z]+", kind.name.lower())
        ):
            return str(sold_as({key: 100}))
    raise BadPlots(
        "Plot {plot}: no wood is called {name}. Write fir, oak, madrone, or hardwood.", plot=plot, name=name
    )


def cords_in_tree(inches: float) -> float:
    """Stacked cords in a tree, between the table's diameters by the straight line of the logarithms."""
    table = table_of("stand.toml")["tree"]
    sizes, cords = table["diameters"], table["cords"]
    if inches <= sizes[0]:
        return float(cords[0] * (inches / sizes[0]) ** 2)
    if inches >= sizes[-1]:
        return float(cords[-1] * (inches / sizes[-1]) ** 2)
    above = next(i for i, size in enumerate(sizes) if size >= inches)
    share = log(inches / sizes[above - 1]) / log(sizes[above] / sizes[above - 1])
    return float(cords[above - 1] * (cords[above] / cords[above - 1]) ** share)


def stand_estimate(size: str, plots: str) -> StandEstimate:
    """Cords an acre from plots as they were typed.

    Errors
        BadPlots
    """
    each, counted = plot_size(size), read_plots(plots, metric=in_meters(size))
    names = sorted({name for plot in counted for name in plot})
    trees = [(d, each.trees_per_acre(d)) for plot in counted for sizes in plot.values() for d in sizes]
    many = sum(share for _, share in trees)
    by_plot = {
        name: [sum(each.trees_per_acre(d) * cords_in_tree(d) for d in plot.get(name, ())) for plot in counted]
        for name in names
    }
    by_wood: dict[str, float] = {}
    for name in names:
        wood = _wood_of(name, plot=1)
        by_wood[wood] = by_wood.get(wood, 0.0) + mean(by_plot[name])
    return StandEstimate(
        plots=len(counted),
        trees=many / len(counted),
        inches=sqrt(sum(d * d * share for d, share in trees) / many) if many else 0.0,
        whole=_band([sum(by_plot[name][i] for name in names) for i in range(len(counted))]),
        by_tree={name: _band(by_plot[name]) for name in names},
        by_wood=by_wood,
    )


def _band(values: list[float]) -> Band[float]:
    """The mean of the plots and how far it may be off: sampling and table together."""
    tables = table_of("stand.toml")
    likely = mean(values)
    if len(values) == 1:
        alone = tables["one_plot"]
        return Band(low=likely * alone["low"], likely=likely, high=likely * alone["high"])
    t = tables["t_80"]
    many = len(values) - 2
    factor = t["values"][many] if many < len(t["values"]) else t["beyond"]
    sampling = factor * stdev(values) / sqrt(len(values))
    off = sqrt(sampling**2 + (tables["table_error"]["share"] * likely) ** 2)
    return Band(low=max(likely - off, 0.0), likely=likely, high=likely + off)


def source_of_trees() -> str:
    """Where the cords in a tree were read."""
    return str(table_of("stand.toml")["tree"]["source"])
