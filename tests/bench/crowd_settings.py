"""The app's own settings, and an address of its own for each client of a crowd on one machine."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from firewood_site.settings import *  # noqa: F403  the app as it is
from firewood_site.settings import MIDDLEWARE as APP_MIDDLEWARE

MIDDLEWARE = ["tests.bench.crowd_settings.own_address", *APP_MIDDLEWARE]
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.dummy.EmailBackend"}}
TASKS = {
    "default": {
        "BACKEND": "django.tasks.backends.immediate.ImmediateBackend",
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
