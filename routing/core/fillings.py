"""Every way one load of a shift can be driven: from loading at a yard to standing at the next yard or home.

Sequences of drops are grown one drop at a time; of those with the same drops, first and last, only those
that no other beats in road, hours and windows stay. Whole columns of numpy numbers at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routing.core.arrays import (
    BOX,
    CLOSES,
    FT3,
    HOME,
    LB,
    LOC,
    METERS,
    OPENS,
    PAYLOAD,
    QUANTITY,
    RATE_EMPTY,
    RATE_LOADED,
    ROAD_EMPTY,
    ROAD_LOADED,
    SECONDS,
    SERVICE,
    WAGE,
    YARD_FIXED,
    YARD_LOC,
    YARD_RATE,
    YARDS,
    Ints,
    PlanArrays,
)

NEIGHBORS = 24


class TooMany(Exception):
    """More sequences or runs than were allowed."""


@dataclass(frozen=True, slots=True)
class Fillings:
    """Shapes
    M fillings. `after` is the yard it ends at, or the number of yards for home. Clock (e, d, l) from the
    beginning of loading; road in cost units; mask: parts as bits; sequence: row of `drops`.
    """

    mask: Ints
    yard: Ints
    after: Ints
    road: Ints
    e: Ints
    d: Ints
    l: Ints
    sequence: Ints
    drops: "Sequences"

    def __len__(self) -> int:
        return len(self.mask)


@dataclass(frozen=True, slots=True)
class Sequences:
    """Sequences of drops without their yard; parent and last give the sequence itself."""

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

    def __len__(self) -> int:
        return len(self.mask)

    def at(self, rows: Ints | NDArray[np.bool_]) -> "Sequences":
        """Some of them."""
        return Sequences(*(getattr(self, name)[rows] for name in self.__slots__))

    def parts(self, row: int) -> list[int]:
        """Parts of one sequence, in the order they are dropped."""
        found = []
        while row >= 0:
            found.append(int(self.last[row]))
            row = int(self.parent[row])
        return found[::-1]


def fillings_of(arrays: PlanArrays, shift: int, *, most: int) -> Fillings:
    """All fillings of a shift that are not beaten by another with the same drops and ends.

    Errors
        TooMany: they outgrew `most`.
    """
    drops = _sequences(arrays, shift, most)
    row = arrays.shift[shift]
    yards = len(arrays.yard)
    empty, loaded = arrays.roads[row[ROAD_EMPTY]], arrays.roads[row[ROAD_LOADED]]
    ends = np.append(arrays.yard[:, YARD_LOC], row[HOME])
    index = np.arange(len(drops))
    found = []
    for y in range(yards):
        may = (drops.mask & _bits(np.flatnonzero((arrays.part[:, YARDS] >> y & 1) == 0))) == 0
        if arrays.is_tight:
            may &= _wood_of(arrays, drops.mask, arrays.stock[y])
        rows = index[may]
        there = arrays.part[drops.first[rows], LOC]
        stay = arrays.yard[y, YARD_FIXED] - (
            -arrays.yard[y, YARD_RATE] * drops.quantity[rows] // arrays.units
        )
        opens, closes = arrays.hours[y, shift]
        here = arrays.yard[y, YARD_LOC]
        e, d, l = clocks_joined(
            np.full(len(rows), opens),
            stay,
            closes - stay,
            loaded[here, there, SECONDS],
            drops.e[rows],
            drops.d[rows],
            drops.l[rows],
        )
        road = drops.road[rows] + loaded[here, there, METERS] * row[RATE_LOADED]
        fine = l >= 0
        rows, e, d, l, road = rows[fine], e[fine], d[fine], l[fine], road[fine]
        last = arrays.part[drops.last[rows], LOC]
        for after in range(yards + 1):
            back = empty[last, ends[after], SECONDS]
            full = (
                drops.mask[rows],
                np.full(len(rows), y),
                np.full(len(rows), after),
                road + empty[last, ends[after], METERS] * row[RATE_EMPTY],
                e,
                d + back,
                l,
                rows,
            )
            kept = _unbeaten([full[0]], full[3] + full[5] * row[WAGE], full[4], full[5], full[6], row[WAGE])
            found.append([column[kept] for column in full])
    columns = [np.concatenate([one[k] for one in found]) for k in range(8)]
    if len(columns[0]) > most:
        raise TooMany
    mask, yard, end, road, e, d, l, sequence = columns
    return Fillings(mask, yard, end, road, e, d, l, sequence, drops)


def _sequences(arrays: PlanArrays, shift: int, most: int) -> Sequences:
    row = arrays.shift[shift]
    p = np.flatnonzero(arrays.allowed[:, shift])
    part = arrays.part
    generation = Sequences(
        np.int64(1) << p,
        p,
        p,
        np.zeros(len(p), np.int64),
        part[p, OPENS],
        part[p, SERVICE],
        part[p, CLOSES],
        part[p, FT3],
        part[p, LB],
        part[p, QUANTITY],
        np.full(len(p), -1, np.int64),
    )
    fine = (generation.l >= 0) & (generation.ft3 <= row[BOX]) & (generation.lb <= row[PAYLOAD])
    generation = generation.at(fine)
    table = arrays.roads[row[ROAD_LOADED]]
    done = [generation]
    total = len(generation)
    offset = 0
    while len(generation):
        free = (generation.mask[:, None] >> p[None, :] & 1) == 0
        free &= generation.ft3[:, None] + part[p, FT3][None, :] <= row[BOX]
        free &= generation.lb[:, None] + part[p, LB][None, :] <= row[PAYLOAD]
        rows, columns = np.nonzero(free)
        if total + len(rows) > 6 * most:
            raise TooMany
        new = p[columns]
        here, there = part[generation.last[rows], LOC], part[new, LOC]
        e, d, l = clocks_joined(
            generation.e[rows],
            generation.d[rows],
            generation.l[rows],
            table[here, there, SECONDS],
            part[new, OPENS],
            part[new, SERVICE],
            part[new, CLOSES],
        )
        grown = Sequences(
            generation.mask[rows] | np.int64(1) << new,
            generation.first[rows],
            new,
            generation.road[rows] + table[here, there, METERS] * row[RATE_LOADED],
            e,
            d,
            l,
            generation.ft3[rows] + part[new, FT3],
            generation.lb[rows] + part[new, LB],
            generation.quantity[rows] + part[new, QUANTITY],
            rows + offset,
        ).at(l >= 0)
        kept = _unbeaten(
            [grown.mask, grown.first, grown.last],
            grown.road + grown.d * row[WAGE],
            grown.e,
            grown.d,
            grown.l,
            row[WAGE],
        )
        offset += len(generation)
        generation = grown.at(kept)
        total += len(generation)
        if total > most:
            raise TooMany
        done.append(generation)
    return Sequences(*(np.concatenate([getattr(g, name) for g in done]) for name in Sequences.__slots__))


def clocks_joined(e1, d1, l1, drive, e2, d2, l2):  # type: ignore[no-untyped-def]
    """`routes.joined` for whole columns."""
    lag = d1 + drive
    l = np.minimum(l1, l2 - lag)
    e = np.maximum(e1, e2 - lag)
    over = np.maximum(0, e - l)
    missed = (e1 + lag > l2) | (l2 < 0) | (np.asarray(l1) < 0)
    return e - over, lag + d2 + over, np.where(missed, -1, l)


def _unbeaten(keys: list[Ints], cost: NDArray, e: Ints, d: Ints, l: Ints, wage: int) -> Ints:  # type: ignore[type-arg]
    """Rows that none with the same keys beats in everything (near neighbors in cost are compared)."""
    by = np.lexsort((cost, *keys))
    keys = [key[by] for key in keys]
    cost, e, d, l = cost[by], e[by], d[by], l[by]
    alive = np.ones(len(by), bool)
    for back in range(1, min(NEIGHBORS, len(by) - 1) + 1):
        a, b = slice(0, len(by) - back), slice(back, len(by))
        same = keys[0][a] == keys[0][b]
        for key in keys[1:]:
            same &= key[a] == key[b]
        if not same.any():
            break
        later = np.maximum(0, e[a] - e[b])
        alive[b] &= ~(same & (cost[a] + wage * later <= cost[b]) & (d[a] + later <= d[b]) & (l[a] >= l[b]))
    return by[alive]


unbeaten = _unbeaten


def _bits(parts: Ints) -> np.int64:
    return np.bitwise_or.reduce(np.int64(1) << parts) if len(parts) else np.int64(0)


def _wood_of(arrays: PlanArrays, masks: Ints, stock: Ints) -> NDArray[np.bool_]:
    bits = (masks[:, None] >> np.arange(len(arrays.part))[None, :] & 1).astype(np.int64)
    return (bits @ arrays.part_wood <= stock).all(axis=1)  # type: ignore[no-any-return]
