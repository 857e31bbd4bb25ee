"""A further seller on this server: a folder, a settings file, books and a log-in of their own.

Sellers share the program and, where wanted, the roads, which nobody writes while they are served. Each has a
database, a secret key and a folder apart, so that nothing in one seller's data reaches another's.
"""

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.core.management.utils import get_random_secret_key

SAMPLE = settings.BASE_DIR / "deploy" / "seller.env.sample"
NAME = re.compile(r"[a-z][a-z0-9-]{0,30}")
FIRST_PORT = 8000


class Command(BaseCommand):
    help = "Set up one more seller on this server: folder, settings, empty books, first log-in."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("name", help="short: small letters, digits, hyphens")
        parser.add_argument("--domain", required=True, help="where customers find them, as wood.example")
        parser.add_argument("--login", default="seller", help="the name the seller signs in with")
        parser.add_argument("--settings-dir", default="/etc/firewood", metavar="DIR")
        parser.add_argument("--data-dir", default="/var/lib/firewood", metavar="DIR")
        parser.add_argument(
            "--roads", default="", metavar="DIR", help="roads shared by all sellers of this server"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        name, domain = options["name"], options["domain"]
        if not NAME.fullmatch(name):
            raise CommandError(f"{name!r} can't be a folder's name: use small letters, digits and hyphens.")
        settings_dir, data = Path(options["settings_dir"]), Path(options["data_dir"]) / name
        file = settings_dir / f"{name}.env"
        if file.exists() or data.exists():
            raise CommandError(f"{name} is there already ({file} or {data}): choose another name.")
        values = {
            "SECRET_KEY": "".join(letter for letter in get_random_secret_key() if letter not in "#$'\"\\"),
            "ALLOWED_HOSTS": domain,
            "CSRF_TRUSTED_ORIGINS": f"https://{domain}",
            "SITE_URL": f"https://{domain}",
            "BIND": f"127.0.0.1:{_free_port(settings_dir)}",
            "BACKUP_DIR": str(data / "backups"),
            "EMAIL": "console",
        }
        if options["roads"]:
            values["ROADS_DIR"] = options["roads"]
        try:
            settings_dir.mkdir(parents=True, exist_ok=True)
            data.mkdir(parents=True, mode=0o700)
            file.touch(mode=0o600)
            file.write_text(_filled(values), encoding="utf-8")
        except OSError as error:
            raise CommandError(f"{error.filename} can't be written: {error.strerror}.") from error
        here = {**os.environ, **values, "DEMO": "no", "DATA_DIR": str(data), "DATABASE_URL": ""}
        _manage(here, "migrate", "--noinput", "--verbosity", "0")
        self.stdout.write(_manage(here, "add_staff", options["login"]).strip())
        self.stdout.write(
            f"Mail is off until {file} says EMAIL=smtp. Give the folder to the service's user "
            f"(chown -R firewood {data}), start it (systemctl enable --now firewood-web@{name}), "
            f"and let the proxy send {domain} to {values['BIND']}."
        )


def _free_port(settings_dir: Path) -> int:
    """The first port that no other seller's settings name."""
    taken = {
        int(port)
        for file in settings_dir.glob("*.env")
        for port in re.findall(r"^BIND=.*:(\d+)$", file.read_text(encoding="utf-8"), re.MULTILINE)
    }
    return next(port for port in range(FIRST_PORT, 65_536) if port not in taken)


def _filled(values: dict[str, str]) -> str:
    """The shipped sample with this seller's values in it."""
    left, lines = dict(values), []
    for line in SAMPLE.read_text(encoding="utf-8").splitlines():
        key = line.partition("=")[0]
        lines.append(f"{key}={left.pop(key)}" if key in left else line)
    return "\n".join([*lines, *(f"{key}={value}" for key, value in left.items())]) + "\n"


def _manage(environment: dict[str, str], *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *arguments],
        env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise CommandError(f"{arguments[0]} failed: {done.stderr.strip().splitlines()[-1]}")
    return done.stdout
