"""Loading an OpenStreetMap extract: tiles and street index in a new folder, then one switch."""

import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import file_digest
from pathlib import Path

from django.conf import settings
from django.db import transaction

from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError
from routing.engines import KEY_LETTERS
from routing.engines.street_builder import IndexSize, build_street_index
from routing.engines.tiles import TILES_FILE, are_whole, build_tiles
from routing.models import CachedLeg, RoadExtract

STREETS_FILE = "streets.sqlite3"
BUILD = 2  # raise when tiles or index are built otherwise, so that load_roads builds them anew
INVENTED = "an invented map"  # written by the generator of the demo's own region
ABANDONED = timedelta(hours=6)  # no build takes so long: what is older was cut off
KEPT_EXTRACTS = 2  # the current one, and the one before for processes that still look at it

type Say = Callable[[str], None]


class BadExtract(FramedRefusal, RoutingError):
    """A file that cannot be loaded as roads; nothing was changed."""

    frame = (
        "{name} cannot be loaded: {why}. Give an OpenStreetMap extract that ends in "
        ".osm.pbf. Nothing was changed."
    )
    of = ("name", "why")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedRoads:
    """What is in use now."""

    name: str
    was_built: bool
    houses: int
    folder: str


def load_extract(
    *, pbf: Path, loaded_at: datetime, name: str = "", threads: int = 2, say: Say = lambda line: None
) -> LoadedRoads:
    """Build tiles and street index of an extract and make it the current one.

    Repeating it is safe: the same file is only switched to. Until the switch the roads loaded before stay in
    use, and a failure leaves them there.

    Errors
        BadExtract: not readable, no extract, or no road in it. TilesNotBuilt: the tile builder gave up.
    """
    title = name or pbf.name.removesuffix(".pbf").removesuffix(".osm")
    is_invented = _checked_header(pbf)
    with pbf.open("rb") as file:
        digest = file_digest(file, "sha256").hexdigest()
    roads_dir = Path(settings.ROADS_DIR)
    roads_dir.mkdir(parents=True, exist_ok=True)
    folder = roads_dir / f"{digest[:KEY_LETTERS]}-{BUILD}"
    known = RoadExtract.objects.filter(sha256=digest).first()
    if known and are_whole(folder / TILES_FILE) and (folder / STREETS_FILE).exists():
        say("These roads are built already")
        _switch(known)
        return LoadedRoads(name=known.name, was_built=False, houses=known.addresses, folder=folder.name)
    size = _built(pbf, folder, threads, say)
    extract = known or RoadExtract(sha256=digest)
    before = extract.tiles_dir
    extract.name = title[:120]
    extract.west, extract.south, extract.east, extract.north = size.west, size.south, size.east, size.north
    extract.tiles_dir = folder.name
    extract.streets_db = f"{folder.name}/{STREETS_FILE}"
    extract.addresses = size.houses
    extract.is_invented = is_invented
    extract.loaded_at = loaded_at
    extract.full_clean(validate_unique=False, validate_constraints=False)
    say("Switching to the new roads")
    _switch(extract)
    if before and before != folder.name:
        shutil.rmtree(roads_dir / before, ignore_errors=True)  # built by an older version of us
    _tidy(roads_dir, before=loaded_at - ABANDONED)
    return LoadedRoads(name=extract.name, was_built=True, houses=size.houses, folder=folder.name)


def _checked_header(pbf: Path) -> bool:
    """Whether the extract says that it is invented."""
    import osmium

    if not pbf.is_file():
        raise BadExtract(pbf.name, "there is no such file")
    if not os.access(pbf, os.R_OK):
        raise BadExtract(pbf.name, "the file may not be read")
    if not pbf.name.endswith(".pbf"):
        raise BadExtract(pbf.name, "the name does not end in .pbf")
    try:
        reader = osmium.io.Reader(str(pbf))
        try:
            return INVENTED in reader.header().get("generator", "")
        finally:
            reader.close()
    except (RuntimeError, OSError) as error:
        raise BadExtract(
            pbf.name, "it is no OpenStreetMap extract ({error})", error=_first_line(error)
        ) from error


def _built(pbf: Path, folder: Path, threads: int, say: Say) -> IndexSize:
    """Everything in a folder beside, moved to its place only when whole."""
    beside = Path(tempfile.mkdtemp(prefix=f"{folder.name}.", dir=folder.parent))
    try:
        try:
            size = build_street_index(pbf=pbf, to=beside / STREETS_FILE, say=say)
        except (RuntimeError, OSError) as error:
            raise BadExtract(pbf.name, "it breaks off ({error})", error=_first_line(error)) from error
        if not size.roads:
            raise BadExtract(pbf.name, "there is no road in it")
        say(f"Found {size.roads} roads, {size.streets} streets, {size.houses} houses, {size.places} places")
        build_tiles(pbf=pbf, folder=beside, threads=threads, say=say)
        beside.chmod(0o755)
        shutil.rmtree(folder, ignore_errors=True)
        beside.rename(folder)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return size


@transaction.atomic
def _switch(extract: RoadExtract) -> None:
    RoadExtract.objects.filter(is_current=True).update(is_current=False)
    extract.is_current = True
    extract.save()


def _tidy(roads_dir: Path, *, before: datetime) -> None:
    """Drops extracts older than the one before, drives kept for them, and builds that were cut off."""
    for cut_off in roads_dir.glob(f"*-{BUILD}.*"):
        if cut_off.stat().st_mtime < before.timestamp():
            shutil.rmtree(cut_off, ignore_errors=True)
    kept = set(
        RoadExtract.objects.order_by("-is_current", "-loaded_at").values_list("sha256", flat=True)[
            :KEPT_EXTRACTS
        ]
    )
    for old in RoadExtract.objects.exclude(sha256__in=kept):
        CachedLeg.objects.filter(profile_key__startswith=f"valhalla-{old.sha256[:KEY_LETTERS]}").delete()
        shutil.rmtree(roads_dir / old.tiles_dir, ignore_errors=True)
        old.delete()


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or ["no reason given"])[0][:160]
