"""Chromium on the live pages: any policy violation, script error or failed request fails the test."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # Playwright's loop runs in the test's own thread


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.fail("Chromium was not found: install Debian's package chromium.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser, live_server: Any) -> Iterator[Callable[..., Page]]:
    """Opens pages of the app; what the console complained about fails the test at its end."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def listen(page: Page) -> None:
        page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))
        page.on(
            "console",
            lambda message: (
                complaints.append(f"{page.url}: {message.text}")
                if message.type == "error" or "Security Policy" in message.text
                else None
            ),
        )

    def opened(path: str = "/", *, size: dict[str, int] = PHONE, **kwargs: Any) -> Page:
        context = chromium.new_context(viewport=size, base_url=live_server.url, **kwargs)
        context.set_default_timeout(15_000)
        contexts.append(context)
        context.on("page", listen)
        page = context.new_page()
        page.goto(path)
        return page

    opened.complaints = complaints  # type: ignore[attr-defined]
    yield opened
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def axe() -> Iterator[Callable[[Page], None]]:
    """No accessibility violation on the pages as they stood when checked; all of them told at the end."""
    from axe_playwright_python.sync_playwright import Axe

    broken: list[str] = []

    def check(page: Page) -> None:
        found = Axe().run(page, options={"runOnly": WCAG})
        broken.extend(
            f"{page.url} {rule['id']}: {node['html'][:160]}"
            for rule in found.response["violations"]
            for node in rule["nodes"]
        )

    yield check
    assert broken == []


@pytest.fixture
def shot(request: Any) -> Callable[..., None]:
    """Keeps a screenshot when TEST_SHOTS names a folder."""
    folder = os.environ.get("TEST_SHOTS")

    def keep(page: Page, name: str, *, full: bool = True) -> None:
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            page.screenshot(path=str(Path(folder) / f"{name}.png"), full_page=full)

    return keep
