"""What a search carries along: its dice, its best plan, what a step began with, the pool of runs seen."""

from typing import NamedTuple

import numpy as np

from routing.core.arrays import Ints, PlanArrays
from routing.core.compiled import inner
from routing.core.routes import COST, LENGTH, VERSION, take_out

MULTIPLIER = 48271
MODULUS = 2147483647
POOL_ROWS = 1 << 15
POOL_INDEX = 1 << 17
LONGEST_POOLED = 64


# columns of `saved` beyond those of `state`
TOUCHED, LIST = 3, 4
# columns of `outs`
OUT, MARK, KEY = range(3)
# columns of `pool`
POOL_LENGTH, POOL_SHIFT, POOL_COST, POOL_KEY = range(4)
# of `costs`
NOW, BEST, STEPS, BETTER = range(4)


class Walk(NamedTuple):
    """What the search carries along.

    Shapes
        S shifts, M longest sequence, P parts, O orders, R pool rows.
    """

    random: Ints  # 1
    costs: Ints  # 4
    best_tokens: Ints  # S x M
    best_length: Ints  # S
    saved_tokens: Ints  # S x M, what a step began with
    saved: Ints  # S x 5
    outs: Ints  # O x 3
    part_keys: Ints  # P, for hashing
    pool_tokens: Ints  # R x M
    pool: Ints  # R x 4
    pool_index: Ints
    pool_count: Ints  # 1


def new_walk(arrays: PlanArrays, *, seed: int, pool_rows: int = POOL_ROWS) -> Walk:
    """A walk that has not begun."""
    shifts, parts = arrays.allowed.shape[1], arrays.allowed.shape[0]
    longest = 2 * parts + 2
    keys: Ints = np.random.default_rng(seed).integers(1, 1 << 38, size=(parts,), dtype=np.int64)
    return Walk(
        random=np.array([seed * 7919 % (MODULUS - 1) + 1], np.int64),
        costs=np.zeros(4, np.int64),
        best_tokens=np.zeros((shifts, longest), np.int64),
        best_length=np.zeros(shifts, np.int64),
        saved_tokens=np.zeros((shifts, longest), np.int64),
        saved=np.zeros((shifts, 5), np.int64),
        outs=np.zeros((arrays.prize.shape[0], 3), np.int64),
        part_keys=keys,
        pool_tokens=np.zeros((pool_rows, min(longest, LONGEST_POOLED)), np.int64),
        pool=np.zeros((pool_rows, 4), np.int64),
        pool_index=np.full(POOL_INDEX, -1, np.int64),
        pool_count=np.zeros(1, np.int64),
    )


@inner
def draw(w, n):  # type: ignore[no-untyped-def]
    """A whole number from 0 to n - 1."""
    w.random[0] = w.random[0] * MULTIPLIER % MODULUS
    return w.random[0] * n // MODULUS


@inner
def chance(w):  # type: ignore[no-untyped-def]
    """A number between 0 and 1, both left out."""
    w.random[0] = w.random[0] * MULTIPLIER % MODULUS
    return w.random[0] / MODULUS


@inner
def touch(r, w, s, count):  # type: ignore[no-untyped-def]
    """Remember a shift as the step found it."""
    if w.saved[s, TOUCHED] == 1:
        return count
    w.saved[s, TOUCHED] = 1
    w.saved[count, LIST] = s
    n = r.state[s, LENGTH]
    for i in range(n):
        w.saved_tokens[s, i] = r.tokens[s, i]
    w.saved[s, LENGTH] = n
    w.saved[s, COST] = r.state[s, COST]
    w.saved[s, VERSION] = r.state[s, VERSION]
    return count + 1


@inner
def take_order_out(a, r, w, o, outs, count):  # type: ignore[no-untyped-def]
    """Take all parts of an order out; returns how many orders are out and shifts touched."""
    if w.outs[o, MARK] == 1:
        return outs, count
    w.outs[o, MARK] = 1
    w.outs[outs, OUT] = o
    for p in range(a.order_first[o], a.order_first[o + 1]):
        if r.place[p] >= 0:
            count = touch(r, w, r.place[p], count)
            take_out(a, r, p)
    return outs + 1, count
