"""Everything goes along when the books outgrow one file: each move is a process, as in real use."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
ROOT = Path(__file__).resolve().parents[2]
FILL = """
import django
django.setup()
from django.contrib.auth.models import Group, User
from tests.factories.inventory import an_instant, make_lot
from tests.factories.orders import make_customer, make_order, make_sheet
from routing.models import RoadExtract
make_sheet(); make_lot(); make_order()
User.objects.create_user("ruth", password="x").groups.add(Group.objects.get(name="sellers"))
RoadExtract.objects.create(
    sha256="a" * 64, name="made up", loaded_at=an_instant(), west=-151, south=43, east=-149, north=45,
    tiles_dir="tiles", streets_db="streets",
)
"""
WITH_NUL = "import django; django.setup(); from orders.models import Customer; "
WITH_NUL += "Customer.objects.filter(name='Greta Sool').update(name='Greta\\0Sool')"


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("seller")
    run(folder, "manage.py", "migrate", "--verbosity", "0")
    run(folder, "-c", FILL)
    return folder


def run(folder, *arguments, fails=False):
    env = {**os.environ, "DATA_DIR": str(folder), "DJANGO_SETTINGS_MODULE": "firewood_site.settings"}
    env.pop("DATABASE_URL", None)
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert (done.returncode != 0) == fails, done.stderr
    return done.stderr if fails else done.stdout


def rows(path):
    """Every table's rows, but for what a database keeps of its own making."""
    own = ("sqlite_%", "django_migrations", "firewood_cache", "django_session", "usersessions_%")
    with closing(sqlite3.connect(path)) as books:
        where = " AND ".join(f"name NOT LIKE '{name}'" for name in own)
        names = books.execute(f"SELECT name FROM sqlite_master WHERE type='table' AND {where}").fetchall()
        return {name: books.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for (name,) in names}


def test_people_roads_and_books_are_there_afterwards_cell_for_cell(data, tmp_path):
    target = tmp_path / "target.sqlite3"

    told = run(data, "manage.py", "move_to", f"sqlite://{target}")

    assert rows(target) == rows(data / "db.sqlite3")
    assert len(rows(target)["auth_user_groups"]) == 1
    assert "1 routing.roadextract" in told
    again = run(data, "manage.py", "move_to", f"sqlite://{target}", fails=True)
    assert "already: name an empty database" in again


def test_a_text_that_the_other_database_refuses_is_named_and_nothing_is_moved(data, tmp_path):
    data = shutil.copytree(data, tmp_path / "seller")
    run(data, "-c", WITH_NUL)
    target = tmp_path / "target.sqlite3"

    told = run(data, "manage.py", "move_to", f"sqlite://{target}", fails=True)

    assert "orders.Customer 1 has a character in name that PostgreSQL refuses (NUL)" in told
    assert rows(target)["orders_order"] == []


def test_an_address_of_no_database_is_told_in_a_sentence(data):
    assert "DATABASE_URL begins with 'mysql'" in run(data, "manage.py", "move_to", "mysql://x/y", fails=True)
