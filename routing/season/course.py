"""The course of the year as rows that add up: its weeks, scenarios and wood, and other ways of deciding."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from routing.season.ledger import Ledger, Part, What, total
from routing.season.lines import CENT, TENTH, grouped, rounded
from routing.season.plan import SeasonPlan
from routing.season.problem import GREEN, SEASONED, Season

LEAST_CORDS = 0.05
COLUMNS = {
    What.DRIVE: "driving", What.TRIP: "driving", What.SHARE: "share",
    What.FELL: "costs", What.MOVE: "costs", What.TREAT: "costs",
}  # fmt: skip
MONEY = ("near", "far", "share", "driving", "costs")


def start_of(period: int, starts: Sequence[date]) -> str:
    return starts[period].isoformat() if period < len(starts) else ""


def ways(plan: SeasonPlan) -> list[dict[str, Any]]:
    """The scenarios, poorest first: how each turns out and what it brings."""
    rows = [
        grouped(way.money)
        | {
            "hours": round(way.hours),
            "demand_pct": round(way.demand * 100),
            "hours_pct": round(way.found * 100),
            "drying": ("fast", "as likely", "slow")[way.drying],
        }
        for way in plan.ways
    ]
    for row in rows:
        row["per_hour"] = round(row["net"] / row["hours"], 2) if row["hours"] else None
    return sorted(rows, key=lambda row: row["net"])


def per_hour(net: float, hours: float, ways: Sequence[Mapping[str, Any]]) -> list[float]:
    """Low, likely and high; empty where nobody works."""
    rates = [row["per_hour"] for row in ways if row["per_hour"] is not None]
    return [min(rates), round(net / hours, 2), max(rates)] if rates and hours else []


def lived_side_by_side(lived: Mapping[str, Ledger], names: Mapping[str, str]) -> dict[str, Any]:
    """The ways of deciding side by side: orders' wood among the other, dollars by way."""
    sums: dict[Part, dict[str, float]] = {}
    for way, ledger in lived.items():
        for part, line in ledger.items():
            row = sums.setdefault(part._replace(order=""), dict.fromkeys(lived, 0.0))
            row[way] += line.dollars
    columns = {way: rounded([row[way] for row in sums.values()]) for way in lived}
    rows = [
        {
            **part._asdict(),
            "what": str(part.what),
            "name": names.get(part.name, part.name),
            "target": part.name,
        }
        | {way: columns[way][number] for way in lived}
        for number, part in enumerate(sums)
    ]
    return {
        "lived": {way: sum(column) for way, column in columns.items()},
        "lived_lines": [row for row in rows if any(row[way] for way in lived)],
    }


def periods_of(
    plan: SeasonPlan, season: Season, starts: Sequence[date], *, to: float
) -> list[dict[str, Any]]:
    nets = rounded([total(row.money) for row in plan.periods], to=to)
    found = []
    for start, weeks, row, net in zip(starts, season.lengths, plan.periods, nets, strict=True):
        columns = dict.fromkeys(MONEY, 0.0)
        for part, line in row.money.items():
            columns[COLUMNS.get(part.what, part.name)] += line.dollars
        hours = {step: spent for step, spent in row.hours.items() if spent > 0.05}
        spent = rounded([*hours.values()], TENTH)
        found.append(
            {
                "from": start.isoformat(),
                "weeks": weeks,
                "hours": {str(step): each for step, each in zip(hours, spent, strict=True)},
                "all_hours": round(sum(spent), 1),
                SEASONED: round(row.seasoned_cords, 2),
                "drying": round(row.drying_cords, 2),
                GREEN: round(row.green_cords, 2),
                "rounds": round(row.rounds_cords, 2),
                "sold": {key: round(cords, 2) for key, cords in row.sold.items()},
                "money": dict(zip(MONEY, rounded([*columns.values()], to=net), strict=True)),
                "net": net,
            }
        )
    return found


def far_trips(plan: SeasonPlan, season: Season, starts: Sequence[date]) -> dict[str, Any] | None:
    """This week's far trips, which are whole, and the week of the next; None where no market is far."""
    market = next((market for market in season.markets if market.trip_cords is not None), None)
    if market is None or market.trip_cords is None:
        return None
    sales = [(key, cords) for key, cords in plan.sales.items() if key[0] == market.key]
    ahead = next((task.first for task in plan.ahead if task.target == market.key), None)
    parts = [part for task in plan.tasks if task.target == market.key for part in task.parts]
    return {
        "trips": round(plan.trips[market.key][0]),
        "holds": round(market.trip_cords, 2),
        "cords": round(sum(cords for _, cords in sales), 2),
        "orders": sorted({part.sale.order for part in parts if part.sale and part.sale.order}),
        "next": "" if ahead is None else starts[ahead].isoformat(),
    }


def wood_balance(plan: SeasonPlan, season: Season, starts: Sequence[date]) -> dict[str, Any]:
    """Cords from lots, rounds and ground, and how much of them is sold and left."""
    come = []
    for lot in season.lots:
        choice = next(c for c in lot.choices if c.key == plan.choices[lot.key])
        dry = choice.ready[1] if choice.becomes == SEASONED else 0
        come.append(
            (lot.key, lot.name, lot.kind, lot.cords, choice.name, start_of(dry, starts) if dry else "")
        )
    come += [(lot.key, lot.name, lot.kind, lot.cords, "", "") for lot in season.rounds]
    come += [(key, next(g.name for g in season.grounds if g.key == key), "", cords, "", "")
             for key, cords in plan.cut.items() if cords > LEAST_CORDS]  # fmt: skip
    cords = rounded([row[3] for row in come], CENT)
    sold = sum(sum(row.sold.values()) for row in plan.periods)
    left = sum(line.amount for part, line in plan.money.items() if part.what == What.LEFT)
    goes = rounded([sold, left, max(sum(cords) - sold - left, 0.0)], CENT, to=sum(cords))
    return {
        "from": [
            {"target": key, "name": name, "kind": kind, "cords": amount, "choice": choice, "dry": dry}
            for (key, name, kind, _, choice, dry), amount in zip(come, cords, strict=True)
        ],
        "to": dict(zip(("sold", "left", "woods"), goes, strict=True)),
        "cords": round(sum(cords), 2),
    }
