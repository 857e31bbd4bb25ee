"""One lot with all its history: what it holds, how it dries, what was read, measured, moved and promised."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext

from inventory.core.bands import Band
from inventory.core.charts.figure import Chart
from inventory.core.dates import day_ahead, month_day
from inventory.core.figures import rule
from inventory.core.local_measures import bare_here, measure_words, unit_here
from inventory.core.lot_days import LotFacts
from inventory.core.measure import solid_per_cord
from inventory.core.moisture import FIBER_SATURATION_PCT, READY_DRY_PCT
from inventory.core.references import named
from inventory.core.rows import from_row
from inventory.core.sentences import Sentence
from inventory.core.species import cord_weight_lb, cord_weight_range_lb, species_of
from inventory.core.stock import Haul
from inventory.drying.chart import drying_chart
from inventory.drying.history import History
from inventory.drying.parameters import figure
from inventory.drying.thumb import rule_of_thumb
from inventory.models import Hold, Lot, Movement
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.drying import limit_of, lot_forecast
from inventory.selectors.histories import history_of
from inventory.selectors.holds import HoldRow
from inventory.selectors.spoken import reader_language
from inventory.selectors.stock import LotRow, lot_row, lot_with_history
from inventory.selectors.weather import air_pct, weather_words
from inventory.selectors.weights import scale_tickets

START_SOURCE = "USDA Wood Handbook FPL-GTR-282 (2021) table 4-1, by estimates of stem and sapwood"
SHAPE_WORDS = {"windrow": "long heap", "cone": "round heap", "deck": "log deck", "log": "single logs"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementRow(Haul):
    on: date
    kind: str
    cords: Fraction
    balance: Fraction
    note: str
    who: str
    reference: Sentence | str
    peer: str
    from_yard: str
    to_yard: str


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
class SignRow:
    """How dry it seemed without a meter, in words and as a range on dry basis."""

    on: date
    how_words: str
    low_dry_pct: Decimal
    likely_dry_pct: Decimal
    high_dry_pct: Decimal
    now_lb: Decimal | None
    then_lb: Decimal | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementRow(Band[Fraction]):
    on: date
    shape: str
    form: str
    sizes: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """A figure behind the page: what it is, its value and where it was read."""

    what: str
    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPage(LotFacts):
    """What the lot's page shows."""

    row: LotRow
    unit: str
    parent: str
    children: tuple[str, ...]
    start_moisture_pct: Decimal  # typed, else what such wood usually holds
    is_start_typed: bool
    exposure_words: str
    guesses: Mapping[str, tuple[Fraction, ...]]  # the seller's own: hours a cord by step, "price" in dollars
    chart: Chart
    holds: tuple[HoldRow, ...]
    movements: tuple[MovementRow, ...]
    readings: tuple[ReadingRow, ...]
    signs: tuple[SignRow, ...]
    measurements: tuple[MeasurementRow, ...]
    solid_ft3: float
    lb_per_cord: float
    lb_range: tuple[float, float]  # to hundreds
    is_weighed_green: bool  # no reading below fiber saturation on every face
    sources: tuple[SourceLine, ...]
    version: int  # grows with every change: what a form was filled in against


def lot_page(code: str, on: date) -> LotPage | None:
    """One lot by its code; None when there is none."""
    lot = lot_with_history(code)
    if lot is None:
        return None
    seller = business()
    row = lot_row(lot, seller, on=on, weighed=scale_tickets())
    return from_row(
        LotPage,
        lot,
        row=row,
        unit=lot.unit.name if lot.unit else "",
        parent=lot.parent.code if lot.parent else "",
        children=tuple(child.code for child in lot.children.all()),
        start_moisture_pct=Decimal(str(round(history_of(lot, on=on).start.likely_pct, 1))),
        is_start_typed=lot.start_moisture_pct is not None,
        exposure_words=lot.get_exposure_display(),
        guesses={name: tuple(Fraction(end) for end in ends) for name, ends in lot.guesses.items()},
        chart=lot_chart(lot, seller, on=on),
        holds=tuple(map(HoldRow.of, lot.holds.filter(state=Hold.State.STANDING).select_related("lot__yard"))),
        movements=_movements(lot),
        readings=_readings(lot),
        signs=_signs(lot),
        measurements=_measurements(lot),
        solid_ft3=float(lot.on_hand_cords) * solid_per_cord().value,
        lb_per_cord=cord_weight_lb(lot.mix, row.dry.planned_pct),
        lb_range=_to_hundreds(cord_weight_range_lb(lot.mix, row.dry.planned_pct)),
        is_weighed_green=row.dry.planned_pct > FIBER_SATURATION_PCT,
        sources=_sources(lot, seller, on=on),
    )


def lot_chart(lot: Lot, seller: BusinessRow, *, on: date) -> Chart:
    """The drying curve as SVG text, safe to put on a page: every word in it is escaped by the rule."""
    return drying_chart(
        lot_forecast(lot, seller, on=on),
        readings=history_of(lot, on=on).readings,
        on=on,
        first_rain=seller.first_rain_after(on),
        title=Sentence("How lot {lot} dries", {"lot": lot.code}),
        language=reader_language(),
    )


def _to_hundreds(ends: tuple[float, float]) -> tuple[float, float]:
    low, high = ends
    return round(low, -2), round(high, -2)


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
            from_row(
                MovementRow,
                row,
                kind=row.get_kind_display(),
                reference=named(row.reference),
                balance=balance,
                peer=row.peer.code if row.peer else "",
                from_yard=row.from_yard.name if row.from_yard else "",
                to_yard=row.to_yard.name if row.to_yard else "",
            )
        )
    return tuple(reversed(found))


def _readings(lot: Lot) -> tuple[ReadingRow, ...]:
    rows = sorted(lot.readings.all(), key=lambda row: (row.on, row.pk), reverse=True)
    return tuple(
        from_row(
            ReadingRow,
            row,
            faces=tuple(row.faces),
        )
        for row in rows
    )


def _signs(lot: Lot) -> tuple[SignRow, ...]:
    rows = sorted(lot.signs.all(), key=lambda row: (row.on, row.pk), reverse=True)
    return tuple(from_row(SignRow, row, how_words=row.get_how_display()) for row in rows)


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
    if name[0] == "d" and name[1:].replace(".", "", 1).isdecimal():
        return gettext("{count} of {inches} in").format(count=f"{size:g}", inches=name[1:])
    if name in ("count", "cribbed_ends"):
        return f"{gettext(name.replace('_', ' '))} {size:g}"
    kept = "in" if name.endswith("_in") else "ft"
    figure, unit = bare_here(size, kept), gettext(unit_here(kept))
    return f"{gettext(name.removesuffix('_ft').removesuffix('_in'))} {figure} {unit}"


def _sources(lot: Lot, seller: BusinessRow, *, on: date) -> tuple[SourceLine, ...]:
    history = history_of(lot, on=on)
    lines = [*_dry_sources(lot, history, seller, on=on)]
    for key, percent in lot.mix.items():
        wood = species_of(key)
        gravity = wood.specific_gravity
        lines.append(
            SourceLine(
                what=f"{wood.name}, {percent:g}%",
                value=f"gravity {gravity.value:g} ({gravity.low:.2f}-{gravity.high:.2f}), "
                f"{measure_words(wood.oven_dry_lb, 'lb')} oven-dry a cord",
                source=gravity.source,
            )
        )
    solid, plan = solid_per_cord(), rule("planning_factor")
    lines += [
        SourceLine(
            what="Solid wood in a cord",
            value=f"{measure_words(solid.value, 'ft3')} "
            f"({bare_here(solid.low, 'ft3')}-{bare_here(solid.high, 'ft3')})",
            source=solid.source,
        ),
        SourceLine(
            what="Weight to plan a load on", value=f"{plan.value:.2f} of the estimate", source=plan.source
        ),
    ]
    return tuple(lines)


def _dry_sources(lot: Lot, history: History, seller: BusinessRow, *, on: date) -> Iterator[SourceLine]:
    """Weather, start, size, how it lies, what dry means, and when the rain comes."""
    heap, source = history.now.heap, history.now.source
    yield SourceLine(
        what="Weather of the yard",
        value=f"{weather_words(source)}; wood comes to {air_pct(source, on):.1f}% in this month's air",
        source=source.description,
    )
    low, high = history.start.range_80()
    begun = (
        "typed by you" if lot.start_moisture_pct is not None else f"species, size and felling; {START_SOURCE}"
    )
    yield SourceLine(
        what="Moisture when the clock started",
        value=f"{history.start.likely_pct:.0f}%, likely {low:.0f} to {high:.0f}",
        source=begun,
    )
    thumb = rule_of_thumb(
        lot.mix, lies=lot.exposure, start_on=lot.drying_from, start_pct=history.start.likely_pct
    )
    if thumb:
        dry = thumb.ready_on()
        yield SourceLine(
            what="By the rule of thumb alone",
            value=f"{thumb.pct_on(on):.1f}% today, dry {day_ahead(dry, on) if dry else 'in years'}",
            source="one curve a wood, by the month, to do by hand: the forecast above follows weather, rain, "
            "pieces and readings instead, so its days differ",
        )
    slow = figure("species.softwood" if heap.is_softwood else "species.hardwood")
    yield SourceLine(
        what="Pieces",
        value=f"{measure_words(heap.size_in, 'in')} across, {measure_words(heap.length_in or 0, 'in')} long"
        + ("" if lot.across_inches else "; the usual size, none was written down"),
        source=f"{figure('piece.exponent').source}; {slow.source}",
    )
    yield SourceLine(
        what=f"{lot.get_exposure_display()}, {lot.get_form_display()}",
        value=f"{figure(f'heap.{heap.lies}').value:g} ({figure(f'heap.{heap.lies}').low:g}"
        f"-{figure(f'heap.{heap.lies}').high:g}) {figure(f'heap.{heap.lies}').unit}",
        source=figure(f"heap.{heap.lies}").source,
    )
    limit = limit_of(lot, history, on=on)
    lagging = f"; mean {limit:g}% while its worst face lags as last read" if limit < READY_DRY_PCT else ""
    yield SourceLine(
        what="Dry",
        value=f"{READY_DRY_PCT:g}% on the pin{lagging}, and stays so for a week",
        source="20% of the whole weight: air agencies; read on the worst of five fresh faces",
    )
    first = seller.first_rain_after(on)
    yield SourceLine(what="First rain", value=month_day(first), source="your Settings")
