"""Every function, class and constant has a caller outside the tests.

Names are counted over the code, the templates and the scripts; a definition whose name appears nowhere but in
itself, or only inside definitions like it, is dead. A shared name can hide a dead one. Slow: a room may be
built in steps, so what stands without a caller is told before a release, not at every commit.
"""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("inventory", "orders", "routing", "firewood_site")
TEXTS = {".html", ".js", ".txt", ".typ", ".svg", ".toml"}
WORD = re.compile(r"[A-Za-z_]\w*")
LONGEST_NAME_IN_TEXT = 120  # letters of a string that may hold a name, such as a dotted path
# called by Django or Python by these names
CALLED_BY_NAME = re.compile(
    r"__\w+__|Meta|Command|\w+Config|handle|add_arguments|clean(_\w+)?|save|delete|ready|get_\w+|has_\w+_permission"
    r"|from_db_value|to_python|deconstruct|formfield|value_to_string|validators|process_view|urlpatterns|application|handler\d+"
)
REGISTERED = re.compile(r"register|receiver|filter|simple_tag|task")
LIBRARY_BASES = ("Default", "Base")  # adapters, forms and back ends of packages
# called by Django, read by gettext, or by the tests of the plan format and the bench
KNOWN = {
    "process_request",
    "STAFF_PATHS",
    "IN_BOTH",
    "IN_ENGLISH",
    "_is_in_english",
    "PAY_WAYS",
    "sketch_from",
    "begin_from",
    "RULES",
    "DECIMAL_SEPARATOR",
    "THOUSAND_SEPARATOR",
    "NUMBER_GROUPING",
}

type Definition = tuple[str, str, ast.AST]


def sources(suffixes: set[str]) -> Iterator[Path]:
    for package in PACKAGES:
        for path in (ROOT / package).rglob("*"):
            if path.suffix in suffixes and not {"migrations", "vendor"} & set(path.parts):
                yield path


def names_in(tree: ast.AST) -> Counter[str]:
    """How often each name is used below a node; docstrings use none."""
    found: Counter[str] = Counter()
    docs = {id(node.body[0].value) for node in ast.walk(tree) if _has_docstring(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            found[node.id] += 1
        elif isinstance(node, ast.Attribute):
            found[node.attr] += 1
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            found.update(WORD.findall(node.value) if len(node.value) < LONGEST_NAME_IN_TEXT else ())
    return found


def _has_docstring(node: ast.AST) -> bool:
    body = getattr(node, "body", None)
    first = body[0] if isinstance(body, list) and body else None
    return isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)


def _builds_on_a_library(node: ast.stmt) -> bool:
    """A class whose methods another package may call."""
    return isinstance(node, ast.ClassDef) and any(
        isinstance(base, ast.Attribute) or (isinstance(base, ast.Name) and base.id.startswith(LIBRARY_BASES))
        for base in node.bases
    )


def definitions(path: Path, tree: ast.Module) -> Iterator[Definition]:
    where = str(path.relative_to(ROOT))
    overrides = {id(method) for node in tree.body if _builds_on_a_library(node) for method in ast.walk(node)}
    for node in ast.walk(tree):
        if id(node) in overrides and isinstance(node, ast.FunctionDef):
            continue
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            wrapped = " ".join(ast.dump(one) for one in node.decorator_list)
            if not (CALLED_BY_NAME.fullmatch(node.name) or REGISTERED.search(wrapped)):
                yield where, node.name, node
    for node in tree.body if path.name != "settings.py" else ():
        for target in node.targets if isinstance(node, ast.Assign) else ():
            if isinstance(target, ast.Name) and not CALLED_BY_NAME.fullmatch(target.id):
                yield where, target.id, node


def dead() -> set[str]:
    used: Counter[str] = Counter()
    alive: list[Definition] = []
    for path in sources({".py"}):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        used += names_in(tree)
        alive += definitions(path, tree)
    for path in sources(TEXTS):
        used.update(WORD.findall(path.read_text(encoding="utf-8")))
    found: set[str] = set()
    while True:
        own = [(one, names_in(one[2])) for one in alive]
        fallen = [(one, inside) for one, inside in own if used[one[1]] <= inside[one[1]]]
        if not fallen:
            return found
        for (where, name, _), inside in fallen:
            found.add(f"{where} {name}")
            used.subtract(inside)
        below = {id(node) for (_, _, tree), _ in fallen for node in ast.walk(tree)}
        alive = [one for one in alive if id(one[2]) not in below]


@pytest.mark.slow
def test_nothing_is_kept_that_only_tests_call():
    assert [one for one in sorted(dead()) if one.split()[-1] not in KNOWN] == []
