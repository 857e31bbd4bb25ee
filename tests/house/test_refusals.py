"""Refusals and sentences have gaps, so that their reader's language can word them."""

import ast
from collections import Counter
from pathlib import Path
from string import Formatter

ROOT = Path(__file__).resolve().parents[2]
APPS = ("firewood_site", "inventory", "orders", "routing")


def trees():
    for app in APPS:
        for path in (ROOT / app).rglob("*.py"):
            yield path.relative_to(ROOT), ast.parse(path.read_text("utf-8"))


def names_of_refusals(parsed):
    bases = {
        node.name: {ast.unparse(base).split(".")[-1] for base in node.bases}
        for _, tree in parsed
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef)
    }
    found = {"Refusal"}
    while more := {name for name, above in bases.items() if above & found} - found:
        found |= more
    return found


def worded(call):
    """What of a call is English: all of a refusal; of a sentence its words, while a gap may hold a figure."""
    return call.args[0] if ast.unparse(call.func) == "Sentence" and call.args else call


def gaps_by_class(parsed):
    """What each class of refusals that says its own sentence wants filled; none of two that share a name."""
    classes = [node for _, tree in parsed for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    shared = {name for name, times in Counter(node.name for node in classes).items() if times > 1}
    return {
        node.name: {gap for _, gap, _, _ in Formatter().parse(ast.literal_eval(part.value)) if gap}
        for node in classes
        if node.name not in shared
        for part in node.body
        if isinstance(part, ast.Assign) and ast.unparse(part.targets[0]) == "says"
    }


def test_whoever_raises_a_refusal_fills_every_gap_of_its_sentence():
    parsed = list(trees())
    wanted = gaps_by_class(parsed)

    calls = [
        (path, call, name)
        for path, tree in parsed
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and (name := ast.unparse(call.func).split(".")[-1]) in wanted
    ]
    unfilled = [
        f"{path}:{call.lineno}"
        for path, call, name in calls
        if not wanted[name] <= {word.arg for word in call.keywords}
    ]

    assert len(wanted) > 100
    assert len(calls) > 150
    assert unfilled == []


def test_no_refusal_or_sentence_is_put_together_before_it_is_worded():
    parsed = list(trees())
    refusals = names_of_refusals(parsed)

    calls = [
        (path, node)
        for path, tree in parsed
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func).split(".")[-1] in refusals | {"Sentence"}
    ]
    ready_made = [
        f"{path}:{call.lineno}"
        for path, call in calls
        if any(isinstance(part, ast.JoinedStr) for part in ast.walk(worded(call)))
    ]

    assert len(refusals) > 150
    assert len(calls) > 400
    assert ready_made == []
