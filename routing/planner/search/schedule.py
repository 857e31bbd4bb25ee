"""The clock, the loads and the cost of every run, kept so that one more stop is judged in constant time.

For every token the clock of all before it and of all from it on is kept as (e, d, l): begun at time t <= l,
it ends at max(t, e) + d (after Savelsbergh 1992, "The vehicle routing problem with time windows: minimizing
route duration"). Left at any time up to l a run takes the same time d, so runs that share a truck or a driver
only have to be put in an order in which none leaves before the other is back.
"""

from routing.planner.compiled import inlined, inner
from routing.planner.params import SEARCH
from routing.planner.search.state import FAR, NEVER


@inlined
def joined(e1, d1, l1, drive, e2, d2, l2):  # type: ignore[no-untyped-def]
    """Two clocks in a row with a drive between; l = -1 when the second is always missed."""
    lag = d1 + drive
    if e1 + lag > l2 or l1 < 0 or l2 < 0:
        return 0, 0, -1
    e = max(e1, e2 - lag)
    l = min(l1, l2 - lag)
    d = lag + d2
    if e > l:
        d += e - l
        e = l
    return e, d, l


@inlined
def loading_seconds(a, yard, quantity):  # type: ignore[no-untyped-def]
    """Seconds of loading at a yard."""
    return a.yard.fixed[yard] + (a.yard.rate[yard] * quantity + a.units - 1) // a.units


@inlined
def road_table(a, s, lb):  # type: ignore[no-untyped-def]
    """The road table a run drives by with so much aboard."""
    k = a.run.bands[s] - 1
    while k > 0 and a.band_over[s, k] >= lb:
        k -= 1
    return a.band_table[s, k]


@inlined
def token_loc(a, token):  # type: ignore[no-untyped-def]
    """Where a token is."""
    return a.yard.loc[-1 - token] if token < 0 else a.part.loc[token]


@inlined
def at_token(a, st, s, i):  # type: ignore[no-untyped-def]
    """Opening, stay and last begin at a token."""
    token = st.tokens[s, i]
    if token < 0:
        y = -1 - token
        stay = loading_seconds(a, y, st.load.quantity[s, i])
        return a.hours[y, s, 0], stay, a.hours[y, s, 1] - stay
    return a.part.opens[token], a.part.service[token], a.part.closes[token]


@inlined
def load_end(st, s, i):  # type: ignore[no-untyped-def]
    """One past the last stop of the load that begins at token i."""
    n = st.run.length[s]
    i += 1
    while i < n and st.tokens[s, i] < 0:
        i += 1
    while i < n and st.tokens[s, i] >= 0:
        i += 1
    return i


@inlined
def weigh(a, st, s):  # type: ignore[no-untyped-def]
    """Work out what each load of a run holds and what is aboard along it."""
    begin, n = 0, st.run.length[s]
    st.run.quantity[s] = 0
    while begin < n:
        end = load_end(st, s, begin)
        first = begin
        while st.tokens[s, first] < 0:
            st.load.quantity[s, first] = 0
            st.load.yards[s, first] = (1 << 62) - 1
            st.load.at[s, first] = begin
            st.load.aboard[s, first] = 0
            first += 1
        ft3, lb = 0, 0
        for i in range(first, end):
            p = st.tokens[s, i]
            fill = begin if st.tokens[s, begin] == -1 - st.source[p] else first - 1
            st.load.quantity[s, fill] += a.part.quantity[p]
            st.load.yards[s, fill] &= a.part.yards[p]
            st.load.aboard[s, fill] += a.part.lb[p]
            st.load.at[s, i] = begin
            st.run.quantity[s] += a.part.quantity[p]
            ft3 += a.part.ft3[p]
            lb += a.part.lb[p]
        st.load.fills[s, begin] = first - begin
        st.load.ft3[s, begin] = ft3
        st.load.lb[s, begin] = lb
        st.load.aboard[s, first - 1] = lb
        for i in range(first, end):
            lb -= a.part.lb[st.tokens[s, i]]
            st.load.aboard[s, i] = lb
        begin = end


@inner
def refresh(a, st, s):  # type: ignore[no-untyped-def]
    """Work out a run's loads, clocks and cost from its tokens; False when no clock can keep it."""
    st.total.version[0] += 1
    st.run.version[s] = st.total.version[0]
    weigh(a, st, s)
    return _clock(a, st, s) and settle(a, st, s)


@inlined
def _clock(a, st, s):  # type: ignore[no-untyped-def]
    n = st.run.length[s]
    home = a.run.home[s]
    st.head.e[s, 0], st.head.d[s, 0], st.head.l[s, 0] = a.run.start[s], 0, FAR
    st.tail.e[s, n], st.tail.d[s, n], st.tail.l[s, n] = 0, 0, a.run.end[s]
    st.run.road[s] = 0
    if n == 0:
        return True
    here, aboard = home, 0
    e, d, l = a.run.start[s], 0, FAR
    for i in range(n + 1):
        is_loaded = i < n and (st.tokens[s, i] >= 0 or st.load.at[s, i] < i)
        there = home if i == n else token_loc(a, st.tokens[s, i])
        table = road_table(a, s, aboard)
        road = a.meters[table, here, there] * (a.run.loaded_rate[s] if is_loaded else a.run.empty_rate[s])
        drive = a.seconds[table, here, there]
        st.head.drive[s, i] = drive
        st.head.road[s, i] = road
        st.run.road[s] += road
        if i == n:
            e, d, l = joined(e, d, l, drive, 0, 0, a.run.end[s])
            break
        opens, stay, closes = at_token(a, st, s, i)
        e, d, l = joined(e, d, l, drive, opens, stay, closes)
        st.head.e[s, i + 1], st.head.d[s, i + 1], st.head.l[s, i + 1] = e, d, l
        here, aboard = there, st.load.aboard[s, i]
    st.run.e[s], st.run.d[s], st.run.l[s] = e, d, l
    if l < 0:
        return False
    e, d, l = 0, 0, a.run.end[s]
    for i in range(n - 1, -1, -1):
        opens, stay, closes = at_token(a, st, s, i)
        e, d, l = joined(opens, stay, closes, st.head.drive[s, i + 1], e, d, l)
        st.tail.e[s, i], st.tail.d[s, i], st.tail.l[s, i] = e, d, l
    return True


@inlined
def settle(a, st, s):  # type: ignore[no-untyped-def]
    """When a run leaves and what it costs, with those it shares a truck or a driver with."""
    if a.run.group[s] >= 0:
        return _settle_group(a, st, a.run.group[s])
    st.run.since[s], st.run.until[s] = a.run.start[s], a.run.end[s]
    return _leave(a, st, s, a.run.start[s])


@inlined
def _leave(a, st, s, since):  # type: ignore[no-untyped-def]
    """Let a run leave as early as need be from a time on, and price it."""
    st.run.cost[s] = 0
    if st.run.length[s] == 0:
        return True
    leave, back, paid = times_from(a, st, s, since)
    if leave < 0 or paid > a.run.longest[s]:
        return False
    st.run.leave[s], st.run.back[s], st.run.paid[s] = leave, back, paid
    st.run.cost[s] = st.run.road[s] + paid * a.run.wage[s] + a.run.fixed[s]
    return True


@inner
def times_from(a, st, s, since):  # type: ignore[no-untyped-def]
    """Leaving, being back and paid seconds of a run free from a time on; leaving at -1 when it is too late.

    A pause is taken when the run would leave before its window and be back after it, at the token where the
    return stays earliest, among equals where the run leaves latest.
    """
    if st.run.l[s] < since:
        return -1, 0, 0
    leave = max(st.run.e[s], since)
    back = leave + st.run.d[s]
    pause = a.run.pause[s]
    opens, closes = a.run.pause_from[s], a.run.pause_to[s]
    if pause == 0 or leave >= opens or back <= closes:
        return leave, back, back - leave
    leave, back = -1, NEVER
    for i in range(st.run.length[s]):
        for is_after in range(2):
            j = i + is_after
            to_pause = 0 if is_after else st.head.drive[s, i]
            e, d, l = joined(
                st.head.e[s, j], st.head.d[s, j], st.head.l[s, j], to_pause, opens, pause, closes
            )
            onward = st.head.drive[s, j] if is_after else 0
            e, d, l = joined(e, d, l, onward, st.tail.e[s, j], st.tail.d[s, j], st.tail.l[s, j])
            if l < since:
                continue
            at = max(e, since)
            if at + d < back or (at + d == back and at > leave):
                leave, back = at, at + d
    return leave, back, back - leave - pause


@inner
def _settle_group(a, st, group):  # type: ignore[no-untyped-def]
    """Put the runs of a group in their cheapest order; False when there is none.

    `since` and `until` then say how early a run may leave and how late it may be back as the others stand.
    """
    used = 0
    for k in range(a.mates.shape[1]):
        s = a.mates[group, k]
        if s < 0:
            break
        st.total.version[0] += 1
        st.run.version[s] = st.total.version[0]
        st.run.since[s], st.run.until[s] = a.run.start[s], a.run.end[s]
        if st.run.length[s] > 0:
            st.turn[0, used] = s
            used += 1
        else:
            st.run.cost[s] = 0
    if used > SEARCH.most_permuted:
        _sort_by_latest(st, used)
    best = NEVER
    while True:
        cost = _cost_in_turn(a, st, used)
        if cost < best:
            best = cost
            for k in range(used):
                st.turn[1, k] = st.turn[0, k]
        if used > SEARCH.most_permuted or not _next_permutation(st, used):
            break
    if best >= NEVER:
        return False
    for k in range(used):
        st.turn[0, k] = st.turn[1, k]
    _cost_in_turn(a, st, used)
    for k in range(used):
        s = st.turn[0, k]
        st.run.since[s] = _free_from(a, st, k)
        if not _leave(a, st, s, st.run.since[s]):
            return False
    for k in range(used - 1, -1, -1):
        s = st.turn[0, k]
        for j in range(k + 1, used):
            u = st.turn[0, j]
            if a.hitch[s, u] >= 0:
                # the later run, paused or not, stays as long away as it does now
                latest = min(st.run.l[u], st.run.until[u] - (st.run.back[u] - st.run.leave[u]))
                latest = max(latest, st.run.leave[u])
                st.run.until[s] = min(st.run.until[s], latest - a.hitch[s, u])
    return True


@inlined
def _free_from(a, st, k):  # type: ignore[no-untyped-def]
    """When the k-th run of the order tried has its truck and driver."""
    s = st.turn[0, k]
    since = a.run.start[s]
    for j in range(k):
        wait = a.hitch[st.turn[0, j], s]
        if wait >= 0:
            since = max(since, st.turn[2, j] + wait)
    return since


@inlined
def _driver_seconds(a, st, k):  # type: ignore[no-untyped-def]
    """Paid seconds of the k-th run's driver up to that run."""
    seconds = 0
    for j in range(k + 1):
        if a.run.driver[st.turn[0, j]] == a.run.driver[st.turn[0, k]]:
            seconds += st.turn[3, j]
    return seconds


@inner
def _cost_in_turn(a, st, used):  # type: ignore[no-untyped-def]
    """Wages of a group's runs driven in the order tried, or NEVER."""
    total = 0
    for k in range(used):
        s = st.turn[0, k]
        leave, back, paid = times_from(a, st, s, _free_from(a, st, k))
        if leave < 0 or paid > a.run.longest[s]:
            return NEVER
        st.turn[2, k], st.turn[3, k] = back, paid
        if _driver_seconds(a, st, k) > a.run.driver_longest[s]:
            return NEVER
        total += paid * a.run.wage[s]
    return total


@inlined
def _sort_by_latest(st, used):  # type: ignore[no-untyped-def]
    """Order runs by their latest departure (what is due first goes first)."""
    for k in range(1, used):
        s, j = st.turn[0, k], k - 1
        while j >= 0 and st.run.l[st.turn[0, j]] > st.run.l[s]:
            st.turn[0, j + 1] = st.turn[0, j]
            j -= 1
        st.turn[0, j + 1] = s


@inlined
def _next_permutation(st, used):  # type: ignore[no-untyped-def]
    """The next order in the dictionary's sense; False after the last."""
    k = used - 2
    while k >= 0 and st.turn[0, k] > st.turn[0, k + 1]:
        k -= 1
    if k < 0:
        return False
    j = used - 1
    while st.turn[0, j] < st.turn[0, k]:
        j -= 1
    st.turn[0, k], st.turn[0, j] = st.turn[0, j], st.turn[0, k]
    low, high = k + 1, used - 1
    while low < high:
        st.turn[0, low], st.turn[0, high] = st.turn[0, high], st.turn[0, low]
        low += 1
        high -= 1
    return True


@inner
def give_wood(a, st, s, sign):  # type: ignore[no-untyped-def]
    """Take (1) or give back (-1) the wood of a whole run."""
    for i in range(st.run.length[s]):
        p = st.tokens[s, i]
        if p >= 0:
            for k in range(a.stock.shape[1]):
                st.taken[st.source[p], k] += sign * a.part_wood[p, k]


@inner
def load_fits_yard(a, st, s, at, y, p):  # type: ignore[no-untyped-def]
    """Whether a yard still holds a whole load and one more part (-1: none), the load not being there now."""
    end = load_end(st, s, at)
    for k in range(a.stock.shape[1]):
        need = st.taken[y, k]
        if p >= 0:
            need += a.part_wood[p, k]
        for i in range(at + 1, end):
            if st.tokens[s, i] >= 0:
                need += a.part_wood[st.tokens[s, i], k]
        if need > a.stock[y, k]:
            return False
    return True


@inner
def remove(a, st, p):  # type: ignore[no-untyped-def]
    """Take a part out of its run; a fill or a load left without parts goes too. The caller refreshes."""
    s = st.place[p]
    n = st.run.length[s]
    at = 0
    while st.tokens[s, at] != p:
        at += 1
    begin = at
    while begin > 0 and not (st.tokens[s, begin] < 0 and st.tokens[s, begin - 1] >= 0):
        begin -= 1
    y = st.source[p]
    for k in range(a.stock.shape[1]):
        st.taken[y, k] -= a.part_wood[p, k]
    others = 0
    for i in range(begin, load_end(st, s, begin)):
        q = st.tokens[s, i]
        if q >= 0 and q != p and st.source[q] == y:
            others += 1
    kept = begin
    for i in range(begin, n):
        token = st.tokens[s, i]
        is_its_fill = token == -1 - y and i < at and others == 0
        if token != p and not is_its_fill:
            st.tokens[s, kept] = token
            kept += 1
    st.run.length[s] = kept
    st.place[p] = -1
