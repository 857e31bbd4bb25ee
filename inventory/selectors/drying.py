"""What may be said of a lot's dryness on a day, and when it will be dry."""

from dataclasses import dataclass, field
from datetime import date

from inventory.core.lots import GREEN, SEASONED, DryDays
from inventory.core.moisture import READY_DRY_PCT, on_dry_basis
from inventory.core.sentences import Sentence
from inventory.core.weighing import DRIEST_PLANNED_PCT, planned_moisture_pct
from inventory.drying.dry_call import (
    DryCall,
    RainAnswer,
    dry_before_rain,
    dry_call,
    limit_for_worst,
    ready_words,
)
from inventory.drying.forecast import HORIZON_DAYS, Forecast, forecast
from inventory.drying.history import FaceReading, History
from inventory.drying.options import OUTLOOK_DAYS
from inventory.models import Lot, Reading
from inventory.selectors.business import BusinessRow
from inventory.selectors.histories import history_of
from inventory.selectors.weather import air_pct

RECENT_DAYS = 14  # so old a reading still says what the wood weighs, better than the curve (common practice)
NEAR_RAIN_DAYS = 30
HONEST_CHANCE = 0.8  # wood is promised as dry for the day four of five such lots are dry by


@dataclass(frozen=True, slots=True, kw_only=True)
class DryState(DryDays):
    """How dry a lot is on a day, and when it will be.

    Units
        moisture_pct, low_pct, high_pct: % dry basis on the day; honest_on: the first day it may be promised
        as dry; rain_chance: chance of being dry before the first rain, told in rain; limit_pct: the mean at
        which its worst face is ready.
    """

    moisture_pct: float
    low_pct: float
    high_pct: float
    honest_on: date | None
    ready_words: Sentence
    first_rain: date
    rain_chance: float
    rain: RainAnswer
    limit_pct: float
    call: DryCall
    claim: str  # the word it may be sold by: seasoned, part_seasoned, green
    read_on: date | None
    faces: tuple[float, ...]
    basis: str
    planned_pct: float  # the moisture loads are weighed at; see `inventory.core.weighing`

    rain_is_near: bool  # within a month
    dry_until: date | None  # the last day of its likely dry stretch; None = no end in sight, or none at all
    forecast: Forecast = field(compare=False, repr=False)

    @property
    def is_dry(self) -> bool:
        return self.claim == SEASONED


def planned_start_pct(lot: Lot) -> float:
    """What loads are weighed by where nothing was read: as typed; nothing typed is left to green wood."""
    return float(lot.start_moisture_pct or 0)


def lot_forecast(lot: Lot, seller: BusinessRow, *, on: date) -> Forecast:
    """When the lot's worst face is dry, as seen on a day. Give lots with station and readings fetched."""
    history = history_of(lot, on=on)
    days = max(HORIZON_DAYS, (on - lot.drying_from).days + OUTLOOK_DAYS)
    return forecast(history, limit_pct=limit_of(lot, history, on=on), days=days)


def limit_of(lot: Lot, history: History, *, on: date) -> float:
    """The mean at which the lot's worst face is ready, from how its faces stood apart when last read.

    Faces that were all read dry have nothing left to lag behind.
    """
    last = last_reading(lot, on)
    if last is None or last.worst_dry_pct <= READY_DRY_PCT:
        return READY_DRY_PCT
    faces = FaceReading(on=last.on, mean_pct=float(last.mean_dry_pct), worst_pct=float(last.worst_dry_pct))
    return round(limit_for_worst((faces,), air_pct=air_pct(history.now.source, last.on)), 1)


def last_reading(lot: Lot, on: date) -> Reading | None:
    """The newest reading up to a day, from the readings fetched with the lot."""
    rows = [row for row in lot.readings.all() if row.on <= on]
    return max(rows, key=lambda row: (row.on, row.pk), default=None)


def dry_state(lot: Lot, seller: BusinessRow, *, on: date) -> DryState:
    """Everything said about a lot's dryness on a day; the forecast behind it is cached by its values."""
    known = lot_forecast(lot, seller, on=on)
    reading = last_reading(lot, on)
    call = dry_call(
        worst_dry_pct=float(reading.worst_dry_pct) if reading else None,
        read_on=reading.on if reading else None,
        faces=len(reading.faces) if reading else 0,
        on=on,
    )
    first_rain = seller.first_rain_after(on)
    claim = _claim(lot, call, known, on)
    low, high = known.band_on(on)
    likely = _from(on, known.likely) if claim != SEASONED else on
    return DryState(
        moisture_pct=known.median_on(on),
        low_pct=low,
        high_pct=high,
        early=known.early,
        likely=likely,
        late=known.late,
        honest_on=on if claim == SEASONED else known.first_day_with(HONEST_CHANCE, since=on),
        ready_words=ready_words(likely, on)
        if claim == SEASONED or likely != on
        else Sentence("likely dry: read it"),
        first_rain=first_rain,
        rain_chance=1.0 if claim == SEASONED else known.chance_dry_on(first_rain),
        rain=dry_before_rain(known, first_rain=first_rain),
        limit_pct=known.limit_pct,
        call=call,
        claim=claim,
        read_on=reading.on if reading else None,
        faces=tuple(float(face) for face in reading.faces) if reading else (),
        basis=reading.basis if reading else "",
        dry_until=known.stays_dry_until(since=max(on, known.likely or on)),
        rain_is_near=(first_rain - on).days <= NEAR_RAIN_DAYS,
        planned_pct=_planned_pct(lot, reading, known, on),
        forecast=known,
    )


def faces_of(reading: Reading | None) -> tuple[float, ...]:
    """The faces of a reading on dry basis; none without one."""
    return tuple(on_dry_basis(float(face), reading.basis) for face in reading.faces) if reading else ()


def _planned_pct(lot: Lot, reading: Reading | None, known: Forecast, on: date) -> float:
    if reading is None and lot.form == Lot.Form.KINDLING:
        return max(known.band_on(on)[1], DRIEST_PLANNED_PCT)  # thin sticks: the wet end of the curve
    is_recent = reading is not None and (on - reading.on).days <= RECENT_DAYS
    return planned_moisture_pct(
        faces_of(reading),
        mix=lot.mix,
        start_pct=planned_start_pct(lot),
        believed_pct=None if is_recent else known.median_on(on),
    )


def _claim(lot: Lot, call: DryCall, known: Forecast, on: date) -> str:
    """Only fresh readings make wood seasoned; thin kindling is called by its reckoned moisture."""
    if lot.form == Lot.Form.KINDLING and call.claim == "not_read":
        return SEASONED if known.median_on(on) <= READY_DRY_PCT else GREEN
    if call.claim == SEASONED and not call.is_backed:
        return "part_seasoned"
    return GREEN if call.claim == "not_read" else call.claim


def _from(on: date, day: date | None) -> date | None:
    """Not before today: a reckoned day that has gone by means now."""
    return None if day is None else max(on, day)
