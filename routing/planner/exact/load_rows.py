"""Loads in a row, as one run drives them: the cheapest rows of a day at given prices.

A tail is the end of a row from the filling of some load on, lengthened backward; its clock (e, d, l) is
that of `search.schedule`. It remembers what it brought only if that is near to a stop of its first load
(ng-routes, Baldacci, Mingozzi and Roberti 2011), so a row may bring a far part twice: more rows than there
are, never fewer. What a head may still gain is known by steps of time, rounded down where a load ends, for
rows that may bring anything twice. Where the day has a pause, one wait of a row is unpaid, for as long as
the pause at most.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled, inlined, inner
from routing.planner.exact.dominance import keep_undominated
from routing.planner.exact.timed_loads import D, E, L, brings_no_more, is_no_worse
from routing.planner.params import BOUND
from routing.planner.search.schedule import joined
from routing.planner.search.state import FAR

PLACE, IS_RESTED, ROW, PARENT, ALIVE, MATE = range(6)  # of `links`


class Rows(NamedTuple):
    """R loads by where they end and begin, and what they cost with their time; Y yards, then home."""

    cost: Floats
    paid: Floats  # with the wage of `clock`'s d
    clock: Ints  # x 3
    work: Ints
    begin: Ints
    end: Ints
    mask: NDArray[np.uint64]  # x 2
    near: NDArray[np.uint64]  # x 2, what is remembered before it
    starts: Ints  # (Y + 1) * Y + 1, where each end and begin starts


class Day(NamedTuple):
    """The hours of a run and what its time costs. Times in seconds, steps from its start."""

    start: int
    step: int
    steps: int
    longest: int
    wage: float  # of a second; and what of it is not paid while resting
    unpaid: float
    pause: int
    out_c: Floats  # Y, the road from home to each yard, with all that a run costs once
    out_s: Ints


class RowTails(NamedTuple):
    """Room for tails of rows; final: cost and seconds of the whole run, once it is one."""

    cost: Floats
    final: Floats
    seconds: Ints
    clock: Ints  # x 3
    mask: NDArray[np.uint64]  # x 2
    links: Ints  # x 6
    first: Ints  # of each place's list
    done: Ints


def new_row_tails(most: int, yards: int) -> RowTails:
    """Room for so many tails of rows of any run."""
    return RowTails(
        cost=np.zeros(most),
        final=np.zeros(most),
        seconds=np.zeros(most, np.int64),
        clock=np.zeros((most, 3), np.int64),
        mask=np.zeros((most, 2), np.uint64),
        links=np.zeros((most, 6), np.int64),
        first=np.zeros(2 * yards, np.int64),
        done=np.zeros(most, np.int64),
    )


@compiled
def undominated(cost, clock, work, starts, is_kept):  # type: ignore[no-untyped-def]
    """Mark the loads that no other of the same way beats, whatever they bring."""
    for group in range(len(starts) - 1):
        for i in range(starts[group], starts[group + 1]):
            is_kept[i] = True
            for j in range(starts[group], starts[group + 1]):
                # of two that beat each other the earlier one is kept
                may_beat = is_kept[j] if j < i else j > i
                if not may_beat or work[j] > work[i] or not is_no_worse(cost, clock, j, i):
                    continue
                if j < i or work[i] < work[j] or not is_no_worse(cost, clock, i, j):
                    is_kept[i] = False
                    break


@compiled
def heads_of_rows(rows, day, low):  # type: ignore[no-untyped-def]
    """The least cost of being at each yard at each step (rested or not); rows may bring a part twice."""
    low[:] = np.inf
    states = 2 if day.pause > 0 else 1
    second = day.wage - day.unpaid
    for y in range(len(day.out_c)):
        # a step less is paid, since a row may begin between two
        low[0, y, day.out_s[y] // day.step :] = day.out_c[y] + day.wage * (day.out_s[y] - day.step)
    for k in range(day.steps):
        t = day.start + k * day.step
        for y in range(len(day.out_c)):
            for s in range(states):
                if k > 0:
                    low[s, y, k] = min(low[s, y, k], low[s, y, k - 1] + day.wage * day.step)
            for j in range(min(day.pause // day.step + 2, k + 1) if states == 2 else 0):
                low[1, y, k] = min(low[1, y, k], low[0, y, k - j] + second * day.step * j)
        for r in range(len(rows.cost)):
            y, end = rows.begin[r], rows.end[r]
            if end == len(day.out_c) or t > rows.clock[r, L]:
                continue
            till = max(t, rows.clock[r, E]) + rows.clock[r, D]
            to = (till - day.start) // day.step
            if to >= day.steps:
                continue
            paid = rows.cost[r] + day.wage * day.step * (to - k)
            for s in range(states):
                low[s, end, to] = min(low[s, end, to], low[s, y, k] + paid)
            rest = min(day.pause, till - t - rows.work[r])
            if rest > 0:
                low[1, end, to] = min(low[1, end, to], low[0, y, k] + paid - day.unpaid * rest)


@compiled
def least_of_rows(rows, day, low):  # type: ignore[no-untyped-def]
    """The least cost of a whole row by these heads and one more load."""
    least = np.inf
    for r in range(rows.starts[-1 - len(day.out_c)], len(rows.cost)):
        for k in range(day.steps):
            t = day.start + k * day.step
            if t > rows.clock[r, L]:
                break
            took = max(t, rows.clock[r, E]) + rows.clock[r, D] - t
            rest = min(day.pause, took - rows.work[r])
            value = rows.cost[r] + day.wage * (took - day.step)
            least = min(least, low[0, rows.begin[r], k] + value - day.unpaid * max(0, rest))
            if day.pause > 0:
                least = min(least, low[1, rows.begin[r], k] + value)
    return least


@inner
def _completion_bound(low, least, day, y, is_rested, e, l):  # type: ignore[no-untyped-def]
    """The least cost of a head that a tail with this clock may have."""
    state = 1 if day.pause > 0 and not is_rested else 0
    early = min(day.steps - 1, max(0, (e - day.start) // day.step))
    late = min(day.steps - 1, (l - day.start) // day.step)
    return min(low[state, y, early], least[state, y, late]) - day.wage * day.step


@inner
def _dominates(tails, i, j, wage):  # type: ignore[no-untyped-def]
    """Whether tail j, of the same place, is no better than i in anything."""
    if tails.cost[i] > tails.cost[j] or tails.clock[i, L] < tails.clock[j, L]:
        return False
    later = max(0, tails.clock[i, E] - tails.clock[j, E])
    if tails.cost[i] + wage * later > tails.cost[j] or tails.clock[i, D] + later > tails.clock[j, D]:
        return False
    return brings_no_more(tails.mask, i, j)


_kept = keep_undominated(_dominates, ALIVE, MATE, BOUND.row_looks)


@inlined
def _is_extended(rows, day, low, least, tails, i, r, rests, limit, to):  # type: ignore[no-untyped-def]
    """Write down tail i (-1: home) with load r before it, resting or not, unless it cannot be or would not
    matter.
    """
    e2, d2, l2, cost, is_rested = 0, 0, FAR, 0.0, 0
    if i >= 0:
        e2, d2, l2 = tails.clock[i, E], tails.clock[i, D], tails.clock[i, L]
        cost, is_rested = tails.cost[i], tails.links[i, IS_RESTED]
    e, d, l = joined(rows.clock[r, E], rows.clock[r, D], rows.clock[r, L], 0, e2, d2, l2)
    y = rows.begin[r]
    if l < day.start + day.out_s[y] or d + day.out_s[y] > day.longest:
        return False
    cost += rows.cost[r] + day.wage * (d - d2)
    if rests:
        rest = min(day.pause, d - d2 - rows.work[r])
        if rest <= 0:
            return False
        cost -= day.unpaid * rest
        is_rested = 1
    if cost + _completion_bound(low, least, day, y, is_rested, e, l) >= limit:
        return False
    for word in range(2):
        kept = tails.mask[i, word] & rows.near[r, word] if i >= 0 else np.uint64(0)
        tails.mask[to, word] = kept | rows.mask[r, word]
    tails.cost[to] = cost
    tails.clock[to, E], tails.clock[to, D], tails.clock[to, L] = e, d, l
    tails.links[to, PLACE], tails.links[to, IS_RESTED] = y, is_rested
    tails.links[to, ROW], tails.links[to, PARENT], tails.links[to, ALIVE] = r, i, 1
    _, whole, last = joined(day.start, 0, FAR, day.out_s[y], e, d, l)
    tails.final[to], tails.seconds[to] = np.inf, whole
    if last >= 0 and whole <= day.longest:
        tails.final[to] = cost + day.out_c[y] + day.wage * (whole - d)
    return True


@compiled
def rows_under(rows, day, low, least, tails, limit):  # type: ignore[no-untyped-def]
    """All rows that cost less than a limit, written down as `done`; how many tails it took, or -1 when they
    were too many, and how many rows are done. least: of `low` up to each step.
    """
    yards = len(day.out_c)
    tails.first[:] = -1
    count, done, i = 0, 0, -1
    while i < count:
        if i < 0 or tails.links[i, ALIVE]:
            end = yards if i < 0 else tails.links[i, PLACE]
            may_rest = day.pause > 0 and (i < 0 or not tails.links[i, IS_RESTED])
            cost = 0.0 if i < 0 else tails.cost[i]
            for begin in range(yards):
                room = limit - cost - least[1 if may_rest else 0, begin, day.steps - 1]
                room += day.wage * day.step + (day.unpaid * day.pause if may_rest else 0.0)
                for r in range(rows.starts[end * yards + begin], rows.starts[end * yards + begin + 1]):
                    if rows.paid[r] >= room:
                        break
                    if i >= 0 and (
                        (tails.mask[i, 0] & rows.mask[r, 0]) != 0 or (tails.mask[i, 1] & rows.mask[r, 1]) != 0
                    ):
                        continue
                    for rests in range(2 if may_rest else 1):
                        if not _is_extended(rows, day, low, least, tails, i, r, rests == 1, limit, count):
                            continue
                        if not _kept(tails, count, begin * 2 + tails.links[count, IS_RESTED], day.wage):
                            continue
                        if tails.final[count] < limit:
                            tails.done[done] = count
                            done += 1
                        count += 1
                        if count >= len(tails.cost):
                            return -1, done
        i += 1
    return count, done


@compiled
def least_knapsack(value, steps, low):  # type: ignore[no-untyped-def]
    """The least sum of values whose steps fit so many steps, each as often as wanted, for every number."""
    low[0] = 0.0
    for k in range(1, len(low)):
        low[k] = low[k - 1]
        for i in range(len(value)):
            need = max(1, steps[i])
            if need <= k:
                low[k] = min(low[k], low[k - need] + value[i])
