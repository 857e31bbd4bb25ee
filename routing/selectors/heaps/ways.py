"""Everything that could be done with a heap today, alone and in sensible combinations."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as noop

from inventory.core.local import whole_money
from inventory.core.local_measures import measure_words
from inventory.core.units import CORD_FT3, INCHES_PER_FOOT
from inventory.drying.forecast import HORIZON_DAYS, Forecast, forecast
from inventory.drying.history import History, Stage
from inventory.drying.options import OUTLOOK_DAYS, action_of
from inventory.drying.weather import Source
from inventory.models import Lot
from inventory.selectors.spoken import month_day
from routing.earned.guesses import Guess
from routing.earned.heaps import Way
from routing.models import Shut
from routing.selectors.heaps.hours import StepRates, handling
from routing.selectors.heaps.prices import LATER, HeapPrices

SPRING = (4, 1)  # a heap left now is taken up again then (common practice)
SELL_BY = (12, 31)  # dry by then is sold this winter (common practice: most wood is bought by New Year)
LEAST_TIME = timedelta(days=30)
SURE = 0.9
ROW_HIGH_FT = 4
WAYS = {  # form: key, words, done today, done in spring
    "rounds": (
        ("leave", noop("Leave it until spring, then split"), (), ("split",)),
        ("spread", noop("Spread the rounds, split in spring"), ("lay:spread",), ("split",)),
        ("tarp", noop("Cover it now, split in spring"), ("cover",), ("split",)),
        ("split", noop("Split now, leave it heaped"), ("split",), ()),
        ("split-cover", noop("Split now, heap and cover it"), ("split", "cover"), ()),
        ("split-row", noop("Split now, stack a sunny row"), ("split", "lay:row"), ()),
        ("split-row-cover", noop("Split, sunny row, cover"), ("split", "lay:row", "cover"), ()),
        ("haul", noop("Haul the rounds to {yard}, split there"), ("move:", "split"), ()),
        ("haul-row", noop("Haul to {yard}, split, row, cover"), ("move:", "split", "lay:row", "cover"), ()),
    ),
    "splits": (
        ("leave", noop("Leave it as it lies"), (), ()),
        ("tarp", noop("Cover it"), ("cover",), ()),
        ("spread", noop("Spread it one deep"), ("lay:spread",), ()),
        ("row", noop("Stack a sunny row"), ("lay:row",), ()),
        ("row-cover", noop("Sunny row, cover"), ("lay:row", "cover"), ()),
        ("haul", noop("Haul it to {yard}"), ("move:",), ()),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapNow:
    """A heap with everything the ways are worked out from."""

    lot: Lot
    cords: Fraction
    history: History
    limit_pct: float
    is_dry: bool
    prices: HeapPrices
    rates: StepRates
    cash_to_come: Decimal
    first_rain: date
    other_yard: tuple[str, Source] | None
    closures: tuple[tuple[str, str], ...]  # kind, words
    on: date


def sell_by(on: date) -> date:
    """The last day on which dry wood is bought for this winter."""
    last = date(on.year, *SELL_BY)
    return last if last - on >= LEAST_TIME else date(on.year + 1, *SELL_BY)


def closures_on(on: date) -> tuple[tuple[str, str], ...]:
    """Closures of saws and of burning that hold on a day."""
    rows = Shut.objects.filter(kind__in=(Shut.Kind.SAW, Shut.Kind.BURN), from_on__lte=on, to_on__gte=on)
    return tuple((row.kind, _closed(row)) for row in rows)


def _closed(row: Shut) -> str:
    said = _("{kind} closed until {day} from {hour}") if row.from_time else _("{kind} closed until {day}")
    kind = _(row.get_kind_display()).capitalize()
    return said.format(
        kind=kind, day=month_day(row.to_on), hour=f"{row.from_time:%H:%M}" if row.from_time else ""
    )


def ways_of(heap: HeapNow) -> tuple[Way, ...]:
    """Every way; those that lie the wood otherwise only where it does not lie so already."""
    return (*_dried(heap), *_as_it_is(heap))


def _dried(heap: HeapNow) -> Iterator[Way]:
    """Dry it one way or another, then sell it."""
    if heap.prices.dry is None or heap.lot.form == Lot.Form.KINDLING:
        return
    if heap.is_dry:
        yield _sold_dry(heap)
        return
    form = "splits" if heap.lot.form == Lot.Form.SPLITS else "rounds"
    lies = heap.history.now.heap
    for key, words, today, spring in WAYS[form]:
        if "cover" in today and lies.cover != "bare":
            continue
        lays = [step.removeprefix("lay:") for step in today if step.startswith("lay:")]
        if lies.lies in lays or (lays and lies.cover == "roof"):
            continue
        if "move:" in today and heap.other_yard is None:
            continue
        yield _dried_way(heap, key, words, today, spring)


def _dried_way(heap: HeapNow, key: str, text: str, today: tuple[str, ...], spring: tuple[str, ...]) -> Way:
    seen = _forecast(heap, today, spring)
    last = sell_by(heap.on)
    in_time = seen.chance_dry_by(last, since=heap.on)
    buck = ("buck",) if heap.lot.form == Lot.Form.LOGS else ()
    steps = (
        *buck, *(_step(part) for part in (*today, *spring)), "deliver", "paper"
    )  # fmt: skip
    tarp = Decimal(0)
    if "cover" in today:
        tarp = (handling()["tarp"].likely * _number(heap.cords)).quantize(Decimal("0.01"))
    yard = heap.other_yard[0] if heap.other_yard else ""
    return Way(
        key=key,
        text=_(text).format(yard=yard),
        hours=heap.rates.hours(steps, heap.cords),
        price=_price_then(heap.prices, in_time),
        cash=_cash(heap, tarp + heap.prices.road * _number(heap.cords)),
        early=_from(heap, seen.early),
        likely=_from(heap, seen.likely),
        late=_from(heap, seen.late),
        chance=seen.chance_dry_on(heap.first_rain),
        in_time=in_time,
        sold_as="dry",
        needs=tuple(_needs(heap, (*today, *spring))),
        limits=_limits(heap, "saw") if buck else (),
    )


def _as_it_is(heap: HeapNow) -> Iterator[Way]:
    """Sell it green or as logs, give it away, burn it, or leave it for good."""
    lot, prices, cords = heap.lot, heap.prices, heap.cords
    logs = lot.form == Lot.Form.LOGS
    split = () if lot.form == Lot.Form.SPLITS else ("buck", "split") if logs else ("split",)
    if prices.green is not None and not heap.is_dry and lot.form != Lot.Form.KINDLING:
        yield Way(
            key="green",
            text=_("Split and sell it green now") if split else _("Sell it as it is now"),
            hours=heap.rates.hours((*split, "deliver", "paper"), cords),
            price=prices.green,
            cash=_cash(heap, prices.road * _number(cords)),
            sold_as="green",
            limits=(_("Buyer has to season it"), *(_limits(heap, "saw") if logs else ())),
        )
    if logs and prices.logs > 0:
        yield Way(
            key="logs", text=_("Sell it as logs, picked up here"),
            hours=heap.rates.hours(("give", "paper"), cords), price=Guess.known("price", prices.logs),
            sold_as="logs", needs=(_("access for a log truck"),),
        )  # fmt: skip
    nothing = Guess.known("price", 0)
    yield Way(
        key="give", text=_("Give it away"), hours=heap.rates.hours(("give",), cords), price=nothing,
        sold_as="given", limits=(_("Someone has to come get it"),),
    )  # fmt: skip
    if split:
        barred = _limits(heap, "burn")
        yield Way(
            key="burn", text=_("Burn it as slash"), hours=heap.rates.hours(("burn",), cords), price=nothing,
            sold_as="burned", needs=(_("water, a shovel, and someone who stays"),),
            limits=barred or (_("Only with today’s permission from your fire district"),),
            barred=barred[0] if barred else "",
        )  # fmt: skip
        yield Way(key="stop", text=_("Leave it there for good"), hours=(), price=nothing, sold_as="left")


def _sold_dry(heap: HeapNow) -> Way:
    assert heap.prices.dry is not None
    return Way(
        key="sell",
        text=_("Sell it dry now"),
        hours=heap.rates.hours(("deliver", "paper"), heap.cords),
        price=heap.prices.dry,
        cash=_cash(heap, heap.prices.road * _number(heap.cords)),
        early=heap.on, likely=heap.on, late=heap.on, chance=1.0, in_time=1.0, sold_as="dry",
        needs=() if heap.history.now.heap.cover != "bare" else (_("a tarp before the rain"),),
    )  # fmt: skip


def _forecast(heap: HeapNow, today: tuple[str, ...], spring: tuple[str, ...]) -> Forecast:
    """The heap's forecast when these things are done today and those in spring."""
    history, days = heap.history, max((heap.on - heap.history.start.on).days, 0) + OUTLOOK_DAYS
    source = heap.other_yard[1] if "move:" in today and heap.other_yard else None
    stages = list(history.stages)
    for begins, keys in ((heap.on, today), (_spring(heap.on), spring)):
        if keys:
            done = action_of(stages[-1], tuple(key for key in keys if key != "move:"), source=source)
            stages.append(Stage(from_on=begins, heap=done.heap, source=done.source))
    changed = replace(history, stages=tuple(stages))
    return forecast(changed, limit_pct=heap.limit_pct, days=max(days, HORIZON_DAYS))


def _spring(on: date) -> date:
    this_year = date(on.year, *SPRING)
    return this_year if this_year > on else date(on.year + 1, *SPRING)


def _price_then(prices: HeapPrices, in_time: float) -> Guess:
    """Sold dry this winter at the full price, else a winter later for less."""
    assert prices.dry is not None
    full = prices.dry
    chance = Decimal(str(round(in_time, 3)))
    likely = (full.likely * (chance + (1 - chance) * LATER)).quantize(Decimal("0.01"))
    return Guess(
        name="price",
        low=min(full.low * (1 if in_time >= SURE else LATER), likely),
        likely=likely,
        high=max(full.high * (1 if in_time > 1 - SURE else LATER), likely),
    )


def _step(part: str) -> str:
    """The step of the work behind a thing to do."""
    return "haul" if part == "move:" else part.removeprefix("lay:")


def _needs(heap: HeapNow, parts: Iterable[str]) -> Iterator[str]:
    done = set(parts)
    if "split" in done:
        yield _("a splitter")
    if "lay:row" in done:
        depth_ft = Fraction(heap.lot.piece_inches) / INCHES_PER_FOOT
        feet = heap.cords * CORD_FT3 / (ROW_HIGH_FT * depth_ft)
        row = _("a row {long} long in the sun, {high} high")
        long = measure_words(feet, "ft", places=0)
        yield row.format(long=long, high=measure_words(ROW_HIGH_FT, "ft"))
    if "lay:spread" in done:
        yield _("open ground in the sun")
    if "cover" in done:
        tarp = whole_money(handling()["tarp"].likely * _number(heap.cords))
        yield _("a tarp and pallets, about {dollars}").format(dollars=tarp)
    if "move:" in done:
        yield _("the trailer")


def _limits(heap: HeapNow, kind: str) -> tuple[str, ...]:
    return tuple(words for shut, words in heap.closures if shut == kind)


def _cash(heap: HeapNow, more: Decimal) -> Decimal:
    return (heap.cash_to_come + more).quantize(Decimal("0.01"))


def _from(heap: HeapNow, day: date | None) -> date | None:
    return None if day is None else max(day, heap.on)


def _number(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)
