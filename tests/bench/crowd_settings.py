"""The app's own settings, and an address of its own for each client of a crowd on one machine."""

import os
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from firewood_site.settings import *  # noqa: F403  the app as it is
from firewood_site.settings import DATA_DIR
from firewood_site.settings import MIDDLEWARE as APP_MIDDLEWARE

MIDDLEWARE = ["tests.bench.crowd_settings.own_address", *APP_MIDDLEWARE]
HAS_WORKERS = os.environ.get("CROWD_WORKERS") == "yes"  # letters and plannings go their usual way
MAILERS = {
    "default": {
        "BACKEND": "django.core.mail.backends.filebased.EmailBackend",
        "OPTIONS": {"file_path": DATA_DIR / "mail"},
    }
    if HAS_WORKERS
    else {"BACKEND": "django.core.mail.backends.dummy.EmailBackend"}
}
TASKS = {
    "default": {
        "BACKEND": "django_tasks_db.DatabaseBackend"
        if HAS_WORKERS
        else "django.tasks.backends.immediate.ImmediateBackend",
        "QUEUES": ["default", "planner"],
    }
}


def own_address(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Let a client say where it comes from, so that fifty of them are not taken for one."""

    def answered(request: HttpRequest) -> HttpResponse:
        said = request.headers.get("X-Crowd-Address")
        if said:
            request.META["REMOTE_ADDR"] = said
        return get_response(request)

    return answered
