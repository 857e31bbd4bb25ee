"""Contact sheets: every page of the running demo, phone and desk, light and dark, English and Spanish.

    make demo
    python -m tests.contact_sheets OUT [--base http://127.0.0.1:8000] [--only WORDS]

Follows the links of nobody, the seller and the driver from their first pages, one page of each kind, and lays
each audience's screens on one sheet a size, tint and language. What is wider than its screen is named.
"""

import argparse
import io
import itertools
import re
import shutil
from pathlib import Path
from urllib.parse import urlsplit

from PIL import Image, ImageDraw
from playwright.sync_api import Browser, Page, TimeoutError, sync_playwright

ROLES = {"customer": ("", "/"), "seller": ("ruth", "/seller/"), "driver": ("tam", "/driver/")}
SIZES = {"phone": (390, 844), "desk": (1280, 800)}
LANGUAGES = ("en-US", "es")
CHOSEN_ON = {"seller": "/seller/find", "driver": "/driver/"}
PASSWORD = "split-in-spring"
NOT_PAGES = re.compile(
    r"^/(static|media|admin|staff)|log-out|\.(ics|csv|json|pdf|gpx|png|svg|zip)$|picture|photo"
)
MOST_TALL = 3  # screens of a page that are shown
THUMB_WIDE, GAP, LABEL, COLUMNS = 320, 12, 16, 5


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("out", type=Path)
    parser.add_argument("--base", default="http://127.0.0.1:8000")
    parser.add_argument("--only", default="", help="part of the sheet's name, as seller-phone")
    asked = parser.parse_args()
    asked.out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        path = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        for role, size, tint, language in itertools.product(ROLES, SIZES, ("light", "dark"), LANGUAGES):
            name = f"{role}-{size}-{tint}-{language[:2]}"
            if asked.only in name:
                sheet(shots(browser, asked.base, role, size, tint, language)).save(asked.out / f"{name}.png")
        browser.close()


def shots(
    browser: Browser, base: str, role: str, size: str, tint: str, language: str
) -> list[tuple[str, Image.Image]]:
    """Each page's address and picture, in the order the links lead to them."""
    wide, high = SIZES[size]
    context = browser.new_context(
        viewport={"width": wide, "height": high},
        locale=language,
        color_scheme="dark" if tint == "dark" else "light",
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.set_default_timeout(60_000)
    user, start = ROLES[role]
    if user:
        log_in(page, base, user)
        keep_language(page, base + CHOSEN_ON[role], language[:2])
    waiting, met, taken = [start], {kind_of(start)}, []
    for path in waiting:  # grows while it is walked
        try:
            answer = page.goto(base + path)
        except TimeoutError:
            print(f"{path} did not come within a minute")
            continue
        if answer is None or not answer.ok or "html" not in answer.headers.get("content-type", ""):
            continue
        tall, reach = page.evaluate(
            "() => [document.documentElement.scrollHeight, document.documentElement.scrollWidth]"
        )
        if reach > wide:
            print(f"{path} is {reach} px wide on a {wide} px screen ({tint}, {language})")
        clip = {"x": 0, "y": 0, "width": wide, "height": min(tall, MOST_TALL * high)}
        taken.append((path, Image.open(io.BytesIO(page.screenshot(full_page=True, clip=clip)))))
        for link in page.eval_on_selector_all("a[href]", "all => all.map(one => one.href)"):
            parts = urlsplit(link)
            is_ours = link.startswith(base) and not NOT_PAGES.search(parts.path)
            is_theirs = role == "customer" or parts.path.startswith(start)
            if is_ours and is_theirs and kind_of(parts.path) not in met:
                met.add(kind_of(parts.path))
                waiting.append(parts.path)
    context.close()
    return taken


def log_in(page: Page, base: str, user: str) -> None:
    page.goto(base + "/log-in")
    page.fill("#id_login", user)
    page.fill("#id_password", PASSWORD)
    page.locator("#id_password").press("Enter")
    page.wait_for_url(lambda address: "log-in" not in address)


def keep_language(page: Page, address: str, language: str) -> None:
    """Who logs in reads the language kept with them, not the browser's: choose it where it is not theirs."""
    page.goto(address)
    button = page.locator(f'button[name="language"][value="{language}"]')
    if button.count():
        button.click()
        page.wait_for_load_state()


def kind_of(path: str) -> str:
    """The address without its numbers, dates and codes: pages of one kind share it."""
    return re.sub(r"(?<=/)(?=[^/]*\d)[^/]+", "#", path)


def sheet(taken: list[tuple[str, Image.Image]]) -> Image.Image:
    """The pictures in columns, each laid where its column is shortest, its address above it."""
    feet = [GAP] * COLUMNS
    laid = []
    for path, picture in taken:
        small = picture.convert("RGB")
        small.thumbnail((THUMB_WIDE, THUMB_WIDE * MOST_TALL * 3))
        column = feet.index(min(feet))
        laid.append((GAP + column * (THUMB_WIDE + GAP), feet[column], path, small))
        feet[column] += LABEL + small.height + GAP
    whole = Image.new("RGB", (GAP + COLUMNS * (THUMB_WIDE + GAP), max(feet)), "#888")
    pen = ImageDraw.Draw(whole)
    for left, top, path, small in laid:
        pen.text((left, top), path[:52], fill="#fff")
        whole.paste(small, (left, top + LABEL))
    return whole


if __name__ == "__main__":
    main()
