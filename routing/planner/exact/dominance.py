"""Lists of tails of which none beats another, as every pricing keeps them."""

from collections.abc import Callable
from typing import Any

from routing.planner.compiled import inner


def keep_undominated[F: Callable[..., Any]](beats: F, alive: int, following: int, most: int) -> Any:
    """A loop's piece `kept(store, i, at, price)`: put i into list `at` unless `beats` says one of the first
    `most` beats it; take out those it beats.

    alive, following: columns of `store.links`; `store.first` says where each list begins.
    """

    def kept(store, i, at, price):  # type: ignore[no-untyped-def]
        before, j, looked = -1, store.first[at], 0
        while j >= 0 and looked < most:
            looked += 1
            if beats(store, j, i, price):
                return False
            then = store.links[j, following]
            if beats(store, i, j, price):
                store.links[j, alive] = 0
                if before < 0:
                    store.first[at] = then
                else:
                    store.links[before, following] = then
            else:
                before = j
            j = then
        store.links[i, following] = store.first[at]
        store.first[at] = i
        return True

    return inner(kept)
