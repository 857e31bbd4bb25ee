"""The rule of thumb for drying, to check a forecast by hand: m = E + (m0 - E) exp(-x), x = sum of k f w.

k is the wood's, f how the wood lies, w the month. It knows no weather, no rain, no thickness of pieces; the
forecast of `forecast.py` does, and its days differ where those count.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import exp
from typing import Any

from inventory.core.figures import table_of
from inventory.core.moisture import READY_DRY_PCT

YEARS_AHEAD = 3


def _table() -> Mapping[str, Any]:
    return table_of("thumb.toml", package="inventory.drying")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumb:
    """What the rule says of splits left to dry on a day with a start, % dry basis."""

    rate: float  # k f of a day of the driest month
    start_on: date
    start_pct: float

    def pct_on(self, on: date) -> float:
        """Moisture on the morning of a day."""
        months = _table()["month"]
        days = range((on - self.start_on).days)
        sun = sum(months[f"{(self.start_on + timedelta(days=day)).month:02}"]["value"] for day in days)
        end = _table()["end"]["value"]
        return float(end + (self.start_pct - end) * exp(-self.rate * sun))

    def ready_on(self) -> date | None:
        """The first day it is dry enough; None if that is years away."""
        days = (self.start_on + timedelta(days=day) for day in range(365 * YEARS_AHEAD))
        return next((on for on in days if self.pct_on(on) <= READY_DRY_PCT), None)


def rule_of_thumb(mix: Mapping[str, float], *, lies: str, start_on: date, start_pct: float) -> Thumb | None:
    """The rule for a lot of one wood it knows, lying as it knows; else None.

    >>> fir = rule_of_thumb({"fir": 100}, lies="low_heap", start_on=date(2026, 6, 10), start_pct=60)
    >>> round(fir.pct_on(date(2026, 9, 1)), 1), fir.ready_on()
    (26.0, datetime.date(2026, 9, 8))
    """
    woods, heaps = _table()["wood"], _table()["lies"]
    key = max(mix, key=lambda one: mix[one], default="")
    if len(mix) != 1 or key not in woods or lies not in heaps:
        return None
    rate = woods[key]["value"] * heaps[lies]["value"]
    return Thumb(rate=rate, start_on=start_on, start_pct=start_pct)
