"""A copy of everything that can't be made again: the database and the photos. And back."""

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections

from firewood_site.heartbeats import BACKUP, beat
from firewood_site.sealed import SEALED, SealError, seal, unseal


class BackupError(SealError):
    """The copy could not be made or put back; says why."""


DATABASE_FILE = "database.sqlite3"
POSTGRES_FILE = "database.dump"
PHOTOS = "media"
NAMES = "firewood-????????-??????"
OWNER_ONLY, OWNER_ONLY_FILE = 0o700, 0o600  # names, addresses and gate codes are in it


def _postgres_arguments() -> tuple[list[str], dict[str, str]]:
    database = connection.settings_dict
    arguments = ["--dbname", database["NAME"]]
    for flag, key in (("--host", "HOST"), ("--port", "PORT"), ("--username", "USER")):
        if database[key]:
            arguments += [flag, str(database[key])]
    environment = {**os.environ, **({"PGPASSWORD": database["PASSWORD"]} if database["PASSWORD"] else {})}
    return arguments, environment


def _run(program: str, arguments: list[str], environment: dict[str, str]) -> None:
    if shutil.which(program) is None:
        raise BackupError(f"{program} was not found: install PostgreSQL's client programs.")
    done = subprocess.run([program, *arguments], env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupError(f"{program} said: {done.stderr.strip() or done.stdout.strip()}")


def _sound(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as copy:
            return copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    except sqlite3.DatabaseError:
        return False


def back_up(folder: Path, at: datetime) -> Path:
    """Copy database and photos into a new folder named by the instant; safe while the app is in use.

    The copy is tried before it counts. Where BACKUP_PASSPHRASE_FILE names a file, it becomes one sealed file.

    Errors
        BackupError, SealError: nothing was kept.
    """
    target = folder / f"firewood-{at:%Y%m%d-%H%M%S}"
    unfinished = target.with_name(target.name + ".part")
    if target.exists() or unfinished.exists():
        raise BackupError(f"{target} is there already: wait a second and try again.")
    folder.mkdir(parents=True, exist_ok=True)
    unfinished.mkdir(mode=OWNER_ONLY)
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        raw: Any = connection.connection
        with closing(sqlite3.connect(unfinished / DATABASE_FILE)) as copy:
            raw.backup(copy)
        if not _sound(unfinished / DATABASE_FILE):
            shutil.rmtree(unfinished)
            raise BackupError("The copy did not pass SQLite's integrity check; nothing was kept.")
    else:
        arguments, environment = _postgres_arguments()
        _run(
            "pg_dump", ["--format=custom", "--file", str(unfinished / POSTGRES_FILE), *arguments], environment
        )
    photos = Path(settings.MEDIA_ROOT)
    if photos.is_dir():
        shutil.copytree(photos, unfinished / PHOTOS)
    for path in unfinished.rglob("*"):
        path.chmod(OWNER_ONLY if path.is_dir() else OWNER_ONLY_FILE)
    try:
        verify(unfinished)
    except BackupError:
        shutil.rmtree(unfinished)
        raise
    unfinished.rename(target)
    if settings.BACKUP_PASSPHRASE_FILE:
        target = seal(target, passphrase=Path(settings.BACKUP_PASSPHRASE_FILE))
    beat(BACKUP)
    return target


def verify(copy: Path) -> None:
    """Restore a copy into a scratch folder and compare its rows; a PostgreSQL dump is read through.

    Errors
        BackupError: it would not come back.
    """
    if not (copy / DATABASE_FILE).is_file():
        _run("pg_restore", ["--file", os.devnull, str(copy / POSTGRES_FILE)], dict(os.environ))
        return
    with tempfile.TemporaryDirectory() as scratch:
        told = {
            "DATA_DIR": scratch,
            "DATABASE_URL": "",
            "DEMO": "yes" if settings.DEMO else "no",
            "SECRET_KEY": settings.SECRET_KEY,
        }
        done = subprocess.run(
            [sys.executable, str(settings.BASE_DIR / "manage.py"), "restore", str(copy.resolve())],
            env={**os.environ, **told},
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise BackupError(f"The copy could not be restored into a scratch folder: {done.stderr.strip()}")
        before, after = rows_in(copy / DATABASE_FILE), rows_in(Path(scratch) / "db.sqlite3")
    lost = [name for name, rows in before.items() if name in after and after[name] < rows]
    if lost:
        raise BackupError(f"Restored into a scratch folder, the copy lacks rows of {', '.join(lost)}.")


def rows_in(database: Path) -> dict[str, int]:
    """How many rows each table of an SQLite file holds."""
    with closing(sqlite3.connect(f"{database.resolve().as_uri()}?mode=ro", uri=True)) as opened:
        names = [row[0] for row in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: opened.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}


def prune(folder: Path, *, keep: int) -> int:
    """Delete all but the newest copies; how many went."""
    copies = sorted([*folder.glob(NAMES), *folder.glob(NAMES + SEALED)], key=lambda path: path.name)
    old = copies[:-keep] if keep > 0 else []
    for path in old:
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()
    return len(old)


def restore(folder: Path) -> None:
    """Put a copy back in place of the present books, brought up to this version. Stop the app first.

    Errors
        BackupError: not one of our copies, a damaged one, or one of the other database.
        SealError: a sealed copy that can't be opened.
    """
    if folder.name.endswith(SEALED):
        with tempfile.TemporaryDirectory() as scratch:
            restore(unseal(folder, Path(scratch), passphrase=Path(settings.BACKUP_PASSPHRASE_FILE)))
        return
    source = folder / (DATABASE_FILE if connection.vendor == "sqlite" else POSTGRES_FILE)
    if not source.is_file():
        raise BackupError(f"{folder} holds no {source.name}: name a folder that `backup` made.")
    if connection.vendor == "sqlite":
        if not _sound(source):
            raise BackupError(f"{source} is damaged: SQLite's integrity check fails. Use an older copy.")
        connection.ensure_connection()
        live: Any = connection.connection
        with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as copy:
            copy.backup(live)
    else:
        arguments, environment = _postgres_arguments()
        connections.close_all()
        flags = ["--clean", "--if-exists", "--no-owner", "--single-transaction"]
        _run("pg_restore", [*flags, *arguments, str(source)], environment)
    call_command("migrate", interactive=False, verbosity=0)
    if (folder / PHOTOS).is_dir():
        photos = Path(settings.MEDIA_ROOT)
        aside = photos.with_name(photos.name + ".before-restore")
        if aside.exists():
            shutil.rmtree(aside)
        if photos.exists():
            photos.rename(aside)
        shutil.copytree(folder / PHOTOS, photos)
