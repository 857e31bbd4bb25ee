"""Loops of the run bound: what the head of a run may still gain, and every tail worth keeping.

A tail is the end of a run from some drop or yard. It is lengthened backward, since only then the whole of a
load is known when it is put on at its yard. Its clock (E, D, L) is that of `routes`. It remembers only drops
near to its first one (ng-routes, Baldacci, Mingozzi and Roberti 2011), so a run may come back to a far drop:
more runs than there are, never fewer. A drop that is spared earns less, which is made up for once for all
drops spared; it is remembered everywhere.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.core.arrays import Ints, PlanArrays
from routing.core.compiled import compiled, inner
from routing.core.routes import FAR, D, E, L, joined

type Floats = NDArray[np.float64]
MOST_LOOKED = 60

# columns of `part`
HOLDS, FILLS, WEIGHS, STAY, OPEN, CLOSE, BINS = range(7)
# columns of `links`
PARENT, AT, GROUP, ALIVE, NEXT = range(5)
# of `limits`
STARTS, LONGEST_RUN, WAGE_AT, BOX_AT, PAYLOAD_AT, STEP = range(6)


class Ways(NamedTuple):
    """One shift's drops and roads; costs are of the road alone.

    Shapes
        N drops, Y yards, G groups of yards (one of all where it matters to no drop, else one of each).
    """

    part: Ints  # N x 7
    near: NDArray[np.uint64]  # N x 2, the drops remembered at each
    may: NDArray[np.bool_]  # G x N
    of: Ints  # Y, the group of each yard
    fixed: Ints  # Y
    rate: Ints  # Y
    least_rate: Ints  # G
    hours: Ints  # Y x 2
    on_s: Ints  # N x N
    on_c: Ints
    out_s: Ints  # Y x N
    out_c: Ints
    off_s: Ints  # N x (Y + 1), home last
    off_c: Ints
    way_s: Ints  # Y
    way_c: Ints
    end: int
    units: int


class Times(NamedTuple):
    """Steps of time, N drops, Y yards, G groups."""

    yard_opens: Ints  # Y
    way: Ints  # Y
    enter: Ints  # Y x N
    leg: Ints  # G x N x N
    leave: Ints  # G x N x Y
    home: Ints  # G x N, the latest at a drop to be home in time
    opens: Ints  # N
    latest: Ints  # N


class WayCosts(NamedTuple):
    """What the ways of `Times` cost, with the drop they come from."""

    way: Floats
    enter: Floats
    leg: Floats
    leave: Floats
    home: Floats


class Hopes(NamedTuple):
    """What `heads` worked out."""

    best: Floats
    second: Floats
    came: Ints
    place: Floats
    place2: Floats
    last: Ints


class Store(NamedTuple):
    """Room for tails: clock E, D, L; load in wood, volume, weight and bins."""

    cost: Floats
    extra: Floats
    all_spare: Floats
    clock: Ints
    load: Ints  # x 4
    mask: NDArray[np.uint64]  # x 2
    links: Ints  # x 5
    final: Floats
    first: Ints  # of each list
    limits: Ints  # 6


def new_store(most: int, arrays: PlanArrays) -> Store:
    """Room for so many tails of any shift."""
    yards = len(arrays.yard)
    return Store(
        cost=np.zeros(most),
        extra=np.zeros(most),
        all_spare=np.zeros(1),
        clock=np.zeros((most, 3), np.int64),
        load=np.zeros((most, 4), np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 5), np.int64),
        final=np.zeros(most),
        first=np.zeros(len(arrays.part) * yards + yards, np.int64),
        limits=np.zeros(6, np.int64),
    )


def first_of(store: Store, most: int) -> Store:
    """The same room, but less of it."""
    return store._replace(
        **{
            name: getattr(store, name)[:most]
            for name in ("cost", "extra", "clock", "load", "mask", "links", "final")
        }
    )


@inner
def _both(low, low2, at, other, other2, other_at):  # type: ignore[no-untyped-def]
    """The best of two, the best that does not come from where that one does, and from where."""
    if other < low:
        low, low2, at, other, other2, other_at = other, other2, other_at, low, low2, at
    return low, min(low2, other2 if other_at == at else other), at


@inner
def _walked(bins, of, times, costs, tables, places, least, g, r, k, visits):  # type: ignore[no-untyped-def]
    """Count how often the cheapest run serves each drop, from its last one back."""
    yard_open, way_t, enter_t, leg_t, exit_t, _, _, latest = times
    way_c, enter_c, leg_c, exit_c, _ = costs
    best, second, came = tables
    place, place2, last = places
    groups, n, yards = leg_t.shape[0], len(bins), len(way_t)
    v, banned = 0, -1
    while v < best.shape[1] - 1 and best[g, v, r, k] != least[g, r, k]:
        v += 1
    for _ in range(10 * n):
        visits[k] += 1
        r = min(r, latest[k])
        low, at = np.inf, -1
        if v > 0:
            for j in range(n):
                rest, room = r - leg_t[g, j, k], v - bins[j]
                if j in (k, banned) or rest < 0 or room < 0:
                    continue
                value = second[g, room, rest, j] if came[g, room, rest, j] == k else best[g, room, rest, j]
                if value + leg_c[g, j, k] < low:
                    low, at = value + leg_c[g, j, k], j
            if at < 0:
                return
            v, r, k, banned = v - bins[at], r - leg_t[g, at, k], at, k
            continue
        for y in range(yards):
            rest = r - enter_t[y, k]
            if rest < yard_open[y] or of[y] != g:
                continue
            is_back = last[rest, y] == k or last[rest, y] == banned
            value = (place2[rest, y] if is_back else place[rest, y]) + enter_c[y, k]
            if value < low:
                low, at = value, y
        if at < 0:
            return
        y, r_yard, after = at, r - enter_t[at, k], k
        low, k = np.inf, -1
        if way_t[y] <= r_yard:
            low = way_c[y]
        for g2 in range(groups):
            for j in range(n):
                rest = r_yard - exit_t[g2, j, y]
                if j in (banned, after) or rest < 0:
                    continue
                if least[g2, rest, j] + exit_c[g2, j, y] < low:
                    low, g, r, k = least[g2, rest, j] + exit_c[g2, j, y], g2, rest, j
        if k < 0:
            return
        v, banned = 0, after
        while v < best.shape[1] - 1 and best[g, v, r, k] != least[g, r, k]:
            v += 1


@compiled
def heads(bins, most, of, times, costs, tables, places, visits):  # type: ignore[no-untyped-def]
    """Fill in the least cost of a head by time, room taken in its load and the drop or yard it comes to.

    Shapes
        N drops, Y yards, R steps of time, V bins, G groups. tables: (best, second, from) of G x V x R x N,
        the head at a drop by that time with that much room taken or less; places: the same of R x Y. `from`
        is the last drop before; the second best comes from another. Returns the least cost of a whole run,
        whose drops are counted in `visits`.
    """
    yard_open, way_t, enter_t, leg_t, exit_t, home_t, opens, latest = times
    way_c, enter_c, leg_c, exit_c, home_c = costs
    best, second, came = tables
    place, place2, last = places
    groups, n, yards = leg_t.shape[0], len(bins), len(way_t)
    steps = best.shape[2]
    least = np.full((groups, steps, n), np.inf)
    for r in range(steps):
        for y in range(yards):
            low, low2, at = np.inf, np.inf, -1
            if r >= way_t[y]:
                low = way_c[y]
            for g in range(groups):
                for k in range(n):
                    rest = r - exit_t[g, k, y]
                    if rest >= 0:
                        low, low2, at = _both(low, low2, at, least[g, rest, k] + exit_c[g, k, y], np.inf, k)
            place[r, y], place2[r, y], last[r, y] = low, low2, at
        for g in range(groups):
            for v in range(most + 1):
                for k in range(n):
                    if v + bins[k] > most or r < opens[k] or latest[k] < opens[k]:
                        continue
                    if r > latest[k]:
                        low, low2, at = best[g, v, r - 1, k], second[g, v, r - 1, k], came[g, v, r - 1, k]
                    elif v == 0:
                        low, low2, at = np.inf, np.inf, -1
                        for y in range(yards):
                            rest = r - enter_t[y, k]
                            if rest < yard_open[y] or of[y] != g:
                                continue
                            value, value2, before = place[rest, y], place2[rest, y], last[rest, y]
                            if before == k:
                                value, value2, before = value2, np.inf, -2
                            cost = enter_c[y, k]
                            low, low2, at = _both(low, low2, at, value + cost, value2 + cost, before)
                    else:
                        low, low2, at = np.inf, np.inf, -1
                        for j in range(n):
                            rest, room = r - leg_t[g, j, k], v - bins[j]
                            if j == k or rest < 0 or room < 0:
                                continue
                            value = best[g, room, rest, j]
                            if came[g, room, rest, j] == k:
                                value = second[g, room, rest, j]
                            value += leg_c[g, j, k]
                            if value < low:
                                low2, low, at = low, value, j
                            elif value < low2:
                                low2 = value
                    best[g, v, r, k], second[g, v, r, k], came[g, v, r, k] = low, low2, at
                    least[g, r, k] = min(least[g, r, k], low)
    low, g_at, r_at, k_at = np.inf, -1, -1, -1
    for g in range(groups):
        for k in range(n):
            r = min(steps - 1, home_t[g, k])
            if r >= 0 and least[g, r, k] + home_c[g, k] < low:
                low, g_at, r_at, k_at = least[g, r, k] + home_c[g, k], g, r, k
    if g_at >= 0:
        _walked(bins, of, times, costs, tables, places, least, g_at, r_at, k_at, visits)
    for g in range(groups):
        for v in range(1, most + 1):
            for r in range(steps):
                for k in range(n):
                    best[g, v, r, k], second[g, v, r, k], came[g, v, r, k] = _both(
                        best[g, v, r, k],
                        second[g, v, r, k],
                        came[g, v, r, k],
                        best[g, v - 1, r, k],
                        second[g, v - 1, r, k],
                        came[g, v - 1, r, k],
                    )
    return low


@inner
def _hope(low, low2, at, mask):  # type: ignore[no-untyped-def]
    """The head's least cost when it may not come from a drop the tail remembers."""
    if at >= 0 and mask[at >> 6] >> np.uint64(at & 63) & np.uint64(1):
        return low2
    return low


@inner
def _at_drop(hopes, group, v, r, k, mask):  # type: ignore[no-untyped-def]
    r = min(r, hopes.best.shape[2] - 1)
    return _hope(hopes.best[group, v, r, k], hopes.second[group, v, r, k], hopes.came[group, v, r, k], mask)


@inner
def _at_yard(hopes, r, y, mask):  # type: ignore[no-untyped-def]
    r = min(r, hopes.best.shape[2] - 1)
    return _hope(hopes.place[r, y], hopes.place2[r, y], hopes.last[r, y], mask)


@inner
def _is_beaten(cost, clock, load, mask, i, j, wage):  # type: ignore[no-untyped-def]
    """Whether tail j is no better than tail i in anything."""
    if cost[i] > cost[j] or clock[i, D] > clock[j, D] or clock[i, L] < clock[j, L]:
        return False
    if load[i, 0] > load[j, 0] or load[i, 1] > load[j, 1] or load[i, 2] > load[j, 2]:
        return False
    if (mask[i, 0] & ~mask[j, 0]) != 0 or (mask[i, 1] & ~mask[j, 1]) != 0:
        return False
    later = max(0, clock[i, E] - clock[j, E])
    return cost[i] + wage * later <= cost[j] and clock[i, D] + later <= clock[j, D]


@inner
def _kept(store, i, list_at):  # type: ignore[no-untyped-def]
    """Put tail i into a list unless it is beaten; take out those it beats."""
    cost, clock, load, mask, links, first = (
        store.cost,
        store.clock,
        store.load,
        store.mask,
        store.links,
        store.first,
    )
    wage = store.limits[WAGE_AT]
    before, j, looked = -1, first[list_at], 0
    while j >= 0 and looked < MOST_LOOKED:
        looked += 1
        if _is_beaten(cost, clock, load, mask, j, i, wage):
            return False
        following = links[j, NEXT]
        if _is_beaten(cost, clock, load, mask, i, j, wage):
            links[j, ALIVE] = 0
            if before < 0:
                first[list_at] = following
            else:
                links[before, NEXT] = following
        else:
            before = j
        j = following
    links[i, NEXT] = first[list_at]
    first[list_at] = i
    return True


@inner
def _added(ways, bound, spent, store, spare, i, j, group, value, e, d, l, below, count, same_load):  # type: ignore[no-untyped-def]
    """Write down tail i with drop j before it, if it may matter; how many tails there are then."""
    load, mask, links = store.load, store.mask, store.links
    most = bound.best.shape[1] - 1
    for column in range(4):
        held = ways.part[j, column if column < 3 else BINS]
        load[count, column] = held + load[i, column] if same_load else held
    putting_on = ways.least_rate[group] * load[count, 0] // ways.units
    if (
        l - store.limits[STARTS] < putting_on
        or store.limits[LONGEST_RUN] - d < putting_on
        or load[count, 3] > most
    ):
        return count
    step = store.limits[STEP]
    r, r2 = (
        (l - store.limits[STARTS]) // step,
        (store.limits[LONGEST_RUN] - d - putting_on) // step,
    )
    # the head's own drops take room beside the tail's, of which j is counted by the head
    v = most - load[count, 3]
    hope = max(_at_drop(bound, group, v, r, j, mask[i]), _at_drop(spent, group, v, r2, j, mask[i]))
    extra = store.extra[i] + spare[j]
    if value + extra + store.limits[WAGE_AT] * putting_on + hope >= below + store.all_spare[0]:
        return count
    store.cost[count], store.extra[count] = value, extra
    store.clock[count, E], store.clock[count, D], store.clock[count, L] = e, d, l
    for word in range(2):
        mask[count, word] = mask[i, word] & ways.near[j, word]
    mask[count, j >> 6] |= np.uint64(1) << np.uint64(j & 63)
    links[count, PARENT], links[count, AT], links[count, GROUP], links[count, ALIVE] = i, j, group, 1
    store.final[count] = np.inf
    if not _kept(store, count, j * ways.may.shape[0] + group):
        return count
    return count + 1


@compiled
def tails(ways, bound, spent, store, gain, spare, base, below):  # type: ignore[no-untyped-def]
    """Lengthen tails backward from home; how many there are, or -1 when the store overflowed.

    Shapes
        N drops, Y yards, G groups of yards. gain: G x N, what a drop costs beyond the way less what it earns;
        base: the run's fixed cost. Runs whose `final` is under `below` are found, others may not be.
    """
    n, yards = ways.part.shape[0], len(ways.of)
    groups = gain.shape[0]
    start, longest, wage, box, payload, step = store.limits
    cost, clock, load, mask, links = store.cost, store.clock, store.load, store.mask, store.links
    store.first[:] = -1
    room = len(cost)
    cost[0], clock[0, E], clock[0, D], clock[0, L] = base, 0, 0, ways.end
    load[0, :] = 0
    mask[0, :] = 0
    links[0, PARENT], links[0, AT], links[0, GROUP], links[0, ALIVE] = -1, n + yards, 0, 1
    store.final[0], store.extra[0], store.all_spare[0] = np.inf, 0.0, spare.sum()
    count, i = 1, -1
    while i + 1 < count:
        i += 1
        if not links[i, ALIVE]:
            continue
        at = links[i, AT]
        e, d, l = clock[i, E], clock[i, D], clock[i, L]
        if at < n:
            # the same load may have brought a drop before
            group = links[i, GROUP]
            for j in range(n):
                if mask[i, j >> 6] >> np.uint64(j & 63) & np.uint64(1) or not ways.may[group, j]:
                    continue
                if load[i, 1] + ways.part[j, 1] > box or load[i, 2] + ways.part[j, 2] > payload:
                    continue
                e2, d2, l2 = joined(
                    ways.part[j, OPEN], ways.part[j, STAY], ways.part[j, CLOSE], ways.on_s[j, at], e, d, l
                )
                if l2 < start or d2 > longest:
                    continue
                value = cost[i] + ways.on_c[j, at] + wage * (d2 - d) + gain[group, j]
                count = _added(
                    ways, bound, spent, store, spare, i, j, group, value, e2, d2, l2, below, count, True
                )
                if count >= room:
                    return -1
            # or it was put on at a yard
            for y in range(yards):
                if ways.of[y] != group:
                    continue
                stay = ways.fixed[y] + (ways.rate[y] * load[i, 0] + ways.units - 1) // ways.units
                if ways.hours[y, 1] - stay < ways.hours[y, 0]:
                    continue
                e2, d2, l2 = joined(
                    ways.hours[y, 0], stay, ways.hours[y, 1] - stay, ways.out_s[y, at], e, d, l
                )
                if l2 < start or d2 > longest:
                    continue
                value = cost[i] + ways.out_c[y, at] + wage * (d2 - d)
                hope = value + max(
                    _at_yard(bound, (l2 - start) // step, y, mask[i]),
                    _at_yard(spent, (longest - d2) // step, y, mask[i]),
                )
                if hope + store.extra[i] >= below + store.all_spare[0]:
                    continue
                store.extra[count] = store.extra[i]
                cost[count], clock[count, E], clock[count, D], clock[count, L] = value, e2, d2, l2
                load[count, :] = 0
                mask[count, 0], mask[count, 1] = mask[i, 0], mask[i, 1]
                links[count, PARENT], links[count, AT], links[count, GROUP] = i, n + y, 0
                links[count, ALIVE] = 1
                store.final[count] = np.inf
                if not _kept(store, count, n * groups + y):
                    continue
                _, d3, l3 = joined(start, 0, FAR, ways.way_s[y], e2, d2, l2)
                if l3 >= 0 and d3 <= longest:
                    store.final[count] = value + ways.way_c[y] + wage * (d3 - d2)
                count += 1
                if count >= room:
                    return -1
        else:
            end = at - n
            for group in range(groups):
                for j in range(n):
                    if mask[i, j >> 6] >> np.uint64(j & 63) & np.uint64(1) or not ways.may[group, j]:
                        continue
                    e2, d2, l2 = joined(
                        ways.part[j, OPEN],
                        ways.part[j, STAY],
                        ways.part[j, CLOSE],
                        ways.off_s[j, end],
                        e,
                        d,
                        l,
                    )
                    if l2 < start or d2 > longest:
                        continue
                    value = cost[i] + ways.off_c[j, end] + wage * (d2 - d) + gain[group, j]
                    count = _added(
                        ways, bound, spent, store, spare, i, j, group, value, e2, d2, l2, below, count, False
                    )
                    if count >= room:
                        return -1
    return count
