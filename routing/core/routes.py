"""The state of the search: every shift's sequence with its clock, and what one more part would add.

A sequence is a row of tokens: p >= 0 is a part, -1 - y is loading at yard y. For every token the clock of
all before it and of all from it on is kept as (E, D, L): begun at time t <= L, it ends at max(t, E) + D.
So one more part is judged at every place in constant time, loading time and waiting included
(after Savelsbergh 1992, "The vehicle routing problem with time windows: minimizing route duration").
"""

from typing import NamedTuple

import numpy as np

from routing.core.arrays import (
    CLOSES,
    END,
    FIXED,
    FT3,
    HOME,
    LB,
    LOC,
    LONGEST,
    METERS,
    OPENS,
    QUANTITY,
    RATE_EMPTY,
    RATE_LOADED,
    ROAD_EMPTY,
    ROAD_LOADED,
    SECONDS,
    SERVICE,
    START,
    WAGE,
    YARD_FIXED,
    YARD_LOC,
    YARD_RATE,
    YARDS,
    Ints,
    PlanArrays,
)
from routing.core.compiled import inner

NEVER = 1 << 60
FAR = 1 << 40


# last axis of `head` and `tail`
E, D, L = range(3)
# last axis of `load`, at the token of the load's yard (AT: at every token, where that is)
AT, LOAD_QUANTITY, LOAD_FT3, LOAD_LB, LOAD_YARDS = range(5)
# last axis of `seen`
SEEN_VERSION, SEEN_YARDS, SEEN_COST, SEEN_TOKEN, SEEN_YARD, SEEN_NEW = range(6)
# columns of `state`
LENGTH, COST, VERSION = range(3)


class Routes(NamedTuple):
    """Shapes
    S shifts, M longest sequence, P parts, Y yards, K woods.
    """

    tokens: Ints  # S x M
    state: Ints  # S x 3
    head: Ints  # S x M + 1 x 3, clock of home .. token - 1, by token
    tail: Ints  # S x M + 1 x 3, clock of token .. home
    load: Ints  # S x M x 5
    place: Ints  # P, shift or -1
    taken: Ints  # Y x K
    seen: Ints  # P x S x 6, the cheapest place judged last
    counter: Ints  # 1, last version given


def empty_routes(arrays: PlanArrays) -> Routes:
    """All rigs at home."""
    shifts, parts = arrays.allowed.shape[1], arrays.allowed.shape[0]
    longest = 2 * parts + 2
    seen = np.zeros((parts, shifts, 6), np.int64)
    seen[:, :, SEEN_VERSION] = -1
    return Routes(
        tokens=np.zeros((shifts, longest), np.int64),
        state=np.zeros((shifts, 3), np.int64),
        head=np.zeros((shifts, longest + 1, 3), np.int64),
        tail=np.zeros((shifts, longest + 1, 3), np.int64),
        load=np.zeros((shifts, longest, 5), np.int64),
        place=np.full(parts, -1, np.int64),
        taken=np.zeros(arrays.stock.shape, np.int64),
        seen=seen,
        counter=np.zeros(1, np.int64),
    )


@inner
def joined(e1, d1, l1, drive, e2, d2, l2):  # type: ignore[no-untyped-def]
    """Two clocks in a row with a drive between; L = -1 when the second is always missed."""
    lag = d1 + drive
    if e1 + lag > l2 or l1 < 0 or l2 < 0:
        return 0, 0, -1
    e = max(e1, e2 - lag)
    l = min(l1, l2 - lag)
    d = lag + d2
    if e > l:
        d += e - l
        e = l
    return e, d, l


@inner
def loading_seconds(a, yard, quantity):  # type: ignore[no-untyped-def]
    """Seconds of loading at a yard."""
    return a.yard[yard, YARD_FIXED] + (a.yard[yard, YARD_RATE] * quantity + a.units - 1) // a.units


@inner
def refresh(a, r, s):  # type: ignore[no-untyped-def]
    """Work out a shift's clocks, loads and cost from its tokens; False when no clock can keep it."""
    r.counter[0] += 1
    r.state[s, VERSION] = r.counter[0]
    n = r.state[s, LENGTH]
    loaded, empty = a.shift[s, ROAD_LOADED], a.shift[s, ROAD_EMPTY]
    home = a.shift[s, HOME]
    r.tail[s, n, E] = 0
    r.tail[s, n, D] = 0
    r.tail[s, n, L] = a.shift[s, END]
    r.head[s, 0, E] = a.shift[s, START]
    r.head[s, 0, D] = 0
    r.head[s, 0, L] = FAR
    if n == 0:
        r.state[s, COST] = 0
        return True
    at = 0
    for i in range(n):
        token = r.tokens[s, i]
        if token < 0:
            at = i
            r.load[s, i, LOAD_QUANTITY] = 0
            r.load[s, i, LOAD_FT3] = 0
            r.load[s, i, LOAD_LB] = 0
            r.load[s, i, LOAD_YARDS] = (1 << 62) - 1
        else:
            r.load[s, at, LOAD_QUANTITY] += a.part[token, QUANTITY]
            r.load[s, at, LOAD_FT3] += a.part[token, FT3]
            r.load[s, at, LOAD_LB] += a.part[token, LB]
            r.load[s, at, LOAD_YARDS] &= a.part[token, YARDS]
        r.load[s, i, AT] = at
    here = home
    e, d, l = r.head[s, 0, E], r.head[s, 0, D], r.head[s, 0, L]
    road = 0
    for i in range(n):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
            there = a.yard[y, YARD_LOC]
            drive = a.roads[empty, here, there, SECONDS]
            road += a.roads[empty, here, there, METERS] * a.shift[s, RATE_EMPTY]
            stay = loading_seconds(a, y, r.load[s, i, LOAD_QUANTITY])
            e, d, l = joined(e, d, l, drive, a.hours[y, s, 0], stay, a.hours[y, s, 1] - stay)
        else:
            there = a.part[token, LOC]
            drive = a.roads[loaded, here, there, SECONDS]
            road += a.roads[loaded, here, there, METERS] * a.shift[s, RATE_LOADED]
            e, d, l = joined(
                e, d, l, drive, a.part[token, OPENS], a.part[token, SERVICE], a.part[token, CLOSES]
            )
        here = there
        r.head[s, i + 1, E] = e
        r.head[s, i + 1, D] = d
        r.head[s, i + 1, L] = l
    road += a.roads[empty, here, home, METERS] * a.shift[s, RATE_EMPTY]
    e, d, l = joined(e, d, l, a.roads[empty, here, home, SECONDS], 0, 0, a.shift[s, END])
    if l < 0 or d > a.shift[s, LONGEST]:
        return False
    r.state[s, COST] = road + d * a.shift[s, WAGE] + a.shift[s, FIXED]
    there = home
    e, d, l = r.tail[s, n, E], r.tail[s, n, D], r.tail[s, n, L]
    ends_at_yard = True
    for i in range(n - 1, -1, -1):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
            here = a.yard[y, YARD_LOC]
            stay = loading_seconds(a, y, r.load[s, i, LOAD_QUANTITY])
            e2, d2, l2 = a.hours[y, s, 0], stay, a.hours[y, s, 1] - stay
        else:
            here = a.part[token, LOC]
            e2, d2, l2 = a.part[token, OPENS], a.part[token, SERVICE], a.part[token, CLOSES]
        drive = (
            a.roads[empty, here, there, SECONDS] if ends_at_yard else a.roads[loaded, here, there, SECONDS]
        )
        e, d, l = joined(e2, d2, l2, drive, e, d, l)
        r.tail[s, i, E] = e
        r.tail[s, i, D] = d
        r.tail[s, i, L] = l
        there = here
        ends_at_yard = token < 0
    return True


@inner
def token_loc(a, s, token):  # type: ignore[no-untyped-def]
    """Where a token is."""
    return a.yard[-1 - token, YARD_LOC] if token < 0 else a.part[token, LOC]


@inner
def load_fits_yard(a, r, s, at, y, p):  # type: ignore[no-untyped-def]
    """Whether a yard still holds a whole load and one more part (-1: none), the load not being there now."""
    n = r.state[s, LENGTH]
    for k in range(a.stock.shape[1]):
        need = r.taken[y, k]
        if p >= 0:
            need += a.part_wood[p, k]
        i = at + 1
        while i < n and r.tokens[s, i] >= 0:
            need += a.part_wood[r.tokens[s, i], k]
            i += 1
        if need > a.stock[y, k]:
            return False
    return True


@inner
def take(a, r, s, sign):  # type: ignore[no-untyped-def]
    """Add (1) or give back (-1) the wood of a whole shift."""
    y = 0
    for i in range(r.state[s, LENGTH]):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
        else:
            for k in range(a.stock.shape[1]):
                r.taken[y, k] += sign * a.part_wood[token, k]


@inner
def put_in(a, r, p, s):  # type: ignore[no-untyped-def]
    """Put a part where `judge` found its cheapest place; False when the yard no longer holds the load."""
    token, y, new = r.seen[p, s, SEEN_TOKEN], r.seen[p, s, SEEN_YARD], r.seen[p, s, SEEN_NEW]
    n = r.state[s, LENGTH]
    if new == 1:
        for i in range(n - 1, token - 1, -1):
            r.tokens[s, i + 2] = r.tokens[s, i]
        r.tokens[s, token] = -1 - y
        r.tokens[s, token + 1] = p
        r.state[s, LENGTH] = n + 2
    else:
        at = r.load[s, token, AT]
        now = -1 - r.tokens[s, at]
        if y != now:
            if a.is_tight == 1 and not load_fits_yard(a, r, s, at, y, p):
                return False
            i = at + 1
            while i < n and r.tokens[s, i] >= 0:
                for k in range(a.stock.shape[1]):
                    r.taken[now, k] -= a.part_wood[r.tokens[s, i], k]
                    r.taken[y, k] += a.part_wood[r.tokens[s, i], k]
                i += 1
            r.tokens[s, at] = -1 - y
        for i in range(n - 1, token, -1):
            r.tokens[s, i + 1] = r.tokens[s, i]
        r.tokens[s, token + 1] = p
        r.state[s, LENGTH] = n + 1
    for k in range(a.stock.shape[1]):
        r.taken[y, k] += a.part_wood[p, k]
    r.place[p] = s
    return True


@inner
def take_out(a, r, p):  # type: ignore[no-untyped-def]
    """Take a part out of its shift; a load left without parts goes too. The caller refreshes."""
    s = r.place[p]
    n = r.state[s, LENGTH]
    i = 0
    while r.tokens[s, i] != p:
        i += 1
    y = i
    while r.tokens[s, y] >= 0:
        y -= 1
    for k in range(a.stock.shape[1]):
        r.taken[-1 - r.tokens[s, y], k] -= a.part_wood[p, k]
    alone = y == i - 1 and (i + 1 == n or r.tokens[s, i + 1] < 0)
    start = i - 1 if alone else i
    gone = i - start + 1
    for j in range(i + 1, n):
        r.tokens[s, j - gone] = r.tokens[s, j]
    r.state[s, LENGTH] = n - gone
    r.place[p] = -1
