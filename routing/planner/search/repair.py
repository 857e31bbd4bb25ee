"""Putting orders back: in which order, where each adds least, and from which yard a load comes cheapest."""

from routing.planner.compiled import compiled, inlined, inner
from routing.planner.params import SEARCH
from routing.planner.search.insertion import cheapest_insertion, free_yards, insert, move_load
from routing.planner.search.schedule import load_fits_yard, refresh, remove, token_loc
from routing.planner.search.state import FAR, NEVER, chance, draw, touch

# orders may be put back by chance, biggest, farthest, nearest, dearest or most tightly bound first
BY_CHANCE, BIGGEST, FARTHEST, NEAREST, DEAREST, TIGHTEST = range(6)


@inner
def sort_orders(a, st, outs, by):  # type: ignore[no-untyped-def]
    """Order the orders to put back."""
    for i in range(outs):
        o = st.order.out[i]
        st.order.key[o] = _sort_key(a, st, o, by)
    for i in range(1, outs):
        o = st.order.out[i]
        j = i - 1
        while j >= 0 and st.order.key[st.order.out[j]] > st.order.key[o]:
            st.order.out[j + 1] = st.order.out[j]
            j -= 1
        st.order.out[j + 1] = o


@inlined
def _sort_key(a, st, o, by):  # type: ignore[no-untyped-def]
    p = a.order_first[o]
    key = 0
    if by == BY_CHANCE:
        key = draw(st, 1 << 30)
    elif by == BIGGEST:
        for q in range(a.order_first[o], a.order_first[o + 1]):
            key -= a.part.quantity[q]
    elif by in (FARTHEST, NEAREST):
        far = FAR
        for y in range(a.yard.loc.shape[0]):
            far = min(far, a.meters[0, a.yard.loc[y], a.part.loc[p]])
        key = -far if by == FARTHEST else far
    elif by == DEAREST:
        key = -a.prize[o]
    else:
        key = a.part.closes[p] - a.part.opens[p]
        for s in range(a.run.home.shape[0]):
            key += 3600 * a.allowed[p, s]
    return key


@inlined
def _cheapest_run(a, st, p, blink):  # type: ignore[no-untyped-def]
    """The run in which a part adds least, each passed over with a small chance, and what it adds."""
    mask = free_yards(a, st, p)
    best, best_run = NEVER, -1
    if mask != 0:
        for s in range(a.run.home.shape[0]):
            if a.allowed[p, s] == 0:
                continue
            if st.seen.version[p, s] == st.run.version[s] and st.seen.yards[p, s] == mask:
                cost = st.seen.cost[p, s]
            else:
                cost = cheapest_insertion(a, st, p, s, mask)
            if cost < best and chance(st) >= blink:
                best, best_run = cost, s
    return best, best_run


@inlined
def _inserted(a, st, p, s):  # type: ignore[no-untyped-def]
    """Put a part into a run; when it cannot be after all, the run is passed over until something changes."""
    if insert(a, st, p, s):
        return True
    if a.is_tight == 1:
        # another load may have taken that wood since the place was judged
        cost = cheapest_insertion(a, st, p, s, free_yards(a, st, p))
        if cost < NEVER and insert(a, st, p, s):
            return True
    st.seen.version[p, s] = st.run.version[s]
    st.seen.yards[p, s] = free_yards(a, st, p)
    st.seen.cost[p, s] = NEVER
    return False


@inner
def put_order_in(a, st, o, count, blink, eager):  # type: ignore[no-untyped-def]
    """Put an order back where it adds least, if that costs no more than leaving it out."""
    first, last = a.order_first[o], a.order_first[o + 1]
    added = 0
    for p in range(first, last):
        cost, s = NEVER, -1
        for _ in range(SEARCH.runs_tried):
            cost, s = _cheapest_run(a, st, p, blink)
            if s < 0 or added + cost > a.prize[o] * eager:
                s = -1
                break
            count = touch(a, st, s, count)
            if _inserted(a, st, p, s):
                break
            s = -1
        if s < 0:
            for q in range(first, p):
                t = st.place[q]
                remove(a, st, q)
                if not refresh(a, st, t):
                    st.total.broken[0] = 1
            break
        added += cost
    return count


@inner
def move_loads(a, st, s):  # type: ignore[no-untyped-def]
    """Fill each load of a run at a cheaper yard where one holds it."""
    begin = 0
    while begin < st.run.length[s] and a.yard.loc.shape[0] > 1:
        if st.tokens[s, begin] < 0 and st.load.at[s, begin] == begin and st.load.fills[s, begin] == 1:
            _move_cheapest(a, st, s, begin)
        begin += 1


@inlined
def _move_cheapest(a, st, s, begin):  # type: ignore[no-untyped-def]
    now = -1 - st.tokens[s, begin]
    before = a.run.home[s] if begin == 0 else token_loc(a, st.tokens[s, begin - 1])
    first = a.part.loc[st.tokens[s, begin + 1]]
    old_road = st.head.road[s, begin] + st.head.road[s, begin + 1]
    best_yard, best_cost = now, st.run.cost[s]
    for y in range(a.yard.loc.shape[0]):
        if y == now or not st.load.yards[s, begin] >> y & 1:
            continue
        yard = a.yard.loc[y]
        road = a.meters[a.band_table[s, 0], before, yard] * a.run.empty_rate[s] - old_road
        # (the leg to the first stop is taken in the table the present one is driven by)
        road += a.meters[a.band_table[s, a.run.bands[s] - 1], yard, first] * a.run.loaded_rate[s]
        # what the wage of ten hours could not make up for
        if road >= a.run.wage[s] * SEARCH.yard_detour_s:
            continue
        if a.is_tight == 1 and not load_fits_yard(a, st, s, begin, y, -1):
            continue
        move_load(a, st, s, begin, y)
        if refresh(a, st, s) and st.run.cost[s] < best_cost:
            best_yard, best_cost = y, st.run.cost[s]
        move_load(a, st, s, begin, now)
        refresh(a, st, s)
    if best_yard != now:
        move_load(a, st, s, begin, best_yard)
        refresh(a, st, s)


@compiled
def put_order_in_run(a, st, o, s):  # type: ignore[no-untyped-def]
    """Put all parts of an order into one run; what it adds, or NEVER and nothing changed."""
    first, last = a.order_first[o], a.order_first[o + 1]
    before = st.run.cost[s]
    for p in range(first, last):
        if cheapest_insertion(a, st, p, s, free_yards(a, st, p)) >= NEVER or not insert(a, st, p, s):
            for q in range(first, p):
                remove(a, st, q)
            refresh(a, st, s)
            return NEVER
    return st.run.cost[s] - before


@compiled
def take_order_off(a, st, o):  # type: ignore[no-untyped-def]
    """Take all parts of an order out again."""
    for p in range(a.order_first[o], a.order_first[o + 1]):
        s = st.place[p]
        if s >= 0:
            remove(a, st, p)
            refresh(a, st, s)
