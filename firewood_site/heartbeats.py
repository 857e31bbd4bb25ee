"""Signs of life of what works behind the pages, as files: they can be read and touched with no database.

Touching a file that is there needs no room either, so a full disk does not look like a dead worker.
"""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings

WORKER = "worker"
DAILY = "daily"  # the work of each morning
BACKUP = "backup"
MOST_LETTERS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Heartbeat:
    """When something last showed a sign of life, and what was wrong then; empty when nothing was."""

    at: datetime
    problem: str


def beat(name: str, *, problem: str = "") -> None:
    """Show a sign of life. A disk that takes no more words still takes the time."""
    file = _folder() / name
    try:
        if problem or not file.exists() or file.stat().st_size:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(problem[:MOST_LETTERS], encoding="utf-8")
    except OSError:
        pass
    try:
        file.touch()
    except OSError:
        return  # not even that: its age tells


def heartbeat(name: str) -> Heartbeat | None:
    """The last sign of life; None when there never was one."""
    file = _folder() / name
    try:
        at = datetime.fromtimestamp(file.stat().st_mtime, tz=UTC)
        return Heartbeat(at=at, problem=file.read_text(encoding="utf-8", errors="replace"))
    except OSError:
        return None


@contextmanager
def only_one(name: str) -> Iterator[bool]:
    """Whether this process alone may do something now; given back at the end, and by a killed process too."""
    file = _folder() / f"{name}.lock"
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("a") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
            return
        yield True


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "heartbeats"
