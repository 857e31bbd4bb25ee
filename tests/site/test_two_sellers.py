"""Two sellers on one server: nothing of one reaches the other."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[2]
# runs in each seller's own process: orders, signs in, and tries what the other one made
SCRIPT = """
import json, sys, django
django.setup()
from datetime import date, datetime, UTC
from django.contrib.auth.models import User
from django.test import Client
from firewood_site.access import order_path
from orders.models import Customer, Order
tried = json.loads(sys.argv[1])
outside = Client(SERVER_NAME=sys.argv[2], raise_request_exception=False)
outside.cookies.load({name: value for name, value in tried.get("cookies", {}).items()})
answers = {path: outside.get(path, secure=True).status_code for path in tried.get("paths", [])}
inside = Client(SERVER_NAME=sys.argv[2])
inside.force_login(User.objects.get())
paths = ["/seller/"]
own = {path: inside.get(path, secure=True).status_code for path in paths}
print(json.dumps({
    "answers": answers, "own": own, "people": list(User.objects.values_list("username", flat=True)),
    "cookies": {name: kept.value for name, kept in inside.cookies.items()},
}))
"""


def settings_of(file):
    lines = file.read_text().splitlines()
    return dict(line.split("=", 1) for line in lines if line and not line.startswith("#"))


def in_process(name, folder, tried):
    told = settings_of(folder / "etc" / f"{name}.env")
    env = {**os.environ, **told, "DEMO": "no", "DATA_DIR": str(folder / "var" / name), "DATABASE_URL": ""}
    env |= {"DJANGO_SETTINGS_MODULE": "firewood_site.settings", "STATIC_ROOT": str(folder / "static")}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, json.dumps(tried), told["ALLOWED_HOSTS"]],
        cwd=ROOT, env=env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def add(name, folder):
    call_command(
        "new_seller", name, domain=f"{name}.example", login=f"{name}-ruth",
        settings_dir=str(folder / "etc"), data_dir=str(folder / "var"),
    )  # fmt: skip


@pytest.mark.slow  # sets up books from nothing twice
def test_two_sellers_have_doors_keys_books_and_people_apart(tmp_path, capsys):
    add("ridge", tmp_path), add("valley", tmp_path)
    env = {
        **os.environ,
        "STATIC_ROOT": str(tmp_path / "static"),
        "DEMO": "no",
        "SECRET_KEY": "while-collecting",
    }
    env.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "manage.py", "collectstatic", "--noinput"]
    subprocess.run(command, cwd=ROOT, env=env, check=True, capture_output=True)

    ridge, valley = (settings_of(tmp_path / "etc" / f"{name}.env") for name in ("ridge", "valley"))
    assert {ridge["BIND"], valley["BIND"]} == {"127.0.0.1:8000", "127.0.0.1:8001"}
    assert ridge["SECRET_KEY"] != valley["SECRET_KEY"]
    assert (tmp_path / "var" / "ridge").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "etc" / "ridge.env").stat().st_mode & 0o777 == 0o600
    first = in_process("ridge", tmp_path, {})
    assert first["own"] == {"/seller/": 200}

    other = in_process("valley", tmp_path, {"cookies": first["cookies"], "paths": ["/seller/", "/health"]})

    assert first["people"] == ["ridge-ruth"]
    assert other["people"] == ["valley-ruth"]
    assert other["answers"] == {"/seller/": 302, "/health": 200}  # a log-in at one door opens no other


def test_a_seller_is_never_set_up_over_another(tmp_path):
    (tmp_path / "var" / "ridge").mkdir(parents=True)

    with pytest.raises(CommandError, match="there already"):
        add("ridge", tmp_path)
    with pytest.raises(CommandError, match="small letters"):
        call_command("new_seller", "../etc", domain="x.example")
