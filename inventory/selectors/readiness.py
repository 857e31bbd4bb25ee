"""When every lot is dry: the calendar, a date's honest answer, and what would make a lot dry sooner."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.core.chart import LotBar, readiness_chart
from inventory.core.what_if import Gain, gains
from inventory.models import Lot, Yard
from inventory.selectors.business import business
from inventory.selectors.drying import (
    HONEST_CHANCE,
    dry_state,
    drying_of,
    limit_of,
    lot_forecast,
    yard_climate,
)
from inventory.selectors.stock import LotRow, lot_row, lots_with_history


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """All lots that hold wood, driest first, with one calendar."""

    rows: tuple[LotRow, ...]
    chart: str
    first_rain: date


@dataclass(frozen=True, slots=True, kw_only=True)
class HonestLine:
    """A lot's answer for a date: yes, likely, a gamble or no."""

    code: str
    name: str
    wood: str
    yard: str
    open: Fraction
    bundles: int | None
    chance: float
    answer: str
    why: str
    is_own_use: bool


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
    offered = [line for line in lines if line.open > 0 and not line.is_own_use]

    def total(wood: str, answer: str) -> Fraction:
        return sum((line.open for line in offered if (line.wood, line.answer) == (wood, answer)), Fraction(0))

    sums = []
    for wood in sorted({line.wood for line in offered}):
        counted = [line.bundles for line in offered if line.wood == wood and line.answer == "yes"]
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
    seller = business()
    first_rain = seller.first_rain_after(on)
    rows = [lot_row(lot, seller, on=on) for lot in lots_with_history().filter(on_hand_cords__gt=0)]
    rows.sort(key=lambda row: (not row.dry.is_dry, row.dry.likely or date.max, row.code))
    bars = [
        LotBar(
            code=row.code,
            words=f"{row.name}: {row.dry.ready_words}",
            early=row.dry.early,
            likely=row.dry.likely,
            late=row.dry.late,
            is_ready=row.dry.is_dry,
            href=href(row.code) if href else "",
        )
        for row in rows
        if row.wood != "logs"
    ]
    return Readiness(
        rows=tuple(rows), chart=readiness_chart(bars, on=on, first_rain=first_rain), first_rain=first_rain
    )


def honest_dry_on(by: date, *, on: date) -> tuple[HonestLine, ...]:
    """What may honestly be sold as dry on a date, seen from today: surest first.

    A lot read dry stays dry only under cover once the rain has come.
    """
    seller = business()
    rain = seller.first_rain_after(on)
    lines = []
    for lot in lots_with_history().filter(on_hand_cords__gt=0).exclude(wood="logs"):
        row = lot_row(lot, seller, on=on)
        chance = 1.0 if row.dry.is_dry else lot_forecast(lot, seller, on=on).chance_dry_by(by)
        if row.dry.is_dry and by >= rain and not row.is_covered:
            answer, why = "cover it", "Dry today; rain is due before then and it lies bare."
        elif row.dry.is_dry:
            answer, why = "yes", row.dry.call.evidence if row.dry.read_on else "Thin wood, dry by reckoning."
        elif chance >= HONEST_CHANCE:
            answer, why = "likely", f"{chance:.0%} of such lots are dry by then. Read five faces first."
        elif chance >= 0.3:
            answer, why = "a gamble", f"Only {chance:.0%} of such lots are dry by then."
        else:
            answer, why = "no", f"Likely dry {row.dry.ready_words}."
        lines.append(
            HonestLine(
                code=row.code, name=row.name, wood=row.wood, yard=row.yard, open=row.open,
                bundles=row.bundles, chance=chance, answer=answer, why=why,
                is_own_use=row.sale == Lot.Sale.OWN_USE,
            )
        )  # fmt: skip
    return tuple(sorted(lines, key=lambda line: (-line.chance, line.code)))


def what_ifs(code: str, *, on: date, by: date | None = None) -> tuple[Gain, ...]:
    """What splitting, spreading, covering or moving a lot today would gain, best first; nothing for dry wood.

    Shapes
        by: the day it should be dry; the first rain when left out.
    """
    lot = lots_with_history().filter(code=code).first()
    if lot is None:
        return ()
    seller = business()
    if dry_state(lot, seller, on=on).is_dry:
        return ()
    here = yard_climate(lot.yard)
    drying = drying_of(lot, seller, on=on)
    others = [(yard.name, yard_climate(yard)) for yard in Yard.objects.exclude(pk=lot.yard_id)]
    return gains(
        drying,
        on=on,
        by=by or seller.first_rain_after(on),
        exposure=lot.exposure,
        form=lot.form,
        other_yards=tuple((name, air) for name, air in others if air != here),
        limit_pct=limit_of(lot, drying, on=on),
    )
