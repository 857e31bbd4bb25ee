"""The state of the search: every shift's sequence with its clock, and what one more part would add.

A sequence is a row of tokens: p >= 0 is a part, -1 - y is loading at yard y. For every token the clock of
all before it and of all from it on is kept as (E, D, L): begun at time t <= L, it ends at max(t, E) + D.
So one more part is judged at every place in constant time, loading time and waiting included
(after Savelsbergh 1992, "The vehicle routing problem with time windows: minimizing route duration").
"""

from typing import NamedTuple

import numpy as np

from routing.core.arrays import (
    BOX,
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
    PAYLOAD,
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
def free_yards(a, r, p):  # type: ignore[no-untyped-def]
    """Yards that still hold a part's wood, as bits."""
    mask = a.part[p, YARDS]
    if a.is_tight == 0:
        return mask
    for y in range(a.yard.shape[0]):
        if mask >> y & 1:
            for k in range(a.stock.shape[1]):
                if r.taken[y, k] + a.part_wood[p, k] > a.stock[y, k]:
                    mask -= 1 << y
                    break
    return mask


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
def judge(a, r, p, s, mask):  # type: ignore[no-untyped-def]
    """The cheapest place for a part in a shift, kept in `seen_*`; seen_cost is NEVER when there is none."""
    r.seen[p, s, SEEN_VERSION] = r.state[s, VERSION]
    r.seen[p, s, SEEN_YARDS] = mask
    r.seen[p, s, SEEN_COST] = NEVER
    if a.allowed[p, s] == 0 or mask == 0:
        return NEVER
    n = r.state[s, LENGTH]
    home = a.shift[s, HOME]
    loaded, empty = a.shift[s, ROAD_LOADED], a.shift[s, ROAD_EMPTY]
    lrate, erate = a.shift[s, RATE_LOADED], a.shift[s, RATE_EMPTY]
    wage, longest = a.shift[s, WAGE], a.shift[s, LONGEST]
    where = a.part[p, LOC]
    pe, pd, pl = a.part[p, OPENS], a.part[p, SERVICE], a.part[p, CLOSES]
    yard_count = a.yard.shape[0]
    best = NEVER
    best_token, best_yard, best_new = -1, -1, 0
    old_d = 0
    if n > 0:
        there = token_loc(a, s, r.tokens[s, 0])
        _, old_d, _ = joined(
            r.head[s, 0, E],
            0,
            FAR,
            a.roads[empty, home, there, SECONDS],
            r.tail[s, 0, E],
            r.tail[s, 0, D],
            r.tail[s, 0, L],
        )
    fixed = a.shift[s, FIXED] if n == 0 else 0
    i = 0
    while i <= n:
        # a new load before the load that begins at token i, or at the end
        before = home if i == 0 else token_loc(a, s, r.tokens[s, i - 1])
        after = home if i == n else token_loc(a, s, r.tokens[s, i])
        saved = 0 if n == 0 else a.roads[empty, before, after, METERS] * erate
        he, hd, hl = r.head[s, i, E], r.head[s, i, D], r.head[s, i, L]
        te, td, tl = r.tail[s, i, E], r.tail[s, i, D], r.tail[s, i, L]
        back = a.roads[empty, where, after, SECONDS]
        back_m = a.roads[empty, where, after, METERS] * erate
        for y in range(yard_count):
            if not mask >> y & 1:
                continue
            yl = a.yard[y, YARD_LOC]
            road = (
                a.roads[empty, before, yl, METERS] * erate
                + a.roads[loaded, yl, where, METERS] * lrate
                + back_m
                - saved
                + fixed
            )
            if road >= best:
                continue
            stay = loading_seconds(a, y, a.part[p, QUANTITY])
            e, d, l = joined(
                he,
                hd,
                hl,
                a.roads[empty, before, yl, SECONDS],
                a.hours[y, s, 0],
                stay,
                a.hours[y, s, 1] - stay,
            )
            if l < 0:
                continue
            e, d, l = joined(e, d, l, a.roads[loaded, yl, where, SECONDS], pe, pd, pl)
            if l < 0:
                continue
            e, d, l = joined(e, d, l, back, te, td, tl)
            if l < 0 or d > longest:
                continue
            cost = road + (d - old_d) * wage
            if cost < best:
                best, best_token, best_yard, best_new = cost, i, y, 1
        if i == n:
            break
        # within the load that begins here, from its own yard or another
        end = i + 1
        while end < n and r.tokens[s, end] >= 0:
            end += 1
        fits = (
            r.load[s, i, LOAD_FT3] + a.part[p, FT3] <= a.shift[s, BOX]
            and r.load[s, i, LOAD_LB] + a.part[p, LB] <= a.shift[s, PAYLOAD]
        )
        if fits:
            now = -1 - r.tokens[s, i]
            quantity = r.load[s, i, LOAD_QUANTITY] + a.part[p, QUANTITY]
            first = a.part[r.tokens[s, i + 1], LOC]
            for y in range(yard_count):
                if not (a.part[p, YARDS] & r.load[s, i, LOAD_YARDS]) >> y & 1:
                    continue
                if y == now:
                    if not mask >> y & 1:
                        continue
                elif a.is_tight == 1 and not load_fits_yard(a, r, s, i, y, p):
                    continue
                yl = a.yard[y, YARD_LOC]
                shift_road = 0
                if y != now:
                    old = a.yard[now, YARD_LOC]
                    shift_road = (
                        a.roads[empty, before, yl, METERS] - a.roads[empty, before, old, METERS]
                    ) * erate + (
                        a.roads[loaded, yl, first, METERS] - a.roads[loaded, old, first, METERS]
                    ) * lrate
                stay = loading_seconds(a, y, quantity)
                e, d, l = joined(
                    he,
                    hd,
                    hl,
                    a.roads[empty, before, yl, SECONDS],
                    a.hours[y, s, 0],
                    stay,
                    a.hours[y, s, 1] - stay,
                )
                here = yl
                for j in range(i, end):
                    if l < 0:
                        break
                    if j > i:
                        q = r.tokens[s, j]
                        there = a.part[q, LOC]
                        e, d, l = joined(
                            e,
                            d,
                            l,
                            a.roads[loaded, here, there, SECONDS],
                            a.part[q, OPENS],
                            a.part[q, SERVICE],
                            a.part[q, CLOSES],
                        )
                        if l < 0:
                            break
                        here = there
                    if j + 1 < end:
                        after = a.part[r.tokens[s, j + 1], LOC]
                        road = (
                            a.roads[loaded, here, where, METERS]
                            + a.roads[loaded, where, after, METERS]
                            - a.roads[loaded, here, after, METERS]
                        ) * lrate
                        drive = a.roads[loaded, where, after, SECONDS]
                    else:
                        after = home if end == n else token_loc(a, s, r.tokens[s, end])
                        road = (
                            a.roads[loaded, here, where, METERS] * lrate
                            + (a.roads[empty, where, after, METERS] - a.roads[empty, here, after, METERS])
                            * erate
                        )
                        drive = a.roads[empty, where, after, SECONDS]
                    road += shift_road
                    if road >= best:
                        continue
                    e2, d2, l2 = joined(e, d, l, a.roads[loaded, here, where, SECONDS], pe, pd, pl)
                    if l2 < 0:
                        continue
                    e2, d2, l2 = joined(
                        e2, d2, l2, drive, r.tail[s, j + 1, E], r.tail[s, j + 1, D], r.tail[s, j + 1, L]
                    )
                    if l2 < 0 or d2 > longest:
                        continue
                    cost = road + (d2 - old_d) * wage
                    if cost < best:
                        best, best_token, best_yard, best_new = cost, j, y, 0
        i = end
    r.seen[p, s, SEEN_COST] = best
    r.seen[p, s, SEEN_TOKEN] = best_token
    r.seen[p, s, SEEN_YARD] = best_yard
    r.seen[p, s, SEEN_NEW] = best_new
    return best


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
