"""A heap's page in figures: how much, how dry where, what it took, and every way from here on."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from inventory.core.measure import form_figure
from inventory.core.rows import from_row
from inventory.drying.forecast import forecast
from inventory.drying.history import History
from inventory.drying.weather import Source
from inventory.models import Lot, Yard
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drying import dry_state, limit_of
from inventory.selectors.histories import history_of
from inventory.selectors.spent import Spent, spent_on
from inventory.selectors.stock import lot_with_history
from inventory.selectors.weather import yard_weather
from inventory.selectors.work import logged_rates
from routing.earned.guesses import Guess
from routing.earned.heaps import HeapSoFar, HeapVerdict, heap_verdict
from routing.earned.patches import scaled_by
from routing.selectors.earned.guesses import guess_figures
from routing.selectors.heaps.hours import STEP_WORDS, StepRates
from routing.selectors.heaps.prices import HeapPrices, heap_prices
from routing.selectors.heaps.ways import HeapNow, closures_on, sell_by, ways_of

DONE_STEPS = {
    Lot.Form.LOGS: ("rounds",),
    Lot.Form.ROUNDS: ("rounds",),
    Lot.Form.SPLITS: ("rounds", "split"),
    Lot.Form.KINDLING: ("split",),
}
HEAPED = ("low_heap", "deep_heap")


@dataclass(frozen=True, slots=True, kw_only=True)
class HourLine(Guess):
    """Hours of a step, and where they come from."""

    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DryPlace:
    """A part of a heap: how wet it is now, % dry basis, and when it is dry as it lies."""

    text: str
    moisture_pct: float
    likely: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapView:
    """A heap's verdict and everything it rests on.

    Units
        cords; hours for the whole heap; near, far: dollars for all of it sold dry, the road paid.
    """

    code: str
    cords: Guess
    verdict: HeapVerdict
    so_far: tuple[HourLine, ...]
    hours_so_far: Decimal
    is_logged: bool
    cash_so_far: Decimal
    to_come: tuple[HourLine, ...]
    places: tuple[DryPlace, ...]
    prices: HeapPrices
    near: Decimal | None
    far: Decimal | None
    first_rain: date
    sell_by: date
    target_wage: Decimal


def heap_view(code: str, *, on: date) -> HeapView | None:
    """A heap's verdict; None for a lot that is empty, unknown, or counted in bundles."""
    lot = lot_with_history(code)
    return None if lot is None else heap_of(lot, on=on)


def heap_of(lot: Lot, *, on: date) -> HeapView | None:
    """The same, of a lot of `lots_with_history`."""
    if lot.on_hand_cords <= 0 or lot.form == Lot.Form.KINDLING:
        return None
    seller, prices = business(), heap_prices(lot, on=on)
    rates = StepRates(asked=_asked(lot), logged=logged_rates(), delivering=prices.delivering)
    spent, history = spent_on(lot), history_of(lot, on=on)
    so_far = _so_far(lot, spent)
    now = HeapNow(
        lot=lot,
        cords=lot.on_hand_cords,
        history=history,
        limit_pct=limit_of(lot, history, on=on),
        is_dry=dry_state(lot, seller, on=on).is_dry,
        prices=prices,
        rates=rates,
        cash_to_come=_cash_to_come(lot, seller, spent),
        first_rain=seller.first_rain_after(on),
        other_yard=_other_yard(lot),
        closures=closures_on(on),
        on=on,
    )
    cords = cords_range(lot)
    verdict = heap_verdict(
        HeapSoFar(cords=cords, hours=so_far, cash=spent.cash),
        ways_of(now),
        target_wage=seller.target_wage,
    )
    return HeapView(
        code=lot.code,
        cords=cords,
        verdict=verdict,
        so_far=so_far,
        hours_so_far=sum((line.likely for line in so_far), Decimal(0)),
        is_logged=bool(spent.steps),
        cash_so_far=spent.cash,
        to_come=_to_come(verdict, rates),
        places=_places(history, now, on=on),
        prices=prices,
        near=_all(prices.near, lot),
        far=_all(prices.far, lot),
        first_rain=now.first_rain,
        sell_by=sell_by(on),
        target_wage=seller.target_wage,
    )


def cords_range(lot: Lot) -> Guess:
    """Cords low, likely, high: as widely as it was last measured, else as the form is usually off."""
    likely = _number(lot.on_hand_cords)
    last = lot.measurements.order_by("-on", "-pk").first()
    if last is not None and last.likely_cords:
        low, high = last.low_cords / last.likely_cords, last.high_cords / last.likely_cords
    elif lot.piling == Lot.Piling.STACKED:
        low = high = Fraction(1)
    else:
        figure = form_figure("rounds" if lot.form == Lot.Form.ROUNDS else "splits")
        low, high = Fraction(figure.value / figure.high), Fraction(figure.value / figure.low)
    return Guess(
        name="cords",
        low=min(_number(lot.on_hand_cords * low), likely),
        likely=likely,
        high=max(_number(lot.on_hand_cords * high), likely),
    )


def _so_far(lot: Lot, spent: Spent) -> tuple[HourLine, ...]:
    """Hours in the heap: as logged, else the usual for what was done to it."""
    if spent.steps:
        return tuple(
            HourLine(
                name=step.text, low=_hours(step.low), likely=_hours(step.likely), high=_hours(step.high),
                source=spent.source,
            )
            for step in spent.steps
        )  # fmt: skip
    usual = dict(guess_figures().guesses)
    lines = []
    for step in DONE_STEPS[Lot.Form(lot.form)]:
        guess = scaled_by(usual[step], lot.on_hand_cords)
        lines.append(
            from_row(
                HourLine,
                guess,
                name=STEP_WORDS[step],
                source=_("the usual; nothing is in your work log"),
            )
        )
    return tuple(lines)


def _to_come(verdict: HeapVerdict, rates: StepRates) -> tuple[HourLine, ...]:
    """Hours of the best way, step by step."""
    sources = {words: rates.rate(step)[1] for step, words in STEP_WORDS.items() if step != "rounds"}
    return tuple(
        from_row(HourLine, guess, source=sources.get(guess.name, _("the usual")))
        for guess in verdict.best.way.hours
    )


def _cash_to_come(lot: Lot, seller: BusinessRow, spent: Spent) -> Decimal:
    """The usual cash of making wood, less what receipts say was spent on this."""
    usual = seller.production_cash_per_cord * _number(lot.on_hand_cords)
    return max(Decimal(0), usual - spent.cash).quantize(Decimal("0.01"))


def _places(history: History, now: HeapNow, *, on: date) -> tuple[DryPlace, ...]:
    """Top and core of a heap, or the whole of what lies airy."""
    lies = history.now.heap.lies
    parts = (
        ((_("Top"), "spread"), (_("Core"), "deep_heap")) if lies in HEAPED else ((_("All through"), lies),)
    )
    found = []
    for words, as_if in parts:
        stages = tuple(
            replace(stage, heap=replace(stage.heap, lies=as_if)) if stage.heap.lies in HEAPED else stage
            for stage in history.stages
        )
        seen = forecast(replace(history, stages=stages), limit_pct=now.limit_pct)
        likely = seen.likely if seen.likely is None else max(seen.likely, on)
        found.append(DryPlace(text=words, moisture_pct=seen.median_on(on), likely=likely))
    return tuple(found)


def _other_yard(lot: Lot) -> tuple[str, Source] | None:
    others = Yard.objects.select_related("station").exclude(pk=lot.yard_id)
    yard = others.order_by("-pick_up_here", "name").first()
    return None if yard is None else (yard.name, yard_weather(yard))


def _asked(lot: Lot) -> Mapping[str, tuple[Fraction, Fraction, Fraction]]:
    return {
        step: (Fraction(low), Fraction(likely), Fraction(high))
        for step, (low, likely, high) in lot.guesses.items()
        if step != "price"
    }


def _all(per_cord: Decimal | None, lot: Lot) -> Decimal | None:
    return None if per_cord is None else per_cord * _number(lot.on_hand_cords)


def _hours(exact: Fraction) -> Decimal:
    return Decimal(round(exact * 10_000)) / 10_000


def _number(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)
