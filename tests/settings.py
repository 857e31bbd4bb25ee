"""The project's settings, with nothing running: memory database, straight-line roads, tasks at once."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

from firewood_site.settings import *  # noqa: F403  - every switch is inherited, then a few are turned
from firewood_site.settings import DATABASES

DATA_DIR = Path(tempfile.mkdtemp(prefix="firewood-tests-"))
atexit.register(shutil.rmtree, DATA_DIR, ignore_errors=True)
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir()
MEDIA_ROOT = DATA_DIR / "media"
ROADS_DIR = DATA_DIR / "roads"
ROAD_ENGINE = os.environ.get("TEST_ROAD_ENGINE", "estimate")
# Looked up when asked: reading all 200 files at every client's start was a tenth of the tests' time.
WHITENOISE_AUTOREFRESH = True
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.locmem.EmailBackend"}}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
TASKS = {
    "default": {
        "BACKEND": "django.tasks.backends.immediate.ImmediateBackend",
        "QUEUES": ["default", "planner"],
    }
}
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "tests"},
    "tiles": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "tiles"},
}
# Threads that fight over a lot need a real file: a memory database answers no lock questions.
if DATABASES["default"]["ENGINE"].endswith("sqlite3") and os.environ.get("TEST_DATABASE_FILE"):
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}
