"""Roads guessed from the great circle, for when none are loaded. Always labeled as an estimate."""

from collections.abc import Sequence

from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import RigProfile
from routing.core.roads import STANDING_STILL, Leg, Matrix, Point, Route, Turn, figure, meters_between


def estimated_leg(start: Point, end: Point) -> Leg:
    """Great circle times `detour`, driven at `estimate_speed`."""
    if start == end:
        return STANDING_STILL
    meters = meters_between(start, end) * figure("detour")
    seconds = meters / float(METERS_PER_MILE) / figure("estimate_speed") * 3600
    return Leg(meters=round(meters), seconds=round(seconds))


class StraightLineEngine:
    """Needs no map and knows no posted bridge."""

    key = "estimate"
    is_estimate = True

    def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
        return Matrix(
            legs=tuple(tuple(estimated_leg(source, target) for target in targets) for source in sources),
            estimated=True,
        )

    def route(self, points: Sequence[Point], profile: RigProfile) -> Route:
        legs = tuple(estimated_leg(points[at], points[at + 1]) for at in range(len(points) - 1))
        return Route(line=tuple(points), legs=legs, estimated=True)

    def turns(self, line: str, language: str) -> tuple[Turn, ...]:
        """None: a straight line knows no road."""
        return ()

    def snap(self, point: Point) -> int | None:
        """Every spot is as good as another without a map."""
        return 0
