"""A phone with a memory of its own, in each engine, that can be killed as an empty battery does it.

WebKit's driver gives a browser without a memory: its MiniBrowser forgets all that an automated window kept.
So it is started as people start it, and asked through the inspector that it offers at a port.
"""

import json
import os
import re
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest

from tests.browser.engines import (
    MINI_BROWSERS,
    PATIENCE_SECONDS,
    Missing,
    chromium_driver,
    display,
    environment,
    free_port,
)

MARK = "FIREWOOD_TEST_PHONE"  # in the environment of all its processes
SOON_MS = 100  # an act that leads to another page begins once its asker has heard that it will
QUIET_FIREFOX = {
    "app.update.enabled": False,
    "browser.sessionstore.resume_from_crash": False,
    "browser.shell.checkDefaultBrowser": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "toolkit.startup.max_resumed_crashes": -1,
}
FIND = """const find = (css, text) => [...document.querySelectorAll(css)].find((one) =>
  one.textContent.includes(text) && one.checkVisibility());"""

type Ask = Callable[[str], Any]


class Phone:
    """An engine on a folder that outlives it. What is asked of its page is JavaScript."""

    def __init__(self, name: str, folder: Path, address: str) -> None:
        self.name, self.folder, self.address = name, folder, address
        folder.mkdir()
        self._ask: Ask | None = None

    def start(self) -> None:
        with environment(MARK, str(self.folder)):
            starts = {"chromium": _chromium, "firefox": _firefox, "webkit": _webkit}
            self._ask = starts[self.name](self.folder)

    def kill(self) -> None:
        """No goodbye, for any process of it."""
        mark = f"{MARK}={self.folder}".encode()
        for entry in Path("/proc").iterdir():
            with suppress(OSError, ValueError):
                if mark in (entry / "environ").read_bytes().split(b"\0"):
                    os.kill(int(entry.name), signal.SIGKILL)
        for lock in self.folder.glob("Singleton*"):
            lock.unlink()

    def ask(self, expression: str) -> Any:
        """The value of an expression in its page, awaited."""
        assert self._ask is not None
        return self._ask(expression)

    def open(self, path: str) -> None:
        """The page at a path, never the one before it at the same address: that one is marked."""
        self.until("true")
        self.ask(
            "void (window.before = true, "
            f"setTimeout(() => location.assign({json.dumps(self.address + path)}), {SOON_MS}))"
        )
        self.until(
            f"!window.before && document.readyState === 'complete' && "
            f"({json.dumps(path)} === location.pathname || location.pathname.startsWith('/log-in'))"
        )

    def until(self, expression: str) -> Any:
        """Waits for something true; the page may be on its way out meanwhile."""
        last: Any = None
        ends = time.monotonic() + PATIENCE_SECONDS
        while time.monotonic() < ends:
            try:
                last = self.ask(expression)
                if last:
                    return last
            except Exception as error:  # noqa: BLE001
                last = error
            time.sleep(0.2)
        raise AssertionError(f"Not within {PATIENCE_SECONDS} seconds in {self.name}: {expression}: {last}")

    def sees(self, css: str, text: str) -> None:
        self.until(f"(() => {{ {FIND} return Boolean(find({json.dumps(css)}, {json.dumps(text)})); }})()")

    def tap(self, css: str, text: str = "") -> None:
        self.sees(css, text)
        found = f"find({json.dumps(css)}, {json.dumps(text)})"
        self.ask(f"void setTimeout(() => {{ {FIND} {found}.click(); }}, {SOON_MS})")

    def type(self, css: str, text: str) -> None:
        self.until(f"Boolean(document.querySelector({json.dumps(css)}))")
        self.ask(f"void (document.querySelector({json.dumps(css)}).value = {json.dumps(text)})")


def _chromium(folder: Path) -> Ask:
    return _asks(chromium_driver(f"--user-data-dir={folder}"))


def _firefox(folder: Path) -> Ask:
    from marionette_driver.marionette import Marionette

    path = shutil.which("firefox-esr") or shutil.which("firefox")
    if path is None:
        raise Missing("firefox-esr was not found: install Debian's package firefox-esr")
    port = free_port()
    settings = {**QUIET_FIREFOX, "marionette.port": port}
    lines = [f'user_pref("{name}", {json.dumps(value)});' for name, value in settings.items()]
    (folder / "user.js").write_text("\n".join(lines), "utf-8")
    subprocess.Popen(
        [path, "--headless", "--marionette", "--profile", str(folder), "--no-remote"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    driver = Marionette(host="127.0.0.1", port=port, startup_timeout=PATIENCE_SECONDS)
    driver.start_session()
    return _asks(driver)


def _asks(driver: Any) -> Ask:
    def ask(expression: str) -> Any:
        answer = driver.execute_async_script(
            "const told = arguments[arguments.length - 1];"
            f"(async () => ({expression}))()"
            ".then((value) => told({value}), (error) => told({error: String(error)}));"
        )
        if "error" in answer:
            raise RuntimeError(answer["error"])
        return answer.get("value")

    return ask


def _webkit(folder: Path) -> Ask:
    browsers = sorted(Path("/usr/lib").glob(MINI_BROWSERS))
    if not browsers:
        raise Missing("MiniBrowser was not found: install Debian's package webkit2gtk-driver")
    port = free_port()
    own = {
        "WEBKIT_INSPECTOR_HTTP_SERVER": f"127.0.0.1:{port}",
        "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",
        "XDG_DATA_HOME": str(folder),
        "XDG_CACHE_HOME": str(folder),
    }
    subprocess.Popen(
        [str(browsers[-1]), "--enable-developer-extras=true", "about:blank"],
        env={**os.environ, **own}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    return lambda expression: _inspected(port, expression)


def _inspected(port: int, expression: str) -> Any:
    """The value of a promise, by WebKit's inspector protocol; each time on a line of its own."""
    from websocket import create_connection

    with urlopen(f"http://127.0.0.1:{port}/", timeout=PATIENCE_SECONDS) as page:
        found = re.search(r"/socket/\d+/\d+/WebPage", page.read().decode())
    if found is None:
        raise RuntimeError("no page to inspect yet")
    line = create_connection(f"ws://127.0.0.1:{port}{found.group()}", timeout=PATIENCE_SECONDS)
    try:
        target = json.loads(line.recv())["params"]["targetInfo"]["targetId"]

        def call(number: int, method: str, **given: Any) -> Any:
            message = json.dumps({"id": number, "method": method, "params": given})
            params = {"targetId": target, "message": message}
            line.send(json.dumps({"id": number, "method": "Target.sendMessageToTarget", "params": params}))
            while True:
                told = json.loads(line.recv())
                inner = json.loads(told.get("params", {}).get("message", "{}"))
                if inner.get("id") == number:
                    result = inner.get("result", {})
                    if result.get("wasThrown") or "result" not in result:
                        raise RuntimeError(str(inner))
                    return result["result"]

        promise = call(1, "Runtime.evaluate", expression=f"(async () => ({expression}))()")
        return call(2, "Runtime.awaitPromise", promiseObjectId=promise["objectId"], returnByValue=True).get(
            "value"
        )
    finally:
        line.close()


@contextmanager
def phone_of(name: str, folder: Path, address: str) -> Iterator[Phone]:
    """Started; skips the test where the engine is not installed, fails it in CI."""
    with ExitStack() as things:
        phone = Phone(name, folder, address)
        try:
            if name == "webkit":
                things.enter_context(display())
            phone.start()
        except Missing as missing:
            if os.environ.get("TEST_EVERY_ENGINE") == "1":
                pytest.fail(f"{missing}.")
            pytest.skip(f"{missing}.")
        things.callback(phone.kill)
        yield phone
