"""`compiled`: numba's njit where numba is installed, the plain function where it is not.

Both ways give the same answers; the plain way is some hundred times slower, fit for an ordinary day.
`inner` functions are called by compiled ones only, so no way in from Python is made for them. What is
compiled is kept on disk in a folder named by the text of all loop modules, since numba by itself does not
notice when a function called by a kept one has changed.
"""

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

IS_COMPILED = find_spec("numba") is not None
LOOP_MODULES = ("arrays", "compiled", "routes", "placing", "walk", "ruins", "search", "bound", "tails")


def compiled[F: Callable[..., Any]](function: F) -> F:
    """Compile a function of arrays and whole numbers; the result is kept on disk."""
    if not IS_COMPILED:
        return function
    numba: Any = import_module("numba")
    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = _kept_in()
    try:
        made: F = numba.njit(cache=True, nogil=True, error_model="numpy", no_cfunc_wrapper=True)(function)
        return made
    finally:
        numba.config.CACHE_DIR = before


def inner[F: Callable[..., Any]](function: F) -> F:
    """Compile a function that only compiled ones call."""
    if not IS_COMPILED:
        return function
    numba: Any = import_module("numba")
    made: F = numba.njit(nogil=True, error_model="numpy", no_cfunc_wrapper=True, no_cpython_wrapper=True)(
        function
    )
    return made


@cache
def _kept_in() -> str:
    here = Path(__file__).parent
    texts = [(here / f"{name}.py").read_bytes() for name in LOOP_MODULES]
    return str(here / "__pycache__" / f"loops-{sha256(b''.join(texts)).hexdigest()[:12]}")
