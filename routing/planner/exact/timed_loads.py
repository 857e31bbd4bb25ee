"""Single loads with their clocks: no stop twice, no box overfull, every window kept, each leg by the road its
weight allows.

A tail is the end of a load from some stop on to where the next one is filled. It is lengthened backward,
since only then the weight aboard on the leg before it is known. Its clock (e, d, l) is that of
`search.schedule`. What a head may still gain is known from the q-routes of `load_pricing`, with all time at
one price.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled, inlined, inner
from routing.planner.exact.dominance import keep_undominated
from routing.planner.exact.load_labeling import ALIVE, AT, BINS_AT, LB_AT, LIMITS, NEXT, PARENT, level_of
from routing.planner.params import BOUND
from routing.planner.search.schedule import joined
from routing.planner.search.state import FAR

AFTER = 4  # one more column of `links`
E, D, L = range(3)  # of `clock`
STAY, OPENS, CLOSES, HOLDS = range(4)  # of `stops`
WOOD, WORK = range(2)  # of `held`
FILLING, END, TAIL, STAYS, MATE = range(5)  # of `links` of whole loads


class TimedWays(NamedTuple):
    """N stops one run may bring from one filling, B weights at which its road changes, A places a load may
    end at, home last. Costs in cost units, of the road alone; times in seconds.
    """

    earns: Floats  # N, the price of a stop's part less that of its wood
    part: Ints  # N, its number among all parts
    stops: Ints  # N x 4
    end_c: Floats  # N x A
    end_s: Ints
    worth: Floats  # A, what ending there is worth, and
    entry_worth: float  # what beginning here takes of that: for leaving loads out only
    leg_c: Floats  # B x N x N
    leg_s: Ints
    entry_c: Floats  # B x N
    entry_s: Ints
    over: Ints  # B, pounds above which a row of the legs holds
    sizes: Ints  # N x 5: volume, weight, the same of what may not ride in the bed, bins
    room: Ints  # 4, of the first four
    fixed: int  # filling: seconds for a load, and of `units` wood units
    rate: int
    units: int
    opens: int
    closes: int
    start: int  # of the run
    end: int
    price: float  # of a second
    below: float  # loads that cost no less, time and worth included, are left out


class Tails(NamedTuple):
    """Room for tails; cost: of the road less what the stops earn."""

    cost: Floats
    clock: Ints  # x 3
    load: Ints  # x 5
    held: Ints  # x 2
    mask: NDArray[np.uint64]  # x 2
    links: Ints  # x 5
    first: Ints  # of each stop's and end's list


class WholeLoads(NamedTuple):
    """Room for loads; work: seconds without waiting."""

    cost: Floats
    clock: Ints  # x 3
    work: Ints
    mask: NDArray[np.uint64]  # x 2
    links: Ints  # x 5
    first: Ints  # of each filling's and end's list


def new_tails(most: int, parts: int, ends: int) -> Tails:
    """Room for so many tails of any run."""
    return Tails(
        cost=np.zeros(most),
        clock=np.zeros((most, 3), np.int64),
        load=np.zeros((most, LIMITS + 1), np.int64),
        held=np.zeros((most, 2), np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 5), np.int64),
        first=np.zeros(parts * ends, np.int64),
    )


def new_loads(most: int, fillings: int, ends: int) -> WholeLoads:
    """Room for so many loads of any run."""
    return WholeLoads(
        cost=np.zeros(most),
        clock=np.zeros((most, 3), np.int64),
        work=np.zeros(most, np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 5), np.int64),
        first=np.zeros(fillings * ends, np.int64),
    )


@inner
def is_no_worse(cost, clock, i, j):  # type: ignore[no-untyped-def]
    """Whether i costs no more than j, may begin as late and, begun at any time, ends no later."""
    return (
        cost[i] <= cost[j]
        and clock[i, D] <= clock[j, D]
        and clock[i, L] >= clock[j, L]
        and clock[i, E] + clock[i, D] <= clock[j, E] + clock[j, D]
    )


@inner
def brings_no_more(mask, i, j):  # type: ignore[no-untyped-def]
    """Whether all i brings is among what j brings."""
    return (mask[i, 0] & ~mask[j, 0]) == 0 and (mask[i, 1] & ~mask[j, 1]) == 0


@inner
def _dominates(tails, i, j, _price):  # type: ignore[no-untyped-def]
    """Whether tail j is no better than tail i in anything."""
    if not is_no_worse(tails.cost, tails.clock, i, j) or not brings_no_more(tails.mask, i, j):
        return False
    if tails.held[i, WOOD] > tails.held[j, WOOD] or tails.held[i, WORK] > tails.held[j, WORK]:
        return False
    is_no_more = True
    for column in range(LIMITS + 1):
        is_no_more = is_no_more and tails.load[i, column] <= tails.load[j, column]
    return is_no_more


_kept = keep_undominated(_dominates, ALIVE, NEXT, BOUND.dominance_looks)


@inner
def _load_dominates(loads, i, j, _price):  # type: ignore[no-untyped-def]
    """The same for whole loads."""
    if loads.work[i] > loads.work[j] or not is_no_worse(loads.cost, loads.clock, i, j):
        return False
    return brings_no_more(loads.mask, i, j)


_kept_load = keep_undominated(_load_dominates, STAYS, MATE, BOUND.row_looks)


@inlined
def _is_extended(ways, head, tails, i, j, after, to):  # type: ignore[no-untyped-def]
    """Write down tail i (-1: none) with stop j before it, unless it cannot be or would not matter."""
    p = ways.part[j]
    if i >= 0 and tails.mask[i, p >> 6] >> np.uint64(p & 63) & np.uint64(1):
        return False
    most = head.shape[0] - 1
    for column in range(LIMITS + 1):
        held = ways.sizes[j, column] + (tails.load[i, column] if i >= 0 else 0)
        if held > (ways.room[column] if column < LIMITS else most):
            return False
        tails.load[to, column] = held
    wood, cost, drive = ways.stops[j, HOLDS], -ways.earns[j], ways.end_s[j, after]
    e, d, l = 0, 0, ways.end if after == ways.end_c.shape[1] - 1 else FAR
    work = ways.stops[j, STAY]
    if i >= 0:
        level, at = level_of(ways.over, tails.load[i, LB_AT]), tails.links[i, AT]
        drive = ways.leg_s[level, j, at]
        cost += tails.cost[i] + ways.leg_c[level, j, at]
        wood, work = wood + tails.held[i, WOOD], work + tails.held[i, WORK]
        e, d, l = tails.clock[i, E], tails.clock[i, D], tails.clock[i, L]
    else:
        cost += ways.end_c[j, after]
    e, d, l = joined(ways.stops[j, OPENS], ways.stops[j, STAY], ways.stops[j, CLOSES], drive, e, d, l)
    loading = ways.rate * wood // ways.units
    if l < ways.start + ways.fixed + loading:
        return False
    value = cost + ways.price * (d + loading) - ways.worth[after]
    if value + head[most - tails.load[to, BINS_AT], j] >= ways.below:
        return False
    tails.cost[to], tails.held[to, WOOD], tails.held[to, WORK] = cost, wood, work + drive
    tails.clock[to, E], tails.clock[to, D], tails.clock[to, L] = e, d, l
    for word in range(2):
        tails.mask[to, word] = tails.mask[i, word] if i >= 0 else np.uint64(0)
    tails.mask[to, p >> 6] |= np.uint64(1) << np.uint64(p & 63)
    tails.links[to, PARENT], tails.links[to, AT], tails.links[to, ALIVE] = i, j, 1
    tails.links[to, AFTER] = after
    return True


@inlined
def _is_whole(ways, filling, tails, i, loads, to):  # type: ignore[no-untyped-def]
    """Write down the load that tail i is once it is filled, unless it cannot be or would not matter."""
    j, after = tails.links[i, AT], tails.links[i, AFTER]
    level = level_of(ways.over, tails.load[i, LB_AT])
    drive = ways.entry_s[level, j]
    # whole seconds rounded up, as in `search.schedule`
    stay = ways.fixed + (ways.rate * tails.held[i, WOOD] + ways.units - 1) // ways.units
    e, d, l = joined(
        ways.opens,
        stay,
        ways.closes - stay,
        drive,
        tails.clock[i, E],
        tails.clock[i, D],
        tails.clock[i, L],
    )
    cost = tails.cost[i] + ways.entry_c[level, j]
    if l < ways.start or cost + ways.price * d + ways.entry_worth - ways.worth[after] >= ways.below:
        return False
    loads.cost[to], loads.work[to] = cost, stay + drive + tails.held[i, WORK]
    loads.clock[to, E], loads.clock[to, D], loads.clock[to, L] = e, d, l
    loads.mask[to, 0], loads.mask[to, 1] = tails.mask[i, 0], tails.mask[i, 1]
    loads.links[to, FILLING], loads.links[to, END], loads.links[to, TAIL] = filling, after, i
    loads.links[to, STAYS] = 1
    return _kept_load(loads, to, filling * ways.end_c.shape[1] + after, 0.0)


@compiled
def timed_loads(ways, head, filling, tails, begin, loads, whole):  # type: ignore[no-untyped-def]
    """All loads of a filling that may matter, put behind `whole` others, their tails behind `begin` others.

    Returns how many tails, or -1 when there were too many, and how many loads then.
    """
    n, ends = ways.end_c.shape
    tails.first[:] = -1
    count, i = begin, begin - 1
    while i < count:
        # a new load begins with its last stop, the others go before a tail
        is_new = i < begin
        if is_new or tails.links[i, ALIVE]:
            first = 0 if is_new else tails.links[i, AFTER]
            for after in range(first, ends if is_new else first + 1):
                for j in range(n):
                    if not _is_extended(ways, head, tails, -1 if is_new else i, j, after, count):
                        continue
                    if not _kept(tails, count, j * ends + after, 0.0):
                        continue
                    if _is_whole(ways, filling, tails, count, loads, whole):
                        whole += 1
                    count += 1
                    if count >= len(tails.cost) or whole >= len(loads.cost):
                        return -1, whole
        i += 1
    return count, whole
