"""From an OpenStreetMap extract to road tiles in one file that every process maps into memory.

Where the file goes and which one is current is `routing.services.roads`.
"""

import json
import shutil
import subprocess
import sys
import zlib
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

from inventory.core.sentences import Sentence
from routing.core import RoutingError

TILES_FILE = "tiles.tar"
SUM_FILE = "tiles.crc32"
READ_AT_ONCE = 1 << 20  # bytes
SHOW_ROADS_FROM_ZOOM = [
    7,
    7,
    8,
    9,
    10,
    11,
    12,
    14,
]  # thinly settled: small roads early; the last is also the end
QUIET = {"type": ""}


class TilesNotBuilt(RoutingError):
    """The tile builder gave up."""

    says = "The road tiles could not be built ({why}). The roads loaded before are still in use."


def engine_config(*, tile_dir: str = "", tile_extract: str = "") -> dict[str, Any]:
    """Valhalla's own defaults, without the databases we do not have, and silent."""
    from valhalla.config import get_config

    config = get_config(tile_extract="", tile_dir="")
    mjolnir = config["mjolnir"]
    mjolnir.update(tile_dir=tile_dir, tile_extract=tile_extract)
    for absent in ("admin", "timezone", "landmarks", "traffic_extract", "transit_dir", "transit_feeds_dir"):
        mjolnir.pop(absent, None)
    mjolnir["max_cache_size"] = 256_000_000
    config["loki"]["service_defaults"]["mvt_min_zoom_road_class"] = SHOW_ROADS_FROM_ZOOM
    config["logging"] = dict(QUIET)
    mjolnir["logging"] = dict(QUIET)
    return dict(config)


def build_tiles(
    *, pbf: Path, folder: Path, threads: int = 2, say: Callable[[str], None] = lambda line: None
) -> Path:
    """Build tiles of `pbf` inside `folder` (which exists) and return the packed file.

    Errors
        TilesNotBuilt: the builder failed or found no road.
    """
    loose = folder / "loose"
    shutil.rmtree(loose, ignore_errors=True)
    loose.mkdir()
    packed = folder / TILES_FILE
    config_file = folder / "build.json"
    config_file.write_text(json.dumps(engine_config(tile_dir=str(loose), tile_extract=str(packed))))
    from valhalla._scripts import PYVALHALLA_BIN_DIR

    try:
        say("Building road tiles")
        _run(
            [
                str(PYVALHALLA_BIN_DIR / "valhalla_build_tiles"),
                "-c",
                str(config_file),
                "-j",
                str(threads),
                str(pbf),
            ]
        )
        if not any(loose.rglob("*.gph")):
            raise TilesNotBuilt(why="no road in the file")
        say("Packing road tiles")
        _run([sys.executable, "-m", "valhalla.valhalla_build_extract", "-c", str(config_file), "-O"])
    finally:
        shutil.rmtree(loose, ignore_errors=True)
        config_file.unlink(missing_ok=True)
    if not packed.exists():
        raise TilesNotBuilt(why="the packed file is missing")
    packed.with_name(SUM_FILE).write_text(f"{_sum_of(packed):08x}\n")
    return packed


def are_whole(packed: Path) -> bool:
    """Whether packed tiles are what was built: damaged ones can end the whole process inside the engine.

    Read through once a process and again when the file has changed.
    """
    try:
        state = packed.stat()
        return _are_whole(packed, state.st_mtime_ns, state.st_size)
    except (OSError, ValueError):
        return False


@lru_cache(maxsize=8)
def _are_whole(packed: Path, _changed_ns: int, _size: int) -> bool:
    told = packed.with_name(SUM_FILE)
    return not told.exists() or int(told.read_text(), 16) == _sum_of(packed)  # older builds told no sum


def _sum_of(path: Path) -> int:
    """CRC-32 of a file (ISO 3309): a check for damage by chance, at the speed of the disk."""
    total = 0
    with path.open("rb") as file:
        while part := file.read(READ_AT_ONCE):
            total = zlib.crc32(part, total)
    return total


def _run(command: list[str]) -> None:
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        raise TilesNotBuilt(why=str(error)) from error
    if done.returncode:
        output = (done.stderr or done.stdout).strip().splitlines()
        raise TilesNotBuilt(
            why=output[-1][:200] if output else Sentence("exit code {code}", {"code": done.returncode})
        )
