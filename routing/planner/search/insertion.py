"""Where one more part would go: the cheapest place in a run, at every yard that holds its wood.

Each place is judged from the clocks `schedule` keeps of all before and all after it: in constant time, and
along a load only for the legs the added weight is aboard on. A pause and the turn of runs that share a truck
or a driver are only estimated here (`refresh` has the last word on them).
"""

from routing.planner.compiled import inlined, inner
from routing.planner.search.schedule import (
    joined,
    load_end,
    load_fits_yard,
    loading_seconds,
    refresh,
    remove,
    road_table,
    token_loc,
    weigh,
)
from routing.planner.search.state import NEVER, keep_row, take_row

# kinds of insertion: into a load (which may move to another yard), as a new load, with a second fill
INTO, NEW, FILL_BEFORE, FILL_AFTER = range(4)


@inner
def free_yards(a, st, p):  # type: ignore[no-untyped-def]
    """Yards that still hold a part's wood, as bits."""
    mask = a.part.yards[p]
    if a.is_tight == 0:
        return mask
    for y in range(a.yard.loc.shape[0]):
        if mask >> y & 1:
            for k in range(a.stock.shape[1]):
                if st.taken[y, k] + a.part_wood[p, k] > a.stock[y, k]:
                    mask -= 1 << y
                    break
    return mask


@inner
def cheapest_insertion(a, st, p, s, mask):  # type: ignore[no-untyped-def]
    """The cheapest place for a part in a run, kept in `seen`; its cost is NEVER when there is none."""
    st.seen.version[p, s] = st.run.version[s]
    st.seen.yards[p, s] = mask
    st.seen.cost[p, s] = NEVER
    if a.allowed[p, s] == 0 or mask == 0 or not _crew_can(a, st, p, s):
        return NEVER
    begin, n = 0, st.run.length[s]
    while begin <= n:
        _judge_new_load(a, st, p, s, mask, begin)
        if begin == n:
            break
        end = load_end(st, s, begin)
        if load_holds(a, st, s, begin, p):
            _judge_load(a, st, p, s, mask, begin, end)
        begin = end
    return st.seen.cost[p, s]


@inlined
def _crew_can(a, st, p, s):  # type: ignore[no-untyped-def]
    """Whether the crew of that day can handle one more part."""
    if a.run.most_quantity[s] < 0:
        return True
    handled = st.run.quantity[s]
    if a.run.group[s] >= 0:
        for k in range(a.mates.shape[1]):
            u = a.mates[a.run.group[s], k]
            if u >= 0 and u != s and a.run.driver[u] == a.run.driver[s]:
                handled += st.run.quantity[u]
    return handled + a.part.quantity[p] <= a.run.most_quantity[s]


@inlined
def load_holds(a, st, s, begin, p):  # type: ignore[no-untyped-def]
    """Whether a load has room for one more part, in the trailer or in the bed beside it."""
    ft3 = st.load.ft3[s, begin] + a.part.ft3[p]
    lb = st.load.lb[s, begin] + a.part.lb[p]
    if ft3 <= a.run.ft3[s] and lb <= a.run.lb[s]:
        return True
    if ft3 > a.run.ft3[s] + a.run.bed_ft3[s] or lb > a.run.lb[s] + a.run.bed_lb[s]:
        return False
    end = load_end(st, s, begin)
    over_ft3, over_lb = ft3 - a.run.ft3[s], lb - a.run.lb[s]
    bed_ft3, bed_lb = a.run.bed_ft3[s], a.run.bed_lb[s]
    for k in range(a.wood.step.shape[0]):
        if a.wood.step[k] == 0:
            continue
        quantity = a.part_wood[p, k]
        for i in range(begin, end):
            if st.tokens[s, i] >= 0:
                quantity += a.part_wood[st.tokens[s, i], k]
        each_ft3, each_lb = a.wood.ft3[k] * a.wood.step[k], a.wood.lb[k] * a.wood.step[k]
        steps = quantity // a.wood.step[k]
        if each_ft3 > 0:
            steps = min(steps, bed_ft3 // each_ft3)
        if each_lb > 0:
            steps = min(steps, bed_lb // each_lb)
        # no more than needed, so that room is left for the next wood
        wanted = 0
        if each_ft3 > 0:
            wanted = max(wanted, (over_ft3 + each_ft3 - 1) // each_ft3)
        if each_lb > 0:
            wanted = max(wanted, (over_lb + each_lb - 1) // each_lb)
        steps = min(steps, wanted)
        over_ft3 -= steps * each_ft3
        over_lb -= steps * each_lb
        bed_ft3 -= steps * each_ft3
        bed_lb -= steps * each_lb
    return over_ft3 <= 0 and over_lb <= 0


@inlined
def _cost_of(a, st, s, road, e, d, l):  # type: ignore[no-untyped-def]
    """What a run's new clock and roads add, or NEVER when it cannot be."""
    if l < st.run.since[s] or d > a.run.longest[s]:
        return NEVER
    leave = max(e, st.run.since[s])
    back = leave + d
    if leave < a.run.pause_from[s] and back > a.run.pause_to[s]:
        back += a.run.pause[s]
    if back > st.run.until[s] and st.run.length[s] > 0:
        return NEVER
    before = st.run.d[s] if st.run.length[s] > 0 else 0
    return road + (d - before) * a.run.wage[s]


@inlined
def _note(st, p, s, cost, token, y, kind):  # type: ignore[no-untyped-def]
    if cost < st.seen.cost[p, s]:
        st.seen.cost[p, s] = cost
        st.seen.token[p, s] = token
        st.seen.yard[p, s] = y
        st.seen.kind[p, s] = kind


@inlined
def _judge_new_load(a, st, p, s, mask, i):  # type: ignore[no-untyped-def]
    """A load of its own before the one that begins at token i, or at the end."""
    n = st.run.length[s]
    home, where = a.run.home[s], a.part.loc[p]
    empty, heavy = a.band_table[s, 0], road_table(a, s, a.part.lb[p])
    before = home if i == 0 else token_loc(a, st.tokens[s, i - 1])
    after = home if i == n else token_loc(a, st.tokens[s, i])
    saved = a.run.fixed[s] * -1 if n == 0 else a.meters[empty, before, after] * a.run.empty_rate[s]
    back_road = a.meters[empty, where, after] * a.run.empty_rate[s] - saved
    for y in range(a.yard.loc.shape[0]):
        if not mask >> y & 1:
            continue
        yard = a.yard.loc[y]
        road = (
            a.meters[empty, before, yard] * a.run.empty_rate[s]
            + a.meters[heavy, yard, where] * a.run.loaded_rate[s]
            + back_road
        )
        if road >= st.seen.cost[p, s]:
            continue
        e, d, l = _clock_at_yard(
            a, s, y, a.part.quantity[p], st.head.e[s, i], st.head.d[s, i], st.head.l[s, i], empty, before
        )
        e, d, l = joined(
            e, d, l, a.seconds[heavy, yard, where], a.part.opens[p], a.part.service[p], a.part.closes[p]
        )
        e, d, l = joined(
            e, d, l, a.seconds[empty, where, after], st.tail.e[s, i], st.tail.d[s, i], st.tail.l[s, i]
        )
        if l >= 0:
            _note(st, p, s, _cost_of(a, st, s, road, e, d, l), i, y, NEW)


@inlined
def _clock_at_yard(a, s, y, quantity, e, d, l, table, before):  # type: ignore[no-untyped-def]
    """A clock carried on over driving to a yard and loading there."""
    stay = loading_seconds(a, y, quantity)
    drive = a.seconds[table, before, a.yard.loc[y]]
    return joined(e, d, l, drive, a.hours[y, s, 0], stay, a.hours[y, s, 1] - stay)


@inlined
def _judge_load(a, st, p, s, mask, begin, end):  # type: ignore[no-untyped-def]
    """Within a load: from its own yard or another, or with a second yard before or after its own."""
    yards = a.yard.loc.shape[0]
    now, has_two = -1 - st.tokens[s, begin], st.load.fills[s, begin] == 2
    for option in range(yards if has_two or a.fill_yards < 2 else 3 * yards):
        y = option % yards
        kind = (INTO, FILL_BEFORE, FILL_AFTER)[option // yards]
        first, second, at = now, -1, 0  # at: which of the two is filled with the part
        if has_two:
            second = -1 - st.tokens[s, begin + 1]
            at = 0 if y == now else 1
            if not mask >> y & 1 or (y != now and y != second):
                continue
        elif kind == INTO:
            first = y
            if not (a.part.yards[p] & st.load.yards[s, begin]) >> y & 1 or (y == now and not mask >> y & 1):
                continue
            if y != now and a.is_tight == 1 and not load_fits_yard(a, st, s, begin, y, p):
                continue
        else:
            if y == now or not mask >> y & 1:
                continue
            first, second = (y, now) if kind == FILL_BEFORE else (now, y)
            at = 0 if kind == FILL_BEFORE else 1
        _judge_fills(a, st, p, s, begin, end, first, second, at, y, kind)


@inlined
def _judge_fills(a, st, p, s, begin, end, first, second, at, y, kind):  # type: ignore[no-untyped-def]
    """At every place among a load's stops, when it is filled at one yard or (second >= 0) at two."""
    quantity, lb = st.load.quantity[s, begin], st.load.aboard[s, begin]
    if kind == FILL_BEFORE:
        quantity, lb = 0, 0
    if at == 0:
        quantity += a.part.quantity[p]
        lb += a.part.lb[p]
    empty = a.band_table[s, 0]
    before = a.run.home[s] if begin == 0 else token_loc(a, st.tokens[s, begin - 1])
    e, d, l = _clock_at_yard(
        a, s, first, quantity, st.head.e[s, begin], st.head.d[s, begin], st.head.l[s, begin], empty, before
    )
    here = a.yard.loc[first]
    road = a.meters[empty, before, here] * a.run.empty_rate[s] - st.head.road[s, begin]
    last_fill = begin + st.load.fills[s, begin] - 1
    if last_fill > begin:
        road -= st.head.road[s, last_fill]
    if second >= 0:
        # all that the load holds, less what the first yard gave
        whole = a.part.quantity[p] + st.load.quantity[s, begin]
        if last_fill > begin:
            whole += st.load.quantity[s, last_fill]
        quantity = whole - quantity
        table = road_table(a, s, lb)
        e, d, l = _clock_at_yard(a, s, second, quantity, e, d, l, table, here)
        road += a.meters[table, here, a.yard.loc[second]] * a.run.loaded_rate[s]
        here = a.yard.loc[second]
    _judge_places(a, st, p, s, last_fill, end, e, d, l, here, road, y, kind)


@inlined
def _judge_places(a, st, p, s, last_fill, end, e, d, l, here, road, y, kind):  # type: ignore[no-untyped-def]
    """At every place among a load's stops, the clock standing at (e, d, l) when its last yard is left."""
    where, rate = a.part.loc[p], a.run.loaded_rate[s]
    opens, service, closes = a.part.opens[p], a.part.service[p], a.part.closes[p]
    home, n = a.run.home[s], st.run.length[s]
    for j in range(last_fill, end):
        aboard = st.load.aboard[s, j]
        if j > last_fill:
            token = st.tokens[s, j]
            there = a.part.loc[token]
            heavier = road_table(a, s, st.load.aboard[s, j - 1] + a.part.lb[p])
            road += a.meters[heavier, here, there] * rate - st.head.road[s, j]
            drive = a.seconds[heavier, here, there]
            e, d, l = joined(e, d, l, drive, a.part.opens[token], a.part.service[token], a.part.closes[token])
            here = there
        if l < 0:
            return
        heavy, light = road_table(a, s, aboard + a.part.lb[p]), road_table(a, s, aboard)
        rate_on = rate if j + 1 < end else a.run.empty_rate[s]
        after = home if j + 1 == n else token_loc(a, st.tokens[s, j + 1])
        cost = (
            road
            + a.meters[heavy, here, where] * rate
            + a.meters[light, where, after] * rate_on
            - st.head.road[s, j + 1]
        )
        if cost >= st.seen.cost[p, s]:
            continue
        e2, d2, l2 = joined(e, d, l, a.seconds[heavy, here, where], opens, service, closes)
        drive = a.seconds[light, where, after]
        e2, d2, l2 = joined(e2, d2, l2, drive, st.tail.e[s, j + 1], st.tail.d[s, j + 1], st.tail.l[s, j + 1])
        if l2 >= 0:
            _note(st, p, s, _cost_of(a, st, s, cost, e2, d2, l2), j, y, kind)


@inner
def insert(a, st, p, s):  # type: ignore[no-untyped-def]
    """Put a part where it was judged cheapest and refresh the run; False, and nothing changed, when that
    cannot be: the yard holds no more, or neither the pause nor the turn of a shared truck leaves room.
    """
    token, y, kind = st.seen.token[p, s], st.seen.yard[p, s], st.seen.kind[p, s]
    undo, length = a.run.home.shape[0], st.run.length[s]
    keep_row(st, s, st.saved_tokens, undo)
    if kind == NEW:
        _open_gap(st, s, token, 2)
        st.tokens[s, token], st.tokens[s, token + 1] = -1 - y, p
    else:
        begin = st.load.at[s, token]
        now = -1 - st.tokens[s, begin]
        if kind in (FILL_BEFORE, FILL_AFTER):
            at = begin if kind == FILL_BEFORE else begin + 1
            _open_gap(st, s, at, 1)
            st.tokens[s, at] = -1 - y
            token += 1
        elif y != now and st.load.fills[s, begin] == 1:
            if a.is_tight == 1 and not load_fits_yard(a, st, s, begin, y, p):
                return False
            move_load(a, st, s, begin, y)
        _open_gap(st, s, token + 1, 1)
        st.tokens[s, token + 1] = p
    for k in range(a.stock.shape[1]):
        st.taken[y, k] += a.part_wood[p, k]
    st.source[p] = y
    st.place[p] = s
    if refresh(a, st, s):
        return True
    remove(a, st, p)
    weigh(a, st, s)
    _give_back(a, st, s, undo, length)
    if not refresh(a, st, s):
        st.total.broken[0] = 1
    return False


@inlined
def _open_gap(st, s, at, size):  # type: ignore[no-untyped-def]
    """Make room for tokens."""
    n = st.run.length[s]
    for i in range(n - 1, at - 1, -1):
        st.tokens[s, i + size] = st.tokens[s, i]
    st.run.length[s] = n + size


@inner
def _give_back(a, st, s, row, length):  # type: ignore[no-untyped-def]
    """Make a run hold what it held before, its wood included."""
    for i in range(st.run.length[s]):
        q = st.tokens[s, i]
        if q >= 0:
            for k in range(a.stock.shape[1]):
                st.taken[st.source[q], k] -= a.part_wood[q, k]
    take_row(st, s, st.saved_tokens, row, length)
    for i in range(length):
        q = st.tokens[s, i]
        if q >= 0:
            for k in range(a.stock.shape[1]):
                st.taken[st.source[q], k] += a.part_wood[q, k]


@inner
def move_load(a, st, s, begin, y):  # type: ignore[no-untyped-def]
    """Fill a load of one fill at another yard."""
    st.tokens[s, begin] = -1 - y
    for i in range(begin + 1, load_end(st, s, begin)):
        q = st.tokens[s, i]
        for k in range(a.stock.shape[1]):
            st.taken[st.source[q], k] -= a.part_wood[q, k]
            st.taken[y, k] += a.part_wood[q, k]
        st.source[q] = y
