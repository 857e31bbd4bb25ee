"""Ways to take a part of the plan away, near together, so that it can be put back better.

Strings of neighbors follow Christiaens and Vanden Berghe 2020, "Slack induction by string removals for
vehicle routing problems"; whole loads, whole runs and a change of days are added to it.
"""

from routing.core.arrays import BOX, HOME, ORDER, PAYLOAD, ROAD_LOADED
from routing.core.compiled import inner
from routing.core.routes import LENGTH, refresh
from routing.core.walk import MARK, TOUCHED, chance, draw, take_order_out, touch


@inner
def ruin_strings(a, r, w, parts, outs, count, average, longest_string):  # type: ignore[no-untyped-def]
    """Strings of drops near a seed, one per run."""
    total = 0
    used = 0
    for s in range(r.state.shape[0]):
        if r.state[s, LENGTH] > 0:
            used += 1
    for p in range(parts):
        if r.place[p] >= 0:
            total += 1
    if total == 0:
        return outs, count
    mean = total / used
    ls = min(float(longest_string), mean)
    ks_max = 4.0 * average / (1.0 + ls) - 1.0
    strings = int(chance(w) * ks_max + 1.0)
    seed = draw(w, parts)
    done = 0
    for at in range(parts):
        if done >= strings:
            break
        p = a.near[seed, at]
        s = r.place[p]
        if s < 0 or w.outs[a.part[p, ORDER], MARK] == 1 or w.saved[s, TOUCHED] == 1:
            continue
        n = r.state[s, LENGTH]
        # the drops of the run in order; positions of the string around p
        size = 0
        here = 0
        for i in range(n):
            if r.tokens[s, i] >= 0:
                if r.tokens[s, i] == p:
                    here = size
                size += 1
        most = min(float(size), ls)
        length = int(chance(w) * most + 1.0)
        length = min(length, size)
        skip = 0
        if length < size and length > 1 and chance(w) < 0.5:
            skip = 1
            while length + skip < size and chance(w) > 0.01 and skip < 3:
                skip += 1
                if chance(w) < 0.5:
                    break
        span = min(length + skip, size)
        low = max(0, here - span + 1)
        high = min(here, size - span)
        start = low + draw(w, high - low + 1)
        gap_at = start + 1 + draw(w, max(1, length - 1)) if skip > 0 else -1
        count = touch(r, w, s, count)
        seen = 0
        taken = 0
        for i in range(w.saved[s, LENGTH]):
            q = w.saved_tokens[s, i]
            if q < 0:
                continue
            if (
                start <= seen < start + span
                and not (skip > 0 and gap_at <= seen < gap_at + skip)
                and taken < length
            ):
                outs, count = take_order_out(a, r, w, a.part[q, ORDER], outs, count)
                taken += 1
            seen += 1
        done += 1
    return outs, count


@inner
def ruin_loads(a, r, w, parts, outs, count, loads):  # type: ignore[no-untyped-def]
    """Whole loads around a seed."""
    seed = draw(w, parts)
    done = 0
    for at in range(parts):
        if done >= loads:
            break
        p = a.near[seed, at]
        s = r.place[p]
        if s < 0 or w.outs[a.part[p, ORDER], MARK] == 1:
            continue
        i = 0
        while r.tokens[s, i] != p:
            i += 1
        while r.tokens[s, i] >= 0:
            i -= 1
        count = touch(r, w, s, count)
        while i + 1 < r.state[s, LENGTH] and r.tokens[s, i + 1] >= 0:
            before = r.state[s, LENGTH]
            outs, count = take_order_out(a, r, w, a.part[r.tokens[s, i + 1], ORDER], outs, count)
            if r.state[s, LENGTH] != before - 1:
                break
        done += 1
    return outs, count


@inner
def ruin_runs(a, r, w, parts, outs, count, most):  # type: ignore[no-untyped-def]
    """One whole run, and some drops near it."""
    shifts = r.state.shape[0]
    s = draw(w, shifts)
    for _ in range(shifts):
        if r.state[s, LENGTH] > 0:
            break
        s = (s + 1) % shifts
    if r.state[s, LENGTH] == 0:
        return outs, count
    count = touch(r, w, s, count)
    seed = -1
    for i in range(w.saved[s, LENGTH]):
        q = w.saved_tokens[s, i]
        if q >= 0 and outs < most:
            seed = q
            outs, count = take_order_out(a, r, w, a.part[q, ORDER], outs, count)
    if seed >= 0:
        more = draw(w, 5)
        for at in range(min(parts, more)):
            q = a.near[seed, at]
            if r.place[q] >= 0:
                outs, count = take_order_out(a, r, w, a.part[q, ORDER], outs, count)
    return outs, count


@inner
def ruin_random(a, r, w, outs, count, most):  # type: ignore[no-untyped-def]
    """A few orders from anywhere."""
    orders = a.prize.shape[0]
    for _ in range(1 + draw(w, most)):
        o = draw(w, orders)
        if r.place[a.order_first[o]] >= 0:
            outs, count = take_order_out(a, r, w, o, outs, count)
    return outs, count


@inner
def exchange_runs(a, r, w, count):  # type: ignore[no-untyped-def]
    """Let two shifts of equal rigs change their runs, when every drop allows it."""
    shifts = r.state.shape[0]
    s, t = draw(w, shifts), draw(w, shifts)
    if s == t or (r.state[s, LENGTH] == 0 and r.state[t, LENGTH] == 0):
        return count
    if (
        a.shift[s, HOME] != a.shift[t, HOME]
        or a.shift[s, ROAD_LOADED] != a.shift[t, ROAD_LOADED]
        or a.shift[s, BOX] < a.shift[t, BOX]
        or a.shift[s, BOX] > a.shift[t, BOX]
        or a.shift[s, PAYLOAD] != a.shift[t, PAYLOAD]
    ):
        return count
    for i in range(r.state[s, LENGTH]):
        if r.tokens[s, i] >= 0 and a.allowed[r.tokens[s, i], t] == 0:
            return count
    for i in range(r.state[t, LENGTH]):
        if r.tokens[t, i] >= 0 and a.allowed[r.tokens[t, i], s] == 0:
            return count
    if w.saved[s, TOUCHED] == 1 or w.saved[t, TOUCHED] == 1:
        return count
    count = touch(r, w, s, count)
    count = touch(r, w, t, count)
    swap(r, w, s, t)
    if not (refresh(a, r, s) and refresh(a, r, t)):
        swap_back(r, w, s, t)
        refresh(a, r, s)
        refresh(a, r, t)
    return count


@inner
def swap(r, w, s, t):  # type: ignore[no-untyped-def]
    """Give each of two shifts the other's saved run."""
    for i in range(w.saved[t, LENGTH]):
        r.tokens[s, i] = w.saved_tokens[t, i]
        if r.tokens[s, i] >= 0:
            r.place[r.tokens[s, i]] = s
    for i in range(w.saved[s, LENGTH]):
        r.tokens[t, i] = w.saved_tokens[s, i]
        if r.tokens[t, i] >= 0:
            r.place[r.tokens[t, i]] = t
    r.state[s, LENGTH] = w.saved[t, LENGTH]
    r.state[t, LENGTH] = w.saved[s, LENGTH]


@inner
def swap_back(r, w, s, t):  # type: ignore[no-untyped-def]
    """Give both shifts their saved runs again."""
    for u in (s, t):
        for i in range(w.saved[u, LENGTH]):
            r.tokens[u, i] = w.saved_tokens[u, i]
            if r.tokens[u, i] >= 0:
                r.place[r.tokens[u, i]] = u
        r.state[u, LENGTH] = w.saved[u, LENGTH]
