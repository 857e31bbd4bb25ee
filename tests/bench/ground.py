"""Books to measure on: the demo's seller in a folder of its own, ten seasons laid over it when asked."""

import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

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
