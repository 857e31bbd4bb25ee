"""`compiled`: numba's njit where numba is installed, the plain function where it is not.

Both ways give the same answers; the plain way is some hundred times slower, fit for an ordinary day.
`inner` functions are called by compiled ones only, so no way in from Python is made for them.
"""

from collections.abc import Callable
from importlib.util import find_spec
from typing import Any

IS_COMPILED = find_spec("numba") is not None


def compiled[F: Callable[..., Any]](function: F) -> F:
    """Compile a function of arrays and whole numbers; the result is kept on disk beside the module."""
    if not IS_COMPILED:
        return function
    from numba import njit

    return njit(cache=True, nogil=True, error_model="numpy", no_cfunc_wrapper=True)(function)  # type: ignore[no-any-return]


def inner[F: Callable[..., Any]](function: F) -> F:
    """Compile a function that only compiled ones call."""
    if not IS_COMPILED:
        return function
    from numba import njit

    return njit(nogil=True, error_model="numpy", no_cfunc_wrapper=True, no_cpython_wrapper=True)(function)  # type: ignore[no-any-return]
