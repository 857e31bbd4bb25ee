"""What an hour earned, and what it would earn if the guesses err."""

from calendar import monthrange
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import lru_cache
from itertools import islice
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from firewood_site.seller.asked import month_asked
from firewood_site.seller.forms.earned import GuessForm
from inventory.selectors.business import business
from routing.core.charts import Band, Bar, bars_chart, ranges_chart, swings_chart
from routing.core.guesses import BadGuess, HourGuesses, measure_next, pert, simulated, swings, wage_range
from routing.core.worth import Worth, worth_by
from routing.selectors.guesses import guess_figures
from routing.selectors.margins import loads_earned, months_with_loads
from routing.selectors.worth import entries_of_loads, season, seasons_worth

BY = (
    ("month", "month"),
    ("season", "season"),
    ("market", "market"),
    ("wood", "wood"),
    ("run", "run"),
    ("load", "load"),
    ("order", "order"),
    ("customer", "customer"),
)
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
    context |= _grouped(request.GET.get("by", "month"), request.GET.get("month", ""), wage)
    status = 422 if form.errors else 200
    return page_or_part(request, "seller/money/worth.html", "answer", context, status=status)


def _answer(form: GuessForm, wage: Decimal) -> dict[str, Any]:
    """Worst, likely and best first; then the band, the draws, and what to measure next."""
    if not form.is_valid():
        return {"range": None}
    try:
        guesses = form.guesses()
        return _reckoned(guesses, wage, form.cleaned_data["together"])
    except BadGuess as error:
        form.add_error(None, str(error))
        return {"range": None}


def _reckoned(guesses: HourGuesses, wage: Decimal, together: float) -> dict[str, Any]:
    ends, middle = wage_range(guesses), pert(guesses)
    drawn = _simulated(guesses, seed=SEED, target_wage=wage, together=together)
    ranges = (
        ("Worst to best", ends.worst, ends.likely, ends.best),
        ("Each by itself, 80 in 100", middle.band_low, middle.per_hour, middle.band_high),
        ("Drawn by lot, 80 in 100", drawn.band_low, drawn.median, drawn.band_high),
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
        "range_chart": mark_safe(
            ranges_chart(bands, key="range", title="Dollars an hour", target=wage or None)
        ),
        "swing_chart": mark_safe(swings_chart(moved, key="swings", likely=ends.likely))
        if any(swing.moves > 0 for swing in moved)
        else "",
    }


def _grouped(by: str, said: str, wage: Decimal) -> dict[str, Any]:
    """The books by the grouping asked for."""
    by = by if by in dict(BY) else "month"
    rows: tuple[Worth, ...]
    months: tuple[date, ...] = ()
    month: date | None = None
    if by == "month":
        rows = tuple(replace(row.worth, name=f"{row.first_on:%b %Y}") for row in season(today()).months)
    elif by == "season":
        rows = seasons_worth(today())
    else:
        months = months_with_loads()
        month = _chosen(said, months)
        last = month.replace(day=monthrange(month.year, month.month)[1])
        rows = worth_by(entries_of_loads(loads_earned(month, last)), by)
    paid = ((row.name, an_hour) for row in rows if (an_hour := row.per_hour) is not None)
    bars = [
        Bar(label=name, value=an_hour, kind="bad" if an_hour < wage else "near")
        for name, an_hour in islice(paid, MOST_BARS)
    ]
    return {
        "by": by,
        "groupings": BY,
        "rows": rows[:MOST_ROWS],
        "more": max(0, len(rows) - MOST_ROWS),
        "by_loads": by not in ("month", "season"),
        "months": months,
        "month": month,
        "group_chart": mark_safe(bars_chart(bars, key="groups", title=f"Dollars an hour by {by}", limit=wage))
        if bars
        else "",
    }


def _chosen(said: str, months: tuple[date, ...]) -> date:
    return month_asked(said) or (months[0] if months else today().replace(day=1))
