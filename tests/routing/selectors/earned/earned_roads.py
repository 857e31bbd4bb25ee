"""The roads of the worked examples, laid under the selectors in place of an engine."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import RigProfile
from routing.core.roads import STANDING_STILL, Leg, Matrix, Point

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


def drive_by(monkeypatch, table: Table) -> None:
    """Every drive is read from the table; counted as an estimate, so that none is kept."""

    class TableRoads:
        key = "table"
        is_estimate = True

        def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
            return Matrix(
                legs=tuple(
                    tuple(STANDING_STILL if a == b else leg_of(table, a, b) for b in targets) for a in sources
                )
            )

    for asker in ("roads.legs", "roads.rig_roads", "earned.kept_splits"):
        monkeypatch.setattr(f"routing.selectors.{asker}.current_engine", TableRoads)
