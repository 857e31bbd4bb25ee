"""Refusals and sentences have gaps, so that their reader's language can word them."""

import ast
from collections import Counter
from functools import cache
from pathlib import Path
from string import Formatter

ROOT = Path(__file__).resolve().parents[2]
APPS = ("firewood_site", "inventory", "orders", "routing")


@cache
def classes_and_calls():
    """Every class and every call of the apps, each with its file."""
    classes, calls = [], []
    for app in APPS:
        for path in (ROOT / app).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.ClassDef):
                    classes.append((path.relative_to(ROOT), node))
                elif isinstance(node, ast.Call):
                    calls.append((path.relative_to(ROOT), node))
    return classes, calls


def name_of(node):
    """The last name of what is called or built on."""
    return getattr(node, "attr", getattr(node, "id", ""))


def names_of_refusals(classes):
    bases = {node.name: {name_of(base) for base in node.bases} for _, node in classes}
    found = {"Refusal"}
    while more := {name for name, above in bases.items() if above & found} - found:
        found |= more
    return found


def worded(call):
    """What of a call is English: all of a refusal; of a sentence its words, while a gap may hold a figure."""
    return call.args[0] if name_of(call.func) == "Sentence" and call.args else call


def gaps_by_class(classes):
    """What each class of refusals that says its own sentence wants filled; none of two that share a name."""
    shared = {name for name, times in Counter(node.name for _, node in classes).items() if times > 1}
    return {
        node.name: {gap for _, gap, _, _ in Formatter().parse(ast.literal_eval(part.value)) if gap}
        for _, node in classes
        if node.name not in shared
        for part in node.body
        if isinstance(part, ast.Assign) and ast.unparse(part.targets[0]) == "says"
    }


def test_whoever_raises_a_refusal_fills_every_gap_of_its_sentence():
    classes, every_call = classes_and_calls()
    wanted = gaps_by_class(classes)

    calls = [(path, call, name) for path, call in every_call if (name := name_of(call.func)) in wanted]
    unfilled = [
        f"{path}:{call.lineno}"
        for path, call, name in calls
        if not wanted[name] <= {word.arg for word in call.keywords}
    ]

    assert len(wanted) > 100
    assert len(calls) > 150
    assert unfilled == []


def test_no_refusal_or_sentence_is_put_together_before_it_is_worded():
    classes, every_call = classes_and_calls()
    refusals = names_of_refusals(classes)

    calls = [(path, call) for path, call in every_call if name_of(call.func) in refusals | {"Sentence"}]
    ready_made = [
        f"{path}:{call.lineno}"
        for path, call in calls
        if any(isinstance(part, ast.JoinedStr) for part in ast.walk(worded(call)))
    ]

    assert len(refusals) > 150
    assert len(calls) > 400
    assert ready_made == []
