"""Every way one load of a run can be driven: from filling at a yard, or at two, to standing at the next yard
or home.

Where the run has a pause each sequence is there without it and, if that can be, with it. Sequences of stops
are grown backward, one stop at a time, since only then the weight aboard on each leg, and
with it the road the rig may use, is known. Of those with the same stops, first and last, only those that no
other beats in road, hours and windows stay. Whole columns of numpy numbers at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints, PlanArrays, Runs, row_of
from routing.planner.params import PROOF
from routing.planner.search.state import FAR

type Clocks = tuple[Ints, Ints, Ints]  # (e, d, l) of many rows, see `search.schedule`


class TooMany(Exception):
    """More sequences or runs than were allowed, or time is up."""


@dataclass(frozen=True, slots=True)
class LoadSequences:
    """Shapes
    M load sequences. `after` is the yard it ends at, or the number of yards for home. Clock (e, d, l) from
    the beginning of loading; road in cost units; mask: parts as bits; sequence: row of `stops`. `late`: the
    parts (as bits) filled at `second`, after the others were filled at `yard`; 0 when filled at one yard.
    `paused`: 1 when the run's pause lies in it, before or after the work at one of its places; `paid`: d less
    the pause.
    """

    mask: Ints
    yard: Ints
    second: Ints
    late: Ints
    after: Ints
    road: Ints
    e: Ints
    d: Ints
    l: Ints
    sequence: Ints
    paused: Ints
    paid: Ints
    stops: "Stops"

    def __len__(self) -> int:
        return len(self.mask)

    def tokens(self, load: int, parts: int) -> list[int]:
        """One of them as tokens of a row kept for later (see `search.state`)."""
        yard, second, late = int(self.yard[load]), int(self.second[load]), int(self.late[load])
        fills = [-1 - yard, -1 - second] if late else [-1 - yard]
        stops = self.stops.parts(int(self.sequence[load]))
        return fills + [part + (second if late >> part & 1 else yard) * parts for part in stops]


@dataclass(frozen=True, slots=True)
class Stops:
    """Sequences of stops without their yard; first and parent give the sequence itself."""

    mask: Ints
    first: Ints
    last: Ints
    road: Ints
    e: Ints
    d: Ints
    l: Ints
    ft3: Ints
    lb: Ints
    quantity: Ints
    parent: Ints
    paused: Ints

    def __len__(self) -> int:
        return len(self.mask)

    def at(self, rows: Ints | NDArray[np.bool_]) -> "Stops":
        """Some of them."""
        return Stops(*(getattr(self, name)[rows] for name in self.__slots__))

    def parts(self, row: int) -> list[int]:
        """Parts of one sequence, in the order they are dropped."""
        found = []
        while row >= 0:
            found.append(int(self.first[row]))
            row = int(self.parent[row])
        return found


def load_sequences(arrays: PlanArrays, s: int, *, most: int) -> LoadSequences:
    """All load sequences of a run that no other dominates with the same stops and ends.

    Errors
        TooMany: they outgrew `most`.
    """
    stops = _stops(arrays, s, most)
    found = []
    for fills in packings(arrays):
        filled = _filled_at(arrays, stops, fills, most)
        found += _from_yards(arrays, s, stops, fills, *filled)
        if sum(len(columns[0]) for columns in found) > most:
            raise TooMany
    columns = [np.concatenate([some[k] for some in found]) for k in range(11)]
    kept = _undominated_loads(arrays, s, columns)
    mask, yard, second, late, after, road, e, d, l, sequence, paused = (column[kept] for column in columns)
    paid = d - arrays.run.pause[s] * paused
    return LoadSequences(mask, yard, second, late, after, road, e, d, l, sequence, paused, paid, stops)


def packings(arrays: PlanArrays) -> list[tuple[int, ...]]:
    """The yards one load may be filled at, in order."""
    yards = range(len(arrays.yard.loc))
    twice = [(y, z) for y in yards for z in yards if y != z] if arrays.fill_yards > 1 else []
    return [*((y,) for y in yards), *twice]


def _filled_at(arrays: PlanArrays, stops: Stops, fills: tuple[int, ...], most: int) -> tuple[Ints, Ints]:
    """Rows of the stops that may be filled at one yard, or at two in order; and the parts, as bits, that the
    second one gives.

    Errors
        TooMany: parts that both yards hold may be divided in more ways than `most`.
    """
    from_first = _bits(np.flatnonzero(arrays.part.yards >> fills[0] & 1))
    from_last = _bits(np.flatnonzero(arrays.part.yards >> fills[-1] & 1))
    rows = np.flatnonzero(stops.mask & ~(from_first | from_last) == 0)
    late = stops.mask[rows] & ~from_first
    if fills[0] != fills[-1]:
        for p in np.flatnonzero(arrays.part.yards >> fills[0] & arrays.part.yards >> fills[-1] & 1).tolist():
            either = stops.mask[rows] >> p & 1 == 1
            rows = np.concatenate([rows, rows[either]])
            late = np.concatenate([late, late[either] | np.int64(1) << p])
            if len(rows) > 6 * most:
                raise TooMany
        both = (late != 0) & (late != stops.mask[rows])
        rows, late = rows[both], late[both]
    if arrays.is_tight:
        held = _is_in_stock(arrays, stops.mask[rows] & ~late, arrays.stock[fills[0]])
        held &= _is_in_stock(arrays, late, arrays.stock[fills[-1]])
        rows, late = rows[held], late[held]
    return rows, late


def _from_yards(
    arrays: PlanArrays, s: int, stops: Stops, fills: tuple[int, ...], rows: Ints, late: Ints
) -> list[list[Ints]]:
    """Columns of the sequences filled at a yard, or at two in order, by where they end."""
    run = row_of(arrays.run, s)
    road, paused = stops.road[rows], stops.paused[rows]
    clock: Clocks = (stops.e[rows], stops.d[rows], stops.l[rows])
    there, lb = arrays.part.loc[stops.first[rows]], stops.lb[rows]
    filled = [(stops.quantity[rows], lb)]
    if len(fills) > 1:
        bits = _parts_of(arrays, late)
        quantity = bits @ arrays.part.quantity
        filled = [(filled[0][0] - quantity, lb - bits @ arrays.part.lb), (quantity, lb)]
    for turn in reversed(range(len(fills))):
        yard, (quantity, aboard) = fills[turn], filled[turn]
        here, stay = arrays.yard.loc[yard], _loading_seconds(arrays, yard, quantity)
        opens, closes = arrays.hours[yard, s]
        table = road_tables(arrays, s, aboard)
        drive = arrays.seconds[table, here, there]
        road = road + arrays.meters[table, here, there] * run.loaded_rate
        loading = (np.full(len(rows), opens), stay, closes - stay)
        at, clock, paused = with_pauses(run, loading, drive, clock, paused)
        rows, late, road = rows[at], late[at], road[at]
        filled = [(amount[at], weight[at]) for amount, weight in filled]
        there = np.full(len(rows), here)
    e, d, l = clock
    last, empty = arrays.part.loc[stops.last[rows]], arrays.band_table[s, 0]
    found = []
    for after, end in enumerate(np.append(arrays.yard.loc, run.home)):
        columns = [
            stops.mask[rows],
            np.full(len(rows), fills[0]),
            np.full(len(rows), fills[-1]),
            late,
            np.full(len(rows), after),
            road + arrays.meters[empty, last, end] * run.empty_rate,
            e,
            d + arrays.seconds[empty, last, end],
            l,
            rows,
            paused,
        ]
        kept = _undominated_loads(arrays, s, columns)
        found.append([column[kept] for column in columns])
    return found


def _undominated_loads(arrays: PlanArrays, s: int, columns: list[Ints]) -> Ints:
    """Rows of those none beats with the same parts and ends and, where wood is short, the same yards."""
    mask, yard, second, late, after, road, e, d, l, _, paused = columns
    keys = [mask, yard, after, paused, *([second, late] if arrays.is_tight else [])]
    wage = arrays.run.wage[s]
    return undominated(keys, road + d * wage, e, d, l, wage)


def _loading_seconds(arrays: PlanArrays, yard: int, quantity: Ints) -> Ints:
    """`search.schedule.loading_seconds` for whole columns."""
    seconds: Ints = arrays.yard.fixed[yard] - (-arrays.yard.rate[yard] * quantity // arrays.units)
    return seconds


def _stops(arrays: PlanArrays, s: int, most: int) -> Stops:
    """All sequences of stops that fit a load and its windows."""
    run, part, p = row_of(arrays.run, s), arrays.part, np.flatnonzero(arrays.allowed[:, s])
    work = (part.opens[p], part.service[p], part.closes[p])
    none = np.zeros(len(p), np.int64)
    # nothing lies after the last stop yet: as if a drive of no length to a place open at all times
    at, (e, d, l), paused = with_pauses(run, work, 0, (none, none, np.full(len(p), FAR)), none)
    last = p[at]
    generation = Stops(
        np.int64(1) << last,
        last,
        last,
        np.zeros(len(last), np.int64),
        e,
        d,
        l,
        part.ft3[last],
        part.lb[last],
        part.quantity[last],
        np.full(len(last), -1, np.int64),
        paused,
    )
    generation = generation.at(fits(arrays, s, generation.mask, generation.ft3, generation.lb))
    done, total, offset = [generation], len(generation), 0
    while len(generation):
        grown = _extended(arrays, s, generation, p, 6 * most - total, offset)
        cost = grown.road + grown.d * run.wage
        keys = [grown.mask, grown.first, grown.last, grown.paused]
        kept = undominated(keys, cost, grown.e, grown.d, grown.l, run.wage)
        offset += len(generation)
        generation = grown.at(kept)
        total += len(generation)
        if total > most:
            raise TooMany
        done.append(generation)
    return Stops(*(np.concatenate([getattr(g, name) for g in done]) for name in Stops.__slots__))


def _extended(arrays: PlanArrays, s: int, generation: Stops, p: Ints, most: int, offset: int) -> Stops:
    """All sequences with one more stop before their first."""
    run, part = row_of(arrays.run, s), arrays.part
    free = (generation.mask[:, None] >> p[None, :] & 1) == 0
    free &= generation.ft3[:, None] + part.ft3[p][None, :] <= run.ft3 + run.bed_ft3
    free &= generation.lb[:, None] + part.lb[p][None, :] <= run.lb + run.bed_lb
    rows, at = np.nonzero(free)
    if len(rows) > most:
        raise TooMany
    new = p[at]
    mask = generation.mask[rows] | np.int64(1) << new
    ft3, lb = generation.ft3[rows] + part.ft3[new], generation.lb[rows] + part.lb[new]
    fine = fits(arrays, s, mask, ft3, lb)
    rows, new, mask, ft3, lb = rows[fine], new[fine], mask[fine], ft3[fine], lb[fine]
    here, there = part.loc[new], part.loc[generation.first[rows]]
    table = road_tables(arrays, s, generation.lb[rows])
    road = generation.road[rows] + arrays.meters[table, here, there] * run.loaded_rate
    at, (e, d, l), paused = with_pauses(
        run,
        (part.opens[new], part.service[new], part.closes[new]),
        arrays.seconds[table, here, there],
        (generation.e[rows], generation.d[rows], generation.l[rows]),
        generation.paused[rows],
    )
    return Stops(
        mask[at],
        new[at],
        generation.last[rows[at]],
        road[at],
        e,
        d,
        l,
        ft3[at],
        lb[at],
        generation.quantity[rows[at]] + part.quantity[new[at]],
        rows[at] + offset,
        paused,
    )


def road_tables(arrays: PlanArrays, s: int, lb: Ints) -> Ints:
    """The road table for each weight aboard (`search.schedule.road_table` for whole columns)."""
    table = np.full(np.shape(lb), arrays.band_table[s, 0])
    for k in range(1, int(arrays.run.bands[s])):
        table = np.where(arrays.band_over[s, k] < lb, arrays.band_table[s, k], table)
    return table


def fits(arrays: PlanArrays, s: int, mask: Ints, ft3: Ints, lb: Ints) -> NDArray[np.bool_]:
    """Whether loads fit a run's trailer, or trailer and bed together."""
    run = row_of(arrays.run, s)
    fine = (ft3 <= run.ft3) & (lb <= run.lb)
    unsure = np.flatnonzero(~fine & (ft3 <= run.ft3 + run.bed_ft3) & (lb <= run.lb + run.bed_lb))
    if len(unsure):
        wood = _woods(arrays, mask[unsure])
        fine[unsure] = _divides(arrays, s, wood, ft3[unsure] - run.ft3, lb[unsure] - run.lb)
    return fine


def _divides(arrays: PlanArrays, s: int, wood: Ints, over_ft3: Ints, over_lb: Ints) -> NDArray[np.bool_]:
    """Whether what is over the trailer's limits can ride in the bed, wood by wood in whole steps."""
    room_ft3 = np.full(len(wood), arrays.run.bed_ft3[s])
    room_lb = np.full(len(wood), arrays.run.bed_lb[s])
    for k in np.flatnonzero(arrays.wood.step).tolist():
        ft3, lb = (int(column[k] * arrays.wood.step[k]) for column in (arrays.wood.ft3, arrays.wood.lb))
        steps = wood[:, k] // arrays.wood.step[k]
        wanted = np.zeros_like(steps)
        for each, room, over in ((ft3, room_ft3, over_ft3), (lb, room_lb, over_lb)):
            if each:
                steps = np.minimum(steps, room // each)
                wanted = np.maximum(wanted, -(-over // each))
        steps = np.minimum(steps, wanted)
        room_ft3, over_ft3 = room_ft3 - steps * ft3, over_ft3 - steps * ft3
        room_lb, over_lb = room_lb - steps * lb, over_lb - steps * lb
    return (over_ft3 <= 0) & (over_lb <= 0)  # type: ignore[no-any-return]


def clocks_joined(e1, d1, l1, drive, e2, d2, l2):  # type: ignore[no-untyped-def]
    """`search.schedule.joined` for whole columns."""
    lag = d1 + drive
    l = np.minimum(l1, l2 - lag)
    e = np.maximum(e1, e2 - lag)
    over = np.maximum(0, e - l)
    missed = (e1 + lag > l2) | (l2 < 0) | (np.asarray(l1) < 0)
    return e - over, lag + d2 + over, np.where(missed, -1, l)


def with_pauses(
    run: Runs, work: Clocks, drive: Ints | int, after: Clocks, paused: Ints
) -> tuple[Ints, Clocks, Ints]:
    """Clocks of work, a drive and what comes after it; where no pause lies there yet also with the run's
    pause before the work and after it. Returns the row each comes of, the clocks that can be, and which rest.
    """
    every = np.arange(len(paused))
    found = [(every, clocks_joined(*work, drive, *after), paused)]
    if run.pause:
        free = np.flatnonzero(paused == 0)
        rest, works, afters = (
            tuple(np.broadcast_to(figure, len(paused))[free] for figure in clock)
            for clock in ((run.pause_from, run.pause, run.pause_to), work, after)
        )
        there = np.broadcast_to(drive, len(paused))[free]
        before = clocks_joined(*rest, 0, *clocks_joined(*works, there, *afters))  # type: ignore[call-arg]
        behind = clocks_joined(*works, 0, *clocks_joined(*rest, there, *afters))  # type: ignore[call-arg]
        found += [(free, clock, np.ones(len(free), np.int64)) for clock in (before, behind)]
    at, resting = (np.concatenate([some[k] for some in found]) for k in (0, 2))
    e, d, l = (np.concatenate([clock[k] for _, clock, _ in found]) for k in range(3))
    fine = l >= 0
    return at[fine], (e[fine], d[fine], l[fine]), resting[fine]


def undominated(keys: list[Ints], cost: Ints | Floats, e: Ints, d: Ints, l: Ints, wage: Ints | float) -> Ints:
    """Rows that none with the same keys beats in everything (near neighbors in cost are compared)."""
    by = np.lexsort((cost, *keys))
    keys = [key[by] for key in keys]
    cost, e, d, l = cost[by], e[by], d[by], l[by]
    alive = np.ones(len(by), bool)
    for back in range(1, min(PROOF.neighbors_compared, len(by) - 1) + 1):
        a, b = slice(0, len(by) - back), slice(back, len(by))
        same = keys[0][a] == keys[0][b]
        for key in keys[1:]:
            same &= key[a] == key[b]
        if not same.any():
            break
        later = np.maximum(0, e[a] - e[b])
        alive[b] &= ~(same & (cost[a] + wage * later <= cost[b]) & (d[a] + later <= d[b]) & (l[a] >= l[b]))
    return by[alive]


def _bits(parts: Ints) -> np.int64:
    return np.bitwise_or.reduce(np.int64(1) << parts) if len(parts) else np.int64(0)


def _woods(arrays: PlanArrays, masks: Ints) -> Ints:
    """Wood of each set of parts, M x K."""
    return _parts_of(arrays, masks) @ arrays.part_wood


def _parts_of(arrays: PlanArrays, masks: Ints) -> Ints:
    """Which parts are in each set, M x P, 0 or 1."""
    return (masks[:, None] >> np.arange(len(arrays.part_wood))[None, :] & 1).astype(np.int64)


def _is_in_stock(arrays: PlanArrays, masks: Ints, stock: Ints) -> NDArray[np.bool_]:
    return (_woods(arrays, masks) <= stock).all(axis=1)  # type: ignore[no-any-return]
