"""The load sheet: one printable page for the cab."""

from fractions import Fraction

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.seller.closures_today import CHAIN, IN_THE_WOODS, closure_notes
from firewood_site.seller.views.days import date_of
from firewood_site.templatetags.firewood import volume
from inventory.core.local import in_local_units
from inventory.selectors.work import heap_number
from routing.selectors.days.day_view import day_view
from routing.selectors.runs.load_cautions import LoadCaution
from routing.selectors.runs.loads import LoadView
from routing.selectors.runs.run_maps import map_of_runs
from routing.selectors.runs.runs import RunView
from routing.selectors.runs.where_cut import cut_papers_of_day


@seller_required
@require_safe
def load_sheet(request: HttpRequest, on: str) -> HttpResponse:
    """Every run of the day, load by load: what goes on first, weight, stops, map."""
    view = day_view(date_of(on))
    runs = [
        (run, _loads(run), map_of_runs((run,), width=358, height=300), _said_of_all(run)) for run in view.runs
    ]
    elsewhere = (*IN_THE_WOODS, CHAIN)  # told in the woods, and to the load that goes there
    closures = closure_notes(tuple(row for row in view.shuts if row.kind not in elsewhere))
    context = {"day": view, "runs": runs, "closures": closures}
    return render(request, "seller/days/load_sheet.html", context)


@seller_required
@require_safe
def where_cut(request: HttpRequest, on: str) -> HttpResponse:
    """Before rolling: one paper for each load, saying where its wood was cut and who it goes to."""
    when = date_of(on)
    context = {"on": when, "papers": cut_papers_of_day(when)}
    return render(request, "seller/days/where_cut.html", context)


def _loads(run: RunView) -> list[tuple[LoadView, str]]:
    """Each load, and how far its cords may be off: loads of one rig do not stack alike."""
    number = heap_number(run.rig).now
    return [(load, _stacks(number.stacked(load.cords)) if load.cords else "") for load in run.loads]


def _stacks(ends: tuple[float, float]) -> str:
    """Both ends of what a load stacks to: "0.92 to 1.09 cords"."""
    low, high = (volume(Fraction(end).limit_denominator(10_000)) for end in ends)
    return in_local_units(_("{low} to {high} cords").format(low=low, high=high))


def _said_of_all(run: RunView) -> tuple[LoadCaution, ...]:
    """Cautions every load of a run has: written once, so that the sheet stays on one page."""
    first = run.loads[0].cautions if len(run.loads) > 1 else ()
    return tuple(caution for caution in first if all(caution in load.cautions for load in run.loads))
