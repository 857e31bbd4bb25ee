"""PROVENANCE.md covers every file that is not code, and names none that is gone."""

import re
import subprocess
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# what the license and the history speak for: code, templates, and words about the code
OWN = {".py", ".html", ".md"}
OWN_FILES = {
    ".ci/run", ".gitignore", ".dockerignore", ".python-version", "Dockerfile", "LICENSE", "Makefile",
    "compose.yaml", "pyproject.toml",
}  # fmt: skip
OWN_FOLDERS = ("deploy/",)


@cache
def tracked() -> tuple[str, ...]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    return tuple(line for line in listed.stdout.splitlines() if (ROOT / line).exists())


@cache
def rows() -> tuple[tuple[tuple[str, ...], list[str]], ...]:
    """Each row: its patterns, and the cells beside them."""
    lines = (ROOT / "PROVENANCE.md").read_text(encoding="utf-8").splitlines()
    table = [line.strip("|").split("|") for line in lines if line.startswith("| `")]
    return tuple(
        (tuple(re.findall(r"`([^`]+)`", cells[0])), [cell.strip() for cell in cells[1:]]) for cells in table
    )


def covers(pattern: str, path: str) -> bool:
    """Whether a pattern names a file: `**` goes through folders, `*` does not."""
    spoken = re.escape(pattern).replace(r"/\*\*/", "/(?:.*/)?").replace(r"\*\*", ".*").replace(r"\*", "[^/]*")
    return re.fullmatch(spoken, path) is not None


def is_code(path: str) -> bool:
    if "/vendor/" in path or path.startswith("fixtures/instances/public/"):
        return False
    return Path(path).suffix in OWN or path in OWN_FILES or path.startswith(OWN_FOLDERS)


def test_every_file_that_is_not_code_has_a_row():
    patterns = [pattern for named, _ in rows() for pattern in named]

    left_out = [
        path for path in tracked() if not is_code(path) and not any(covers(one, path) for one in patterns)
    ]

    assert left_out == []


@pytest.mark.skipif(not tracked(), reason="no git here to say which files belong to the project")
def test_no_row_names_what_is_gone():
    patterns = [pattern for named, _ in rows() for pattern in named]

    gone = [pattern for pattern in patterns if not any(covers(pattern, path) for path in tracked())]

    assert gone == []


def test_every_row_says_what_whence_and_under_which_license():
    assert len(rows()) > 10
    for patterns, cells in rows():
        assert len(cells) == 3, patterns
        assert all(cells), patterns


def test_what_is_vendored_keeps_its_license_beside_it():
    vendored = [path for path in tracked() if "/vendor/" in path]

    assert [path for path in vendored if path.endswith("LICENSE")] != []
    for path in vendored:
        beside = [
            one for one in tracked() if one.endswith("LICENSE") and Path(one).parent in Path(path).parents
        ]
        assert beside, path


def test_the_license_and_the_package_name_the_same_holder():
    assert "Firewood authors" in (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert 'authors = [{ name = "Firewood authors" }]' in (ROOT / "pyproject.toml").read_text(
        encoding="utf-8"
    )
