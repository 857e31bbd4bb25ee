"""What a service refuses on a daily page is said in Spanish: the catalog knows its English by its shape."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tests.pages.customer.test_spanish import ROOT, catalog

OFFICE = re.compile(
    r"bringing_in|road|season|species|prices|markets|own_texts|figures|rigs|drivers|weather|yards|business|units|"
    r"facts|costs|photos|staff|audit|spent|pays|units|ways|people|paces|set_up"
)
SHORTEST = 9  # letters of a sentence


def shape(sentence: str) -> str:
    """A sentence with its gaps unnamed."""
    return re.sub(r"(?:\{.*?\})+", "{}", sentence)


def template(node: ast.expr) -> str:
    """The sentence of a text or an f-string; empty for anything else."""
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def refusals(path: Path) -> Iterator[str]:
    """What errors of a module say: in their class, or when they are made."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        is_made = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        is_said = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in ("says", "frame")
        words = [node.value] if is_said else []
        if is_made and node.func.attr == "__init__" and isinstance(node.func.value, ast.Call):
            words = node.args
        for said in words:
            choices = [said.body, said.orelse] if isinstance(said, ast.IfExp) else [said]
            yield from (text for text in map(template, choices) if len(text) >= SHORTEST)


def test_what_services_refuse_has_its_spanish():
    known = {shape(sentence) for sentence in catalog()}
    said = {
        (text, str(path.relative_to(ROOT)))
        for app in ("inventory", "orders", "routing")
        for path in sorted((ROOT / app / "services").rglob("*.py"))
        if not OFFICE.search(path.name)
        for text in refusals(path)
    }

    assert len(said) > 60
    assert sorted(f"{where}: {text}" for text, where in said if shape(text) not in known) == []
