"""Chromium, Firefox and WebKit behind the few acts a hand has: open, tap, type, choose, read.

Chromium and WebKit (what phones by Apple use) are driven by Selenium, Firefox by Mozilla's own Marionette
client; the engines and their drivers are Debian's packages.
"""

import gc
import os
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "firefox", "webkit")
WIDE, HIGH = 390, 844
PATIENCE_SECONDS = 40  # a busy machine starts an engine slowly
MINI_BROWSERS = "*/webkit2gtk-4.*/MiniBrowser"  # below /usr/lib, of the package libwebkit2gtk


class Missing(Exception):
    """An engine or its driver is not installed."""


class Screen:
    """One window of one engine. What is looked for is a CSS selector, or an XPath when it begins with //."""

    def __init__(self, driver: Any, address: str) -> None:
        self.driver = driver
        self.address = address

    def open(self, path: str) -> None:
        go = getattr(self.driver, "get", None) or self.driver.navigate
        go(self.address + path)

    def find(self, what: str) -> Any:
        """The first such element, waited for."""
        return self.until(lambda: self.driver.find_element(_way(what), what), what)

    def tap(self, what: str) -> None:
        self.until(lambda: self._tapped(what), f"{what} can be tapped")

    def _tapped(self, what: str) -> bool:
        """Not covered, not on its way out: else it is tried again."""
        element = self.driver.find_element(_way(what), what)
        self._bring_up(element)
        element.click()
        return True

    def _bring_up(self, element: Any) -> None:
        """Off the lower edge, where it may lie under the bar that stays in sight."""
        if self.is_selenium:
            self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)

    @property
    def is_selenium(self) -> bool:
        """Whether scripts take their arguments as selenium's drivers do."""
        return hasattr(self.driver, "command_executor")

    def type(self, what: str, text: str) -> None:
        element = self.find(what)
        self._bring_up(element)
        element.clear()
        element.send_keys(text)

    def choose(self, name: str, label: str) -> None:
        """An option of a drop-down list, by the list's field name and the option's words."""
        self.tap(f"//select[@name='{name}']/option[normalize-space()='{label}']")

    def sees(self, what: str, words: str) -> None:
        """Waits until the element holds these words."""
        self.until(lambda: words in self.driver.find_element(_way(what), what).text, f"{words} in {what}")

    def until(self, true: Callable[[], Any], what: str) -> Any:
        last: Exception | None = None
        ends = time.monotonic() + PATIENCE_SECONDS
        while time.monotonic() < ends:
            try:
                if found := true():
                    return found
            except Exception as error:  # noqa: BLE001  - the page may be on its way out; the last one is told
                last = error
            time.sleep(0.1)
        raise AssertionError(f"Not within {PATIENCE_SECONDS} seconds: {what}") from last


def _way(what: str) -> str:
    return "xpath" if what.startswith("//") else "css selector"


def _program(*names: str, package: str) -> str:
    for name in names:
        if path := shutil.which(name):
            return path
    raise Missing(f"{names[0]} was not found: install Debian's package {package}")


def chromium_driver(*more: str) -> Any:
    """A window of Chromium, with these flags too."""
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = _program("chromium", "chromium-browser", package="chromium")
    driver_path = _program("chromedriver", package="chromium-driver")
    for flag in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"):
        options.add_argument(flag)
    for flag in ("--disable-background-networking", *more):
        options.add_argument(flag)
    return webdriver.Chrome(options=options, service=webdriver.ChromeService(driver_path))


@contextmanager
def _chromium() -> Iterator[Any]:
    driver = chromium_driver()
    try:
        driver.set_window_size(WIDE, HIGH)
        yield driver
    finally:
        driver.quit()


@contextmanager
def _firefox() -> Iterator[Any]:
    from marionette_driver.marionette import Marionette

    path = _program("firefox-esr", "firefox", package="firefox-esr")
    driver = Marionette(host="127.0.0.1", port=free_port(), bin=path, headless=True, gecko_log=os.devnull)
    try:
        driver.start_session()
        driver.set_window_rect(width=WIDE, height=HIGH)
        yield driver
    finally:
        driver.quit(in_app=False)
        driver.cleanup()
        del driver
        gc.collect()  # what it left open is told here, not in a test that follows


@contextmanager
def _webkit() -> Iterator[Any]:
    from selenium import webdriver

    service = _program("WebKitWebDriver", package="webkit2gtk-driver")
    browsers = sorted(Path("/usr/lib").glob(MINI_BROWSERS))
    if not browsers:
        raise Missing("MiniBrowser was not found: install Debian's package webkit2gtk-driver")
    options = webdriver.WebKitGTKOptions()
    options.binary_location = str(browsers[-1])
    options.add_argument("--automation")
    with (
        display(),
        environment("WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS", "1"),
    ):  # it refuses to run as root
        driver = webdriver.WebKitGTK(options=options, service=webdriver.WebKitGTKService(service))
        try:
            driver.set_window_size(WIDE, HIGH)
            yield driver
        finally:
            driver.quit()


@contextmanager
def display() -> Iterator[None]:
    """A screen in memory for an engine that cannot do without."""
    path = _program("Xvfb", package="xvfb")
    number, told = os.pipe()
    server = subprocess.Popen(
        [path, "-displayfd", str(told), "-screen", "0", "1280x1024x24", "-nolisten", "tcp"],
        pass_fds=(told,), stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(told)
    try:
        with os.fdopen(number) as answer, environment("DISPLAY", f":{answer.readline().strip()}"):
            yield
    finally:
        server.terminate()
        server.wait()


@contextmanager
def environment(name: str, value: str) -> Iterator[None]:
    before = os.environ.get(name)
    os.environ[name] = value
    try:
        yield
    finally:
        os.environ.pop(name) if before is None else os.environ.update({name: before})


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


@contextmanager
def engine(name: str) -> Iterator[Any]:
    """The driver of one engine's window; `Missing` says what to install."""
    with {"chromium": _chromium, "firefox": _firefox, "webkit": _webkit}[name]() as driver:
        yield driver


@contextmanager
def opened(name: str, address: str) -> Iterator[Screen]:
    """A new window of this engine; skips the test where it is not installed, fails it in CI."""
    with ExitStack() as things:
        try:
            window = things.enter_context(engine(name))
        except Missing as missing:
            if os.environ.get("TEST_EVERY_ENGINE") == "1":
                pytest.fail(f"{missing}.")
            pytest.skip(f"{missing}.")
        yield Screen(window, address)
