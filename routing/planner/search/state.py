"""The state of one search: what every run does now, what a step found, the best plan, the runs seen.

A run is a row of tokens: p >= 0 is a stop that unloads part p, -1 - y is filling at yard y. Fills next to one
another belong to one load; `source` says at which of them a part is filled. Where a row is kept for later
(`saved`, `best`, `pool`) a stop carries its yard: p + y * P.

Loops take the problem's arrays as `a` and this state as `st`; all randomness comes from one small generator
in it, so equal seed and steps give equal plans, compiled or not.
"""

from typing import NamedTuple

import numpy as np

from routing.planner.arrays import Ints, PlanArrays, columns
from routing.planner.compiled import inlined, inner
from routing.planner.params import SEARCH

# Lehmer's generator with the multiplier of Park and Miller 1993; every product stays within 64 bits
MULTIPLIER = 48271
MODULUS = 2147483647
NEVER = 1 << 60
FAR = 1 << 40


class RunState(NamedTuple):
    """Of every run. The clock (e, d, l): left at time t <= l, it is home at max(t, e) + d."""

    length: Ints
    cost: Ints
    version: Ints  # changes whenever anything an insertion depends on does
    road: Ints  # cost of its legs
    quantity: Ints
    e: Ints
    d: Ints
    l: Ints
    leave: Ints
    back: Ints
    paid: Ints
    since: Ints  # truck and driver are free from here
    until: Ints  # and wanted elsewhere from here
    touched: Ints  # 1: changed by this step, 2: saved because a run beside it was
    saved_length: Ints
    saved_cost: Ints
    saved_version: Ints
    best_length: Ints
    best_leave: Ints


class Clock(NamedTuple):
    """Of home .. token - 1 (head) or of token .. home (tail); drive and road are those of the leg to it."""

    e: Ints
    d: Ints
    l: Ints
    drive: Ints
    road: Ints


class Load(NamedTuple):
    """At the first fill of a load; `at` and `aboard` at every token, `quantity` and `yards` at every fill."""

    at: Ints  # where its load begins
    fills: Ints
    ft3: Ints
    lb: Ints
    aboard: Ints  # pounds (times units) when leaving the token
    quantity: Ints
    yards: Ints  # bits of the yards that could give all that is filled here


class Seen(NamedTuple):
    """The cheapest insertion of a part in a run, as judged last."""

    version: Ints
    yards: Ints
    cost: Ints
    token: Ints
    yard: Ints
    kind: Ints


class OrderState(NamedTuple):
    """The orders taken out by a step, first to last; per order whether it is among them, and its sort key."""

    out: Ints
    mark: Ints
    key: Ints


class Pool(NamedTuple):
    """Runs seen on the way."""

    length: Ints
    run: Ints
    cost: Ints
    key: Ints
    e: Ints
    d: Ints
    l: Ints


class Totals(NamedTuple):
    """Single numbers."""

    now: Ints
    best: Ints
    steps: Ints
    better: Ints
    random: Ints
    version: Ints
    pooled: Ints
    broken: Ints  # 1 when a step left a run no clock can keep


class State(NamedTuple):
    """Shapes
    S runs, M longest row, P parts, O orders, Y yards, K woods, R pool rows, G runs of the largest group.
    """

    run: RunState  # each S
    head: Clock  # each S x M + 1
    tail: Clock  # each S x M + 1
    load: Load  # each S x M
    seen: Seen  # each P x S
    order: OrderState  # each O
    pool: Pool  # each R
    total: Totals  # each 1
    tokens: Ints  # S x M
    saved_tokens: Ints  # S + 1 x M; the last row for an insertion that may have to be undone
    best_tokens: Ints  # S x M
    touched: Ints  # S, runs changed by this step
    place: Ints  # P, run or -1
    source: Ints  # P, the yard it is filled at
    taken: Ints  # Y x K
    turn: Ints  # 4 x G: an order of a group's runs, the best one, when each is back, for how long it is paid
    part_keys: Ints  # P, for hashing
    pool_tokens: Ints  # R x M
    pool_index: Ints


def new_state(arrays: PlanArrays, *, seed: int, pool_rows: int = SEARCH.pool_rows) -> State:
    """All rigs at home, nothing seen."""
    parts, runs = arrays.allowed.shape
    longest = 2 * parts + 2

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, np.int64)

    state = State(
        run=columns(RunState, runs),
        head=columns(Clock, (runs, longest + 1)),
        tail=columns(Clock, (runs, longest + 1)),
        load=columns(Load, (runs, longest)),
        seen=columns(Seen, (parts, runs)),
        order=columns(OrderState, len(arrays.prize)),
        pool=columns(Pool, pool_rows),
        total=columns(Totals, 1),
        tokens=zeros(runs, longest),
        saved_tokens=zeros(runs + 1, longest),
        best_tokens=zeros(runs, longest),
        touched=zeros(runs),
        place=np.full(parts, -1, np.int64),
        source=zeros(parts),
        taken=np.zeros_like(arrays.stock),
        turn=zeros(4, max(1, arrays.mates.shape[1])),
        part_keys=np.random.default_rng(seed).integers(1, 1 << 38, size=(parts,), dtype=np.int64),
        pool_tokens=zeros(pool_rows, min(longest, SEARCH.longest_pooled)),
        pool_index=np.full(SEARCH.pool_index, -1, np.int64),
    )
    state.seen.version[:] = -1
    state.total.random[0] = seed * 7919 % (MODULUS - 1) + 1
    state.total.best[0] = NEVER
    return state


@inlined
def draw(st, n):  # type: ignore[no-untyped-def]
    """A whole number from 0 to n - 1."""
    st.total.random[0] = st.total.random[0] * MULTIPLIER % MODULUS
    return st.total.random[0] * n // MODULUS


@inlined
def chance(st):  # type: ignore[no-untyped-def]
    """A number between 0 and 1, both left out."""
    st.total.random[0] = st.total.random[0] * MULTIPLIER % MODULUS
    return st.total.random[0] / MODULUS


@inlined
def keep_row(st, s, rows, row):  # type: ignore[no-untyped-def]
    """Write a run's tokens into a row kept for later."""
    parts = st.place.shape[0]
    for i in range(st.run.length[s]):
        token = st.tokens[s, i]
        rows[row, i] = token if token < 0 else token + parts * st.source[token]


@inlined
def take_row(st, s, rows, row, length):  # type: ignore[no-untyped-def]
    """Make a run hold the tokens of a kept row; the caller sees to wood and clocks."""
    parts = st.place.shape[0]
    st.run.length[s] = length
    for i in range(length):
        token = rows[row, i]
        if token >= 0:
            st.source[token % parts] = token // parts
            token %= parts
            st.place[token] = s
        st.tokens[s, i] = token


@inner
def touch(a, st, s, count):  # type: ignore[no-untyped-def]
    """Save a run, and those it shares a truck or driver with, as the step found them."""
    if st.run.touched[s] > 0:
        st.run.touched[s] = 1
        return count
    if a.run.group[s] < 0:
        return _save(st, s, 1, count)
    for k in range(a.mates.shape[1]):
        u = a.mates[a.run.group[s], k]
        if u >= 0 and st.run.touched[u] == 0:
            count = _save(st, u, 1 if u == s else 2, count)
    return count


@inlined
def _save(st, s, how, count):  # type: ignore[no-untyped-def]
    st.run.touched[s] = how
    st.touched[count] = s
    keep_row(st, s, st.saved_tokens, s)
    st.run.saved_length[s] = st.run.length[s]
    st.run.saved_cost[s] = st.run.cost[s]
    st.run.saved_version[s] = st.run.version[s]
    return count + 1


@inlined
def keep_best(a, st):  # type: ignore[no-untyped-def]
    """Remember the plan as the best."""
    for s in range(a.run.home.shape[0]):
        st.run.best_length[s] = st.run.length[s]
        st.run.best_leave[s] = st.run.leave[s]
        keep_row(st, s, st.best_tokens, s)


@inner
def whole_cost(a, st):  # type: ignore[no-untyped-def]
    """Cost of all runs and of all orders left out."""
    total = 0
    for s in range(a.run.home.shape[0]):
        total += st.run.cost[s]
    for o in range(a.prize.shape[0]):
        if st.place[a.order_first[o]] < 0:
            total += a.prize[o]
    return total


@inner
def pool_run(a, st, s):  # type: ignore[no-untyped-def]
    """Keep a run for the set partition, the cheapest of those that bring the same."""
    n = st.run.length[s]
    if n == 0 or n > st.pool_tokens.shape[1]:
        return
    key = s
    for i in range(n):
        token = st.tokens[s, i]
        if token >= 0:
            key += st.part_keys[token] * (st.source[token] * a.is_tight + 1)
    slots = st.pool_index.shape[0]
    slot = key % slots
    for _ in range(32):
        row = st.pool_index[slot]
        if row < 0 or (st.pool.key[row] == key and st.pool.run[row] == s):
            break
        slot = (slot + 1) % slots
    row = st.pool_index[slot]
    if row >= 0 and (st.pool.key[row] != key or st.pool.run[row] != s):
        return
    if row < 0:
        if st.total.pooled[0] >= st.pool.key.shape[0]:
            return
        row = st.total.pooled[0]
        st.total.pooled[0] += 1
        st.pool_index[slot] = row
    elif st.pool.cost[row] <= st.run.cost[s]:
        return
    keep_row(st, s, st.pool_tokens, row)
    st.pool.length[row] = n
    st.pool.run[row] = s
    st.pool.cost[row] = st.run.cost[s]
    st.pool.e[row], st.pool.d[row], st.pool.l[row] = st.run.e[s], st.run.d[s], st.run.l[s]
    st.pool.key[row] = key
