"""Templates keep the strict content security policy and real forms under htmx."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2] / "firewood_site"
TEMPLATES = sorted(ROOT.glob("templates/**/*.html"))
FORBIDDEN = {
    "an inline style": r"\sstyle=",
    "an inline script": r"<script(?![^>]*(\ssrc=|type=\"application/json\"))",
    "an inline handler": r"\son(click|change|submit|input|load)=",
    "hx-on, dead under the policy": r"\shx-on",
    "a script value, dead under the policy": r"hx-vals=['\"]js:",
    "an outside address": r"(src|href)=[\"']https?://",
}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_template_holds_nothing_the_policy_forbids(path):
    text = path.read_text(encoding="utf-8")

    found = [words for words, pattern in FORBIDDEN.items() if re.search(pattern, text)]

    assert found == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_htmx_call_stands_on_a_form_or_link_that_works_without_it(path):
    text = path.read_text(encoding="utf-8")
    tags = re.findall(r"<(\w+)([^>]*\shx-(?:get|post)=[^>]*)>", text, re.DOTALL)

    for tag, attributes in tags:
        stands = tag in ("form", "button", "input", "select", "textarea") or "href=" in attributes
        polls = 'hx-trigger="load' in attributes  # asks by itself; its page reloads without JavaScript
        assert stands or polls, f"<{tag}> asks by htmx alone"


def test_the_vendored_htmx_is_the_one_we_looked_at():
    """htmx 4.0.1 as published (npm package htmx.org), its source-map line taken off."""
    import hashlib

    text = (ROOT / "static/firewood_site/vendor/htmx.min.js").read_bytes()

    assert hashlib.sha256(text).hexdigest() == HTMX_SHA256


HTMX_SHA256 = "a0abb04f2f45a1f89d1d4844023245537e5e6014c87b144553e0607b4cc32130"
