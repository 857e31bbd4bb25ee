"""Road times this process has read before, as whole-number tables: to read them again takes no query.

What stands here stands in `CachedLeg` too and never changes: an engine, a map and a rig have one answer.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from routing.core.roads import Matrix, Point
from routing.engines.road_times import rectangles

type Table = NDArray[np.int32]
type Ask = Callable[[Sequence[Point], Sequence[Point]], Matrix]

FIRST_POINTS, MOST_POINTS = 64, 512  # of one rig; 2 MB when full
MOST_RIGS = 16  # empty and loaded apart
UNKNOWN, NO_ROAD = -1, -2


class KeptRoads:
    """The drives of one rig on one map between the places asked for so far."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.at: dict[Point, int] = {}
        self.legs = np.full((FIRST_POINTS, FIRST_POINTS, 2), UNKNOWN, np.int32)

    def has_room_for(self, points: Iterable[Point]) -> bool:
        """Whether it may learn the drives between these places too."""
        with self.lock:
            return len(self.at) + sum(point not in self.at for point in points) <= MOST_POINTS

    def block(self, starts: Sequence[Point], ends: Sequence[Point], ask: Ask) -> Table:
        """Every drive from a start to an end; what is not known yet is asked for, and only that.

        Shapes and units
            starts x ends x 2: meters, seconds; `NO_ROAD` in both where there is none.
        """
        with self.lock:
            rows, columns = [self._row(point) for point in starts], [self._row(point) for point in ends]
            found: Table = self.legs[np.ix_(rows, columns)]
        for some_starts, some_ends in rectangles(found[:, :, 0] == UNKNOWN):
            answer = ask([starts[start] for start in some_starts], [ends[end] for end in some_ends])
            found[np.ix_(some_starts, some_ends)] = [
                [(leg.meters, leg.seconds) if leg else (NO_ROAD, NO_ROAD) for leg in row]
                for row in answer.legs
            ]
        with self.lock:
            self.legs[np.ix_(rows, columns)] = found
        return found

    def _row(self, point: Point) -> int:
        row = self.at.setdefault(point, len(self.at))
        if row >= len(self.legs):
            wider = np.full((2 * len(self.legs), 2 * len(self.legs), 2), UNKNOWN, np.int32)
            wider[: len(self.legs), : len(self.legs)] = self.legs
            self.legs = wider
        self.legs[row, row] = 0
        return row


_KEPT: dict[str, KeptRoads] = {}  # the one asked last stands last
_KEPT_LOCK = Lock()


def kept_roads(key: str, points: Collection[Point]) -> KeptRoads:
    """What this process keeps for an engine, map and rig (named by the key of their kept drives).

    It is begun anew when it has no room for the places; the rig not asked for longest makes room for others.
    """
    with _KEPT_LOCK:
        kept = _KEPT.pop(key, None)
        if kept is None or not kept.has_room_for(points):
            kept = KeptRoads()
        if len(_KEPT) >= MOST_RIGS:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[key] = kept
    return kept


def forget() -> None:
    """Keep nothing, as in a process that has just begun."""
    with _KEPT_LOCK:
        _KEPT.clear()
