"""Map tiles and street search, asked for by pages of every audience."""

from django.http import Http404, HttpRequest, HttpResponse


def tile(request: HttpRequest, z: int, x: int, y: int) -> HttpResponse:
    raise Http404("No roads are loaded.")


def street_search(request: HttpRequest) -> HttpResponse:
    raise Http404("No roads are loaded.")


def where_am_i(request: HttpRequest) -> HttpResponse:
    raise Http404("No roads are loaded.")
