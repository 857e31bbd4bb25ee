"""When every lot is dry: the calendar, and a date's honest answer."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.utils.text import capfirst
from django.utils.translation import gettext

from inventory.core.charts.calendar import LotBar, readiness_chart
from inventory.core.charts.figure import Chart
from inventory.core.lots import DryDays
from inventory.core.rows import columns_of
from inventory.core.woods import Wood
from inventory.drying.calibration import Reliability, Scored, reliability, reliability_chart
from inventory.models import Lot, Reading
from inventory.selectors.business import business
from inventory.selectors.drying import HONEST_CHANCE, dry_state
from inventory.selectors.spoken import in_language, reader_language
from inventory.selectors.stock import LotRow, lot_with_history, open_wood

MOST_SCORED = 200  # readings the score is made of


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """All lots that hold wood, driest first, with one calendar."""

    rows: tuple[LotRow, ...]
    chart: Chart | None
    first_rain: date
    reliability: Reliability
    reliability_chart: Chart | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HonestLine:
    """A lot's answer for a date: yes, likely, a gamble or no."""

    lot: LotRow
    chance: float
    answer: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HonestSum:
    """One wood's open amounts that may be called dry on the day: now, once covered, and likely."""

    wood: str
    yes: Fraction
    cover: Fraction
    likely: Fraction
    bundles: int | None  # of `yes`; kindling is counted, not measured


def honest_sums(lines: tuple[HonestLine, ...]) -> tuple[HonestSum, ...]:
    """The day's answer at a glance: what is left open of each wood, by how it may be called."""
    offered = [line for line in lines if line.lot.open > 0 and not line.lot.is_for_own_use]

    def total(wood: str, answer: str) -> Fraction:
        return sum(
            (line.lot.open for line in offered if (line.lot.wood, line.answer) == (wood, answer)), Fraction(0)
        )

    sums = []
    for wood in sorted({line.lot.wood for line in offered}):
        counted = [line.lot.bundles for line in offered if line.lot.wood == wood and line.answer == "yes"]
        known = [bundles for bundles in counted if bundles is not None]
        found = HonestSum(
            wood=wood,
            yes=total(wood, "yes"),
            cover=total(wood, "cover it"),
            likely=total(wood, "likely"),
            bundles=sum(known) if counted and len(known) == len(counted) else None,
        )
        if found.yes or found.cover or found.likely:
            sums.append(found)
    return tuple(sums)


def readiness(on: date, *, href: Callable[[str], str] | None = None) -> Readiness:
    """Every lot that holds wood with its forecast, and the calendar drawn."""
    first_rain = business().first_rain_after(on)
    on_hand = [row for row in open_wood(on).lots if row.on_hand > 0]
    rows = sorted(on_hand, key=lambda row: (not row.dry.is_dry, row.dry.likely or date.max, row.code))
    bars = [
        LotBar(
            code=row.code,
            text=f"{row.name}: {in_language(row.dry.ready_words)}",
            **columns_of(DryDays, row.dry),
            is_ready=row.dry.is_dry,
            href=href(row.code) if href else "",
        )
        for row in rows
    ]
    told = seller_reliability()
    return Readiness(
        rows=tuple(rows),
        chart=readiness_chart(bars, on=on, first_rain=first_rain, language=reader_language()),
        first_rain=first_rain,
        reliability=told,
        reliability_chart=reliability_chart(told, language=reader_language()),
    )


def honest_dry_on(by: date, *, on: date) -> tuple[HonestLine, ...]:
    """What may honestly be sold as dry on a date, seen from today: surest first.

    A lot read dry stays dry only under cover once the rain has come.
    """
    rain = business().first_rain_after(on)
    lines = []
    for row in open_wood(on).lots:
        if row.on_hand <= 0 or row.wood == Wood.LOGS:
            continue
        chance = 1.0 if row.dry.is_dry else row.dry.forecast.chance_dry_on(by)
        if row.dry.is_dry and by >= rain and not row.is_covered:
            answer, why = "cover it", gettext("Dry today; rain is due before then and it lies bare.")
        elif row.dry.is_dry:
            read = row.dry.call.evidence if row.dry.read_on else gettext("Thin wood, dry by forecast.")
            answer, why = "yes", in_language(read)
        elif chance >= HONEST_CHANCE:
            told = gettext("{chance} of such lots are dry by then. Read five faces first.")
            answer, why = "likely", told.format(chance=f"{chance:.0%}")
        elif chance >= 0.3:
            told = gettext("Only {chance} of such lots are dry by then.")
            answer, why = "a gamble", told.format(chance=f"{chance:.0%}")
        else:
            answer, why = "no", f"{capfirst(in_language(row.dry.ready_words))}."
        lines.append(HonestLine(lot=row, chance=chance, answer=answer, why=why))
    return tuple(sorted(lines, key=lambda line: (-line.chance, line.lot.code)))


@dataclass(frozen=True, slots=True, kw_only=True)
class DryChance:
    """How likely a lot is dry when it was promised: on every day of the window, and on its last one."""

    first: date
    last: date
    through: float
    at_end: float


def dry_chances(
    lot_code: str, windows: Iterable[tuple[date, date]], *, on: date
) -> tuple[DryChance | None, ...]:
    """The chance, seen from today, that a lot is dry and still dry in each promised window.

    None for kindling, a window gone by, or a lot read dry that stays so until the window ends (covered, or
    before the first rain).
    """
    seller = business()
    lot = lot_with_history(lot_code)
    if lot is None or lot.wood == Wood.KINDLING:
        return tuple(None for _ in windows)
    dry, rain = dry_state(lot, seller, on=on), seller.first_rain_after(on)

    def chance(first: date, last: date) -> DryChance | None:
        if last < on or (dry.is_dry and (last < rain or _is_under_cover(lot))):
            return None
        known, begin = dry.forecast, max(first, on)
        return DryChance(
            first=begin,
            last=last,
            through=known.chance_dry_through(begin, last),
            at_end=known.chance_dry_on(last),
        )

    return tuple(chance(first, last) for first, last in windows)


def _is_under_cover(lot: Lot) -> bool:
    return lot.is_covered or lot.exposure == Lot.Exposure.UNDER_ROOF


def seller_reliability() -> Reliability:
    """How often later readings fell inside what was forecast before them: the newest of all lots."""
    rows = Reading.objects.filter(forecast_likely_pct__isnull=False).order_by("-on", "-pk")[:MOST_SCORED]
    told = ("forecast_low_pct", "forecast_likely_pct", "forecast_high_pct")
    return reliability(
        Scored(
            lot=code, on=on, read_pct=float(read), low_pct=float(low or 0), likely_pct=float(likely or 0),
            high_pct=float(high or 0),
        )
        for code, on, read, low, likely, high in rows.values_list("lot__code", "on", "mean_dry_pct", *told)
    )  # fmt: skip
