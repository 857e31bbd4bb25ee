"""Search for weeks: ruin a part of the plan, put it back cheapest first, keep what anneals.

Ruin by strings of neighbors follows Christiaens and Vanden Berghe 2020, "Slack induction by string removals
for vehicle routing problems"; whole loads, whole runs and left-out orders are added to it, and the runs seen
on the way are kept in a pool for `polish`. All randomness comes from one small generator in the state, so
equal seed and steps give equal plans, compiled or not.
"""

import math
from typing import NamedTuple

import numpy as np

from routing.core.arrays import Ints, PlanArrays
from routing.core.compiled import compiled, inner
from routing.core.routes import (
    NEVER,
    Routes,
    empty_routes,
    free_yards,
    judge,
    load_fits_yard,
    put_in,
    refresh,
    take,
    take_out,
    token_loc,
)

MULTIPLIER = 48271
MODULUS = 2147483647
POOL_ROWS = 1 << 15
POOL_INDEX = 1 << 17
RETRIES = 24


class Walk(NamedTuple):
    """What the search carries along.

    Shapes
        S shifts, M longest sequence, P parts, O orders.
    """

    random: Ints  # 1
    best_tokens: Ints  # S x M
    best_length: Ints  # S
    costs: Ints  # [now, best, steps, improvements]
    saved_tokens: Ints  # S x M, what a step began with
    saved_length: Ints
    saved_cost: Ints
    saved_version: Ints
    touched: Ints  # S, 1 when a step changed it
    touched_list: Ints  # S
    out: Ints  # O, orders to put back
    out_mark: Ints  # O
    keys: Ints  # O, for sorting
    part_keys: Ints  # P, for hashing
    pool_tokens: Ints  # R x M
    pool_length: Ints
    pool_shift: Ints
    pool_cost: Ints
    pool_key: Ints
    pool_index: Ints
    pool_count: Ints  # 1


def new_walk(arrays: PlanArrays, *, seed: int, pool_rows: int = POOL_ROWS) -> Walk:
    """A walk that has not begun."""
    shifts, parts = arrays.allowed.shape[1], arrays.allowed.shape[0]
    orders = arrays.prize.shape[0]
    longest = 2 * parts + 2
    draw = np.random.default_rng(seed)

    def table(*shape: int, fill: int = 0) -> Ints:
        return np.full(shape, fill, np.int64)

    return Walk(
        random=np.array([seed * 7919 % (MODULUS - 1) + 1], np.int64),
        best_tokens=table(shifts, longest),
        best_length=table(shifts),
        costs=table(4, fill=0),
        saved_tokens=table(shifts, longest),
        saved_length=table(shifts),
        saved_cost=table(shifts),
        saved_version=table(shifts),
        touched=table(shifts),
        touched_list=table(shifts),
        out=table(orders),
        out_mark=table(orders),
        keys=table(orders),
        part_keys=draw.integers(1, 1 << 38, parts, dtype=np.int64),
        pool_tokens=table(pool_rows, min(longest, 64)),
        pool_length=table(pool_rows),
        pool_shift=table(pool_rows),
        pool_cost=table(pool_rows),
        pool_key=table(pool_rows),
        pool_index=table(POOL_INDEX, fill=-1),
        pool_count=table(1),
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
    if w.touched[s] == 1:
        return count
    w.touched[s] = 1
    w.touched_list[count] = s
    n = r.length[s]
    for i in range(n):
        w.saved_tokens[s, i] = r.tokens[s, i]
    w.saved_length[s] = n
    w.saved_cost[s] = r.cost[s]
    w.saved_version[s] = r.version[s]
    return count + 1


@inner
def take_order_out(a, r, w, o, outs, count):  # type: ignore[no-untyped-def]
    """Take all parts of an order out; returns how many orders are out and shifts touched."""
    if w.out_mark[o] == 1:
        return outs, count
    w.out_mark[o] = 1
    w.out[outs] = o
    for p in range(a.order_first[o], a.order_first[o + 1]):
        if r.place[p] >= 0:
            count = touch(r, w, r.place[p], count)
            take_out(a, r, p)
    return outs + 1, count


@inner
def ruin_strings(a, r, w, parts, outs, count, average, longest_string):  # type: ignore[no-untyped-def]
    """Strings of drops near a seed, one per run."""
    total = 0
    used = 0
    for s in range(r.length.shape[0]):
        if r.length[s] > 0:
            used += 1
    for p in range(parts):
        if r.place[p] >= 0:
            total += 1
    if total == 0:
        return outs, count
    mean = total / used
    ls = min(float(longest_string), mean)
    ks_max = 4.0 * average / (1.0 + ls) - 1.0
    strings = int(chance(w) * ks_max + 1.0)
    seed = draw(w, parts)
    done = 0
    for at in range(parts):
        if done >= strings:
            break
        p = a.near[seed, at]
        s = r.place[p]
        if s < 0 or w.out_mark[a.part_order[p]] == 1 or w.touched[s] == 1:
            continue
        n = r.length[s]
        # the drops of the run in order; positions of the string around p
        size = 0
        here = 0
        for i in range(n):
            if r.tokens[s, i] >= 0:
                if r.tokens[s, i] == p:
                    here = size
                size += 1
        most = min(float(size), ls)
        length = int(chance(w) * most + 1.0)
        length = min(length, size)
        skip = 0
        if length < size and length > 1 and chance(w) < 0.5:
            skip = 1
            while length + skip < size and chance(w) > 0.01 and skip < 3:
                skip += 1
                if chance(w) < 0.5:
                    break
        span = min(length + skip, size)
        low = max(0, here - span + 1)
        high = min(here, size - span)
        start = low + draw(w, high - low + 1)
        gap_at = start + 1 + draw(w, max(1, length - 1)) if skip > 0 else -1
        count = touch(r, w, s, count)
        seen = 0
        taken = 0
        for i in range(w.saved_length[s]):
            q = w.saved_tokens[s, i]
            if q < 0:
                continue
            if (
                start <= seen < start + span
                and not (skip > 0 and gap_at <= seen < gap_at + skip)
                and taken < length
            ):
                outs, count = take_order_out(a, r, w, a.part_order[q], outs, count)
                taken += 1
            seen += 1
        done += 1
    return outs, count


@inner
def ruin_loads(a, r, w, parts, outs, count, loads):  # type: ignore[no-untyped-def]
    """Whole loads around a seed."""
    seed = draw(w, parts)
    done = 0
    for at in range(parts):
        if done >= loads:
            break
        p = a.near[seed, at]
        s = r.place[p]
        if s < 0 or w.out_mark[a.part_order[p]] == 1:
            continue
        i = 0
        while r.tokens[s, i] != p:
            i += 1
        while r.tokens[s, i] >= 0:
            i -= 1
        count = touch(r, w, s, count)
        while i + 1 < r.length[s] and r.tokens[s, i + 1] >= 0:
            before = r.length[s]
            outs, count = take_order_out(a, r, w, a.part_order[r.tokens[s, i + 1]], outs, count)
            if r.length[s] != before - 1:
                break
        done += 1
    return outs, count


@inner
def ruin_runs(a, r, w, parts, outs, count, most):  # type: ignore[no-untyped-def]
    """One whole run, and some drops near it."""
    shifts = r.length.shape[0]
    s = draw(w, shifts)
    for _ in range(shifts):
        if r.length[s] > 0:
            break
        s = (s + 1) % shifts
    if r.length[s] == 0:
        return outs, count
    count = touch(r, w, s, count)
    seed = -1
    for i in range(w.saved_length[s]):
        q = w.saved_tokens[s, i]
        if q >= 0 and outs < most:
            seed = q
            outs, count = take_order_out(a, r, w, a.part_order[q], outs, count)
    if seed >= 0:
        more = draw(w, 5)
        for at in range(min(parts, more)):
            q = a.near[seed, at]
            if r.place[q] >= 0:
                outs, count = take_order_out(a, r, w, a.part_order[q], outs, count)
    return outs, count


@inner
def ruin_random(a, r, w, outs, count, most):  # type: ignore[no-untyped-def]
    """A few orders from anywhere."""
    orders = a.prize.shape[0]
    for _ in range(1 + draw(w, most)):
        o = draw(w, orders)
        if r.place[a.order_first[o]] >= 0:
            outs, count = take_order_out(a, r, w, o, outs, count)
    return outs, count


@inner
def exchange_runs(a, r, w, count):  # type: ignore[no-untyped-def]
    """Let two shifts of equal rigs change their runs, when every drop allows it."""
    shifts = r.length.shape[0]
    s, t = draw(w, shifts), draw(w, shifts)
    if s == t or (r.length[s] == 0 and r.length[t] == 0):
        return count
    if (
        a.shift_home[s] != a.shift_home[t]
        or a.shift_loaded[s] != a.shift_loaded[t]
        or a.shift_ft3[s] < a.shift_ft3[t]
        or a.shift_ft3[s] > a.shift_ft3[t]
        or a.shift_lb[s] != a.shift_lb[t]
    ):
        return count
    for i in range(r.length[s]):
        if r.tokens[s, i] >= 0 and a.allowed[r.tokens[s, i], t] == 0:
            return count
    for i in range(r.length[t]):
        if r.tokens[t, i] >= 0 and a.allowed[r.tokens[t, i], s] == 0:
            return count
    if w.touched[s] == 1 or w.touched[t] == 1:
        return count
    count = touch(r, w, s, count)
    count = touch(r, w, t, count)
    swap(r, w, s, t)
    if not (refresh(a, r, s) and refresh(a, r, t)):
        swap_back(r, w, s, t)
        refresh(a, r, s)
        refresh(a, r, t)
    return count


@inner
def swap(r, w, s, t):  # type: ignore[no-untyped-def]
    """Give each of two shifts the other's saved run."""
    for i in range(w.saved_length[t]):
        r.tokens[s, i] = w.saved_tokens[t, i]
        if r.tokens[s, i] >= 0:
            r.place[r.tokens[s, i]] = s
    for i in range(w.saved_length[s]):
        r.tokens[t, i] = w.saved_tokens[s, i]
        if r.tokens[t, i] >= 0:
            r.place[r.tokens[t, i]] = t
    r.length[s] = w.saved_length[t]
    r.length[t] = w.saved_length[s]


@inner
def swap_back(r, w, s, t):  # type: ignore[no-untyped-def]
    """Give both shifts their saved runs again."""
    for u in (s, t):
        for i in range(w.saved_length[u]):
            r.tokens[u, i] = w.saved_tokens[u, i]
            if r.tokens[u, i] >= 0:
                r.place[r.tokens[u, i]] = u
        r.length[u] = w.saved_length[u]


@inner
def sort_out(a, w, outs, kind):  # type: ignore[no-untyped-def]
    """Order the orders to put back: by chance, big first, far or near first, dear first, tight first."""
    for i in range(outs):
        o = w.out[i]
        p = a.order_first[o]
        if kind == 0:
            w.keys[o] = draw(w, 1 << 30)
        elif kind == 1:
            w.keys[o] = 0
            for q in range(a.order_first[o], a.order_first[o + 1]):
                w.keys[o] -= a.part_quantity[q]
        elif kind == 2 or kind == 3:
            far = 1 << 40
            for y in range(a.yard_loc.shape[0]):
                far = min(far, a.meters[0, a.yard_loc[y], a.part_loc[p]])
            w.keys[o] = -far if kind == 2 else far
        elif kind == 4:
            w.keys[o] = -a.prize[o]
        else:
            w.keys[o] = a.part_close[p] - a.part_open[p]
            for s in range(a.allowed.shape[1]):
                w.keys[o] += 3600 * a.allowed[p, s]
    for i in range(1, outs):
        o = w.out[i]
        j = i - 1
        while j >= 0 and w.keys[w.out[j]] > w.keys[o]:
            w.out[j + 1] = w.out[j]
            j -= 1
        w.out[j + 1] = o


@inner
def put_order_in(a, r, w, o, count, blink, eager):  # type: ignore[no-untyped-def]
    """Put an order back where it adds least, if that costs no more than leaving it out."""
    first, last = a.order_first[o], a.order_first[o + 1]
    added = 0
    p = first
    fine = True
    while p < last:
        mask = free_yards(a, r, p)
        best, best_s = NEVER, -1
        if mask != 0:
            for s in range(r.length.shape[0]):
                if a.allowed[p, s] == 0:
                    continue
                if r.seen_version[p, s] == r.version[s] and r.seen_yards[p, s] == mask:
                    cost = r.seen_cost[p, s]
                else:
                    cost = judge(a, r, p, s, mask)
                if cost < best and chance(w) >= blink:
                    best, best_s = cost, s
        if best_s < 0 or added + best > a.prize[o] * eager:
            fine = False
            break
        count = touch(r, w, best_s, count)
        if not put_in(a, r, p, best_s):
            # another load took that wood since it was judged: look again with fresh eyes
            r.seen_version[p, best_s] = -1
            if judge(a, r, p, best_s, mask) >= NEVER or not put_in(a, r, p, best_s):
                fine = False
                break
        refresh(a, r, best_s)
        added += best
        p += 1
    if not fine:
        for q in range(first, last):
            s = r.place[q]
            if s >= 0:
                take_out(a, r, q)
                refresh(a, r, s)
    return count


@inner
def better_yards(a, r, s):  # type: ignore[no-untyped-def]
    """Load each load of a shift at a cheaper yard where one holds it."""
    yard_count = a.yard_loc.shape[0]
    if yard_count < 2:
        return
    loaded, empty = a.shift_loaded[s], a.shift_empty[s]
    lrate, erate, wage = a.shift_loaded_rate[s], a.shift_empty_rate[s], a.shift_wage[s]
    i = 0
    while i < r.length[s]:
        now = -1 - r.tokens[s, i]
        before = a.shift_home[s] if i == 0 else token_loc(a, s, r.tokens[s, i - 1])
        first = a.part_loc[r.tokens[s, i + 1]]
        old = a.yard_loc[now]
        best_y = -1
        best_cost = r.cost[s]
        for y in range(yard_count):
            if y == now or not r.yards[s, i] >> y & 1:
                continue
            yl = a.yard_loc[y]
            road = (a.meters[empty, before, yl] - a.meters[empty, before, old]) * erate + (
                a.meters[loaded, yl, first] - a.meters[loaded, old, first]
            ) * lrate
            if road >= wage * 36000:
                continue
            if a.is_tight == 1 and not load_fits_yard(a, r, s, i, y, -1):
                continue
            take(a, r, s, -1)
            r.tokens[s, i] = -1 - y
            fine = refresh(a, r, s)
            if fine and r.cost[s] < best_cost:
                best_cost = r.cost[s]
                best_y = y
            r.tokens[s, i] = -1 - now
            refresh(a, r, s)
            take(a, r, s, 1)
        if best_y >= 0:
            take(a, r, s, -1)
            r.tokens[s, i] = -1 - best_y
            refresh(a, r, s)
            take(a, r, s, 1)
        i += 1
        while i < r.length[s] and r.tokens[s, i] >= 0:
            i += 1


@inner
def pool_run(a, r, w, s):  # type: ignore[no-untyped-def]
    """Keep a shift's run for the polish, the cheapest of those that bring the same."""
    n = r.length[s]
    if n == 0 or n > w.pool_tokens.shape[1]:
        return
    key = s
    y = 0
    for i in range(n):
        token = r.tokens[s, i]
        if token < 0:
            y = -1 - token if a.is_tight == 1 else 0
        else:
            key += w.part_keys[token] * (y + 1)
    slots = w.pool_index.shape[0]
    slot = key % slots
    for _ in range(32):
        row = w.pool_index[slot]
        if row < 0:
            break
        if w.pool_key[row] == key and w.pool_shift[row] == s:
            break
        slot = (slot + 1) % slots
    row = w.pool_index[slot]
    if row >= 0 and (w.pool_key[row] != key or w.pool_shift[row] != s):
        return
    if row < 0:
        if w.pool_count[0] >= w.pool_length.shape[0]:
            return
        row = w.pool_count[0]
        w.pool_count[0] += 1
        w.pool_index[slot] = row
    elif w.pool_cost[row] <= r.cost[s]:
        return
    for i in range(n):
        w.pool_tokens[row, i] = r.tokens[s, i]
    w.pool_length[row] = n
    w.pool_shift[row] = s
    w.pool_cost[row] = r.cost[s]
    w.pool_key[row] = key


@inner
def whole_cost(a, r):  # type: ignore[no-untyped-def]
    """Cost of all runs and of all orders left out."""
    total = 0
    for s in range(r.length.shape[0]):
        total += r.cost[s]
    for o in range(a.prize.shape[0]):
        if r.place[a.order_first[o]] < 0:
            total += a.prize[o]
    return total


@inner
def keep_best(r, w):  # type: ignore[no-untyped-def]
    """Remember the plan as the best."""
    for s in range(r.length.shape[0]):
        n = r.length[s]
        w.best_length[s] = n
        for i in range(n):
            w.best_tokens[s, i] = r.tokens[s, i]


@compiled
def set_runs(a, r, tokens, length):  # type: ignore[no-untyped-def]
    """Make the state hold these runs; False when a run cannot be kept."""
    for p in range(r.place.shape[0]):
        r.place[p] = -1
    for s in range(r.length.shape[0]):
        r.length[s] = length[s]
        for i in range(length[s]):
            r.tokens[s, i] = tokens[s, i]
            if tokens[s, i] >= 0:
                r.place[tokens[s, i]] = s
    for y in range(r.taken.shape[0]):
        for k in range(r.taken.shape[1]):
            r.taken[y, k] = 0
    fine = True
    for s in range(r.length.shape[0]):
        fine = refresh(a, r, s) and fine
        take(a, r, s, 1)
    return fine


@compiled
def build(a, r, w, kind):  # type: ignore[no-untyped-def]
    """Put every order in that is out, cheapest place first."""
    outs = 0
    for o in range(a.prize.shape[0]):
        if r.place[a.order_first[o]] < 0:
            w.out[outs] = o
            outs += 1
    sort_out(a, w, outs, kind)
    count = 0
    for i in range(outs):
        count = put_order_in(a, r, w, w.out[i], count, 0.0, 1.0)
    for i in range(count):
        w.touched[w.touched_list[i]] = 0
    w.costs[0] = whole_cost(a, r)
    if w.costs[0] < w.costs[1]:
        w.costs[1] = w.costs[0]
        keep_best(r, w)
    return w.costs[0]


@inner
def step(a, r, w, heat, average, longest_string, most_loads):  # type: ignore[no-untyped-def]
    """Ruin, put back, and keep it if it is better or the heat allows."""
    parts, orders = a.part_order.shape[0], a.prize.shape[0]
    outs, count = 0, 0
    which = chance(w)
    before = w.costs[0]
    if which < 0.04:
        count = exchange_runs(a, r, w, count)
    if which < 0.72:
        outs, count = ruin_strings(a, r, w, parts, outs, count, average, longest_string)
    elif which < 0.88:
        outs, count = ruin_loads(a, r, w, parts, outs, count, 1 + draw(w, most_loads))
    elif which < 0.94:
        outs, count = ruin_runs(a, r, w, parts, outs, count, 2 * int(average) + 4)
    else:
        outs, count = ruin_random(a, r, w, outs, count, max(2, min(6, orders // 3)))
    for i in range(count):
        refresh(a, r, w.touched_list[i])
    removed = outs
    start = draw(w, orders)
    for k in range(orders):
        o = (start + k) % orders
        if w.out_mark[o] == 0 and r.place[a.order_first[o]] < 0:
            w.out[outs] = o
            w.out_mark[o] = 1
            outs += 1
            if outs - removed >= RETRIES:
                break
    kind = draw(w, 12)
    order_by = 0
    if kind >= 11:
        order_by = 5
    elif kind >= 10:
        order_by = 4
    elif kind >= 9:
        order_by = 3
    elif kind >= 7:
        order_by = 2
    elif kind >= 4:
        order_by = 1
    sort_out(a, w, outs, order_by)
    eager = 1.0 if chance(w) < 0.9 else 1.4
    for i in range(outs):
        o = w.out[i]
        w.out_mark[o] = 0
        count = put_order_in(a, r, w, o, count, 0.02, eager)
    for i in range(count):
        s = w.touched_list[i]
        if r.length[s] > 0 and chance(w) < 0.3:
            better_yards(a, r, s)
    after = before
    for i in range(count):
        s = w.touched_list[i]
        after += r.cost[s] - w.saved_cost[s]
    if count > 0 or outs > 0:
        after = whole_cost(a, r)
    if after < before - heat * math.log(chance(w)):
        w.costs[0] = after
        if after <= w.costs[1] + w.costs[1] // 50:
            for i in range(count):
                pool_run(a, r, w, w.touched_list[i])
        if after < w.costs[1]:
            w.costs[1] = after
            w.costs[3] += 1
            keep_best(r, w)
        for i in range(count):
            w.touched[w.touched_list[i]] = 0
    else:
        for i in range(count):
            s = w.touched_list[i]
            take(a, r, s, -1)
            for j in range(r.length[s]):
                if r.tokens[s, j] >= 0:
                    r.place[r.tokens[s, j]] = -1
        for i in range(count):
            s = w.touched_list[i]
            w.touched[s] = 0
            n = w.saved_length[s]
            r.length[s] = n
            for j in range(n):
                r.tokens[s, j] = w.saved_tokens[s, j]
                if r.tokens[s, j] >= 0:
                    r.place[r.tokens[s, j]] = s
            refresh(a, r, s)
            r.version[s] = w.saved_version[s]
            take(a, r, s, 1)


@compiled
def walk_steps(a, r, w, steps, heat, cooling, average, longest_string, most_loads):  # type: ignore[no-untyped-def]
    """So many steps of falling heat; returns the heat left."""
    for _ in range(steps):
        step(a, r, w, heat, average, longest_string, most_loads)
        heat *= cooling
    w.costs[2] += steps
    return heat


__all__ = ["Routes", "Walk", "build", "empty_routes", "new_walk", "set_runs", "walk_steps", "whole_cost"]
