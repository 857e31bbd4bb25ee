"""The core as a whole: its errors are drawn, its examples run, and it stays pure."""

import ast
import doctest
import importlib
import inspect
import pkgutil
from pathlib import Path

import pytest

import inventory.core
from inventory.core import InventoryError
from inventory.core.sentences import FramedRefusal, Refusal

MODULES = tuple(
    importlib.import_module(f"inventory.core.{found.name}")
    for found in pkgutil.iter_modules(inventory.core.__path__)
)
IMPURE = {"today", "now", "utcnow", "time", "random", "getenv"}


def _own(module, kind):
    return [one for _, one in inspect.getmembers(module, kind) if one.__module__ == module.__name__]


ERRORS = [
    (module, one)
    for module in MODULES
    for one in _own(module, inspect.isclass)
    if issubclass(one, Exception) and one not in (Refusal, FramedRefusal)  # the roots of every app's family
]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_in_the_docstrings_run(module):
    failed, _ = doctest.testmod(module)

    assert failed == 0


def test_there_are_examples_to_run():
    assert sum(doctest.testmod(module).attempted for module in MODULES) >= 10


@pytest.mark.parametrize(("module", "error"), ERRORS, ids=lambda one: getattr(one, "__name__", ""))
def test_every_error_is_of_the_family_and_drawn_in_its_tree(module, error):
    assert issubclass(error, InventoryError)
    assert error.__doc__

    drawn = next(
        line
        for line in (inventory.core.__doc__ or "").splitlines()
        if f"{module.__name__.rsplit('.', 1)[1]} " in line and error.__name__ in line
    )
    assert error.__name__ in drawn


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_every_public_function_says_what_it_gives_in_a_sentence(module):
    public = [one for one in _own(module, inspect.isfunction) if not one.__name__.startswith("_")]
    silent = [one.__name__ for one in public if not (one.__doc__ or "").strip()]

    assert silent == []


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_nothing_here_reads_the_clock_or_throws_dice(module):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    called = {
        node.func.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }

    assert not called & IMPURE
