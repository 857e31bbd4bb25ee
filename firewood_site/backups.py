"""A copy of everything that can't be made again: the database and the photos. And back."""

import shutil
import sqlite3
import subprocess
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections


class BackupError(Exception):
    """The copy could not be made or put back; says why."""


DATABASE_FILE = "database.sqlite3"
POSTGRES_FILE = "database.dump"
PHOTOS = "media"


def _postgres_arguments() -> tuple[list[str], dict[str, str]]:
    import os

    said = connection.settings_dict
    arguments = ["--dbname", said["NAME"]]
    for flag, key in (("--host", "HOST"), ("--port", "PORT"), ("--username", "USER")):
        if said[key]:
            arguments += [flag, str(said[key])]
    environment = {**os.environ, **({"PGPASSWORD": said["PASSWORD"]} if said["PASSWORD"] else {})}
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
    """Copy database and photos into a new folder named by the instant; safe while the app is in use."""
    target = folder / f"firewood-{at:%Y%m%d-%H%M%S}"
    unfinished = target.with_name(target.name + ".part")
    if target.exists() or unfinished.exists():
        raise BackupError(f"{target} is there already: wait a second and try again.")
    unfinished.mkdir(parents=True)
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
    unfinished.rename(target)
    return target


def restore(folder: Path) -> None:
    """Put a copy back in place of the present books. Stop the app first.

    Errors
        BackupError: not one of our copies, a damaged one, or one of the other database.
    """
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
    if (folder / PHOTOS).is_dir():
        photos = Path(settings.MEDIA_ROOT)
        aside = photos.with_name(photos.name + ".before-restore")
        if aside.exists():
            shutil.rmtree(aside)
        if photos.exists():
            photos.rename(aside)
        shutil.copytree(folder / PHOTOS, photos)
