"""Fifty places to fifty places: asked of the engine once, then kept.

    python -m tests.bench.roads

On the invented extract, and on liechtenstein.osm.pbf where ROADS_SAMPLES names the folder that holds it.
Bar: < 1 s; a second time no engine is asked.
"""

import os
import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.bench.ground import ROOT, percentile, stand_up, timed

PLACES = 50
BAR_MS = 1000
INVENTED = ROOT / "fixtures" / "roads" / "quarrel_ridge.osm.pbf"


def measured(name: str, *, rounds: int = 5) -> bool:
    """Cold matrices over different places each round, then the same ones kept."""
    from django.conf import settings

    from routing.core.road_engine import CAR, RigProfile
    from routing.core.roads import Matrix, Point
    from routing.engines import current_engine, current_extract
    from routing.selectors.roads.legs import matrix_between

    class Counted:
        """The engine, with a count of what it was asked."""

        def __init__(self) -> None:
            self.engine = current_engine()
            self.key, self.is_estimate, self.asked = self.engine.key, self.engine.is_estimate, 0

        def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
            self.asked += 1
            return self.engine.matrix(sources, targets, profile)

    extract = current_extract()
    assert extract is not None
    rows = (
        sqlite3.connect(Path(settings.ROADS_DIR) / extract.streets_db)
        .execute("select lat, lon from a")
        .fetchall()
    )
    dice, cold, kept, again = random.Random(1), [], [], 0
    warm = [Point(lat=lat, lon=lon) for lat, lon in dice.sample(rows, 2)]
    current_engine().matrix(warm, warm, CAR)  # the engine's own start, 50 ms
    for _ in range(rounds):
        spots = [Point(lat=lat, lon=lon) for lat, lon in dice.sample(rows, min(PLACES, len(rows)))]
        engine = Counted()
        start = time.perf_counter()
        matrix_between(spots, engine=engine)  # type: ignore[arg-type]
        cold.append((time.perf_counter() - start) * 1000)
        before = engine.asked
        kept += timed(
            lambda spots=spots, engine=engine: matrix_between(spots, engine=engine), times=5, warm=0
        )
        again += engine.asked - before
    worst = max(cold)
    is_kept = worst < BAR_MS and again == 0
    print(
        f"{name:16} {PLACES} x {PLACES}: cold median {percentile(cold, 0.5):.0f}, worst {worst:.0f} ms"
        f" of {rounds}; kept p95 {percentile(kept, 0.95):.0f} ms, engine asked again {again} times"
        f"  {'kept' if is_kept else 'MISSED'}",
        flush=True,
    )
    return is_kept


def main() -> int:
    stand_up()
    missed = not measured("invented region")
    samples = os.environ.get("ROADS_SAMPLES")
    sample = Path(samples) / "liechtenstein.osm.pbf" if samples else None
    if sample is None or not sample.exists():
        print("Liechtenstein    left out: ROADS_SAMPLES names no folder with liechtenstein.osm.pbf")
        return missed
    from django.conf import settings
    from django.core.management import call_command

    settings.ROADS_DIR = Path(tempfile.mkdtemp(prefix="firewood-roads-"))
    call_command("load_roads", str(sample), verbosity=0)
    return missed + (not measured("Liechtenstein"))


if __name__ == "__main__":
    sys.exit(main())
