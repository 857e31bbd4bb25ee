"""A lot's row as a drying curve: its yard's air, its readings, and what may be said of it on a day."""

from dataclasses import dataclass
from datetime import date
from math import hypot

from inventory.core.climate import Climate, climate_of_city, own_climate, steady_climate
from inventory.core.dry_call import (
    DryCall,
    RainAnswer,
    before_rain,
    dry_call,
    limit_for_worst,
    ready_words,
)
from inventory.core.drying import Drying, FaceReading, Forecast, drying_share, forecast, rain_figure
from inventory.core.figures import Figure, rule, spread_of
from inventory.core.moisture import READY_DRY_PCT
from inventory.core.species import drying_rate
from inventory.models import Lot, Reading, Yard
from inventory.selectors.business import BusinessRow

RECENT_DAYS = 14  # so old a reading still says what the wood weighs, better than the curve (common practice)
DRIEST_PLANNED_PCT = 20.0  # a load is never planned lighter than this, % dry basis (common practice)
NEAR_RAIN_DAYS = 30
HONEST_CHANCE = 0.8  # wood is promised as dry for the day four of five such lots are dry by
SEASONED = "seasoned"
GREEN = "green"


@dataclass(frozen=True, slots=True, kw_only=True)
class DryState:
    """How dry a lot is on a day, and when it will be.

    Units
        moisture_pct, low_pct, high_pct: % dry basis on the day; early, likely, late: 10, 50 and 90 percent
        points of the day it is ready; honest_on: the first day it may be promised as dry;
        rain_chance: chance of being dry before the first rain, told in rain; limit_pct: the mean at which
        its worst face is ready.
    """

    moisture_pct: float
    low_pct: float
    high_pct: float
    early: date | None
    likely: date | None
    late: date | None
    honest_on: date | None
    ready_words: str
    first_rain: date
    rain_chance: float
    rain: RainAnswer
    limit_pct: float
    call: DryCall
    claim: str  # the word it may be sold by: seasoned, part_seasoned, green
    read_on: date | None
    faces: tuple[float, ...]
    basis: str
    planned_pct: float  # the moisture loads are weighed at: a recent reading's mean, else the curve's

    rain_is_near: bool  # within a month

    @property
    def is_dry(self) -> bool:
        return self.claim == SEASONED


def yard_climate(yard: Yard) -> Climate:
    """The yard's own twelve values, else its city's, else steady air."""
    if yard.climate_emc:
        return own_climate(yard.climate_emc, weights=yard.climate_weights, source=yard.climate_source)
    if yard.climate_city:
        return climate_of_city(yard.climate_city)
    return steady_climate()


def is_sheltered(lot: Lot) -> bool:
    return lot.is_covered or lot.exposure == Lot.Exposure.UNDER_ROOF


def drying_of(lot: Lot, seller: BusinessRow, *, on: date) -> Drying:
    """The lot as the rules of drying see it on a day. Give lots with yard and readings fetched."""
    readings = sorted(
        (row for row in lot.readings.all() if lot.drying_from <= row.on <= on),
        key=lambda row: (row.on, row.pk),
    )
    rate, share = drying_rate(lot.mix), drying_share(exposure=lot.exposure, form=lot.form)
    return Drying(
        start_on=lot.drying_from,
        start_pct=float(lot.start_moisture_pct),
        rate=lot.drying_k or rate.value,
        share=share.value,
        climate=yard_climate(lot.yard),
        rain_share=1.0 if is_sheltered(lot) else rain_figure().value,
        first_rain=(seller.first_rain_month, seller.first_rain_day),
        readings=tuple(
            FaceReading(on=row.on, mean_pct=float(row.mean_dry_pct), worst_pct=float(row.worst_dry_pct))
            for row in readings
        ),
        rate_spread=_spread(lot, rate, share),
    )


def _spread(lot: Lot, rate: Figure, share: Figure) -> float:
    """How far the lot's drying may lie from the figures: of its wood, and of how it lies.

    A rate learned from this lot, or typed, is known better than a wood's.
    """
    if lot.drying_k:
        return hypot(rule("rate_spread").low, spread_of(share))
    return spread_of(rate, share)


def lot_forecast(lot: Lot, seller: BusinessRow, *, on: date) -> Forecast:
    """When the lot's worst face is dry, as seen on a day. Give lots with yard and readings fetched."""
    drying = drying_of(lot, seller, on=on)
    return forecast(drying, limit_pct=limit_of(lot, drying, on=on))


def limit_of(lot: Lot, drying: Drying, *, on: date) -> float:
    """The mean at which the lot's worst face is ready, from how its faces stood apart when last read.

    Faces that were all read dry have nothing left to lag behind.
    """
    last = last_reading(lot, on)
    if last is None or last.worst_dry_pct <= READY_DRY_PCT:
        return READY_DRY_PCT
    faces = FaceReading(on=last.on, mean_pct=float(last.mean_dry_pct), worst_pct=float(last.worst_dry_pct))
    return round(limit_for_worst((faces,), air_pct=drying.climate.emc_on(last.on)), 1)


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
        honest_on=on if claim == SEASONED else _from(on, _honest_on(known)),
        ready_words=ready_words(likely, on)
        if claim == SEASONED or likely != on
        else "dry by reckoning: read it",
        first_rain=first_rain,
        rain_chance=1.0 if claim == SEASONED else known.chance_dry_by(first_rain),
        rain=before_rain(known, first_rain=first_rain),
        limit_pct=known.limit_pct,
        call=call,
        claim=claim,
        read_on=reading.on if reading else None,
        faces=tuple(float(face) for face in reading.faces) if reading else (),
        basis=reading.basis if reading else "",
        rain_is_near=(first_rain - on).days <= NEAR_RAIN_DAYS,
        planned_pct=_planned_pct(reading, known, on),
    )


def _planned_pct(reading: Reading | None, known: Forecast, on: date) -> float:
    is_recent = reading is not None and (on - reading.on).days <= RECENT_DAYS
    now = float(reading.mean_dry_pct) if reading and is_recent else known.median_on(on)
    return max(now, DRIEST_PLANNED_PCT)


def _claim(lot: Lot, call: DryCall, known: Forecast, on: date) -> str:
    """Only fresh readings make wood seasoned; thin kindling is called by its reckoned moisture."""
    if lot.form == Lot.Form.KINDLING and call.claim == "not_read":
        return SEASONED if known.median_on(on) <= READY_DRY_PCT else GREEN
    if call.claim == SEASONED and not call.is_backed:
        return "part_seasoned"
    return GREEN if call.claim == "not_read" else call.claim


def _honest_on(known: Forecast) -> date | None:
    return next(
        (day for day, chance in zip(known.days, known.chances, strict=True) if chance >= HONEST_CHANCE), None
    )


def _from(on: date, day: date | None) -> date | None:
    """Not before today: a reckoned day that has gone by means now."""
    return None if day is None else max(on, day)
