"""Sizes of a heap as one line: 42 x 12 x 5, 32 x 4 x 16 in, 12 x 6 x 2 + 1, or 8 ft: 30 of 6-9 in."""

import re
from collections.abc import Callable

from inventory.core import InventoryError
from inventory.core.local import local
from inventory.core.sentences import Sentence
from inventory.core.units import INCHES_PER_FOOT, parse_length

ORDER = {  # what is written in which order, by the rule's names
    "stack": ("length", "height", "depth_in"),
    "windrow": ("length", "width", "height"),
    "cone": ("width", "height"),
    "trailer": ("length", "width", "side"),
    "deck": ("length", "height", "depth"),
}
WORDS = {
    "stack": "length x height x length of a piece, such as 32 x 4 x 16 in",
    "windrow": "length x width x height, such as 42 x 12 x 5",
    "cone": "width x height, such as 12 x 5",
    "trailer": "length x width x how high it is filled + the heap above, such as 12 x 6 x 2 + 1",
    "deck": "length along the road x height x length of the logs, such as 20 x 4 x 8",
    "log": "length of the logs: how many of which thickness, such as 8 ft: 40 of 4 in, 25 of 6 in",
}
IN_METERS = {
    "stack": "length x height x length of a piece, such as 10 x 1.2 x 40 cm",
    "windrow": "length x width x height, such as 13 x 3.5 x 1.5",
    "cone": "width x height, such as 3.5 x 1.5",
    "trailer": "length x width x how high it is filled + the heap above, such as 3.7 x 1.8 x 0.6 + 0.3",
    "deck": "length along the road x height x length of the logs, such as 6 x 1.2 x 2.5",
    "log": "length of the logs: how many of which thickness, such as 2.5 m: 40 of 10 cm, 25 of 15 cm",
}
BARE = re.compile(r"\d+(?:\.\d+)?|\.\d+")
CRIBS = re.compile(r"[,\s]*(no|one|two|[0-2]) *crib(?:bed)?s?(?: ends?)?$")
HOW_MANY = {"no": 0, "one": 1, "two": 2, "0": 0, "1": 1, "2": 2}
LOGS = re.compile(r"(\d{1,4}) *(?:of|x) *(.+)")
MOST_ENDS = 3  # small end, middle, large end


def order_words(shape: str) -> str:
    """What is written of a shape, in which order, with an example in the units of the place."""
    return (IN_METERS if local().is_metric else WORDS)[shape]


class NotSizes(InventoryError):
    """A line in which the sizes of this shape can't be read."""

    field = "size"

    def __init__(self, *, shape: str, problem: Sentence | InventoryError | None = None) -> None:
        self.shape = shape
        sizes = Sentence(order_words(shape))
        if problem is None:
            super().__init__("Write {sizes}.", sizes=sizes)
        else:
            super().__init__("{problem} Write {sizes}.", problem=problem, sizes=sizes)


def parse_sizes(shape: str, text: str) -> tuple[str, dict[str, float]]:
    """A line's sizes by the names `measured` knows, and the shape it is measured as.

    Errors
        NotSizes: too few or too many sizes, or a word that is none.

    >>> parse_sizes("windrow", "42 x 12 x 5")
    ('windrow', {'length': 42.0, 'width': 12.0, 'height': 5.0})
    >>> parse_sizes("log", "8 ft: 30 of 6-9 in")
    ('log', {'length': 8.0, 'count': 30.0, 'small_in': 6.0, 'large_in': 9.0})
    """
    plain = " ".join(text.lower().replace("×", "x").replace("*", "x").replace(" by ", " x ").split())
    try:
        return _logs(plain) if shape == "log" else (shape, _box(shape, plain))
    except NotSizes:
        raise
    except InventoryError as error:
        raise NotSizes(shape=shape, problem=error) from error


def _box(shape: str, plain: str) -> dict[str, float]:
    more: dict[str, float] = {}
    if shape == "stack":
        cribs = CRIBS.search(plain)
        more["cribbed_ends"] = float(HOW_MANY[cribs[1]]) if cribs else 0.0
        plain = CRIBS.sub("", plain)
    if shape == "trailer":
        plain, _, heap = plain.partition("+")
        more["heap"] = _feet(heap) if heap.strip(" 0") else 0.0
    parts = [part.strip() for part in re.split(r" *x *", plain.strip())]
    names = ORDER[shape]
    if len(parts) != len(names) or not all(parts):
        raise NotSizes(shape=shape)
    unit = re.search(r"(?<=\d) *(ft|feet|m)$", parts[-1])
    if unit:  # said once for all
        parts = [f"{part} {unit[1]}" if BARE.fullmatch(part) else part for part in parts]
    reads: dict[bool, Callable[[str], float]] = {True: _inches, False: _feet}
    return {name: reads[name.endswith("_in")](part) for name, part in zip(names, parts, strict=True)} | more


def _logs(plain: str) -> tuple[str, dict[str, float]]:
    """Logs of one length: one thickness by its ends, its middle or all three, or a list by the middle."""
    length, colon, rest = plain.partition(":")
    rows = [LOGS.fullmatch(row.strip()) for row in re.split(r",|;| and ", rest)]
    if not colon or not rows or not all(rows):
        raise NotSizes(shape="log")
    told = [(int(row[1]), _ends(row[2])) for row in rows if row]
    sizes = {"length": _feet(length)}
    if len(told) == 1:
        count, ends = told[0]
        names = {1: ("middle_in",), 2: ("small_in", "large_in"), 3: ("small_in", "middle_in", "large_in")}
        return "log", sizes | {"count": float(count)} | dict(zip(names[len(ends)], ends, strict=True))
    for count, ends in told:
        if len(ends) > 1:
            by_middle = Sentence("A list of several thicknesses goes by the middle of each log.")
            raise NotSizes(shape="log", problem=by_middle)
        name = f"d{ends[0]:g}"
        sizes[name] = sizes.get(name, 0.0) + count
    return "log_list", sizes


def _ends(text: str) -> list[float]:
    """Inches across a log: "6", "6-9 in", "15 to 23 cm"."""
    parts = [part.strip() for part in re.split(r" *(?:-|–|to) *", text)]
    if not 1 <= len(parts) <= MOST_ENDS or not all(parts):
        raise NotSizes(shape="log")
    unit = re.search(r"[a-z\"]+$", parts[-1])
    return [_inches(f"{part} {unit[0]}" if unit and BARE.fullmatch(part) else part) for part in parts]


def _feet(text: str) -> float:
    return _length(text, "m" if local().is_metric else "ft")


def _inches(text: str) -> float:
    return round(_length(text, "cm" if local().is_metric else "in") * INCHES_PER_FOOT, 6)


def _length(text: str, unit: str) -> float:
    said = text.strip()
    return float(parse_length(f"{said} {unit}" if BARE.fullmatch(said) else said))
