"""What an hour earned, and what it would earn if the guesses err."""

from calendar import monthrange
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import lru_cache
from itertools import islice
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.earned import GuessForm
from firewood_site.seller.query_values import month_of_query
from inventory.core.charts.bars import Band, Bar, bars_chart, ranges_chart
from inventory.selectors.business import business
from routing.earned.carried import Put
from routing.earned.charts import swings_chart
from routing.earned.guesses import HourGuesses, measure_next, pert, simulated, swings, wage_range
from routing.earned.worth import Worth, worth_by
from routing.selectors.earned.guesses import guess_figures
from routing.selectors.earned.margins import loads_earned, months_with_loads
from routing.selectors.earned.worth import entries_of_loads, season, seasons_worth
from routing.selectors.heaps.patches import HeapAhead, heaps_ahead, patches_ahead

BY = (
    ("month", "month"),
    ("season", "season"),
    ("heap", "heap, from here on"),
    ("market", "market"),
    ("town", "town"),
    ("wood", "wood"),
    ("run", "run"),
    ("load", "load"),
    ("order", "order"),
    ("customer", "customer"),
)
CALENDAR = ("month", "season")
HEAP = "heap"  # what still lies there: hours to come, not hours done
COUNTED = {True: ", work counted when its wood is sold", False: ", work counted when it was done"}
SEED = 20_260_918
MOST_BARS = 24
MOST_ROWS = 60  # of a month's loads, orders or customers; the margins page has them all
_simulated = lru_cache(maxsize=64)(simulated)  # the same guesses are drawn the same way


@seller_required
@require_safe
def worth(request: HttpRequest) -> HttpResponse:
    wage = business().target_wage
    form = GuessForm(request.GET, guess_figures())
    context: dict[str, Any] = {"form": form, "wage": wage, "sources": guess_figures().sources}
    context |= _answer(form, wage)
    context |= _so_far(is_carried=work_is_carried(request))
    context |= _grouped(
        request.GET.get("by", "month"),
        request.GET.get("month", ""),
        wage,
        is_carried=work_is_carried(request),
    )
    status = 422 if form.errors else 200
    return page_or_part(request, "seller/money/worth.html", "answer", context, status=status)


def _so_far(*, is_carried: bool) -> dict[str, Any]:
    """This month and this season in one sentence, and the ground to take next."""
    on = today()
    found = season(on, is_carried=is_carried)
    return {
        "this_month": next((row.worth for row in found.months if row.first_on == on.replace(day=1)), None),
        "this_season": found.total,
        "next_patch": next(iter(patches_ahead(on=on)), None),
    }


def _answer(form: GuessForm, wage: Decimal) -> dict[str, Any]:
    """Worst, likely and best first; then the band, the draws, and what to measure next."""
    if not form.is_valid():
        return {"range": None}
    with refusals(form):
        return _reckoned(form.guesses(), wage, form.cleaned_data["together"])
    return {"range": None}


def _reckoned(guesses: HourGuesses, wage: Decimal, together: float) -> dict[str, Any]:
    ends, middle = wage_range(guesses), pert(guesses)
    drawn = _simulated(guesses, seed=SEED, target_wage=wage, together=together)
    ranges = (
        ("Worst to best", ends.worst, ends.likely, ends.best),
        ("Each by itself, 80 in 100", middle.band_low, middle.per_hour, middle.band_high),
        ("Simulated, 80 in 100", drawn.band_low, drawn.median, drawn.band_high),
    )
    bands = []
    for label, *figures in ranges:
        low, mark, high = sorted(figures)  # a loss turns them round
        bands.append(Band(label=label, low=low, middle=mark, high=high))
    moved = swings(guesses)
    return {
        "range": ends,
        "pert": middle,
        "drawn": drawn,
        "chance_pct": drawn.chance_of_target * 100,
        "next": measure_next(guesses),
        "range_chart": ranges_chart(bands, key="range", title="Dollars an hour", target=wage or None),
        "swing_chart": swings_chart(moved, key="swings", likely=ends.likely)
        if any(swing.moves > 0 for swing in moved)
        else None,
    }


def work_is_carried(request: HttpRequest) -> bool:
    """Whether work counts when its wood is sold, which is the usual way, or on the day it was done."""
    return request.GET.get("work") != "done"


def _grouped(by: str, month_text: str, wage: Decimal, *, is_carried: bool) -> dict[str, Any]:
    """The books by the grouping asked for."""
    by = by if by in dict(BY) else "month"
    rows: tuple[Worth, ...]
    months: tuple[date, ...] = ()
    month: date | None = None
    waiting = None
    heaps: tuple[HeapAhead, ...] = ()
    if by == HEAP:
        heaps = heaps_ahead(on=today())
        rows = ()
    elif by in CALENDAR:
        rows, waiting = _calendar(by, is_carried=is_carried)
    else:
        months = months_with_loads()
        month = _chosen(month_text, months)
        last = month.replace(day=monthrange(month.year, month.month)[1])
        rows = worth_by(entries_of_loads(load for load in loads_earned(month, last) if not load.is_draft), by)
    others = dict[str, Decimal | None]()
    if by in CALENDAR:
        others = {row.name: row.per_hour for row in _calendar(by, is_carried=not is_carried)[0]}
    paid = [(row.name, an_hour) for row in rows if (an_hour := row.per_hour) is not None]
    paid += [(heap.code, heap.best.from_here.likely) for heap in heaps if heap.best.from_here]
    bars = [
        Bar(label=name, value=an_hour, kind="below" if an_hour < wage else "near")
        for name, an_hour in islice(paid, MOST_BARS)
    ]
    counted = COUNTED[is_carried] if by in CALENDAR else ""
    title = "Dollars an hour from here on, by heap" if heaps else f"Dollars an hour by {by}{counted}"
    return {
        "by": by,
        "groupings": BY,
        "heaps": heaps,
        "rows": [(row, others.get(row.name)) for row in rows[:MOST_ROWS]],
        "more": max(0, len(rows) - MOST_ROWS),
        "by_heaps": by == HEAP,
        "by_loads": by not in (*CALENDAR, HEAP),
        "is_carried": is_carried,
        "waiting": waiting,
        "months": months,
        "month": month,
        "group_chart": bars_chart(
            bars,
            key="groups",
            title=title,
            limit=wage,
        )
        if bars
        else None,
    }


def _calendar(by: str, *, is_carried: bool) -> tuple[tuple[Worth, ...], Put | None]:
    """Months of this season or all seasons, and what waits in wood not sold."""
    if by == "season":
        return seasons_worth(today(), is_carried=is_carried), None
    view = season(today(), is_carried=is_carried)
    return tuple(replace(row.worth, name=f"{row.first_on:%b %Y}") for row in view.months), view.waiting


def _chosen(month_text: str, months: tuple[date, ...]) -> date:
    return month_of_query(month_text) or (months[0] if months else today().replace(day=1))
