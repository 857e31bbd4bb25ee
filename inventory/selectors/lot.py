"""One lot with all its history: what it holds, how it dries, what was read, measured, moved and promised."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from math import exp

from inventory.core.chart import drying_chart
from inventory.core.drying import Drying, drying_share, rain_figure
from inventory.core.figures import NORMAL_80, rule
from inventory.core.measure import solid_per_cord
from inventory.core.moisture import READY_DRY_PCT
from inventory.core.species import cord_weight_lb, drying_rate, species_of
from inventory.models import Hold, Lot, Movement
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drying import drying_of, is_sheltered, limit_of, lot_forecast
from inventory.selectors.stock import LotRow, lot_row, lots_with_history

SHAPE_WORDS = {"windrow": "long heap", "cone": "round heap", "deck": "log deck", "log": "single logs"}


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRow:
    hold_id: int
    cords: Fraction
    kind: str
    reference: str
    order_number: int | None
    made_at: datetime
    lapses_on: date | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementRow:
    on: date
    kind: str
    cords: Fraction
    balance: Fraction
    note: str
    who: str
    reference: str
    peer: str
    from_yard: str
    to_yard: str
    miles: Decimal | None
    minutes: int | None
    cost_dollars: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    on: date
    faces: tuple[float, ...]
    basis: str
    worst_dry_pct: Decimal
    mean_dry_pct: Decimal
    is_fresh_split: bool
    who: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementRow:
    on: date
    shape: str
    form: str
    sizes: str
    low: Fraction
    likely: Fraction
    high: Fraction
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """A figure behind the page: what it is, its value and where it was read."""

    what: str
    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPage:
    """What the lot's page shows."""

    row: LotRow
    unit: str
    parent: str
    children: tuple[str, ...]
    felled_on: date | None
    bucked_on: date | None
    split_on: date | None
    drying_from: date
    start_moisture_pct: Decimal
    mix: tuple[tuple[str, Decimal], ...]
    is_covered: bool
    exposure: str
    exposure_words: str
    piling: str
    piece_inches: int
    note: str
    chart: str
    holds: tuple[HoldRow, ...]
    movements: tuple[MovementRow, ...]
    readings: tuple[ReadingRow, ...]
    measurements: tuple[MeasurementRow, ...]
    solid_ft3: float
    lb_per_cord: float
    sources: tuple[SourceLine, ...]
    version: int  # grows with every change: what a form was filled in against


def lot_page(code: str, on: date) -> LotPage | None:
    """One lot by its code; None when there is none."""
    lot = (
        lots_with_history()
        .select_related("unit", "parent")
        .prefetch_related("children", "measurements")
        .filter(code=code)
        .first()
    )
    if lot is None:
        return None
    seller = business()
    row = lot_row(lot, seller, on=on)
    return LotPage(
        row=row,
        unit=lot.unit.name if lot.unit else "",
        parent=lot.parent.code if lot.parent else "",
        children=tuple(child.code for child in lot.children.all()),
        felled_on=lot.felled_on,
        bucked_on=lot.bucked_on,
        split_on=lot.split_on,
        drying_from=lot.drying_from,
        start_moisture_pct=lot.start_moisture_pct,
        mix=tuple((key, Decimal(str(share))) for key, share in lot.mix.items()),
        is_covered=lot.is_covered,
        exposure=lot.exposure,
        exposure_words=lot.get_exposure_display(),
        piling=lot.piling,
        piece_inches=lot.piece_inches,
        note=lot.note,
        chart=lot_chart(lot, seller, on=on),
        holds=_holds(lot),
        movements=_movements(lot),
        readings=_readings(lot),
        measurements=_measurements(lot),
        solid_ft3=float(lot.on_hand_cords) * solid_per_cord().value,
        lb_per_cord=cord_weight_lb(lot.mix, row.dry.planned_pct),
        sources=_sources(lot, seller, on=on),
        version=lot.version,
    )


def lot_chart(lot: Lot, seller: BusinessRow, *, on: date) -> str:
    """The drying curve as SVG text, safe to put on a page: every word in it is escaped by the rule."""
    drying = drying_of(lot, seller, on=on)
    return drying_chart(
        lot_forecast(lot, seller, on=on),
        readings=drying.readings,
        on=on,
        first_rain=seller.first_rain_after(on),
        title=f"How lot {lot.code} dries",
    )


def _holds(lot: Lot) -> tuple[HoldRow, ...]:
    return tuple(
        HoldRow(
            hold_id=hold.pk,
            cords=hold.cords,
            kind=hold.kind,
            reference=hold.reference,
            order_number=_order_number(hold.reference),
            made_at=hold.made_at,
            lapses_on=hold.lapses_on,
            note=hold.note,
        )
        for hold in Hold.objects.filter(lot=lot, state=Hold.State.STANDING)
    )


def _order_number(reference: str) -> int | None:
    kind, _, number = reference.partition(" ")
    return int(number) if kind == "order" and number.isdecimal() else None


def _movements(lot: Lot) -> tuple[MovementRow, ...]:
    """Newest first, each with what the lot held after it."""
    rows = (
        Movement.objects.filter(lot=lot).select_related("peer", "from_yard", "to_yard").order_by("on", "id")
    )
    found = []
    balance = Fraction(0)
    for row in rows:
        balance += row.cords
        found.append(
            MovementRow(
                on=row.on,
                kind=row.get_kind_display(),
                cords=row.cords,
                balance=balance,
                note=row.note,
                who=row.who,
                reference=row.reference,
                peer=row.peer.code if row.peer else "",
                from_yard=row.from_yard.name if row.from_yard else "",
                to_yard=row.to_yard.name if row.to_yard else "",
                miles=row.miles,
                minutes=row.minutes,
                cost_dollars=row.cost_dollars,
            )
        )
    return tuple(reversed(found))


def _readings(lot: Lot) -> tuple[ReadingRow, ...]:
    rows = sorted(lot.readings.all(), key=lambda row: (row.on, row.pk), reverse=True)
    return tuple(
        ReadingRow(
            on=row.on,
            faces=tuple(row.faces),
            basis=row.basis,
            worst_dry_pct=row.worst_dry_pct,
            mean_dry_pct=row.mean_dry_pct,
            is_fresh_split=row.is_fresh_split,
            who=row.who,
            note=row.note,
        )
        for row in rows
    )


def _measurements(lot: Lot) -> tuple[MeasurementRow, ...]:
    return tuple(
        MeasurementRow(
            on=row.on,
            shape=SHAPE_WORDS.get(row.shape, row.shape.replace("_", " ")),
            form=row.form,
            sizes=", ".join(_size_words(name, size) for name, size in _in_order(row.sizes) if size),
            low=row.low_cords,
            likely=row.likely_cords,
            high=row.high_cords,
            who=row.who,
        )
        for row in lot.measurements.all()
    )


def _in_order(sizes: Mapping[str, float]) -> list[tuple[str, float]]:
    """Sizes as a tape is read: length first, then across, up and the rest; log classes by diameter.

    The database may hand a mapping back in its own order.
    """
    firsts = ("length", "width", "height", "side", "heap", "depth")

    def place(name: str) -> tuple[int, float, str]:
        start = next((i for i, first in enumerate(firsts) if name.startswith(first)), len(firsts))
        digits = name[1:].replace(".", "", 1)
        return start, float(name[1:]) if digits.isdecimal() else 0.0, name

    return sorted(sizes.items(), key=lambda pair: place(pair[0]))


def _size_words(name: str, size: float) -> str:
    """ "length 32 ft", "depth 16 in", "7 of 5 in"."""
    if name[0] == "d" and name[1:].isdecimal():
        return f"{size:g} of {name[1:]} in"
    name = name.removesuffix("_ft")
    if name in ("count", "cribbed_ends"):
        return f"{name.replace('_', ' ')} {size:g}"
    if name.endswith("_in"):
        return f"{name.removesuffix('_in')} {size:g} in"
    return f"{name} {size:g} ft"


def _sources(lot: Lot, seller: BusinessRow, *, on: date) -> tuple[SourceLine, ...]:
    drying = drying_of(lot, seller, on=on)
    rate = drying_rate(lot.mix)
    share = drying_share(exposure=lot.exposure, form=lot.form)
    lines = [
        SourceLine(
            what="Drying rate",
            value=f"{drying.rate:.4f} per day in high summer",
            source="learned from this lot's readings, or typed" if lot.drying_k else rate.source,
        ),
        SourceLine(
            what=f"{lot.get_exposure_display()}, {lot.get_form_display()}",
            value=f"{share.value:.2f} of a sunny row's rate",
            source=share.source,
        ),
        SourceLine(
            what="Air of the yard",
            value=f"{drying.climate.name}, {drying.climate.emc_on(on):.1f} % this month",
            source=drying.climate.source,
        ),
    ]
    for key, percent in lot.mix.items():
        wood = species_of(key)
        lines.append(
            SourceLine(
                what=f"{wood.name}, {percent:g} %",
                value=f"gravity {wood.specific_gravity.value:g}, {wood.oven_dry_lb:,.0f} lb oven-dry a cord",
                source=wood.specific_gravity.source,
            )
        )
    solid, plan = solid_per_cord(), rule("planning_factor")
    lines += [
        *_dry_sources(lot, seller, drying, on=on),
        SourceLine(what="Solid wood in a cord", value=f"{solid.value:g} ft3", source=solid.source),
        SourceLine(
            what="Weight to plan a load on", value=f"{plan.value:.2f} of the reckoned", source=plan.source
        ),
    ]
    return tuple(lines)


def _dry_sources(lot: Lot, seller: BusinessRow, drying: Drying, *, on: date) -> tuple[SourceLine, ...]:
    """What dry means, when the rain comes, and how sure all this is."""
    limit, rain = limit_of(lot, drying, on=on), rain_figure()
    lagging = f"; mean {limit:g} % while its worst face lags as last read" if limit < READY_DRY_PCT else ""
    first = seller.first_rain_after(on)
    bare = "" if is_sheltered(lot) else f"; from then on {rain.value:g} of the rate, to the end of March"
    wide = round((exp(NORMAL_80 * drying.rate_spread) - 1) * 100)
    return (
        SourceLine(
            what="Dry",
            value=f"{READY_DRY_PCT:g} % on the pin{lagging}",
            source="20 % of the whole weight: air agencies; read on the worst of five fresh faces",
        ),
        SourceLine(
            what="First rain",
            value=f"{first.day} {first:%B}{bare}",
            source="your Settings" + ("" if is_sheltered(lot) else f"; {rain.source}"),
        ),
        SourceLine(
            what="How sure",
            value=f"eight lots of ten dry within {wide} % of this rate",
            source="the ranges of the figures above"
            if not lot.drying_k
            else f"{rule('rate_spread').source}; the range of how it lies",
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LotChoice:
    """A lot in a list to choose from."""

    code: str
    name: str
    yard: str
    cords: Fraction


def has_lot(code: str) -> bool:
    return Lot.objects.filter(code=code).exists()


def lot_choices() -> tuple[LotChoice, ...]:
    """Lots that hold wood."""
    rows = Lot.objects.select_related("yard").filter(on_hand_cords__gt=0).order_by("code")
    return tuple(
        LotChoice(code=row.code, name=row.name, yard=row.yard.name, cords=row.on_hand_cords) for row in rows
    )
