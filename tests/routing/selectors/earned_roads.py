"""The roads of the worked examples, laid under the selectors in place of an engine."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from routing.core.costs import METERS_PER_MILE
from routing.core.roads import Leg, Matrix, Point, RigProfile

type Table = Mapping[tuple[str, str], tuple[str, int]]

EXAMPLE_6: Table = {
    ("siding", "marrow"): ("3.8", 8),
    ("marrow", "larch"): ("17.0", 25),
    ("siding", "larch"): ("19.5", 29),
}
SPOTS = {
    "siding": (44.0, -150.0),
    "marrow": (44.00868, -150.06038),
    "larch": (43.7974, -150.161),
    "sandhook": (43.6816, -151.167),
}


def leg_of(table: Table, start: Point, end: Point) -> Leg | None:
    """The table's drive between two spots, either way; None where it has none."""
    names = [
        next(name for name, spot in SPOTS.items() if spot == (point.lat, point.lon)) for point in (start, end)
    ]
    found = table.get((names[0], names[1])) or table.get((names[1], names[0]))
    if found is None:
        return None
    miles, minutes = found
    return Leg(meters=round(Fraction(miles) * METERS_PER_MILE), seconds=minutes * 60)


def table_matrix(table: Table):
    """A stand-in for `matrix_between` that answers from the table."""

    def matrix(points: Sequence[Point], profile: RigProfile | None = None, **_: object) -> Matrix:
        return Matrix(
            legs=tuple(
                tuple(Leg(meters=0, seconds=0) if a == b else leg_of(table, a, b) for b in points)
                for a in points
            )
        )

    return matrix


def table_drives(table: Table):
    """A stand-in for `drives_between` that answers from the table."""

    def drives(
        sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile | None = None
    ) -> Matrix:
        return Matrix(legs=tuple(tuple(leg_of(table, a, b) for b in targets) for a in sources))

    return drives
