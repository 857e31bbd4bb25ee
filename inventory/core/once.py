"""What is read once while a page is made, whoever asks: who sells, at what prices, the wood, the rigs."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps

_KEPT: ContextVar[dict[object, object] | None] = ContextVar("kept", default=None)


@contextmanager
def one_page() -> Iterator[None]:
    """While this lasts nothing is written, so what was read stays true."""
    token = _KEPT.set({})
    try:
        yield
    finally:
        _KEPT.reset(token)


def once_a_page[**P, T](read: Callable[P, T]) -> Callable[P, T]:
    """A selector that asks no second time for the same page; outside of one it always reads."""

    @wraps(read)
    def reading(*args: P.args, **kwargs: P.kwargs) -> T:
        kept = _KEPT.get()
        if kept is None:
            return read(*args, **kwargs)
        key = (read, args, tuple(kwargs.items()))
        if key not in kept:
            kept[key] = read(*args, **kwargs)
        return kept[key]  # type: ignore[return-value]

    return reading
