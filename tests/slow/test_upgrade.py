"""Books of every version kept in fixtures/upgrade come up to this one, and each of their pages answers."""

import gzip
import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
VERSIONS = sorted((ROOT / "fixtures" / "upgrade").glob("*.sql.gz"))
# run over the restored books, in a process of their own
ASK = """
import json, logging, django
django.setup()
logging.disable(logging.CRITICAL)
from django.conf import settings
settings.ALLOWED_HOSTS = ["*"]
from django.contrib.auth.models import User
from django.test import Client
from orders.models import Order
from tests.compare_pages import ROLES, STARTS, every_address, order_links
paths = sorted({*STARTS, *every_address(), *order_links()})
broken = []
for name in ROLES.values():
    client = Client(raise_request_exception=False)
    if name:
        client.force_login(User.objects.get(username=name))
    broken += [f"{name} {path}" for path in paths if client.get(path).status_code == 500]
print(json.dumps({"asked": len(paths), "broken": broken, "orders": Order.objects.count()}))
"""


@pytest.mark.slow
@pytest.mark.parametrize("version", VERSIONS, ids=lambda path: path.name.partition(".")[0])
def test_older_books_come_up_to_this_version(version, tmp_path):
    copy = tmp_path / "copy"
    copy.mkdir()
    with closing(sqlite3.connect(copy / "database.sqlite3")) as books:
        books.executescript(gzip.decompress(version.read_bytes()).decode())
        before = books.execute("SELECT count(*) FROM orders_order").fetchone()[0]
    env = {**os.environ, "DATA_DIR": str(tmp_path / "data"), "DATABASE_URL": "", "DEMO": "yes"}
    env["DJANGO_SETTINGS_MODULE"] = "firewood_site.settings"
    env["TASKS_BACKEND"] = "django.tasks.backends.immediate.ImmediateBackend"

    def run(*command):
        done = subprocess.run(
            [sys.executable, *command], cwd=ROOT, env=env, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    run("manage.py", "restore", str(copy))
    answers = json.loads(run("-c", ASK).splitlines()[-1])

    assert answers["orders"] == before > 0
    assert answers["asked"] > 200
    assert answers["broken"] == []
