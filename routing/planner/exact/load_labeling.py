"""Single loads as they can be driven: no stop twice, no box overfull, each leg by the road its weight allows.

A tail is the end of a load from some stop on. It is lengthened backward, since only then the weight aboard on
the leg before it is known. What a head may still gain is known from the q-routes of `load_pricing`, which
lets nearly every tail be dropped at good prices. Trailer and bed are two boxes: what may not ride in the bed
fits the trailer, and all together fits both.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled, inner
from routing.planner.exact.dominance import keep_undominated
from routing.planner.params import BOUND

# columns of `links`
PARENT, AT, ALIVE, NEXT = range(4)
LIMITS, BINS_AT, LB_AT = 4, 4, 1


class LoadWays(NamedTuple):
    """N stops a class may bring from a filling, B weights at which its road changes.

    sizes: volume, weight, and the same of what may not ride in the bed, then bins; room: of the first four.
    """

    stop: Floats  # N, what a stop costs less what it earns
    ends: Floats  # N, from each last stop to the next yard or home
    legs: Floats  # B x N x N
    entry: Floats  # B x N, filling and the way to each first stop
    over: Ints  # B, pounds above which a row of `legs` holds
    sizes: Ints  # N x 5
    room: Ints  # 4


class LoadStore(NamedTuple):
    """Room for tails."""

    cost: Floats
    final: Floats
    load: Ints  # x 5
    mask: NDArray[np.uint64]  # x 2
    links: Ints  # x 4
    first: Ints  # of each stop's list


def new_load_store(most: int, parts: int) -> LoadStore:
    """Room for so many tails of any class."""
    return LoadStore(
        cost=np.zeros(most),
        final=np.zeros(most),
        load=np.zeros((most, LIMITS + 1), np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 4), np.int64),
        first=np.zeros(parts, np.int64),
    )


@compiled
def heads_of_loads(entry, between, best, second, before, head):  # type: ignore[no-untyped-def]
    """The least cost of a load up to each stop with so many bins or fewer before it, from its q-routes."""
    bins, n = head.shape
    for v in range(bins):
        for k in range(n):
            low = entry[k] if v == 0 else head[v - 1, k]
            if v > 0:
                for j in range(n):
                    if j != k:
                        value = second[v, j] if before[v, j] == k else best[v, j]
                        low = min(low, value + between[j, k])
            head[v, k] = low


@inner
def _is_dominated(store, i, j, _price):  # type: ignore[no-untyped-def]
    """Whether tail j is no better than tail i in anything."""
    if store.cost[i] > store.cost[j]:
        return False
    for column in range(LIMITS + 1):
        if store.load[i, column] > store.load[j, column]:
            return False
    return (store.mask[i, 0] & ~store.mask[j, 0]) == 0 and (store.mask[i, 1] & ~store.mask[j, 1]) == 0


_kept = keep_undominated(_is_dominated, ALIVE, NEXT, BOUND.dominance_looks)


@inner
def level_of(over, pounds):  # type: ignore[no-untyped-def]
    level = 0
    while level + 1 < len(over) and over[level + 1] < pounds:
        level += 1
    return level


@compiled
def load_tails(ways, head, store):  # type: ignore[no-untyped-def]
    """All loads that cost less than they earn, as tails with their `final`; how many tails, or -1 when there
    were too many.
    """
    n, most, room = len(ways.stop), head.shape[0] - 1, len(store.cost)
    store.first[:] = -1
    count, i = 0, -1
    while i < count:
        # a new load begins with its last stop, the others go before a tail
        at = -1 if i < 0 else store.links[i, AT]
        if i < 0 or store.links[i, ALIVE]:
            level = 0 if i < 0 else level_of(ways.over, store.load[i, LB_AT])
            for j in range(n):
                if i >= 0 and store.mask[i, j >> 6] >> np.uint64(j & 63) & np.uint64(1):
                    continue
                fits = True
                for column in range(LIMITS + 1):
                    held = ways.sizes[j, column] + (store.load[i, column] if i >= 0 else 0)
                    store.load[count, column] = held
                    fits = fits and held <= (ways.room[column] if column < LIMITS else most)
                if not fits:
                    continue
                cost = ways.stop[j] + (ways.ends[j] if i < 0 else store.cost[i] + ways.legs[level, j, at])
                if cost + head[most - store.load[count, BINS_AT], j] >= 0:
                    continue
                store.cost[count] = cost
                store.mask[count, 0] = store.mask[i, 0] if i >= 0 else np.uint64(0)
                store.mask[count, 1] = store.mask[i, 1] if i >= 0 else np.uint64(0)
                store.mask[count, j >> 6] |= np.uint64(1) << np.uint64(j & 63)
                store.links[count, PARENT], store.links[count, AT], store.links[count, ALIVE] = i, j, 1
                store.final[count] = cost + ways.entry[level_of(ways.over, store.load[count, LB_AT]), j]
                if _kept(store, count, j, 0.0):
                    count += 1
                    if count >= room:
                        return -1
        i += 1
    return count
