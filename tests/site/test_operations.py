"""What is shipped for running it: settings that pass Django's own check, files that agree with the code."""

import os
import re
import stat
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from firewood_site.backups import BackupError, back_up, prune, restore
from firewood_site.heartbeats import BACKUP, heartbeat
from firewood_site.sealed import SealError
from orders.models import Order
from tests.factories.inventory import an_instant
from tests.factories.orders import make_customer, make_order

ROOT = Path(__file__).resolve().parents[2]


def sample_settings():
    lines = (ROOT / "deploy" / "seller.env.sample").read_text().splitlines()
    return dict(line.split("=", 1) for line in lines if line and not line.startswith("#"))


@pytest.mark.slow
def test_the_documented_settings_pass_the_check_for_deployment(tmp_path):
    env = {**os.environ, **sample_settings(), "DEMO": "no", "DATA_DIR": str(tmp_path / "data")}
    env["SECRET_KEY"] = "a-long-random-text-of-many-letters-0123456789-abcdefghij-klm"
    env["STATIC_ROOT"] = str(tmp_path / "static")
    env |= {"EMAIL_HOST": "mail.wood.example", "FROM_EMAIL": "wood@wood.example"}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    env.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)  # set for the driver of the browser tests alone

    done = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT, env=env, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
@pytest.mark.parametrize("hour", [7, 18])
def test_the_check_passes_at_the_very_hour_a_crew_starts_or_ends(monkeypatch, hour):
    monkeypatch.setattr(timezone, "now", lambda: datetime(2026, 9, 18, hour, tzinfo=UTC))

    call_command("check", fail_level="WARNING")


def test_every_setting_the_shipped_files_name_is_one_the_app_reads():
    read = set(re.findall(r'env_\w+\("(\w+)"', (ROOT / "firewood_site" / "settings.py").read_text()))
    read |= set(re.findall(r'environ.get\("(\w+)"', (ROOT / "deploy" / "gunicorn.py").read_text()))
    named = set(sample_settings())
    compose = (ROOT / "compose.yaml").read_text()
    named |= set(re.findall(r"^    ([A-Z_]+):", compose.split("services:")[0], re.MULTILINE))

    assert named - read - {"BIND"} == set()


@pytest.mark.parametrize("name", ["Caddyfile", "nginx.conf"])
def test_the_doors_limit_what_comes_in_as_the_app_does(name, settings):
    text = (ROOT / "deploy" / name).read_text()

    assert re.search(rf"{settings.MOST_BODY_BYTES // 1024 // 1024}m", text, re.IGNORECASE)
    assert re.search(r"(read_body|client_body_timeout) 30s", text)


@pytest.mark.django_db
def test_a_body_that_is_too_large_is_refused_unread(client):
    answer = client.generic("POST", "/price", b"", CONTENT_LENGTH=str(150 * 1024 * 1024))

    assert answer.status_code == 413
    assert b"12 MB" in answer.content


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_copy_is_for_its_owners_eyes_and_old_ones_go(business, tmp_path, settings):
    if connection.vendor != "sqlite":
        pytest.skip("the PostgreSQL copy is made by pg_dump and tested with the PostgreSQL set")
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    (tmp_path / "media" / "2026").mkdir(parents=True)
    (tmp_path / "media" / "2026" / "load.jpg").write_bytes(b"a photo")

    made = back_up(tmp_path / "copies", an_instant())

    modes = {stat.S_IMODE(path.stat().st_mode) for path in (made, *made.rglob("*"))}
    assert modes == {0o700, 0o600}
    assert heartbeat(BACKUP) is not None
    for day in range(1, 4):
        (tmp_path / "copies" / f"firewood-2020010{day}-000000").mkdir()
    assert prune(tmp_path / "copies", keep=2) == 2
    assert sorted(path.name for path in (tmp_path / "copies").iterdir()) == [
        "firewood-20200103-000000",
        made.name,
    ]


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_copy_of_an_older_version_is_brought_up_to_this_one(business, tmp_path, settings):
    """Without it every page that reads a newer column answered 500 while /health said well."""
    if connection.vendor != "sqlite":
        pytest.skip("SQLite's own copy")
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    order = make_order(customer=make_customer(email="greta@example.com"))
    try:
        call_command("migrate", "orders", "0003", verbosity=0)
        made = back_up(tmp_path / "copies", an_instant())
    finally:
        call_command("migrate", verbosity=0)

    restore(made)

    with connection.cursor() as cursor:
        columns = {
            column.name for column in connection.introspection.get_table_description(cursor, "orders_letter")
        }
    assert {"key", "due_at", "tries"} <= columns
    order.refresh_from_db()


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_sealed_copy_tells_nothing_and_comes_back_with_its_passphrase_only(business, tmp_path, settings):
    if connection.vendor != "sqlite":
        pytest.skip("SQLite's own copy")
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    settings.BACKUP_PASSPHRASE_FILE = str(tmp_path / "passphrase")
    (tmp_path / "passphrase").write_text("split small and stacked under a roof\n")
    order = make_order(customer=make_customer(email="greta@example.com"))

    made = back_up(tmp_path / "copies", an_instant())

    assert [path.name for path in (tmp_path / "copies").iterdir()] == [made.name]
    assert stat.S_IMODE(made.stat().st_mode) == 0o600
    assert b"greta@example.com" not in made.read_bytes()
    (tmp_path / "wrong").write_text("another\n")
    settings.BACKUP_PASSPHRASE_FILE = str(tmp_path / "wrong")
    with pytest.raises(SealError, match="right passphrase"):
        restore(made)
    settings.BACKUP_PASSPHRASE_FILE = str(tmp_path / "passphrase")
    Order.objects.filter(pk=order.pk).delete()
    restore(made)
    order.refresh_from_db()
    assert prune(tmp_path / "copies", keep=1) == 0


@pytest.mark.django_db(transaction=True)
def test_a_copy_that_would_not_come_back_is_not_kept(business, tmp_path, settings, monkeypatch):
    if connection.vendor != "sqlite":
        pytest.skip("SQLite's own copy")
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    monkeypatch.setattr("firewood_site.backups.sys.executable", "/bin/false")

    with pytest.raises(BackupError, match="scratch folder"):
        back_up(tmp_path / "copies", an_instant())

    assert list((tmp_path / "copies").iterdir()) == []
