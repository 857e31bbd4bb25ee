"""Loading a map from a page: the file kept, the wish written down, the worker's progress beside it."""

import shutil
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path, PurePath
from tempfile import NamedTemporaryFile

from django.conf import settings
from django.utils import timezone

from inventory.services import audit
from routing.core import RoutingError
from routing.models import RoadLoad
from routing.services.roads import BadExtract, load_extract

ENDING = ".osm.pbf"
ROOM_FOR = 3  # times the file's size: the file, its tiles, and the street index while they are built
BROKE_OFF = "Loading broke off, and the roads are as they were. The worker's log says why."


def keep_upload(*, chunks: Iterable[bytes], name: str, size: int) -> Path:
    """Write a sent map beside the roads; where it lies. A file that breaks off leaves nothing.

    Errors
        BadExtract: the name is not that of an extract, or the disk has no room for it.
    """
    plain = PurePath(name.replace("\\", "/")).name
    _check_name(plain)
    folder = Path(settings.ROADS_DIR) / "incoming"
    folder.mkdir(parents=True, exist_ok=True)
    if shutil.disk_usage(folder).free < ROOM_FOR * size:
        raise BadExtract(plain, "the disk has too little room for it")
    with NamedTemporaryFile(dir=folder, suffix=ENDING, delete=False) as file:
        kept = Path(file.name)
        try:
            for chunk in chunks:
                file.write(chunk)
        except BaseException:
            kept.unlink(missing_ok=True)
            raise
    return kept


def ask_for_roads(*, file: Path, name: str, is_upload: bool, at: datetime, who: str) -> int:
    """Write down that a map is to be loaded; the id the worker takes.

    Errors
        BadExtract: no such file, or not named as an extract.
    """
    _check_name(file.name)
    if not file.is_file():
        raise BadExtract(file.name, "there is no such file on the machine that runs this site")
    title = PurePath(name.replace("\\", "/")).name.removesuffix(ENDING)[:120] or file.name
    row = RoadLoad(file=str(file), is_upload=is_upload, name=title, asked_at=at)
    row.full_clean()
    row.save()
    audit.note(at=at, who=who, verb="loads roads", thing="roads", note=title)
    return row.pk


def load_roads_asked_for(*, load_id: int) -> str:
    """Do it, with each step told; returns how it ended. One that is taken already is left alone."""
    waiting = RoadLoad.objects.filter(pk=load_id, state=RoadLoad.State.WAITING)
    if not waiting.update(state=RoadLoad.State.RUNNING, heard_at=timezone.now()):
        return "not waiting"
    row = RoadLoad.objects.get(pk=load_id)

    def say(line: str) -> None:
        RoadLoad.objects.filter(pk=load_id).update(message=line[:500], heard_at=timezone.now())

    try:
        loaded = load_extract(pbf=Path(row.file), loaded_at=timezone.now(), name=row.name, say=say)
    except RoutingError as error:
        return _ended(load_id, RoadLoad.State.FAILED, str(error))
    except Exception:
        _ended(load_id, RoadLoad.State.FAILED, BROKE_OFF)
        raise
    finally:
        if row.is_upload:
            Path(row.file).unlink(missing_ok=True)
    houses = f"{loaded.houses:,} house numbers" if loaded.houses else "no house numbers"
    return _ended(load_id, RoadLoad.State.DONE, f"{loaded.name} is in use, with {houses}.")


def _ended(load_id: int, state: RoadLoad.State, message: str) -> str:
    RoadLoad.objects.filter(pk=load_id).update(state=state, message=message[:500], heard_at=timezone.now())
    return str(state)


def _check_name(name: str) -> None:
    if not name.endswith(ENDING):
        raise BadExtract(name or "The file", "its name does not end in {ending}", ending=ENDING)
