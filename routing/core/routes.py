"""The state of the search: every shift's sequence with its clock, and what one more part would add.

A sequence is a row of tokens: p >= 0 is a part, -1 - y is loading at yard y. For every token the clock of
all before it and of all from it on is kept as (E, D, L): begun at time t <= L, it ends at max(t, E) + D.
So one more part is judged at every place in constant time, loading time and waiting included
(after Savelsbergh 1992, "The vehicle routing problem with time windows: minimizing route duration").
"""

from typing import NamedTuple

import numpy as np

from routing.core.arrays import Ints, PlanArrays
from routing.core.compiled import inner

NEVER = 1 << 60
FAR = 1 << 40


class Routes(NamedTuple):
    """Shapes
    S shifts, M longest sequence, P parts, Y yards, K woods.
    """

    tokens: Ints  # S x M
    length: Ints  # S
    head_e: Ints  # S x M + 1, clock of home .. token - 1, by token
    head_d: Ints
    head_l: Ints
    tail_e: Ints  # S x M + 1, clock of token .. home
    tail_d: Ints
    tail_l: Ints
    load_at: Ints  # S x M, token of the load's yard
    quantity: Ints  # S x M, at the yard's token
    ft3: Ints
    lb: Ints
    yards: Ints  # S x M, yards the load may come from, bits
    cost: Ints  # S, cost units
    version: Ints  # S
    place: Ints  # P, shift or -1
    taken: Ints  # Y x K
    seen_version: Ints  # P x S, what was judged last
    seen_yards: Ints
    seen_cost: Ints
    seen_token: Ints
    seen_yard: Ints
    seen_new: Ints
    counter: Ints  # 1, last version given


def empty_routes(arrays: PlanArrays) -> Routes:
    """All rigs at home."""
    shifts, parts = arrays.allowed.shape[1], arrays.allowed.shape[0]
    longest = 2 * parts + 2

    def table(*shape: int, fill: int = 0) -> Ints:
        return np.full(shape, fill, np.int64)

    return Routes(
        tokens=table(shifts, longest),
        length=table(shifts),
        head_e=table(shifts, longest + 1),
        head_d=table(shifts, longest + 1),
        head_l=table(shifts, longest + 1),
        tail_e=table(shifts, longest + 1),
        tail_d=table(shifts, longest + 1),
        tail_l=table(shifts, longest + 1),
        load_at=table(shifts, longest),
        quantity=table(shifts, longest),
        ft3=table(shifts, longest),
        lb=table(shifts, longest),
        yards=table(shifts, longest),
        cost=table(shifts),
        version=table(shifts),
        place=table(parts, fill=-1),
        taken=table(*arrays.stock.shape),
        seen_version=table(parts, shifts, fill=-1),
        seen_yards=table(parts, shifts),
        seen_cost=table(parts, shifts),
        seen_token=table(parts, shifts),
        seen_yard=table(parts, shifts),
        seen_new=table(parts, shifts),
        counter=table(1),
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
    return a.yard_fixed[yard] + (a.yard_rate[yard] * quantity + a.units - 1) // a.units


@inner
def refresh(a, r, s):  # type: ignore[no-untyped-def]
    """Work out a shift's clocks, loads and cost from its tokens; False when no clock can keep it."""
    r.counter[0] += 1
    r.version[s] = r.counter[0]
    n = r.length[s]
    loaded, empty = a.shift_loaded[s], a.shift_empty[s]
    home = a.shift_home[s]
    r.tail_e[s, n] = 0
    r.tail_d[s, n] = 0
    r.tail_l[s, n] = a.shift_end[s]
    r.head_e[s, 0] = a.shift_start[s]
    r.head_d[s, 0] = 0
    r.head_l[s, 0] = FAR
    if n == 0:
        r.cost[s] = 0
        return True
    at = 0
    for i in range(n):
        token = r.tokens[s, i]
        if token < 0:
            at = i
            r.quantity[s, i] = 0
            r.ft3[s, i] = 0
            r.lb[s, i] = 0
            r.yards[s, i] = (1 << 62) - 1
        else:
            r.quantity[s, at] += a.part_quantity[token]
            r.ft3[s, at] += a.part_ft3[token]
            r.lb[s, at] += a.part_lb[token]
            r.yards[s, at] &= a.part_yards[token]
        r.load_at[s, i] = at
    here = home
    e, d, l = r.head_e[s, 0], r.head_d[s, 0], r.head_l[s, 0]
    road = 0
    for i in range(n):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
            there = a.yard_loc[y]
            drive = a.seconds[empty, here, there]
            road += a.meters[empty, here, there] * a.shift_empty_rate[s]
            stay = loading_seconds(a, y, r.quantity[s, i])
            e, d, l = joined(e, d, l, drive, a.yard_open[y, s], stay, a.yard_close[y, s] - stay)
        else:
            there = a.part_loc[token]
            drive = a.seconds[loaded, here, there]
            road += a.meters[loaded, here, there] * a.shift_loaded_rate[s]
            e, d, l = joined(e, d, l, drive, a.part_open[token], a.part_service[token], a.part_close[token])
        here = there
        r.head_e[s, i + 1] = e
        r.head_d[s, i + 1] = d
        r.head_l[s, i + 1] = l
    road += a.meters[empty, here, home] * a.shift_empty_rate[s]
    e, d, l = joined(e, d, l, a.seconds[empty, here, home], 0, 0, a.shift_end[s])
    if l < 0 or d > a.shift_longest[s]:
        return False
    r.cost[s] = road + d * a.shift_wage[s] + a.shift_fixed[s]
    there = home
    e, d, l = r.tail_e[s, n], r.tail_d[s, n], r.tail_l[s, n]
    ends_at_yard = True
    for i in range(n - 1, -1, -1):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
            here = a.yard_loc[y]
            stay = loading_seconds(a, y, r.quantity[s, i])
            e2, d2, l2 = a.yard_open[y, s], stay, a.yard_close[y, s] - stay
        else:
            here = a.part_loc[token]
            e2, d2, l2 = a.part_open[token], a.part_service[token], a.part_close[token]
        drive = a.seconds[empty, here, there] if ends_at_yard else a.seconds[loaded, here, there]
        e, d, l = joined(e2, d2, l2, drive, e, d, l)
        r.tail_e[s, i] = e
        r.tail_d[s, i] = d
        r.tail_l[s, i] = l
        there = here
        ends_at_yard = token < 0
    return True


@inner
def token_loc(a, s, token):  # type: ignore[no-untyped-def]
    """Where a token is."""
    return a.yard_loc[-1 - token] if token < 0 else a.part_loc[token]


@inner
def free_yards(a, r, p):  # type: ignore[no-untyped-def]
    """Yards that still hold a part's wood, as bits."""
    mask = a.part_yards[p]
    if a.is_tight == 0:
        return mask
    for y in range(a.yard_loc.shape[0]):
        if mask >> y & 1:
            for k in range(a.stock.shape[1]):
                if r.taken[y, k] + a.part_wood[p, k] > a.stock[y, k]:
                    mask -= 1 << y
                    break
    return mask


@inner
def load_fits_yard(a, r, s, at, y, p):  # type: ignore[no-untyped-def]
    """Whether a yard still holds a whole load and one more part (-1: none), the load not being there now."""
    n = r.length[s]
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
    r.seen_version[p, s] = r.version[s]
    r.seen_yards[p, s] = mask
    r.seen_cost[p, s] = NEVER
    if a.allowed[p, s] == 0 or mask == 0:
        return NEVER
    n = r.length[s]
    home = a.shift_home[s]
    loaded, empty = a.shift_loaded[s], a.shift_empty[s]
    lrate, erate = a.shift_loaded_rate[s], a.shift_empty_rate[s]
    wage, longest = a.shift_wage[s], a.shift_longest[s]
    where = a.part_loc[p]
    pe, pd, pl = a.part_open[p], a.part_service[p], a.part_close[p]
    yard_count = a.yard_loc.shape[0]
    best = NEVER
    best_token, best_yard, best_new = -1, -1, 0
    old_d = 0
    if n > 0:
        there = token_loc(a, s, r.tokens[s, 0])
        _, old_d, _ = joined(
            r.head_e[s, 0],
            0,
            FAR,
            a.seconds[empty, home, there],
            r.tail_e[s, 0],
            r.tail_d[s, 0],
            r.tail_l[s, 0],
        )
    fixed = a.shift_fixed[s] if n == 0 else 0
    i = 0
    while i <= n:
        # a new load before the load that begins at token i, or at the end
        before = home if i == 0 else token_loc(a, s, r.tokens[s, i - 1])
        after = home if i == n else token_loc(a, s, r.tokens[s, i])
        saved = 0 if n == 0 else a.meters[empty, before, after] * erate
        he, hd, hl = r.head_e[s, i], r.head_d[s, i], r.head_l[s, i]
        te, td, tl = r.tail_e[s, i], r.tail_d[s, i], r.tail_l[s, i]
        back = a.seconds[empty, where, after]
        back_m = a.meters[empty, where, after] * erate
        for y in range(yard_count):
            if not mask >> y & 1:
                continue
            yl = a.yard_loc[y]
            road = (
                a.meters[empty, before, yl] * erate
                + a.meters[loaded, yl, where] * lrate
                + back_m
                - saved
                + fixed
            )
            if road >= best:
                continue
            stay = loading_seconds(a, y, a.part_quantity[p])
            e, d, l = joined(
                he, hd, hl, a.seconds[empty, before, yl], a.yard_open[y, s], stay, a.yard_close[y, s] - stay
            )
            if l < 0:
                continue
            e, d, l = joined(e, d, l, a.seconds[loaded, yl, where], pe, pd, pl)
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
        fits = r.ft3[s, i] + a.part_ft3[p] <= a.shift_ft3[s] and r.lb[s, i] + a.part_lb[p] <= a.shift_lb[s]
        if fits:
            now = -1 - r.tokens[s, i]
            quantity = r.quantity[s, i] + a.part_quantity[p]
            first = a.part_loc[r.tokens[s, i + 1]]
            for y in range(yard_count):
                if not (a.part_yards[p] & r.yards[s, i]) >> y & 1:
                    continue
                if y == now:
                    if not mask >> y & 1:
                        continue
                elif a.is_tight == 1 and not load_fits_yard(a, r, s, i, y, p):
                    continue
                yl = a.yard_loc[y]
                shift_road = 0
                if y != now:
                    old = a.yard_loc[now]
                    shift_road = (a.meters[empty, before, yl] - a.meters[empty, before, old]) * erate + (
                        a.meters[loaded, yl, first] - a.meters[loaded, old, first]
                    ) * lrate
                stay = loading_seconds(a, y, quantity)
                e, d, l = joined(
                    he,
                    hd,
                    hl,
                    a.seconds[empty, before, yl],
                    a.yard_open[y, s],
                    stay,
                    a.yard_close[y, s] - stay,
                )
                here = yl
                for j in range(i, end):
                    if l < 0:
                        break
                    if j > i:
                        q = r.tokens[s, j]
                        there = a.part_loc[q]
                        e, d, l = joined(
                            e,
                            d,
                            l,
                            a.seconds[loaded, here, there],
                            a.part_open[q],
                            a.part_service[q],
                            a.part_close[q],
                        )
                        if l < 0:
                            break
                        here = there
                    if j + 1 < end:
                        after = a.part_loc[r.tokens[s, j + 1]]
                        road = (
                            a.meters[loaded, here, where]
                            + a.meters[loaded, where, after]
                            - a.meters[loaded, here, after]
                        ) * lrate
                        drive = a.seconds[loaded, where, after]
                    else:
                        after = home if end == n else token_loc(a, s, r.tokens[s, end])
                        road = (
                            a.meters[loaded, here, where] * lrate
                            + (a.meters[empty, where, after] - a.meters[empty, here, after]) * erate
                        )
                        drive = a.seconds[empty, where, after]
                    road += shift_road
                    if road >= best:
                        continue
                    e2, d2, l2 = joined(e, d, l, a.seconds[loaded, here, where], pe, pd, pl)
                    if l2 < 0:
                        continue
                    e2, d2, l2 = joined(
                        e2, d2, l2, drive, r.tail_e[s, j + 1], r.tail_d[s, j + 1], r.tail_l[s, j + 1]
                    )
                    if l2 < 0 or d2 > longest:
                        continue
                    cost = road + (d2 - old_d) * wage
                    if cost < best:
                        best, best_token, best_yard, best_new = cost, j, y, 0
        i = end
    r.seen_cost[p, s] = best
    r.seen_token[p, s] = best_token
    r.seen_yard[p, s] = best_yard
    r.seen_new[p, s] = best_new
    return best


@inner
def take(a, r, s, sign):  # type: ignore[no-untyped-def]
    """Add (1) or give back (-1) the wood of a whole shift."""
    y = 0
    for i in range(r.length[s]):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token
        else:
            for k in range(a.stock.shape[1]):
                r.taken[y, k] += sign * a.part_wood[token, k]


@inner
def put_in(a, r, p, s):  # type: ignore[no-untyped-def]
    """Put a part where `judge` found its cheapest place; False when the yard no longer holds the load."""
    token, y, new = r.seen_token[p, s], r.seen_yard[p, s], r.seen_new[p, s]
    n = r.length[s]
    if new == 1:
        for i in range(n - 1, token - 1, -1):
            r.tokens[s, i + 2] = r.tokens[s, i]
        r.tokens[s, token] = -1 - y
        r.tokens[s, token + 1] = p
        r.length[s] = n + 2
    else:
        at = r.load_at[s, token]
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
        r.length[s] = n + 1
    for k in range(a.stock.shape[1]):
        r.taken[y, k] += a.part_wood[p, k]
    r.place[p] = s
    return True


@inner
def take_out(a, r, p):  # type: ignore[no-untyped-def]
    """Take a part out of its shift; a load left without parts goes too. The caller refreshes."""
    s = r.place[p]
    n = r.length[s]
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
    r.length[s] = n - gone
    r.place[p] = -1
