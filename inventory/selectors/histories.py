"""A lot's row as a history of drying: its start, every way it has lain in which weather, its readings."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from inventory.core.figures import NORMAL_80
from inventory.core.species import slowest_wood
from inventory.drying.engine import Heap
from inventory.drying.history import FaceReading, History, Sign, Stage
from inventory.drying.start import Start, likely_start, typed_start
from inventory.drying.weather import Source
from inventory.models import Lot
from inventory.selectors.weather import WeatherRef, source_of, weather_ref

LIES = {
    Lot.Exposure.SUN_ROW: "row",
    Lot.Exposure.SPREAD: "spread",
    Lot.Exposure.LOW_HEAP: "low_heap",
    Lot.Exposure.DEEP_OR_SHADE: "deep_heap",
    Lot.Exposure.UNDER_ROOF: "row",
}
ACROSS_INCHES = {  # of pieces nobody measured (common practice)
    Lot.Form.SPLITS: 5.0,
    Lot.Form.ROUNDS: 7.0,
    Lot.Form.LOGS: 8.0,
    Lot.Form.KINDLING: 1.0,
}


def lay_now(lot: Lot) -> dict[str, Any]:
    """How a lot lies, as it is kept in `lay_before` once it lies otherwise."""
    return {
        "form": lot.form,
        "piling": lot.piling,
        "exposure": lot.exposure,
        "is_covered": lot.is_covered,
        "across_inches": float(lot.across_inches) if lot.across_inches else None,
        "piece_inches": float(lot.piece_inches),
        "weather": asdict(weather_ref(lot.yard)),
    }


def across_inches(form: str, across_in: float | None) -> float:
    """Inches across a piece: as written down, or usual for its form."""
    return across_in or ACROSS_INCHES[Lot.Form(form)]


def history_of(lot: Lot, *, on: date) -> History:
    """The lot as the rules of drying see it on a day. Give lots with yard, station and readings fetched."""
    return History(
        start=start_of(lot),
        stages=tuple(_stages(lot)),
        readings=_readings_of(lot, on),
        signs=_signs_of(lot, on),
    )


def start_of(lot: Lot) -> Start:
    """What the lot held when its clock started: as typed, or what such wood usually holds."""
    if lot.start_moisture_pct is not None:
        return typed_start(lot.drying_from, float(lot.start_moisture_pct))
    first = lot.lay_before[0] if lot.lay_before else lay_now(lot)
    return likely_start(
        lot.mix,
        shape=_shape(first["form"]),
        size_in=across_inches(first["form"], first["across_inches"]),
        on=lot.drying_from,
        felled_on=lot.felled_on,
        source=_source(first),
    )


def _readings_of(lot: Lot, on: date) -> tuple[FaceReading, ...]:
    rows = (row for row in lot.readings.all() if lot.drying_from <= row.on <= on)
    return tuple(
        FaceReading(on=row.on, mean_pct=float(row.mean_dry_pct), worst_pct=float(row.worst_dry_pct))
        for row in sorted(rows, key=lambda row: (row.on, row.pk))
    )


def _signs_of(lot: Lot, on: date) -> tuple[Sign, ...]:
    rows = (row for row in lot.signs.all() if lot.drying_from <= row.on <= on)
    return tuple(
        Sign(
            on=row.on,
            likely_pct=float(row.likely_dry_pct),
            error_pct=float(row.high_dry_pct - row.low_dry_pct) / 2 / NORMAL_80,
        )
        for row in sorted(rows, key=lambda row: (row.on, row.pk))
    )


def _stages(lot: Lot) -> Iterator[Stage]:
    begins = lot.drying_from
    for lay in lot.lay_before:
        yield _stage(lot.mix, lay, begins)
        begins = max(begins, date.fromisoformat(lay["until"]))
    yield _stage(lot.mix, lay_now(lot), begins)


def _stage(mix: Mapping[str, float], lay: Mapping[str, Any], from_on: date) -> Stage:
    under_roof = lay["exposure"] == Lot.Exposure.UNDER_ROOF
    lies = LIES[lay["exposure"]]
    if under_roof and lay["piling"] != Lot.Piling.STACKED:
        lies = "low_heap"
    wood = slowest_wood(mix)
    heap = Heap(
        gravity=wood.specific_gravity.value,
        is_softwood=wood.group == "softwood",
        shape=_shape(lay["form"]),
        size_in=across_inches(lay["form"], lay["across_inches"]),
        length_in=float(lay["piece_inches"]),
        has_bark=_shape(lay["form"]) == "round",
        lies=lies,
        cover="roof" if under_roof else "top" if lay["is_covered"] else "bare",
    )
    return Stage(from_on=from_on, heap=heap, source=_source(lay))


def _source(lay: Mapping[str, Any]) -> Source:
    ref = lay["weather"]
    return source_of(WeatherRef(**{**ref, "emc": tuple(ref["emc"])}))


def _shape(form: str) -> str:
    return "round" if form in (Lot.Form.ROUNDS, Lot.Form.LOGS) else "split"
