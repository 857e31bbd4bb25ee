"""Books to measure on: the demo's seller in a folder of its own, ten seasons laid over it when asked."""

import contextlib
import os
import secrets
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

ROOT = Path(__file__).resolve().parents[2]
FIXED = {"TASKS_BACKEND": "django.tasks.backends.immediate.ImmediateBackend"}


def stand_up(*, orders: int = 0, keep: str = "") -> Path:
    """Set Django up on a data folder: a new one, or one kept from before under BENCH_DATA.

    Call before anything of the app is imported. BENCH_DATA names a folder to make once and use again.
    """
    named = os.environ.get("BENCH_DATA")
    folder = Path(named) / (keep or "books") if named else Path(tempfile.mkdtemp(prefix="firewood-bench-"))
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["DATA_DIR"] = str(folder)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "firewood_site.settings")
    for name, value in FIXED.items():
        os.environ.setdefault(name, value)

    import django

    django.setup()
    from django.core.management import call_command

    from inventory.models import Business

    call_command("migrate", verbosity=0)
    if not Business.objects.exists():
        call_command("load_demo", verbosity=0, stdout=sys.stderr)
        if orders:
            from firewood_site.demo import DEMO_DAY
            from tests.factories.season import make_seasons

            make_seasons(last_on=DEMO_DAY, orders=orders)
    return folder


def percentile(values: Iterable[float], share: float) -> float:
    """The value that so large a share lies at or below (nearest rank)."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, max(0, -(-int(share * 1000 * len(ordered)) // 1000) - 1))]


def timed(act: Callable[[], object], *, times: int, warm: int = 1) -> list[float]:
    """Milliseconds of each of so many calls, after some that are not counted."""
    return [wall for wall, _ in timed_with_cpu(act, times=times, warm=warm)]


def timed_with_cpu(act: Callable[[], object], *, times: int, warm: int = 1) -> list[tuple[float, float]]:
    """The same with the processor's own milliseconds beside: what a call takes on a machine not shared."""
    for _ in range(warm):
        act()
    taken = []
    for _ in range(times):
        start, cpu = time.perf_counter(), time.process_time()
        act()
        taken.append(((time.perf_counter() - start) * 1000, (time.process_time() - cpu) * 1000))
    return taken


def no_server(url: str) -> str:
    """Why PostgreSQL can't be asked at this address; empty when it can."""
    try:
        import psycopg

        psycopg.connect(url, connect_timeout=3).close()
    except Exception as error:  # noqa: BLE001  whatever the reason, the section is left out and says why
        return str(error).strip().splitlines()[0]
    return ""


@contextlib.contextmanager
def postgres_database(url: str) -> Iterator[str]:
    """A database of our own beside the one named, dropped at the end."""
    import psycopg

    name = f"firewood_crowd_{secrets.token_hex(4)}"
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f'create database "{name}"')
    try:
        yield urlsplit(url)._replace(path=f"/{name}").geturl()
    finally:
        with psycopg.connect(url, autocommit=True) as admin:
            admin.execute(f'drop database if exists "{name}" with (force)')
