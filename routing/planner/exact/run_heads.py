"""What the head of a run may still gain, in steps of time: a relaxation for the bound by whole runs.

A head comes from home to some stop or yard by a time, with some room taken in its load; it may serve a stop
twice unless one comes right after the other. Two heads from different stops are kept everywhere, so that one
is left when the tail may not meet the other.
"""

from typing import NamedTuple

import numpy as np

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled, inlined


class Times(NamedTuple):
    """Steps of time, N stops, Y yards, G groups."""

    yard_opens: Ints  # Y
    way: Ints  # Y
    enter: Ints  # Y x N
    leg: Ints  # G x N x N
    leave: Ints  # G x N x Y
    home: Ints  # G x N, the latest at a drop to be home in time
    opens: Ints  # N
    latest: Ints  # N


class WayCosts(NamedTuple):
    """What the ways of `Times` cost, with the stop they come from."""

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


@inlined
def best_two_by_predecessor(low, low2, at, other, other2, other_at):  # type: ignore[no-untyped-def]
    """The best of two, the best that does not come from where that one does, and from where."""
    if other < low:
        low, low2, at, other, other2, other_at = other, other2, other_at, low, low2, at
    return low, min(low2, other2 if other_at == at else other), at


@inlined
def _count_visits(bins, of, times, costs, tables, places, least, g, r, k, visits):  # type: ignore[no-untyped-def]
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
def heads(bins, most, of, times, costs, tables, places, least, visits):  # type: ignore[no-untyped-def]
    """Fill in the least cost of a head by time, room taken in its load and the stop or yard it comes to.

    Shapes
        N stops, Y yards, R steps of time, V bins, G groups. tables: (best, second, from) of G x V x R x N,
        the head at a stop by that time with that much room taken or less; places: the same of R x Y; least:
        G x R x N over all V. `from` is the last stop before; the second best comes from another. Returns the
        least cost of a whole run, whose stops are counted in `visits`.
    """
    best, second, came = tables
    opens, latest = times.opens, times.latest
    groups, n = times.leg.shape[0], len(bins)
    for r in range(best.shape[2]):
        _heads_at_yards(times, costs, places, least, r)
        for g in range(groups):
            for v in range(most + 1):
                for k in range(n):
                    if v + bins[k] > most or r < opens[k] or latest[k] < opens[k]:
                        continue
                    if r > latest[k]:
                        low, low2, at = best[g, v, r - 1, k], second[g, v, r - 1, k], came[g, v, r - 1, k]
                    elif v == 0:
                        low, low2, at = _head_from_yard(of, times, costs, places, g, r, k)
                    else:
                        low, low2, at = _head_from_stop(bins, times, costs, tables, g, v, r, k)
                    best[g, v, r, k], second[g, v, r, k], came[g, v, r, k] = low, low2, at
                    least[g, r, k] = min(least[g, r, k], low)
    low, g_at, r_at, k_at = np.inf, -1, -1, -1
    for g in range(groups):
        for k in range(n):
            r = min(best.shape[2] - 1, times.home[g, k])
            if r >= 0 and least[g, r, k] + costs.home[g, k] < low:
                low, g_at, r_at, k_at = least[g, r, k] + costs.home[g, k], g, r, k
    if g_at >= 0:
        _count_visits(bins, of, times, costs, tables, places, least, g_at, r_at, k_at, visits)
    _with_less_room(tables)
    return low


@inlined
def _heads_at_yards(times, costs, places, least, r):  # type: ignore[no-untyped-def]
    """The least cost of standing empty at each yard by a time."""
    place, place2, last = places
    groups, _, n = least.shape
    for y in range(len(times.way)):
        low, low2, at = np.inf, np.inf, -1
        if r >= times.way[y]:
            low = costs.way[y]
        for g in range(groups):
            for k in range(n):
                rest = r - times.leave[g, k, y]
                if rest >= 0:
                    value = least[g, rest, k] + costs.leave[g, k, y]
                    low, low2, at = best_two_by_predecessor(low, low2, at, value, np.inf, k)
        place[r, y], place2[r, y], last[r, y] = low, low2, at


@inlined
def _head_from_yard(of, times, costs, places, g, r, k):  # type: ignore[no-untyped-def]
    """The best two heads at the first stop of a load."""
    place, place2, last = places
    low, low2, at = np.inf, np.inf, -1
    for y in range(len(times.way)):
        rest = r - times.enter[y, k]
        if rest < times.yard_opens[y] or of[y] != g:
            continue
        value, value2, before = place[rest, y], place2[rest, y], last[rest, y]
        if before == k:
            value, value2, before = value2, np.inf, -2
        cost = costs.enter[y, k]
        low, low2, at = best_two_by_predecessor(low, low2, at, value + cost, value2 + cost, before)
    return low, low2, at


@inlined
def _head_from_stop(bins, times, costs, tables, g, v, r, k):  # type: ignore[no-untyped-def]
    """The best two heads at a later stop of a load."""
    best, second, came = tables
    low, low2, at = np.inf, np.inf, -1
    for j in range(len(bins)):
        rest, room = r - times.leg[g, j, k], v - bins[j]
        if j == k or rest < 0 or room < 0:
            continue
        value = second[g, room, rest, j] if came[g, room, rest, j] == k else best[g, room, rest, j]
        value += costs.leg[g, j, k]
        if value < low:
            low2, low, at = low, value, j
        elif value < low2:
            low2 = value
    return low, low2, at


@inlined
def _with_less_room(tables):  # type: ignore[no-untyped-def]
    """Make each entry the best of those with as much room taken or less."""
    best, second, came = tables
    groups, bins, steps, n = best.shape
    for g in range(groups):
        for v in range(1, bins):
            for r in range(steps):
                for k in range(n):
                    best[g, v, r, k], second[g, v, r, k], came[g, v, r, k] = best_two_by_predecessor(
                        best[g, v, r, k],
                        second[g, v, r, k],
                        came[g, v, r, k],
                        best[g, v - 1, r, k],
                        second[g, v - 1, r, k],
                        came[g, v - 1, r, k],
                    )
