"""The invented region, built once for all tests, and roads in use from it."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.cache import caches
from django.utils import timezone

from firewood_site.demo import spots
from routing.core.road_engine import RigProfile, rig_profile
from routing.core.roads import Point
from routing.engines.street_builder import build_street_index
from routing.engines.tiles import build_tiles
from routing.engines.valhalla import ValhallaEngine
from routing.models import RoadExtract

REGION = Path(__file__).parents[3] / "fixtures" / "roads" / "quarrel_ridge.osm.pbf"
SAMPLES = os.environ.get("ROADS_SAMPLES", "")


def place(spot: tuple[float, float]) -> Point:
    return Point(lat=spot[0], lon=spot[1])


PLACES = {
    "Upper": place(spots.UPPER),
    "Creek": place(spots.CREEK),
    "Siding": place(spots.SIDING),
    "Marrow": place(spots.MARROW),
    "Larch": place(spots.LARCH),
    "Fennick": place(spots.FENNICK),
    "Sandhook": place(spots.SANDHOOK),
}

# Half a cord of dry fir on the small trailer, and a full cord of mixed wood on the big one (job scenario),
# at 0.75 dollars a loaded and 0.65 an empty mile, and 25 an hour.
LIGHT_LOADED = rig_profile(weight_lb=9084, length_ft=33, height_ft=7.5, is_loaded=True, mile_seconds=108)
HEAVY_LOADED = rig_profile(weight_lb=12196, length_ft=37, height_ft=7.5, is_loaded=True, mile_seconds=108)
EMPTY = rig_profile(weight_lb=8500, length_ft=37, height_ft=7.5, mile_seconds=94)
RIGS: dict[str, RigProfile] = {"light": LIGHT_LOADED, "heavy": HEAVY_LOADED, "empty": EMPTY}


@pytest.fixture(scope="session")
def region_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A roads folder that holds the invented region as extract "region"."""
    roads = tmp_path_factory.mktemp("roads")
    folder = roads / "region"
    folder.mkdir()
    build_street_index(pbf=REGION, to=folder / "streets.sqlite3")
    build_tiles(pbf=REGION, folder=folder)
    return roads


@pytest.fixture(scope="session")
def engine(region_folder: Path) -> ValhallaEngine:
    return ValhallaEngine(tiles=region_folder / "region" / "tiles.tar", map_key="region")


@pytest.fixture
def roads_loaded(db: Any, region_folder: Path, settings: LazySettings) -> Iterator[RoadExtract]:
    """The invented region is the current extract and Valhalla answers."""
    settings.ROADS_DIR = region_folder
    settings.ROAD_ENGINE = "valhalla"
    caches["tiles"].clear()
    yield RoadExtract.objects.create(
        name="Quarrel Ridge", sha256="a" * 64, west=-151.26, south=43.37, east=-149.81, north=44.12,
        tiles_dir="region", streets_db="region/streets.sqlite3", addresses=1965, is_invented=True,
        loaded_at=timezone.now(), is_current=True,
    )  # fmt: skip
    caches["tiles"].clear()


@pytest.fixture(params=["liechtenstein.osm.pbf", "harrisburg.osm.pbf"])
def sample(request: pytest.FixtureRequest) -> Path:
    """A real extract, where ROADS_SAMPLES names a folder that holds it."""
    path = Path(SAMPLES) / request.param
    if not SAMPLES or not path.exists():
        pytest.skip(f"set ROADS_SAMPLES to a folder that holds {request.param}")
    return path
