"""Search for weeks: ruin a part of the plan, put it back cheapest first, keep what anneals.

Ruin by strings of neighbors follows Christiaens and Vanden Berghe 2020, "Slack induction by string removals
for vehicle routing problems"; whole loads, whole runs and left-out orders are added to it, and the runs seen
on the way are kept in a pool for `polish`. All randomness comes from one small generator in the state, so
equal seed and steps give equal plans, compiled or not.
"""

import math

from routing.core.arrays import (
    CLOSES,
    HOME,
    LOC,
    METERS,
    OPENS,
    QUANTITY,
    RATE_EMPTY,
    RATE_LOADED,
    ROAD_EMPTY,
    ROAD_LOADED,
    WAGE,
    YARD_LOC,
)
from routing.core.compiled import compiled, inner
from routing.core.placing import free_yards, judge
from routing.core.routes import (
    COST,
    LENGTH,
    LOAD_YARDS,
    NEVER,
    SEEN_COST,
    SEEN_VERSION,
    SEEN_YARDS,
    VERSION,
    load_fits_yard,
    put_in,
    refresh,
    take,
    take_out,
    token_loc,
)
from routing.core.ruins import exchange_runs, ruin_loads, ruin_random, ruin_runs, ruin_strings
from routing.core.walk import (
    BEST,
    BETTER,
    KEY,
    LIST,
    MARK,
    NOW,
    OUT,
    POOL_COST,
    POOL_KEY,
    POOL_LENGTH,
    POOL_SHIFT,
    STEPS,
    TOUCHED,
    chance,
    draw,
    touch,
)

RETRIES = 24


@inner
def sort_out(a, w, outs, kind):  # type: ignore[no-untyped-def]
    """Order the orders to put back: by chance, big first, far or near first, dear first, tight first."""
    for i in range(outs):
        o = w.outs[i, OUT]
        p = a.order_first[o]
        if kind == 0:
            w.outs[o, KEY] = draw(w, 1 << 30)
        elif kind == 1:
            w.outs[o, KEY] = 0
            for q in range(a.order_first[o], a.order_first[o + 1]):
                w.outs[o, KEY] -= a.part[q, QUANTITY]
        elif kind == 2 or kind == 3:
            far = 1 << 40
            for y in range(a.yard.shape[0]):
                far = min(far, a.roads[0, a.yard[y, YARD_LOC], a.part[p, LOC], METERS])
            w.outs[o, KEY] = -far if kind == 2 else far
        elif kind == 4:
            w.outs[o, KEY] = -a.prize[o]
        else:
            w.outs[o, KEY] = a.part[p, CLOSES] - a.part[p, OPENS]
            for s in range(a.allowed.shape[1]):
                w.outs[o, KEY] += 3600 * a.allowed[p, s]
    for i in range(1, outs):
        o = w.outs[i, OUT]
        j = i - 1
        while j >= 0 and w.outs[w.outs[j, OUT], KEY] > w.outs[o, KEY]:
            w.outs[j + 1, OUT] = w.outs[j, OUT]
            j -= 1
        w.outs[j + 1, OUT] = o


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
            for s in range(r.state.shape[0]):
                if a.allowed[p, s] == 0:
                    continue
                if r.seen[p, s, SEEN_VERSION] == r.state[s, VERSION] and r.seen[p, s, SEEN_YARDS] == mask:
                    cost = r.seen[p, s, SEEN_COST]
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
            r.seen[p, best_s, SEEN_VERSION] = -1
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
    yard_count = a.yard.shape[0]
    if yard_count < 2:
        return
    loaded, empty = a.shift[s, ROAD_LOADED], a.shift[s, ROAD_EMPTY]
    lrate, erate, wage = a.shift[s, RATE_LOADED], a.shift[s, RATE_EMPTY], a.shift[s, WAGE]
    i = 0
    while i < r.state[s, LENGTH]:
        now = -1 - r.tokens[s, i]
        before = a.shift[s, HOME] if i == 0 else token_loc(a, s, r.tokens[s, i - 1])
        first = a.part[r.tokens[s, i + 1], LOC]
        old = a.yard[now, YARD_LOC]
        best_y = -1
        best_cost = r.state[s, COST]
        for y in range(yard_count):
            if y == now or not r.load[s, i, LOAD_YARDS] >> y & 1:
                continue
            yl = a.yard[y, YARD_LOC]
            road = (a.roads[empty, before, yl, METERS] - a.roads[empty, before, old, METERS]) * erate + (
                a.roads[loaded, yl, first, METERS] - a.roads[loaded, old, first, METERS]
            ) * lrate
            if road >= wage * 36000:
                continue
            if a.is_tight == 1 and not load_fits_yard(a, r, s, i, y, -1):
                continue
            take(a, r, s, -1)
            r.tokens[s, i] = -1 - y
            fine = refresh(a, r, s)
            if fine and r.state[s, COST] < best_cost:
                best_cost = r.state[s, COST]
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
        while i < r.state[s, LENGTH] and r.tokens[s, i] >= 0:
            i += 1


@inner
def pool_run(a, r, w, s):  # type: ignore[no-untyped-def]
    """Keep a shift's run for the polish, the cheapest of those that bring the same."""
    n = r.state[s, LENGTH]
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
        if w.pool[row, POOL_KEY] == key and w.pool[row, POOL_SHIFT] == s:
            break
        slot = (slot + 1) % slots
    row = w.pool_index[slot]
    if row >= 0 and (w.pool[row, POOL_KEY] != key or w.pool[row, POOL_SHIFT] != s):
        return
    if row < 0:
        if w.pool_count[0] >= w.pool.shape[0]:
            return
        row = w.pool_count[0]
        w.pool_count[0] += 1
        w.pool_index[slot] = row
    elif w.pool[row, POOL_COST] <= r.state[s, COST]:
        return
    for i in range(n):
        w.pool_tokens[row, i] = r.tokens[s, i]
    w.pool[row, POOL_LENGTH] = n
    w.pool[row, POOL_SHIFT] = s
    w.pool[row, POOL_COST] = r.state[s, COST]
    w.pool[row, POOL_KEY] = key


@inner
def whole_cost(a, r):  # type: ignore[no-untyped-def]
    """Cost of all runs and of all orders left out."""
    total = 0
    for s in range(r.state.shape[0]):
        total += r.state[s, COST]
    for o in range(a.prize.shape[0]):
        if r.place[a.order_first[o]] < 0:
            total += a.prize[o]
    return total


@inner
def keep_best(r, w):  # type: ignore[no-untyped-def]
    """Remember the plan as the best."""
    for s in range(r.state.shape[0]):
        n = r.state[s, LENGTH]
        w.best_length[s] = n
        for i in range(n):
            w.best_tokens[s, i] = r.tokens[s, i]


@compiled
def set_runs(a, r, tokens, length):  # type: ignore[no-untyped-def]
    """Make the state hold these runs; False when a run cannot be kept."""
    for p in range(r.place.shape[0]):
        r.place[p] = -1
    for s in range(r.state.shape[0]):
        r.state[s, LENGTH] = length[s]
        for i in range(length[s]):
            r.tokens[s, i] = tokens[s, i]
            if tokens[s, i] >= 0:
                r.place[tokens[s, i]] = s
    for y in range(r.taken.shape[0]):
        for k in range(r.taken.shape[1]):
            r.taken[y, k] = 0
    fine = True
    for s in range(r.state.shape[0]):
        fine = refresh(a, r, s) and fine
        take(a, r, s, 1)
    return fine


@compiled
def build(a, r, w, kind):  # type: ignore[no-untyped-def]
    """Put every order in that is out, cheapest place first."""
    outs = 0
    for o in range(a.prize.shape[0]):
        if r.place[a.order_first[o]] < 0:
            w.outs[outs, OUT] = o
            outs += 1
    sort_out(a, w, outs, kind)
    count = 0
    for i in range(outs):
        count = put_order_in(a, r, w, w.outs[i, OUT], count, 0.0, 1.0)
    for i in range(count):
        w.saved[w.saved[i, LIST], TOUCHED] = 0
    w.costs[NOW] = whole_cost(a, r)
    if w.costs[NOW] < w.costs[BEST]:
        w.costs[BEST] = w.costs[NOW]
        keep_best(r, w)
    return w.costs[NOW]


@inner
def step(a, r, w, heat, average, longest_string, most_loads):  # type: ignore[no-untyped-def]
    """Ruin, put back, and keep it if it is better or the heat allows."""
    parts, orders = a.part.shape[0], a.prize.shape[0]
    outs, count = 0, 0
    which = chance(w)
    before = w.costs[NOW]
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
        refresh(a, r, w.saved[i, LIST])
    removed = outs
    start = draw(w, orders)
    for k in range(orders):
        o = (start + k) % orders
        if w.outs[o, MARK] == 0 and r.place[a.order_first[o]] < 0:
            w.outs[outs, OUT] = o
            w.outs[o, MARK] = 1
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
        o = w.outs[i, OUT]
        w.outs[o, MARK] = 0
        count = put_order_in(a, r, w, o, count, 0.02, eager)
    for i in range(count):
        s = w.saved[i, LIST]
        if r.state[s, LENGTH] > 0 and chance(w) < 0.3:
            better_yards(a, r, s)
    after = before
    for i in range(count):
        s = w.saved[i, LIST]
        after += r.state[s, COST] - w.saved[s, COST]
    if count > 0 or outs > 0:
        after = whole_cost(a, r)
    if after < before - heat * math.log(chance(w)):
        w.costs[NOW] = after
        if after <= w.costs[BEST] + w.costs[BEST] // 50:
            for i in range(count):
                pool_run(a, r, w, w.saved[i, LIST])
        if after < w.costs[BEST]:
            w.costs[BEST] = after
            w.costs[BETTER] += 1
            keep_best(r, w)
        for i in range(count):
            w.saved[w.saved[i, LIST], TOUCHED] = 0
    else:
        for i in range(count):
            s = w.saved[i, LIST]
            take(a, r, s, -1)
            for j in range(r.state[s, LENGTH]):
                if r.tokens[s, j] >= 0:
                    r.place[r.tokens[s, j]] = -1
        for i in range(count):
            s = w.saved[i, LIST]
            w.saved[s, TOUCHED] = 0
            n = w.saved[s, LENGTH]
            r.state[s, LENGTH] = n
            for j in range(n):
                r.tokens[s, j] = w.saved_tokens[s, j]
                if r.tokens[s, j] >= 0:
                    r.place[r.tokens[s, j]] = s
            refresh(a, r, s)
            r.state[s, VERSION] = w.saved[s, VERSION]
            take(a, r, s, 1)


@compiled
def put_order_in_shift(a, r, o, s):  # type: ignore[no-untyped-def]
    """Put all parts of an order into one shift; what it adds, or NEVER and nothing changed."""
    first, last = a.order_first[o], a.order_first[o + 1]
    before = r.state[s, COST]
    for p in range(first, last):
        if judge(a, r, p, s, free_yards(a, r, p)) < NEVER and put_in(a, r, p, s):
            refresh(a, r, s)
        else:
            for q in range(first, p):
                take_out(a, r, q)
            refresh(a, r, s)
            return NEVER
    return r.state[s, COST] - before


@compiled
def take_order_off(a, r, o):  # type: ignore[no-untyped-def]
    """Take all parts of an order out again."""
    for p in range(a.order_first[o], a.order_first[o + 1]):
        s = r.place[p]
        if s >= 0:
            take_out(a, r, p)
            refresh(a, r, s)


@compiled
def walk_steps(a, r, w, steps, heat, cooling, average, longest_string, most_loads):  # type: ignore[no-untyped-def]
    """So many steps of falling heat; returns the heat left."""
    for _ in range(steps):
        step(a, r, w, heat, average, longest_string, most_loads)
        heat *= cooling
    w.costs[STEPS] += steps
    return heat
