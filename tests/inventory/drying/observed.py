"""`python -m tests.inventory.drying.observed`: the model beside what was measured, row by row, misses too.

The table stands in inventory/drying/README.md; `test_observed.py` holds it to what the engine says now.
"""

from collections.abc import Iterator

import numpy as np

from . import test_published_trials as trials
from .kit import dried, exactly, heap, rows, steady

MONTHS = (1, 4, 6, 7, 9, 10, 11)

type Row = tuple[str, str, str, str]  # what, observed, model, verdict


def logs() -> Iterator[Row]:
    for inches in (4, 5, 6, 8):
        for temp_f, rh_pct in ((75, 40), (65, 50), (55, 60)):
            pine = heap(
                trials.PINE,
                "open",
                shape="round",
                size_in=inches,
                length_in=None,
                has_bark=False,
                cover="roof",
            )
            found = dried(exactly(120), pine, source=steady((temp_f - 32) / 1.8, rh_pct))
            days = next(day for day, pct in enumerate(found.median) if pct <= 20)
            printed = trials.simpson_wang_days(inches, temp_f, rh_pct, 120, 20)
            what = f"pine logs {inches} in, {temp_f} F, {rh_pct} %, 120 to 20 %"
            yield what, f"{printed} days", f"{days} days", f"{days / printed:.2f}"


def boards() -> Iterator[Row]:
    for name, key, source, green in trials.BOARDS:
        printed = next(line for line in rows("air_drying_days.csv") if line["species"] == name)
        days = [trials.board_days(key, month, source, start=green, end=20) for month in MONTHS]
        for season, ours, theirs in (("best", min(days), "days_min"), ("worst", max(days), "days_max")):
            ratio = ours / float(printed[theirs])
            verdict = f"{ratio:.2f}" + ("" if 0.5 <= ratio <= 2 else " MISS")
            yield f"{name}, 1 in boards, {season} season", f"{printed[theirs]} days", f"{ours} days", verdict


def sticks() -> Iterator[Row]:
    model, seen = trials.stick_series()
    rain = np.array([float(line["rain_mm"]) for line in rows("stick_weather_daily.csv")])
    is_dry = np.array([not rain[max(0, at - 2) : at + 1].any() for at in range(len(rain))])
    second = np.arange(len(model)) >= len(model) // 2
    parts = {"all days": np.ones(len(model), bool), "first half (fitted)": ~second, "second half": second,
             "no rain in 3 days": is_dry}  # fmt: skip
    for site, measured in seen.items():
        for part, mask in parts.items():
            error = (model - measured)[mask & ~np.isnan(measured)]
            rmse, bias = float(np.sqrt((error**2).mean())), float(error.mean())
            yield (
                f"13 mm sticks {site.upper()}, {part}", f"{len(error)} days", "points",
                f"RMSE {rmse:.1f}, bias {bias:+.1f}",
            )  # fmt: skip


def firewood() -> Iterator[Row]:
    for trial in trials.TRIALS:
        low, high = trial.band()
        is_in = high >= trial.seen[0] and trial.seen[1] >= low
        open_low, open_high = trial.seen[0] == 0, trial.seen[1] == 300
        seen = f"{trial.seen[0]:g} to {trial.seen[1]:g} %"
        seen = (
            f"under {trial.seen[1]:g} %" if open_low else f"over {trial.seen[0]:g} %" if open_high else seen
        )
        verdict = "in" if is_in else "MISS"
        yield f"{trial.name}, day {trial.days}", seen, f"{low:.0f} to {high:.0f} %", verdict


def table() -> str:
    """All rows as the table of inventory/drying/README.md."""
    lines = ["| what | observed | model | model / observed, or in the 80 % band |", "|---|---|---|---|"]
    for part in (logs, boards, sticks, firewood):
        lines += [f"| {' | '.join(row)} |" for row in part()]
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
