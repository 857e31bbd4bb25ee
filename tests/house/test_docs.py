"""README and DEVELOPERS name only files that exist and make targets that are there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOCS = ["README.md", "DEVELOPERS.md", "PROVENANCE.md", "deploy/FAULTS.md"]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "Makefile", "pyproject.toml", "manage.py",
    "compose.yaml", "Dockerfile", ".dockerignore", "PROVENANCE.md", "deploy", "firewood_site",
    "inventory", "orders", "routing", "tests", "fixtures", ".ci",
    ".gitignore", ".python-version", "requirements.txt", "requirements-dev.txt", "requirements-bench.txt",
}  # fmt: skip


@pytest.mark.parametrize("name", DOCS)
def test_every_file_it_names_exists(name):
    text = (ROOT / name).read_text(encoding="utf-8")
    linked = re.findall(r"\]\((?!https?:|#|mailto:)([^)#]+)", text)
    quoted = re.findall(r"`((?:firewood_site|inventory|orders|routing|tests|fixtures|\.ci)/[\w./-]*)`", text)

    missing = [path for path in {*linked, *quoted} if not (ROOT / path).exists()]

    assert sorted(missing) == []


def test_every_name_it_finds_in_a_file_is_in_that_file():
    """`WAYS` in `a/file.py`, `One` and `Other` (`a/file.py`): the file defines or at least says the name."""
    text = " ".join((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split())
    named = re.findall(r"((?:`\w+`(?:, | and |, and )?)+)(?: in | \(| in \()`([\w./-]+/[\w.-]+\.\w+)`", text)

    missing = [
        (name, path)
        for names, path in named
        for name in re.findall(r"\w+", names.replace(" and ", " "))
        if not re.search(rf"\b{name}\b", (ROOT / path).read_text(encoding="utf-8"))
    ]

    assert len(named) > 30
    assert missing == []


def test_every_test_that_the_page_of_faults_names_is_there():
    named = set(re.findall(r"`(test_\w+)`", (ROOT / "deploy" / "FAULTS.md").read_text(encoding="utf-8")))
    there = {
        name
        for path in (ROOT / "tests").rglob("test_*.py")
        for name in re.findall(r"^def (test_\w+)", path.read_text(encoding="utf-8"), re.MULTILINE)
    }

    assert len(named) > 10
    assert named <= there


@pytest.mark.parametrize("name", DOCS)
def test_every_make_target_it_names_exists(name):
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z-]+):", makefile, re.MULTILINE))

    named = set(re.findall(r"\bmake ([a-z-]+)\b`", (ROOT / name).read_text(encoding="utf-8")))

    assert named <= targets


def test_the_top_level_stays_as_it_was_agreed():
    import subprocess

    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split("\n")
    top = {path.split("/")[0] for path in tracked if path}

    assert top <= TOP_LEVEL
