"""The driver's pages: today's run, a load's card, a drop's card, and what an installed phone asks for."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from firewood_site.access import driver_required, found
from firewood_site.clock import now
from firewood_site.letters import ReadyText, about_clock, ready_text
from inventory.selectors.business import business
from inventory.selectors.photos import photos_about
from inventory.selectors.spoken import reader_language
from orders.core.languages import clock_words
from orders.selectors.orders import order_view, order_views
from orders.selectors.prices import pay_ways
from routing.core.roads import Route
from routing.maps.gpx import route_gpx
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.drivers import driver_signed_in
from routing.selectors.runs.brought_home import CameHome, came_home
from routing.selectors.runs.moving_map import MovingMap, moving_map
from routing.selectors.runs.phone_times import phone_times
from routing.selectors.runs.run_maps import legs_of_run, line_of, map_of_runs, way_of_run
from routing.selectors.runs.runs import RunView, next_days, run_of_drop, run_of_load, run_view, runs_of
from routing.selectors.runs.turns import LegTurns, turns_of_run

LATE_STOPS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class LateText:
    """A text for a drop further on, with its new time."""

    name: str
    number: int
    at: str
    text: ReadyText | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOnPage:
    """A run with all its page shows: times, drawn and moving map, texts, what came home, keys of its taps."""

    run: RunView
    times: str
    map: str
    moving: MovingMap | None
    late: tuple[LateText, ...]
    home_forms: list[tuple[CameHome, UUID]]
    uuid_left: UUID
    uuid_home: UUID


@driver_required
@require_safe
def run_today(request: HttpRequest) -> HttpResponse:
    """Today's committed runs, only one's own where the sign-in is a driver's; the days ahead without any."""
    at = now()
    on = timezone.localdate(at)
    runs = runs_of(on, at=at)
    who = driver_signed_in(request.user.get_username())
    own = runs if who is None else tuple(run for run in runs if who in (run.driver_id, run.helper_id))
    return _run_page(request, own, on=on, others=tuple(run for run in runs if run not in own))


@driver_required
@require_safe
def run(request: HttpRequest, run_id: int) -> HttpResponse:
    """One run of any day."""
    at = now()
    view = found(run_view(run_id, at=at), _("This run is not planned any more."))
    return _run_page(request, (view,), on=timezone.localdate(at))


@driver_required
@require_safe
def run_gpx(request: HttpRequest, run_id: int) -> HttpResponse:
    """The run for a navigation app."""
    view = found(run_view(run_id), _("This run is not planned any more."))
    body = route_gpx(name=f"{view.rig} {view.on}", route=way_of_run(view), stops=view.halts)
    answer = HttpResponse(body, content_type="application/gpx+xml")
    answer["Content-Disposition"] = f'attachment; filename="run-{view.on}-{view.rig_id}.gpx"'
    return answer


@driver_required
@require_safe
def load_card(request: HttpRequest, load_id: int) -> HttpResponse:
    """What goes on first, how heavy, and the ticks before rolling."""
    view = found(run_of_load(load_id, at=now()), _("This load is not planned any more."))
    load = next(load for load in view.loads if load.id == load_id)
    first = load.open_drops[0] if load.open_drops else None
    context = {"run": view, "load": load, "first": first, "uuid": uuid4(), "uuid_ticks": uuid4()}
    return render(request, "driver/load.html", context)


@driver_required
@require_safe
def drop_card(request: HttpRequest, stop_id: int) -> HttpResponse:
    """One drop: how to get in, what is due, and what happened there."""
    view = found(run_of_drop(stop_id, at=now()), _("This drop is not on a run any more."))
    halt = next(halt for halt in view.halts if halt.drop and halt.drop.id == stop_id)
    order = order_view(halt.drop.order.number) if halt.drop else None
    there = about_clock(halt.now_at, language=order.customer.language) if order else ""
    context = {
        "run": view,
        "times": _times(view),
        "place": view.halts.index(halt),
        "halt": halt,
        "drop": halt.drop,
        "texts": _texts(order, there) if order else (),
        "photos": photos_about(halt.drop.order.reference, purpose="drop") if halt.drop else (),
        "kinds": pay_ways(),
        "next": _after(view, stop_id),
        "uuids": {name: uuid4() for name in ("way", "arrived", "delivered", "paid", "no_show", "trouble")},
    }
    return render(request, "driver/drop.html", context)


@require_safe
@cache_control(no_cache=True)
def service_worker(request: HttpRequest) -> HttpResponse:
    """The offline helper, served from the root so that it may keep every page of the driver."""
    return render(request, "driver/sw.js", content_type="text/javascript")


@require_safe
@cache_control(max_age=3600)
def manifest(request: HttpRequest) -> JsonResponse:
    """What a phone needs to put the driver's pages on its home screen (W3C web app manifest)."""
    name = business().name
    icon = {
        "src": static("firewood_site/icon.svg"),
        "type": "image/svg+xml",
        "sizes": "any",
        "purpose": "any",
    }
    manifest = {
        "name": f"{name}: today's run",
        "short_name": "Today's run",
        "start_url": reverse("run-today"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#f6f2e9",
        "theme_color": "#2e4632",
        "icons": [icon],
    }
    return JsonResponse(manifest, content_type="application/manifest+json")


def _run_page(
    request: HttpRequest, runs: tuple[RunView, ...], *, on: date, others: tuple[RunView, ...] = ()
) -> HttpResponse:
    pages: list[str] = []
    rows: list[RunOnPage] = []
    turns: list[LegTurns] = []
    for view in runs:
        pages.append(reverse("run", args=[view.id]))
        pages += [reverse("load-card", args=[load.id]) for load in view.loads]
        pages += [reverse("drop", args=[drop.id]) for drop in view.drops]
        ways = legs_of_run(view)
        rows.append(
            RunOnPage(
                run=view,
                times=_times(view),
                map=_map(view, ways),
                moving=moving_map(view, ways),
                late=_late_texts(view),
                home_forms=_home_forms(view),
                uuid_left=uuid4(),
                uuid_home=uuid4(),
            )
        )
        turns += turns_of_run(view, ways, language=reader_language())
    moving = [row.moving for row in rows if row.moving]
    context = {
        "runs": rows,
        "pages": [reverse("run-today"), reverse("driver-told"), *pages],
        "tiles": {"kept": moving[0].kept, "paths": sorted({tile for one in moving for tile in one.tiles})}
        if moving
        else None,
        "ahead": next_days(on) if not runs else (),
        "others": others,
        "turns": turns,
        "kept": len(events_to_look_at(on=on)),
    }
    return render(request, "driver/run.html", context)


def _times(view: RunView) -> str:
    """For the phone's own reckoning, with two hours as the reader writes them."""
    language = reader_language()
    clock = [clock_words(time(hour, 5), language=language) for hour in (9, 21)]
    return json.dumps({**phone_times(view, at=now()), "clock": clock})


def _home_forms(view: RunView) -> list[tuple[CameHome, UUID]]:
    """Where each drop's wood lies that came home; those still to be delivered wait hidden on the page."""
    return [(row, uuid4()) for row in came_home(view.drops, on=view.on)]


def _map(view: RunView, ways: Sequence[Route]) -> str:
    """The run drawn as wide as a phone shows it, so that its letters are read."""
    lines = (line_of(ways),) if ways else ()
    return map_of_runs((view,), width=358, height=400, lines=lines)


def _late_texts(view: RunView) -> tuple[LateText, ...]:
    """Texts for the next drops when the run is behind."""
    behind = [halt for halt in view.halts if halt.drop and halt.is_late and halt.drop.state != "arrived"]
    late = [(halt, halt.drop.order.number) for halt in behind[:LATE_STOPS] if halt.drop]
    orders = order_views(number for _, number in late)
    texts = []
    for halt, number in late:
        order = orders.get(number)
        if order is None:
            continue
        text = ready_text(order, "late", time=about_clock(halt.now_at, language=order.customer.language))
        at = about_clock(halt.now_at, language=reader_language())
        texts.append(LateText(name=halt.name, number=order.number, at=at, text=text))
    return tuple(texts)


def _texts(order: object, there: str) -> tuple[tuple[str, ReadyText], ...]:
    kinds = (
        (_("on the way"), "on_the_way"),
        (_("running late"), "late"),
        (_("nobody there"), "no_show"),
    )
    texts = [(label, ready_text(order, kind, time=there)) for label, kind in kinds]  # type: ignore[arg-type]
    return tuple((label, text) for label, text in texts if text is not None and text.phone)


def _after(view: RunView, stop_id: int) -> object | None:
    """The halt that follows a drop."""
    places = [place for place, halt in enumerate(view.halts) if halt.drop and halt.drop.id == stop_id]
    return view.halts[places[0] + 1] if places and places[0] + 1 < len(view.halts) else None
