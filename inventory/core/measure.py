"""Heaps, stacks, trailers, decks and logs, measured into honest cords.

Sizes are feet unless a name says inches. Every volume is a range: the form's own (how loosely the wood
lies) times the tape's. A cord is 128 ft3 stacked and, by default, 85 ft3 solid.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import pi

from inventory.core import InventoryError
from inventory.core.bands import Band
from inventory.core.figures import Figure, table_of
from inventory.core.gaps import Measured
from inventory.core.sentences import Sentence, as_sentence
from inventory.core.units import CORD_FT3, INCHES_PER_FOOT, LONGEST_FT, M3_PER_FT3

ROUNDING = 1e-9  # of lengths that came through fractions of a foot
SHAPES = ("stack", "windrow", "cone", "trailer", "deck", "log", "log_list")


class BadSize(InventoryError):
    """A length, width or height that can't be measured wood."""

    says = "The {what} can't be {value}: {problem}."
    in_words = {"what": as_sentence, "problem": as_sentence}


class UnknownForm(InventoryError):
    """A form of wood the table has no figure for."""

    says = "There is no figure for {form!r}: choose one of {known}."
    in_words = {"known": ", ".join}


@dataclass(frozen=True, slots=True, kw_only=True)
class Volume(Band[float]):
    """A measured amount: cords low, likely and high, with the ft3 as it lies and the figure used."""

    ft3: float
    per_cord: Figure

    @property
    def solid_ft3(self) -> float:
        """Likely solid wood, ft3."""
        return self.likely * solid_per_cord().value

    @property
    def steres(self) -> float:
        """Likely stacked cubic meters."""
        return self.likely * CORD_FT3 * float(M3_PER_FT3)

    def in_cords(self) -> tuple[Fraction, Fraction, Fraction]:
        """Low, likely and high to a hundredth of a cord, as the books keep them."""
        low, likely, high = (
            Fraction(round(value * 100), 100) for value in (self.low, self.likely, self.high)
        )
        return low, likely, high


def form_figure(form: str) -> Figure:
    """Loose ft3 per cord of a form: splits, rounds, splits_24 or stacked.

    Errors
        UnknownForm
    """
    table = table_of("forms.toml")["loose"]
    if form not in table:
        raise UnknownForm(form=form, known=tuple(table))
    return Figure.read(table[form], f"loose.{form}")


def form_names() -> dict[str, str]:
    """Forms and how people call them."""
    return {key: row["name"] for key, row in table_of("forms.toml")["loose"].items()}


def solid_per_cord() -> Figure:
    """Solid wood in a cord: 85 ft3, 70 to 90."""
    return Figure.read(table_of("forms.toml")["solid_per_cord"], "solid_per_cord")


def stack_ft3(length: float, height: float, depth_in: float, *, cribbed_ends: float = 0) -> float:
    """A ranked row: L x H x D, less a fifth of each cribbed end.

    A crib is taken as long as the pieces are: depth_in of the row's length each.
    """
    _sizes(length=length, height=height, depth=depth_in)
    if cribbed_ends not in (0, 1, 2):
        raise BadSize(what="number of cribbed ends", value=cribbed_ends, problem="a row has 0, 1 or 2")
    depth = depth_in / INCHES_PER_FOOT
    if cribbed_ends * depth > length * (1 + ROUNDING):
        needed = {"inches": Measured(depth_in, "in"), "feet": Measured(cribbed_ends * depth, "ft", 1)}
        cribs = (
            Sentence("two cribs of pieces {inches} long need {feet}", needed)
            if cribbed_ends == 2
            else Sentence("its crib needs {feet}", needed)
        )
        raise BadSize(what="length", value=Measured(length, "ft"), problem=cribs)
    loss = Figure.read(table_of("forms.toml")["crib"], "crib").value
    return length * height * depth - cribbed_ends * loss * depth * height * depth


def windrow_ft3(length: float, width: float, height: float) -> float:
    """A long heap with round ends: .5 W H (L - W) + pi (W/2)^2 H / 3.

    >>> round(windrow_ft3(24, 10, 5), 2)
    480.9
    """
    _sizes(length=length, width=width, height=height)
    if length < width:
        raise BadSize(
            what="length",
            value=length,
            problem=Sentence("it is the longer side; the width is {width:g}", {"width": width}),
        )
    return 0.5 * width * height * (length - width) + cone_ft3(width, height)


def cone_ft3(width: float, height: float) -> float:
    """A round heap: pi (W/2)^2 H / 3."""
    _sizes(width=width, height=height)
    return pi * (width / 2) ** 2 * height / 3


def trailer_ft3(length: float, width: float, side: float, heap: float = 0.0) -> float:
    """A box filled to a height with a heaped crown: L W side + .5 L W heap.

    >>> trailer_ft3(12, 6, 2, 1)
    180.0
    """
    _sizes(length=length, width=width, side=side)
    if not 0 <= heap <= LONGEST_FT:
        raise BadSize(what="heap", value=heap, problem="it is 0 or more, feet above the rails")
    return length * width * side + 0.5 * length * width * heap


def cords_of(ft3: float, *, form: str, per_cord: Figure | None = None, tape: float | None = None) -> Volume:
    """Cords of so many ft3 as the wood lies, with the form's range; `per_cord` is a rig's own heap number."""
    figure = per_cord or form_figure(form)
    share = tape if tape is not None else 0.0
    return Volume(
        ft3=ft3,
        low=ft3 * (1 - share) / figure.high,
        likely=ft3 / figure.value,
        high=ft3 * (1 + share) / figure.low,
        per_cord=figure,
    )


def measured(shape: str, sizes: Mapping[str, float], *, form: str, per_cord: Figure | None = None) -> Volume:
    """A shape's sizes as cords.

    Shapes
        stack: length, height, depth_in, cribbed_ends; windrow: length, width, height; cone: width, height;
        trailer: length, width, side, heap; deck: length, height, depth (the logs' length);
        log: length, count, and small_in with large_in, or middle_in, or all three;
        log_list: length, and by diameter class how many, d4 = 4 inches.

    Errors
        BadSize, UnknownForm
    """
    if shape == "stack":
        ft3 = stack_ft3(
            sizes.get("length", 0),
            sizes.get("height", 0),
            sizes.get("depth_in", 0),
            cribbed_ends=sizes.get("cribbed_ends", 0),
        )
        error = Figure.read(table_of("forms.toml")["stack_error"], "stack_error").value
        return cords_of(ft3, form="stacked", tape=error)
    if shape == "windrow":
        ft3 = windrow_ft3(sizes.get("length", 0), sizes.get("width", 0), sizes.get("height", 0))
    elif shape == "cone":
        ft3 = cone_ft3(sizes.get("width", 0), sizes.get("height", 0))
    elif shape == "trailer":
        ft3 = trailer_ft3(
            sizes.get("length", 0), sizes.get("width", 0), sizes.get("side", 0), sizes.get("heap", 0)
        )
        return cords_of(ft3, form=form, per_cord=per_cord)
    elif shape == "deck":
        return deck(sizes.get("length", 0), sizes.get("height", 0), sizes.get("depth", 0))
    elif shape == "log":
        count = sizes.get("count", 1)
        _sizes(number_of_logs=count)
        return solid_as_cords(count * log_ft3(sizes.get("length", 0), sizes))
    elif shape == "log_list":
        counts = {
            float(name[1:]): int(count)
            for name, count in sizes.items()
            if name[0] == "d" and name[1:].replace(".", "", 1).isdecimal()
        }
        _sizes(number_of_logs=sum(counts.values()))
        return solid_as_cords(small_logs_ft3(counts, sizes.get("length", 0)))
    else:
        raise UnknownForm(form=shape, known=SHAPES)
    error = Figure.read(table_of("forms.toml")["heap_error"], "heap_error").value
    return cords_of(ft3, form=form, per_cord=per_cord, tape=error)


def deck(length: float, height: float, depth: float) -> Volume:
    """A deck of log-length wood: gross ft3 times its solid share, as cords of 85 ft3 solid."""
    _sizes(length=length, height=height, depth=depth)
    share = Figure.read(table_of("forms.toml")["deck_solid_share"], "deck_solid_share")
    solid = solid_per_cord().value
    gross = length * height * depth
    per_cord = Figure(
        value=solid / share.value,
        low=solid / share.high,
        high=solid / share.low,
        unit="ft3 of deck per cord",
        source=share.source,
    )
    return cords_of(gross, form="stacked", per_cord=per_cord)


def smalian_ft3(small_in: float, large_in: float, length: float) -> float:
    """Solid ft3 of a log from both end diameters: the mean of the end areas times the length.

    Source
        Smalian's formula, any mensuration handbook.
    """
    _sizes(small_end=small_in, large_end=large_in, length=length)
    return (_area_ft2(small_in) + _area_ft2(large_in)) / 2 * length


def huber_ft3(middle_in: float, length: float) -> float:
    """Solid ft3 of a log from its middle diameter (Huber's formula)."""
    _sizes(middle=middle_in, length=length)
    return _area_ft2(middle_in) * length


def newton_ft3(small_in: float, middle_in: float, large_in: float, length: float) -> float:
    """Solid ft3 from both ends and the middle (Newton's formula, exact for frustums)."""
    _sizes(small_end=small_in, middle=middle_in, large_end=large_in, length=length)
    return (_area_ft2(small_in) + 4 * _area_ft2(middle_in) + _area_ft2(large_in)) / 6 * length


def log_ft3(length: float, diameters: Mapping[str, float]) -> float:
    """Solid ft3 of one log by what was measured of it: both ends, the middle, or all three.

    Shapes
        diameters: small_in, large_in, middle_in; 0 or left out is not measured.

    Errors
        BadSize: neither both ends nor the middle.
    """
    small, middle, large = (diameters.get(name, 0) for name in ("small_in", "middle_in", "large_in"))
    if small and middle and large:
        return newton_ft3(small, middle, large, length)
    if middle:
        return huber_ft3(middle, length)
    if small and large:
        return smalian_ft3(small, large, length)
    raise BadSize(what="diameter", value=Sentence("left out"), problem="measure both ends, or the middle")


def small_logs_ft3(counts: Mapping[float, int], length: float) -> float:
    """Solid ft3 of a list of small logs: how many of each middle diameter (inches), all of one length."""
    total = 0.0
    for diameter, count in counts.items():
        if count < 0:
            raise BadSize(
                what=Sentence("count of {inches:g}-inch logs", {"inches": diameter}),
                value=count,
                problem="it is 0 or more",
            )
        total += count * huber_ft3(diameter, length)
    return total


def solid_as_cords(solid_ft3: float) -> Volume:
    """Solid ft3 as stacked cords, over the range of solid wood in a cord."""
    figure = solid_per_cord()
    return Volume(
        ft3=solid_ft3,
        low=solid_ft3 / figure.high,
        likely=solid_ft3 / figure.value,
        high=solid_ft3 / figure.low,
        per_cord=figure,
    )


def _area_ft2(diameter_in: float) -> float:
    return pi * (diameter_in / INCHES_PER_FOOT) ** 2 / 4


def _sizes(**sizes: float) -> None:
    for what, value in sizes.items():
        if not 0 < value <= LONGEST_FT:
            problem = "it must be more than 0" if not value > 0 else "that is longer than any heap"
            raise BadSize(
                what=what.replace("_", " "), value=Sentence("{value:g}", {"value": value}), problem=problem
            )
