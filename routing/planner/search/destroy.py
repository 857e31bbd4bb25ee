"""Ways to take a part of the plan away, near together, so that it can be put back better.

Strings of neighbors follow Christiaens and Vanden Berghe 2020, "Slack induction by string removals for
vehicle routing problems"; whole loads, whole runs and a change of days are added to it. Each returns how many
orders are out and how many runs are touched.
"""

from routing.planner.compiled import inner
from routing.planner.params import SEARCH
from routing.planner.search.schedule import refresh, remove
from routing.planner.search.state import chance, draw, take_row, touch


@inner
def take_order_out(a, st, o, outs, count):  # type: ignore[no-untyped-def]
    """Take all parts of an order out."""
    if st.order.mark[o] == 1:
        return outs, count
    st.order.mark[o] = 1
    st.order.out[outs] = o
    for p in range(a.order_first[o], a.order_first[o + 1]):
        if st.place[p] >= 0:
            count = touch(a, st, st.place[p], count)
            remove(a, st, p)
    return outs + 1, count


@inner
def remove_strings(a, st, outs, count, average):  # type: ignore[no-untyped-def]
    """Strings of stops near a seed, one per run."""
    parts = a.part.loc.shape[0]
    brought, used = 0, 0
    for s in range(a.run.home.shape[0]):
        if st.run.length[s] > 0:
            used += 1
    for p in range(parts):
        if st.place[p] >= 0:
            brought += 1
    if brought == 0:
        return outs, count
    # equations 5 to 7 of the paper: the longest string, how many strings, and below the length of each
    longest = min(float(SEARCH.longest_string), brought / used)
    strings = int(chance(st) * (4.0 * average / (1.0 + longest) - 1.0) + 1.0)
    seed = draw(st, parts)
    done = 0
    for at in range(parts):
        if done >= strings:
            break
        p = a.near[seed, at]
        s = st.place[p]
        if s < 0 or st.order.mark[a.part.order[p]] == 1 or st.run.touched[s] == 1:
            continue
        outs, count = _remove_string(a, st, p, s, longest, outs, count)
        done += 1
    return outs, count


@inner
def _remove_string(a, st, p, s, longest, outs, count):  # type: ignore[no-untyped-def]
    """Stops next to one another around one, at times with a few kept in their midst."""
    size, here = 0, 0
    for i in range(st.run.length[s]):
        if st.tokens[s, i] >= 0:
            if st.tokens[s, i] == p:
                here = size
            size += 1
    length = min(int(chance(st) * min(float(size), longest) + 1.0), size)
    kept = 0
    if length < size and length > 1 and chance(st) < SEARCH.split_string:
        kept = 1
        while length + kept < size and chance(st) > SEARCH.keep_no_more and kept < SEARCH.most_kept:
            kept += 1
            if chance(st) < SEARCH.split_string:
                break
    span = min(length + kept, size)
    low, high = max(0, here - span + 1), min(here, size - span)
    start = low + draw(st, high - low + 1)
    kept_from = start + 1 + draw(st, max(1, length - 1)) if kept > 0 else -1
    count = touch(a, st, s, count)
    seen, taken = 0, 0
    for i in range(st.run.saved_length[s]):
        token = st.saved_tokens[s, i]
        if token < 0:
            continue
        is_kept = kept > 0 and kept_from <= seen < kept_from + kept
        if start <= seen < start + span and not is_kept and taken < length:
            o = a.part.order[token % a.part.loc.shape[0]]
            outs, count = take_order_out(a, st, o, outs, count)
            taken += 1
        seen += 1
    return outs, count


@inner
def remove_loads(a, st, outs, count, loads):  # type: ignore[no-untyped-def]
    """Whole loads around a seed."""
    parts = a.part.loc.shape[0]
    seed = draw(st, parts)
    done = 0
    for at in range(parts):
        if done >= loads:
            break
        p = a.near[seed, at]
        s = st.place[p]
        if s < 0 or st.order.mark[a.part.order[p]] == 1:
            continue
        i = 0
        while st.tokens[s, i] != p:
            i += 1
        while st.tokens[s, i] >= 0:
            i -= 1
        count = touch(a, st, s, count)
        # a load vanishes with its last stop, and with it the token it began at
        while i + 1 < st.run.length[s] and st.tokens[s, i] < 0 and st.tokens[s, i + 1] >= 0:
            before = st.run.length[s]
            outs, count = take_order_out(a, st, a.part.order[st.tokens[s, i + 1]], outs, count)
            if st.run.length[s] != before - 1:
                break
        done += 1
    return outs, count


@inner
def remove_run(a, st, outs, count, most):  # type: ignore[no-untyped-def]
    """One whole run, and some stops near it."""
    runs, parts = a.run.home.shape[0], a.part.loc.shape[0]
    s = draw(st, runs)
    for _ in range(runs):
        if st.run.length[s] > 0:
            break
        s = (s + 1) % runs
    if st.run.length[s] == 0:
        return outs, count
    count = touch(a, st, s, count)
    seed = -1
    for i in range(st.run.saved_length[s]):
        token = st.saved_tokens[s, i]
        if token >= 0 and outs < most:
            seed = token % parts
            outs, count = take_order_out(a, st, a.part.order[seed], outs, count)
    if seed >= 0:
        more = draw(st, SEARCH.stops_beside_run)
        for at in range(min(parts, more)):
            q = a.near[seed, at]
            if st.place[q] >= 0:
                outs, count = take_order_out(a, st, a.part.order[q], outs, count)
    return outs, count


@inner
def remove_any(a, st, outs, count, most):  # type: ignore[no-untyped-def]
    """A few orders from anywhere."""
    orders = a.prize.shape[0]
    for _ in range(1 + draw(st, most)):
        o = draw(st, orders)
        if st.place[a.order_first[o]] >= 0:
            outs, count = take_order_out(a, st, o, outs, count)
    return outs, count


@inner
def exchange_runs(a, st, count):  # type: ignore[no-untyped-def]
    """Let two rigs alike change what they do, when every stop allows it; how many runs are touched."""
    runs = a.run.home.shape[0]
    s, t = draw(st, runs), draw(st, runs)
    if s == t or (st.run.length[s] == 0 and st.run.length[t] == 0) or a.run.kind[s] != a.run.kind[t]:
        return count
    if not (_may_all(a, st, s, t) and _may_all(a, st, t, s)):
        return count
    if st.run.touched[s] > 0 or st.run.touched[t] > 0:
        return count
    count = touch(a, st, s, count)
    count = touch(a, st, t, count)
    take_row(st, s, st.saved_tokens, t, st.run.saved_length[t])
    take_row(st, t, st.saved_tokens, s, st.run.saved_length[s])
    if not (refresh(a, st, s) and refresh(a, st, t)):
        take_row(st, s, st.saved_tokens, s, st.run.saved_length[s])
        take_row(st, t, st.saved_tokens, t, st.run.saved_length[t])
        if not (refresh(a, st, s) and refresh(a, st, t)):
            st.total.broken[0] = 1
    return count


@inner
def _may_all(a, st, s, t):  # type: ignore[no-untyped-def]
    """Whether all stops of a run may be made by another."""
    for i in range(st.run.length[s]):
        if st.tokens[s, i] >= 0 and a.allowed[st.tokens[s, i], t] == 0:
            return False
    return True
