"""Small invented seasons for the tests."""

from dataclasses import replace
from typing import Any

import numpy as np

from routing.season.problem import (
    GREEN,
    SEASONED,
    Choice,
    Ground,
    Market,
    Person,
    Promise,
    Range,
    Rounds,
    Season,
    SplitLot,
    Step,
    Yard,
)

LENGTHS = (1, 1, 1, 1, 4, 4)
NEVER = 99


def season(**changes: Any) -> Season:
    """Twelve weeks: fir at two yards, oak rounds, one patch of ground, a near and a far town."""
    periods = len(LENGTHS)
    weekly = tuple(float(weeks) for weeks in LENGTHS)
    fir, oak = ("fir", SEASONED), ("oak", SEASONED)

    def every(amount: float) -> tuple[float, ...]:
        return tuple(amount * weeks for weeks in weekly)

    made = Season(
        lengths=LENGTHS,
        people=(
            Person(key="ruth", name="Ruth", hours=every(6)),
            Person(key="tam", name="Tam", hours=every(3), steps=frozenset(Step) - {Step.FELL}),
        ),
        yards=(Yard(key="siding", name="Siding", room_cords=8.0), Yard(key="upper", name="Upper")),
        grounds=(
            Ground(key="knob", name="Knob", acres=0.5, cords_per_acre={"fir": 5.0, "oak": 1.0},
                   slash_hours=12.0, cost_share=400.0, slash_within=2),
        ),
        rounds=(Rounds(key="K2", name="K2", kind="fir", yard="upper", cords=3.0),),
        lots=(
            SplitLot(key="K1", name="K1", kind="fir", yard="siding", cords=2.8,
                     choices=(Choice(key="leave", name="leave", ready=(0, 0, 0)),)),
            SplitLot(key="K6", name="K6", kind="fir", yard="upper", cords=2.5, choices=(
                Choice(key="leave", name="leave it", ready=(4, 5, NEVER)),
                Choice(key="cover", name="cover it", ready=(3, 4, 5), hours=1.5, cash=10.0),
                Choice(key="green", name="sell it green", ready=(0, 0, 0), becomes=GREEN),
            )),
            SplitLot(key="K3", name="K3", kind="oak", yard="upper", cords=1.3, choices=(
                Choice(key="leave", name="leave it", ready=(NEVER,) * 3),
                Choice(key="row", name="row it in the sun", ready=(4, 5, NEVER), hours=2.0),
            )),
        ),
        markets=(
            Market(key="near", name="Near", step=Step.DELIVER_NEAR, hours=2.0, cash=8.0,
                   price={fir: 260.0, oak: 350.0, ("fir", GREEN): 205.0},
                   demand={fir: every(0.4), oak: every(0.2), ("fir", GREEN): every(0.15)}),
            Market(key="far", name="Far", step=Step.DELIVER_FAR, hours=1.0, price={fir: 375.0, oak: 540.0},
                   demand={fir: every(0.2), oak: every(0.2)}, trip_hours=4.0, trip_cash=102.0,
                   trip_cords=1.0, trips=LENGTHS),
        ),
        promises=(Promise(name="208", market="near", kind="fir", dryness=SEASONED, cords=1.0, by_period=1),),
        hours_per_cord={
            Step.FELL: Range(low=2.5, likely=3.0, high=4.0), Step.HAUL: Range(low=0.5, likely=0.5, high=0.75),
            Step.SPLIT: Range(low=1.0, likely=1.2, high=1.5),
            Step.STACK: Range(low=0.5, likely=0.75, high=1.0),
        },
        cash_per_cord=32.0,
        ready={
            (kind, yard): tuple((p + 2, p + 3, p + 5) for p in range(periods))
            for kind in ("fir", "oak")
            for yard in ("siding", "upper")
        },
        keep_value={fir: 180.0, oak: 250.0, ("fir", GREEN): 100.0, ("fir", "rounds"): 60.0,
                    ("oak", "rounds"): 90.0},
    )  # fmt: skip
    return replace(made, **changes)


def random_season(seed: int) -> Season:
    """The small season with every figure shaken: hours, prices, room, wood, promises, bans and cash."""
    dice = np.random.default_rng(seed)

    def shaken(value: float) -> float:
        return float(value * dice.uniform(0.4, 1.8))

    base = season()
    return replace(
        base,
        people=tuple(replace(p, hours=tuple(shaken(h) for h in p.hours)) for p in base.people),
        yards=tuple(
            replace(yard, room_cords=shaken(6.0) if dice.random() < 0.7 else None) for yard in base.yards
        ),
        grounds=tuple(
            replace(ground, acres=shaken(ground.acres), cost_share=shaken(300.0),
                    cost_share_until=int(dice.integers(0, 6)), slash_left=float(dice.uniform(0, 0.2)),
                    slash_by=seed % 8)  # past the last period: no day
            for ground in base.grounds
        ),
        rounds=tuple(replace(lot, cords=shaken(lot.cords), needs_haul=bool(dice.random() < 0.5))
                     for lot in base.rounds),
        lots=tuple(replace(lot, cords=shaken(lot.cords)) for lot in base.lots),
        markets=tuple(
            replace(market, price={key: shaken(price) for key, price in market.price.items()},
                    demand={key: tuple(shaken(d) for d in row) for key, row in market.demand.items()})
            for market in base.markets
        ),
        promises=tuple(replace(promise, cords=shaken(promise.cords)) for promise in base.promises),
        allowed={Step.FELL: tuple(float(x) for x in dice.uniform(0, 1, base.periods))},
        cash_now=shaken(100.0) if dice.random() < 0.5 else None,
        cash_due=tuple(float(x) for x in dice.uniform(-80, 40, base.periods)),
        hour_worth=float(dice.uniform(0, 15)),
    )  # fmt: skip
