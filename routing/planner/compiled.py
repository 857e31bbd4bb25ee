"""`compiled`: numba's njit where numba is installed, the plain function where it is not.

Both ways give the same answers; the plain way is some hundred times slower, fit for an ordinary day.
What is compiled is kept on disk, below NUMBA_CACHE_DIR where that is set, else beside this file. The folder
is named by the text of all loop modules, since numba by itself does not notice when a function called by a
kept one has changed.

Compiled loops create no arrays, so they run without numba's counting of references (`_nrt`): with the whole
state in named tuples of arrays, counting took nine tenths of the time.
"""

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

IS_COMPILED = find_spec("numba") is not None
OPTIONS = {"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True, "_nrt": False}


def compiled[F: Callable[..., Any]](function: F) -> F:
    """Compile a function of arrays and whole numbers; the result is kept on disk."""
    if not IS_COMPILED:
        return function
    numba: Any = import_module("numba")
    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = _kept_in(before)
    try:
        made: F = numba.njit(cache=True, **OPTIONS)(function)
        return made
    finally:
        numba.config.CACHE_DIR = before


def inner[F: Callable[..., Any]](function: F) -> F:
    """Compile a function that only compiled ones call."""
    if not IS_COMPILED:
        return function
    made: F = import_module("numba").njit(no_cpython_wrapper=True, **OPTIONS)(function)
    return made


def inlined[F: Callable[..., Any]](function: F) -> F:
    """Compile a piece of another function, put where it is called.

    Handing the whole state over costs more than most pieces do: keep the places of call few instead.
    """
    if not IS_COMPILED:
        return function
    made: F = import_module("numba").njit(no_cpython_wrapper=True, forceinline=True, **OPTIONS)(function)
    return made


@cache
def _kept_in(chosen: str) -> str:
    here = Path(__file__).parent
    texts = [path.read_bytes() for path in sorted(here.rglob("*.py"))]
    loops = [text for text in texts if b"planner.compiled import" in text or b"class SearchParams" in text]
    folder = Path(chosen) if chosen else here / "__pycache__"
    return str(folder / f"loops-{sha256(b''.join(loops)).hexdigest()[:12]}")
