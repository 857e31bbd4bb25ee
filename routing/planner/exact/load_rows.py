"""Loads in a row, as one run drives them: the cheapest rows of a day at given prices.

Time goes in steps and is rounded down where a load ends, and a row is paid for one step less than it takes,
since it may begin between two: no run costs less than its row. A partial row remembers what it brought only
if that is near to a stop of its last load (ng-routes, Baldacci, Mingozzi and Roberti 2011), so it may bring a
far part twice: more rows than there are, never fewer. Where the day has a pause, one wait of a row is unpaid,
for as long as the pause at most.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled, inlined, inner
from routing.planner.exact.timed_loads import D, E, L, brings_no_more, is_no_worse
from routing.planner.params import BOUND

STEP_AT, PLACE, IS_RESTED, ROW, PARENT, ALIVE, BEGAN, NEXT, MATE = range(9)  # of `at`


class Rows(NamedTuple):
    """R loads by where they begin, where they end, and what they cost with their time; Y yards, then home."""

    cost: Floats
    paid: Floats  # with the wage of `clock`'s d
    clock: Ints  # x 3
    work: Ints
    end: Ints
    mask: NDArray[np.uint64]  # x 2
    near: NDArray[np.uint64]  # x 2, what is remembered after it
    starts: Ints  # Y * (Y + 1) + 1, where each begin and end starts


class Leaving(NamedTuple):
    """The rows that leave home within a time. Times in seconds, steps from the start of the run."""

    start: int
    step: int
    steps: int
    since: int
    until: int
    wage: float  # of a second; and what of it is not paid while resting
    unpaid: float
    pause: int
    out_c: Floats  # Y, from home to each yard, with all that a run costs once
    out_s: Ints


class Partial(NamedTuple):
    """Room for partial rows, each at the end of its last load."""

    cost: Floats
    mask: NDArray[np.uint64]  # x 2
    at: Ints  # x 9
    first: Ints  # of each place's list
    of_step: Ints  # of each step's list
    done: Ints


def new_partial(most: int, ends: int, steps: int) -> Partial:
    """Room for so many partial rows of any run."""
    return Partial(
        cost=np.zeros(most),
        mask=np.zeros((most, 2), np.uint64),
        at=np.zeros((most, 9), np.int64),
        first=np.zeros(2 * ends, np.int64),
        of_step=np.zeros(steps, np.int64),
        done=np.zeros(most, np.int64),
    )


@compiled
def unbeaten(cost, clock, work, starts, is_kept):  # type: ignore[no-untyped-def]
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
def ends_of_rows(rows, day, low):  # type: ignore[no-untyped-def]
    """The least cost from each yard and time home (rested or not), where a row may bring a part twice."""
    yards = len(day.out_c)
    states = 2 if day.pause > 0 else 1
    low[:, yards, : day.steps] = 0.0
    low[:, :yards, : day.steps] = np.inf
    for k in range(day.steps - 1, -1, -1):
        t = day.start + k * day.step
        for y in range(yards):
            for r in range(rows.starts[y * (yards + 1)], rows.starts[(y + 1) * (yards + 1)]):
                if t > rows.clock[r, L]:
                    continue
                till = max(t, rows.clock[r, E]) + rows.clock[r, D]
                to = (till - day.start) // day.step
                if to >= day.steps:
                    continue
                paid = rows.cost[r] + day.wage * day.step * (to - k)
                for s in range(states):
                    low[s, y, k] = min(low[s, y, k], paid + low[s, rows.end[r], to])
                rest = min(day.pause, till - t - rows.work[r])
                if rest > 0:
                    low[0, y, k] = min(low[0, y, k], paid - day.unpaid * rest + low[1, rows.end[r], to])


@compiled
def least_of_rows(day, low):  # type: ignore[no-untyped-def]
    """The least cost of a whole row by these ends."""
    least = np.inf
    for y in range(len(day.out_c)):
        early, late = _begins(day, y)
        for k in range(early, late + 1):
            least = min(least, day.out_c[y] + low[0, y, k])
    return least


@inner
def _begins(day, y):  # type: ignore[no-untyped-def]
    """The first and last step at which a row may begin at a yard."""
    early = (day.since + day.out_s[y] - day.start) // day.step
    late = (day.until + day.out_s[y] - day.start) // day.step
    return early, min(late, day.steps - 1)


@inner
def _beats(rows, i, j, wage):  # type: ignore[no-untyped-def]
    """Whether partial row j, at the same place, is no better than i in anything."""
    waits = rows.at[j, STEP_AT] - rows.at[i, STEP_AT]
    if waits < 0 or rows.cost[i] + wage * waits > rows.cost[j]:
        return False
    return brings_no_more(rows.mask, i, j)


@inner
def _kept(rows, i, at, wage):  # type: ignore[no-untyped-def]
    """Put partial row i into a list unless it is beaten; take out those it beats."""
    before, j, looked = -1, rows.first[at], 0
    while j >= 0 and looked < BOUND.row_looks:
        looked += 1
        if _beats(rows, j, i, wage):
            return False
        following = rows.at[j, MATE]
        if _beats(rows, i, j, wage):
            rows.at[j, ALIVE] = 0
            if before < 0:
                rows.first[at] = following
            else:
                rows.at[before, MATE] = following
        else:
            before = j
        j = following
    rows.at[i, MATE] = rows.first[at]
    rows.first[at] = i
    return True


@inlined
def _is_lengthened(rows, day, low, partial, i, k, cost, r, rests, limit, to):  # type: ignore[no-untyped-def]
    """Write down partial row i (-1: none) with load r behind it from step k on, resting or not, unless it
    cannot be or would not matter.
    """
    t = day.start + k * day.step
    if t > rows.clock[r, L]:
        return False
    till = max(t, rows.clock[r, E]) + rows.clock[r, D]
    end, then = rows.end[r], (till - day.start) // day.step
    if then >= day.steps:
        return False
    total = cost + rows.cost[r] + day.wage * day.step * (then - k)
    rested = partial.at[i, IS_RESTED] if i >= 0 else 0
    if rests:
        rest = min(day.pause, till - t - rows.work[r])
        if rest <= 0:
            return False
        total -= day.unpaid * rest
        rested = 1
    if total + low[rested, end, then] >= limit:
        return False
    for word in range(2):
        kept = partial.mask[i, word] & rows.near[r, word] if i >= 0 else np.uint64(0)
        partial.mask[to, word] = kept | rows.mask[r, word]
    partial.cost[to] = total
    partial.at[to, STEP_AT], partial.at[to, PLACE], partial.at[to, IS_RESTED] = then, end, rested
    partial.at[to, ROW], partial.at[to, PARENT], partial.at[to, ALIVE] = r, i, 1
    partial.at[to, BEGAN] = k if i < 0 else partial.at[i, BEGAN]
    return True


@inlined
def _lengthen(rows, day, low, partial, i, y, limit, count, done):  # type: ignore[no-untyped-def]
    """Put every load that begins at yard y behind partial row i (-1: none); how many rows, and how many are
    home.
    """
    yards = len(day.out_c)
    cost = day.out_c[y] if i < 0 else partial.cost[i]
    may_rest = day.pause > 0 and (i < 0 or partial.at[i, IS_RESTED] == 0)
    early, late = _begins(day, y)
    k = early if i < 0 else partial.at[i, STEP_AT]
    if k >= day.steps:
        return count, done
    state = 0 if i < 0 else partial.at[i, IS_RESTED]
    for end in range(yards + 1):
        room = limit - cost - low[state, end, k] + (day.unpaid * day.pause if may_rest else 0.0)
        group = y * (yards + 1) + end
        for r in range(rows.starts[group], rows.starts[group + 1]):
            if rows.paid[r] >= room:
                break
            if i < 0:
                # leaves as late as its first load allows without waiting
                k = max(early, min(late, (rows.clock[r, E] - day.start) // day.step))
            elif (partial.mask[i, 0] & rows.mask[r, 0]) != 0 or (partial.mask[i, 1] & rows.mask[r, 1]) != 0:
                continue
            for rests in range(2 if may_rest else 1):
                if not _is_lengthened(rows, day, low, partial, i, k, cost, r, rests == 1, limit, count):
                    continue
                if end == yards:
                    partial.done[done] = count
                    done += 1
                else:
                    at = end * 2 + partial.at[count, IS_RESTED]
                    if not _kept(partial, count, at, day.wage * day.step):
                        continue
                    then = partial.at[count, STEP_AT]
                    partial.at[count, NEXT] = partial.of_step[then]
                    partial.of_step[then] = count
                count += 1
                if count >= len(partial.cost):
                    return -1, done
    return count, done


@compiled
def rows_under(rows, day, low, partial, limit):  # type: ignore[no-untyped-def]
    """All rows that cost less than a limit, written down as `done`; how many partial rows it took, or -1 when
    they were too many, and how many are done.
    """
    partial.first[:] = -1
    partial.of_step[:] = -1
    count, done = 0, 0
    for y in range(len(day.out_c)):
        count, done = _lengthen(rows, day, low, partial, -1, y, limit, count, done)
        if count < 0:
            return count, done
    for k in range(day.steps):
        i = partial.of_step[k]
        while i >= 0:
            if partial.at[i, ALIVE]:
                y = partial.at[i, PLACE]
                count, done = _lengthen(rows, day, low, partial, i, y, limit, count, done)
                if count < 0:
                    return count, done
            i = partial.at[i, NEXT]
    return count, done


@compiled
def filled_up(value, steps, low):  # type: ignore[no-untyped-def]
    """The least sum of values whose steps fit so many steps, each as often as wanted, for every number."""
    low[0] = 0.0
    for k in range(1, len(low)):
        low[k] = low[k - 1]
        for i in range(len(value)):
            need = max(1, steps[i])
            if need <= k:
                low[k] = min(low[k], low[k - need] + value[i])
