"""Where one more part would go: the cheapest place in a shift, at every yard that holds its wood.

Each place is judged in constant time from the clocks `routes` keeps of all before and all after it.
"""

from routing.core.arrays import (
    BOX,
    CLOSES,
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
    WAGE,
    YARD_LOC,
    YARDS,
)
from routing.core.compiled import inner
from routing.core.routes import (
    FAR,
    LENGTH,
    LOAD_FT3,
    LOAD_LB,
    LOAD_QUANTITY,
    LOAD_YARDS,
    NEVER,
    SEEN_COST,
    SEEN_NEW,
    SEEN_TOKEN,
    SEEN_VERSION,
    SEEN_YARD,
    SEEN_YARDS,
    VERSION,
    D,
    E,
    L,
    joined,
    load_fits_yard,
    loading_seconds,
    token_loc,
)


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
