"""The season that is left while one is lived: what its seller sees, and nothing to come."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from routing.season.ledger import total
from routing.season.problem import SEASONED, Choice, Ground, Rounds, Season, SplitLot

if TYPE_CHECKING:
    from routing.season.simulate import World

LEAST = 1e-6


def season_left(world: World, period: int) -> Season:
    """The season from a period on."""
    season = world.season
    return replace(
        season,
        lengths=season.lengths[period:],
        people=tuple(replace(person, hours=person.hours[period:]) for person in season.people),
        grounds=tuple(_ground(world, ground, period) for ground in season.grounds),
        rounds=_rounds_left(world),
        lots=_lots_left(world, period),
        markets=tuple(
            replace(
                market,
                demand={key: values[period:] for key, values in market.demand.items()},
                trips=market.trips[period:],
            )
            for market in season.markets
        ),
        promises=tuple(
            replace(promise, cords=owed, by_period=max(promise.by_period - period, 0))
            for promise in season.promises
            if (owed := world.promised[promise.name]) > LEAST
        ),
        ready={
            place: tuple(_later(ready, period) for ready in values[period:])
            for place, values in season.ready.items()
        },
        allowed={step: values[period:] for step, values in season.allowed.items()},
        cash_now=None
        if season.cash_now is None
        else season.cash_now + total(world.money) + sum(season.cash_due[:period]),
        cash_due=season.cash_due[period:],
        rig_days=season.rig_days[period:],
    )


def _ground(world: World, ground: Ground, period: int) -> Ground:
    until, by = ground.cost_share_until, ground.slash_by
    return replace(
        ground,
        acres=world.acres[ground.key],
        slash_left=world.slash[ground.key],
        cost_share_until=None if until is None else until - period,
        slash_by=None if by is None or by < period else by - period,
    )


def _rounds_left(world: World) -> tuple[Rounds, ...]:
    first = world.season.yards[0].key
    at_yard = [
        Rounds(key=f"r {kind} {yard}", name="rounds", kind=kind, yard=yard, cords=cords)
        for (kind, yard), cords in world.rounds.items()
        if cords > LEAST
    ]
    at_landing = [
        replace(lot, cords=cords)
        for lot in world.season.rounds
        if (cords := world.to_haul.get(lot.key, 0.0)) > LEAST
    ]
    felled = [
        Rounds(
            key=f"{ground.key}/{kind}", name="felled", kind=kind, yard=first, needs_haul=True,
            cords=world.landing[ground.key] * per_acre / sum(ground.cords_per_acre.values()),
        )
        for ground in world.season.grounds
        for kind, per_acre in ground.cords_per_acre.items()
        if world.landing[ground.key] > LEAST
    ]  # fmt: skip
    return (*at_yard, *at_landing, *felled)


def _lots_left(world: World, period: int) -> tuple[SplitLot, ...]:
    made: list[SplitLot] = []
    for lot in world.untreated.values():
        choices = tuple(replace(c, ready=_later(c.ready, period)) for c in lot.choices)
        made.append(replace(lot, choices=choices))
    lying = [(place, _later(ready, period), SEASONED, cords) for place, ready, cords in world.drying]
    lying += [
        (place, (0, 0, 0), dry, cords) for dry, at in world.stock.items() for place, cords in at.items()
    ]
    for number, ((kind, yard), ready, becomes, cords) in enumerate(lying):
        if cords > LEAST:
            lie = Choice(key="lie", name="let it lie", ready=ready, becomes=becomes)
            made.append(
                SplitLot(key=f"s{number}", name="split", kind=kind, yard=yard, cords=cords, choices=(lie,))
            )
    return tuple(made)


def _later(ready: tuple[int, int, int], period: int) -> tuple[int, int, int]:
    return (max(ready[0] - period, 0), max(ready[1] - period, 0), max(ready[2] - period, 0))
