"""Every end of a run worth keeping, for the bound by whole runs.

A tail is the end of a run from some stop or yard. It is lengthened backward, since only then the whole of a
load is known when it is put on at its yard. Its clock (e, d, l) is that of `search.schedule`. It remembers
only stops near to its first one (ng-routes, Baldacci, Mingozzi and Roberti 2011), so a run may come back to
a far stop: more runs than there are, never fewer. A stop that is spared earns less, which is made up for once
for all stops spared; it is remembered everywhere.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints, PlanArrays
from routing.planner.compiled import compiled, inlined, inner
from routing.planner.exact.load_sequences import packings
from routing.planner.params import BOUND
from routing.planner.search.schedule import joined
from routing.planner.search.state import FAR

# last axis of `clock`
E, D, L = range(3)

# columns of `part`
HOLDS, FILLS, WEIGHS, STAY, OPEN, CLOSE, BINS = range(7)
# columns of `links`
PARENT, AT, GROUP, ALIVE, NEXT = range(5)
# of `limits`
STARTS, LONGEST_RUN, WAGE_AT, BOX_AT, PAYLOAD_AT, STEP, PAUSE_AT = range(7)


class Ways(NamedTuple):
    """One shift's drops and roads; costs are of the road alone.

    Shapes
        N stops, Y yards and pairs of them one load is filled at, G groups of those (one of all where it
        matters to no drop, else one of each).
    """

    part: Ints  # N x 7
    near: NDArray[np.uint64]  # N x 2, the stops remembered at each
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
    limits: Ints  # 7


def new_store(most: int, arrays: PlanArrays) -> Store:
    """Room for so many tails of any shift."""
    yards = len(packings(arrays))
    return Store(
        cost=np.zeros(most),
        extra=np.zeros(most),
        all_spare=np.zeros(1),
        clock=np.zeros((most, 3), np.int64),
        load=np.zeros((most, 4), np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 5), np.int64),
        final=np.zeros(most),
        first=np.zeros(len(arrays.part_wood) * yards + yards, np.int64),
        limits=np.zeros(7, np.int64),
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
def _hope(low, low2, at, mask):  # type: ignore[no-untyped-def]
    """The head's least cost when it may not come from a drop the tail remembers."""
    if at >= 0 and mask[at >> 6] >> np.uint64(at & 63) & np.uint64(1):
        return low2
    return low


@inner
def _at_stop(hopes, group, v, r, k, mask):  # type: ignore[no-untyped-def]
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
    while j >= 0 and looked < BOUND.dominance_looks:
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
def _wages(limits, added, work):  # type: ignore[no-untyped-def]
    """Wages of what a tail is longer by; a run with a pause is paid for its work alone, since it may wait in
    its pause (a relaxation: it may wait for nothing at other times too).
    """
    return limits[WAGE_AT] * (work if limits[PAUSE_AT] > 0 else added)


@compiled
def lengthen_tails(ways, bound, spent, store, gain, spare, base, below):  # type: ignore[no-untyped-def]
    """Lengthen tails backward from home; how many there are, or -1 when the store overflowed.

    Shapes
        N stops, Y yards, G groups of yards. gain: G x N, what a stop costs beyond the way less what it earns;
        base: the run's fixed cost. Runs whose `final` is under `below` are found, others may not be.
    """
    n, yards, groups = ways.part.shape[0], len(ways.of), gain.shape[0]
    room = len(store.cost)
    _plant(ways, store, n + yards, base, spare.sum())
    count, i = 1, -1
    while i + 1 < count:
        i += 1
        if not store.links[i, ALIVE]:
            continue
        at = store.links[i, AT]
        # the same load may have brought a stop before, or, at a yard or home, any load may end here
        first, last = (store.links[i, GROUP], store.links[i, GROUP] + 1) if at < n else (0, groups)
        for group in range(first, last):
            for j in range(n):
                count = _before_stop(ways, bound, spent, store, gain, spare, i, group, j, below, count)
                if count >= room:
                    return -1
        if at < n:
            for y in range(yards):
                if ways.of[y] == first:
                    count = _before_yard(ways, bound, spent, store, i, y, groups, below, count)
                    if count >= room:
                        return -1
    return count


@inlined
def _plant(ways, store, home, base, all_spare):  # type: ignore[no-untyped-def]
    """The empty tail: at home at the end of the run."""
    store.first[:] = -1
    store.cost[0] = base
    store.clock[0, E], store.clock[0, D], store.clock[0, L] = 0, 0, ways.end
    store.load[0, :] = 0
    store.mask[0, :] = 0
    store.links[0, PARENT], store.links[0, AT] = -1, home
    store.links[0, GROUP], store.links[0, ALIVE] = 0, 1
    store.final[0], store.extra[0], store.all_spare[0] = np.inf, 0.0, all_spare


@inlined
def _before_stop(ways, bound, spent, store, gain, spare, i, group, j, below, count):  # type: ignore[no-untyped-def]
    """Write down tail i with stop j before it, if it may matter; how many tails there are then."""
    n, load, mask, limits = ways.part.shape[0], store.load, store.mask, store.limits
    if mask[i, j >> 6] >> np.uint64(j & 63) & np.uint64(1) or not ways.may[group, j]:
        return count
    at = store.links[i, AT]
    is_same_load = at < n
    for column in range(4):
        held = ways.part[j, column if column < 3 else BINS]
        load[count, column] = held + load[i, column] if is_same_load else held
    most = bound.best.shape[1] - 1
    if load[count, 1] > limits[BOX_AT] or load[count, 2] > limits[PAYLOAD_AT] or load[count, 3] > most:
        return count
    drive = ways.on_s[j, at] if is_same_load else ways.off_s[j, at - n]
    road = ways.on_c[j, at] if is_same_load else ways.off_c[j, at - n]
    d = store.clock[i, D]
    e2, d2, l2 = joined(
        ways.part[j, OPEN],
        ways.part[j, STAY],
        ways.part[j, CLOSE],
        drive,
        store.clock[i, E],
        d,
        store.clock[i, L],
    )
    # what loading takes at least must still fit before
    putting_on = ways.least_rate[group] * load[count, 0] // ways.units
    from_start, left = l2 - limits[STARTS], limits[LONGEST_RUN] - d2 - putting_on
    if from_start < putting_on or left < 0:
        return count
    # the head's own stops take room beside the tail's, of which j is counted by the head
    v, step = most - load[count, 3], limits[STEP]
    hope = max(
        _at_stop(bound, group, v, from_start // step, j, mask[i]),
        _at_stop(spent, group, v, left // step, j, mask[i]),
    )
    value = store.cost[i] + road + _wages(limits, d2 - d, drive + ways.part[j, STAY]) + gain[group, j]
    extra = store.extra[i] + spare[j]
    if value + extra + limits[WAGE_AT] * putting_on + hope >= below + store.all_spare[0]:
        return count
    store.cost[count], store.extra[count] = value, extra
    store.clock[count, E], store.clock[count, D], store.clock[count, L] = e2, d2, l2
    for word in range(2):
        mask[count, word] = mask[i, word] & ways.near[j, word]
    mask[count, j >> 6] |= np.uint64(1) << np.uint64(j & 63)
    store.links[count, PARENT], store.links[count, AT] = i, j
    store.links[count, GROUP], store.links[count, ALIVE] = group, 1
    store.final[count] = np.inf
    return count + 1 if _kept(store, count, j * ways.may.shape[0] + group) else count


@inlined
def _before_yard(ways, bound, spent, store, i, y, groups, below, count):  # type: ignore[no-untyped-def]
    """Write down tail i with its load filled at a yard, if it may matter; how many tails there are then."""
    n, mask, limits = ways.part.shape[0], store.mask, store.limits
    start, longest = limits[STARTS], limits[LONGEST_RUN]
    stay = ways.fixed[y] + (ways.rate[y] * store.load[i, 0] + ways.units - 1) // ways.units
    opens, closes = ways.hours[y, 0], ways.hours[y, 1] - stay
    at, d = store.links[i, AT], store.clock[i, D]
    if closes < opens:
        return count
    e2, d2, l2 = joined(opens, stay, closes, ways.out_s[y, at], store.clock[i, E], d, store.clock[i, L])
    if l2 < start or d2 > longest:
        return count
    value = store.cost[i] + ways.out_c[y, at] + _wages(limits, d2 - d, stay + ways.out_s[y, at])
    hope = value + max(
        _at_yard(bound, (l2 - start) // limits[STEP], y, mask[i]),
        _at_yard(spent, (longest - d2) // limits[STEP], y, mask[i]),
    )
    if hope + store.extra[i] >= below + store.all_spare[0]:
        return count
    store.cost[count], store.extra[count] = value, store.extra[i]
    store.clock[count, E], store.clock[count, D], store.clock[count, L] = e2, d2, l2
    store.load[count, :] = 0
    mask[count, 0], mask[count, 1] = mask[i, 0], mask[i, 1]
    store.links[count, PARENT], store.links[count, AT] = i, n + y
    store.links[count, GROUP], store.links[count, ALIVE] = 0, 1
    store.final[count] = np.inf
    if not _kept(store, count, n * groups + y):
        return count
    _, d3, l3 = joined(start, 0, FAR, ways.way_s[y], e2, d2, l2)
    if l3 >= 0 and d3 <= longest:
        store.final[count] = value + ways.way_c[y] + _wages(limits, d3 - d2, ways.way_s[y])
    return count + 1
