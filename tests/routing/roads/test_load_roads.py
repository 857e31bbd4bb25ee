"""Loading an extract: clear sentences for bad files, safe to repeat, one switch."""

import io
import os
import random
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import osmium
import pytest
from django.core.management import CommandError, call_command
from osmium.osm.mutable import Node

from routing.core.roads import Point
from routing.engines import current_engine, current_extract, roads_state
from routing.models import CachedLeg, RoadExtract
from routing.selectors.roads.current import roads_now, search_streets, street_index
from routing.selectors.roads.legs import matrix_between
from routing.services import roads
from routing.services.roads import BadExtract, load_extract
from tests.routing.roads.conftest import REGION

NOON = datetime(2026, 9, 18, 12, tzinfo=UTC)

pytestmark = [pytest.mark.roads, pytest.mark.django_db]


@pytest.fixture(autouse=True)
def _own_folder(settings: Any, tmp_path: Path) -> None:
    settings.ROADS_DIR = tmp_path / "roads"
    settings.ROAD_ENGINE = "valhalla"


def loaded(pbf: Path = REGION) -> roads.LoadedRoads:
    return load_extract(pbf=pbf, loaded_at=NOON)


def test_the_command_loads_and_says_how_far_it_is() -> None:
    said = io.StringIO()

    call_command("load_roads", str(REGION), stdout=said)

    for line in (
        "Reading streets",
        "Building road tiles",
        "Packing",
        "Switching",
        "Roads in use: quarrel_ridge",
    ):
        assert line in said.getvalue()
    assert roads_now().is_invented
    assert roads_now().credit.startswith("Invented map")
    assert not roads_now().is_estimate


def test_repeating_it_builds_nothing_anew() -> None:
    first = loaded()

    again = loaded()

    assert (first.was_built, again.was_built) == (True, False)
    assert RoadExtract.objects.count() == 1


@pytest.mark.slow
def test_a_lost_folder_is_built_anew(settings: Any) -> None:
    first = loaded()
    (Path(settings.ROADS_DIR) / first.folder / "tiles.tar").unlink()

    assert loaded().was_built


@pytest.mark.slow
@pytest.mark.parametrize("harm", ["cut off", "a block of zeros", "noise"])
def test_damaged_tiles_stop_no_sale_and_are_built_anew(settings: Any, harm: str) -> None:
    """Zeros inside the tiles ended every price in a 500; noise ended the whole process."""
    first = loaded()
    tiles = Path(settings.ROADS_DIR) / first.folder / "tiles.tar"
    whole = tiles.read_bytes()
    third = len(whole) // 3
    damaged = {
        "cut off": whole[: 2 * third],
        "a block of zeros": whole[:third] + bytes(4096) + whole[third + 4096 :],
        "noise": whole[:third] + random.Random(1).randbytes(third) + whole[2 * third :],
    }
    assert (current_engine().is_estimate, roads_state()) == (False, "")

    tiles.write_bytes(damaged[harm])

    assert current_engine().is_estimate
    assert "Load the roads again" in roads_state()
    assert loaded().was_built
    assert not current_engine().is_estimate


def _extract_of_one_tree(tmp_path: Path) -> Path:
    path = tmp_path / "tree.osm.pbf"
    with osmium.SimpleWriter(str(path)) as writer:
        writer.add_node(Node(id=1, version=1, location=(-150.0, 44.0), tags={"natural": "tree"}))
    return path


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda folder: folder / "missing.osm.pbf", "there is no such file"),
        (lambda folder: _written(folder / "roads.txt", b"x"), "does not end in .pbf"),
        (lambda folder: _written(folder / "empty.osm.pbf", b""), "no OpenStreetMap extract"),
        (
            lambda folder: _written(folder / "junk.osm.pbf", b"not a map at all" * 50),
            "no OpenStreetMap extract",
        ),
        (lambda folder: _written(folder / "cut.osm.pbf", REGION.read_bytes()[:9000]), "breaks off"),
        (_extract_of_one_tree, "no road in it"),
    ],
    ids=["missing", "not-a-pbf", "empty", "junk", "cut-off", "no-road"],
)
def test_a_bad_file_is_told_and_changes_nothing(tmp_path: Path, settings: Any, make: Any, why: str) -> None:
    (Path(settings.ROADS_DIR) / "old").mkdir(parents=True)
    RoadExtract.objects.create(
        name="old", sha256="e" * 64, west=0, south=0, east=1, north=1, tiles_dir="old",
        streets_db="old/streets.sqlite3", loaded_at=NOON, is_current=True,
    )  # fmt: skip

    with pytest.raises(CommandError, match=why) as refused:
        call_command("load_roads", str(make(tmp_path)))

    assert "Nothing was changed" in str(refused.value)
    extract = current_extract()
    assert extract is not None
    assert extract.name == "old"
    assert [folder.name for folder in Path(settings.ROADS_DIR).iterdir()] == ["old"]


def _written(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def test_a_failed_tile_build_leaves_the_old_roads(monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    from routing.engines.tiles import TilesNotBuilt

    def fails(**kwargs: Any) -> Path:
        raise TilesNotBuilt(why="the disk is full")

    monkeypatch.setattr(roads, "build_tiles", fails)

    with pytest.raises(CommandError, match="the disk is full"):
        call_command("load_roads", str(REGION))

    assert current_extract() is None
    assert list(Path(settings.ROADS_DIR).iterdir()) == []


def test_older_extracts_and_their_drives_are_tidied_away(settings: Any) -> None:
    for year, letter in ((2024, "b"), (2025, "c")):
        folder = Path(settings.ROADS_DIR) / letter
        folder.mkdir(parents=True)
        RoadExtract.objects.create(
            name=letter, sha256=letter * 64, west=0, south=0, east=1, north=1, tiles_dir=letter,
            streets_db=f"{letter}/streets.sqlite3", loaded_at=datetime(year, 1, 1, tzinfo=UTC),
        )  # fmt: skip
        CachedLeg.objects.create(
            profile_key=f"valhalla-{letter * 16}|auto-55", from_lat_e6=1, from_lon_e6=1, to_lat_e6=2,
            to_lon_e6=2, meters=5, seconds=5,
        )  # fmt: skip

    loaded()

    assert set(RoadExtract.objects.values_list("name", flat=True)) == {"quarrel_ridge", "c"}
    assert CachedLeg.objects.get().profile_key.startswith("valhalla-cccc")
    assert not (Path(settings.ROADS_DIR) / "b").exists()


def test_a_build_that_was_cut_off_is_cleared_by_the_next(settings: Any) -> None:
    cut_off = Path(settings.ROADS_DIR) / f"{'d' * 16}-{roads.BUILD}.halfway"
    cut_off.mkdir(parents=True)
    os.utime(cut_off, (0, 0))

    loaded()

    assert not cut_off.exists()


def test_a_real_extract_loads_and_answers(sample: Path) -> None:
    load_extract(pbf=sample, loaded_at=NOON)

    now = roads_now()
    index = street_index()
    assert index is not None
    assert now.credit == "© OpenStreetMap contributors"
    assert now.bounds is not None
    south, west, north, east = now.bounds
    names = index.street_names(south=south, west=west, north=north, east=east)[:10]
    matrix = matrix_between([Point(lat=lat, lon=lon) for _, lat, lon in names])
    reached = [leg for row in matrix.legs for leg in row if leg is not None]
    assert len(reached) > 50
    assert search_streets(names[0][0])


def test_bad_extract_names_the_file(tmp_path: Path) -> None:
    with pytest.raises(BadExtract) as refused:
        loaded(tmp_path / "nothing.osm.pbf")

    assert str(refused.value).startswith("nothing.osm.pbf cannot be loaded: ")
