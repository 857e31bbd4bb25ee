"""One step of the search: ruin a part of the plan, put it back cheapest first, keep what anneals.

After Schrimpf et al. 2000, "Record breaking optimization results using the ruin and recreate principle", with
insertion by blinks and the sorts of Christiaens and Vanden Berghe 2020. Runs of good plans are kept in a pool
for the set partition.
"""

import math

from routing.planner.compiled import compiled, inlined
from routing.planner.params import SEARCH
from routing.planner.search.destroy import (
    exchange_runs,
    remove_any,
    remove_loads,
    remove_run,
    remove_strings,
)
from routing.planner.search.repair import move_loads, put_order_in, sort_orders
from routing.planner.search.schedule import give_wood, refresh
from routing.planner.search.state import (
    chance,
    draw,
    keep_best,
    pool_run,
    take_row,
    whole_cost,
)


@compiled
def set_runs(a, st, rows, length):  # type: ignore[no-untyped-def]
    """Make the state hold these runs; False when a run cannot be kept."""
    st.place[:] = -1
    st.taken[:] = 0
    st.total.broken[0] = 0
    for s in range(a.run.home.shape[0]):
        take_row(st, s, rows, s, length[s])
        give_wood(a, st, s, 1)
    for s in range(a.run.home.shape[0]):
        refresh(a, st, s)
    # again: runs that share a truck or a driver were judged before the clocks of the others were known
    is_kept = True
    for s in range(a.run.home.shape[0]):
        is_kept = refresh(a, st, s) and is_kept
    return is_kept


@compiled
def build(a, st, by):  # type: ignore[no-untyped-def]
    """Put every order in that is out, cheapest place first; its cost, unless it left a run no clock can
    keep.
    """
    outs, count = 0, 0
    for o in range(a.prize.shape[0]):
        if st.place[a.order_first[o]] < 0:
            st.order.out[outs] = o
            outs += 1
    sort_orders(a, st, outs, by)
    for i in range(outs):
        count = put_order_in(a, st, st.order.out[i], count, 0.0, 1.0)
    for i in range(count):
        st.run.touched[st.touched[i]] = 0
    st.total.now[0] = whole_cost(a, st)
    if st.total.now[0] < st.total.best[0] and st.total.broken[0] == 0:
        st.total.best[0] = st.total.now[0]
        keep_best(a, st)
    return st.total.now[0]


@compiled
def anneal(a, st, steps, heat, average):  # type: ignore[no-untyped-def]
    """So many steps at one heat (cost units)."""
    for _ in range(steps):
        _step(a, st, heat, average)
    st.total.steps[0] += steps


@inlined
def _step(a, st, heat, average):  # type: ignore[no-untyped-def]
    """Ruin, put back, and keep it if it is better or the heat allows."""
    before = st.total.now[0]
    st.total.broken[0] = 0
    outs, count = _ruin(a, st, average)
    outs = _call_left_out(a, st, outs)
    count = _recreate(a, st, outs, count)
    after = before
    if count > 0 or outs > 0:
        after = whole_cost(a, st)
    if after < before - heat * math.log(chance(st)) and st.total.broken[0] == 0:
        _accept(a, st, after, count)
    else:
        _roll_back(a, st, count)


@inlined
def _ruin(a, st, average):  # type: ignore[no-untyped-def]
    """Take orders out in one of several ways; how many are out, how many runs are touched."""
    outs, count = 0, 0
    which = chance(st)
    if which < SEARCH.exchange_runs:
        count = exchange_runs(a, st, count)
    if which < SEARCH.remove_strings:
        outs, count = remove_strings(a, st, outs, count, average)
    elif which < SEARCH.remove_loads:
        outs, count = remove_loads(a, st, outs, count, 1 + draw(st, SEARCH.most_loads))
    elif which < SEARCH.remove_run:
        outs, count = remove_run(a, st, outs, count, 2 * int(average) + 4)
    else:
        outs, count = remove_any(a, st, outs, count, max(2, min(6, a.prize.shape[0] // 3)))
    for i in range(count):
        if not refresh(a, st, st.touched[i]):
            st.total.broken[0] = 1
    return outs, count


@inlined
def _call_left_out(a, st, outs):  # type: ignore[no-untyped-def]
    """Add some of the orders the plan leaves out to those to put back; how many there are then."""
    orders, removed = a.prize.shape[0], outs
    start = draw(st, orders)
    for k in range(orders):
        o = (start + k) % orders
        if st.order.mark[o] == 0 and st.place[a.order_first[o]] < 0:
            st.order.out[outs] = o
            st.order.mark[o] = 1
            outs += 1
            if outs - removed >= SEARCH.left_out_tried:
                break
    return outs


@inlined
def _recreate(a, st, outs, count):  # type: ignore[no-untyped-def]
    """Put the orders back and mend the yards of what changed; how many runs are touched."""
    sort_orders(a, st, outs, SEARCH.sorts[draw(st, len(SEARCH.sorts))])
    eager = 1.0 if chance(st) < SEARCH.sober else SEARCH.eager
    for i in range(outs):
        o = st.order.out[i]
        st.order.mark[o] = 0
        count = put_order_in(a, st, o, count, SEARCH.blink, eager)
    for i in range(count):
        s = st.touched[i]
        if st.run.length[s] > 0 and chance(st) < SEARCH.move_loads:
            move_loads(a, st, s)
    return count


@inlined
def _accept(a, st, after, count):  # type: ignore[no-untyped-def]
    st.total.now[0] = after
    if after <= st.total.best[0] + st.total.best[0] // SEARCH.pool_within:
        for i in range(count):
            pool_run(a, st, st.touched[i])
    if after < st.total.best[0]:
        st.total.best[0] = after
        st.total.better[0] += 1
        keep_best(a, st)
    for i in range(count):
        st.run.touched[st.touched[i]] = 0


@inlined
def _roll_back(a, st, count):  # type: ignore[no-untyped-def]
    """Make the touched runs what they were."""
    for i in range(count):
        s = st.touched[i]
        give_wood(a, st, s, -1)
        for j in range(st.run.length[s]):
            if st.tokens[s, j] >= 0:
                st.place[st.tokens[s, j]] = -1
    for i in range(count):
        s = st.touched[i]
        take_row(st, s, st.saved_tokens, s, st.run.saved_length[s])
        give_wood(a, st, s, 1)
    for i in range(count):
        refresh(a, st, st.touched[i])
    for i in range(count):
        s = st.touched[i]
        st.run.version[s] = st.run.saved_version[s]
        st.run.touched[s] = 0
