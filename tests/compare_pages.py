"""Every page of the demo, saved and compared: what a change did to what people see.

    python -m tests.compare_pages save FOLDER      # in each of two versions
    python -m tests.compare_pages diff BEFORE AFTER

`save` loads the demo into a folder of its own, prices a few addresses, and then asks every address it can
find: those the pages link to, and every address of the site with the ids of the demo's rows. It asks as
nobody, as the seller and as the driver. What differs from run to run (security tokens, signed links, file
hashes, times of day) is taken out. `diff` groups equal differences, so that one changed word on eighty pages
is told once. It reads nothing of the app but its addresses and tables, so one copy serves versions far apart.
"""

import argparse
import difflib
import html
import json
import logging
import os
import re
import sys
import tempfile
from collections import defaultdict, deque
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode, urljoin, urlsplit

ROLES = {"nobody": None, "seller": "ruth", "driver": "tam"}
STARTS = (
    "/",
    "/?lang=es",
    "/price",
    "/seller/",
    "/driver/",
    "/health",
    "/manifest.webmanifest",
    "/sw.js",
    "/favicon.ico",
)
MOST_PATHS = 40  # of one page for one role, linked with other queries or ids
MOST_ROWS = 6  # of one table, for addresses that no page links to
MOST_SHOWN = 12  # lines of one difference
PRICED = (
    {"choice": "fir:seasoned", "amount": "2/3", "how": "delivered", "town": "Larch Prairie", "laid": "stack"},
    {"choice": "fir:seasoned", "amount": "1", "how": "delivered", "town": "Sandhook", "laid": "drop"},
    {"choice": "kindling:seasoned", "bundles": "12", "how": "pick_up"},
)
UUID = re.compile(r"\b[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\b")
# what no two runs share, and what stands in its place
NOISE = tuple(
    (re.compile(pattern, re.IGNORECASE), instead)
    for pattern, instead in (
        (r'(name="csrfmiddlewaretoken" value=")[^"]*', r"\1-"),
        (r'(csrf[-_a-z]*["\'=: ]+)[A-Za-z0-9]{32,64}', r"\1-"),
        (r'(name="stamp" value=")[^"]*', r"\1-"),
        (r'nonce[-=]"?[A-Za-z0-9+/=_-]{16,}"?', "nonce"),
        (r"(?!0{8})" + UUID.pattern, "UUID"),
        (r"/o/([0-9A-Za-z]+)-[0-9A-Za-z]+-[\w-]{20}", r"/o/\1-SIGNED"),
        (r"%2Fo%2F([0-9A-Za-z]+)-[0-9A-Za-z]+-[\w-]{20}", r"%2Fo%2F\1-SIGNED"),
        (r"/no-more/[\w:.-]+", "/no-more/SIGNED"),
        (r"(\w)\.[0-9a-f]{12}\.(css|js|svg|png)", r"\1.\2"),
        (r"\?v=[0-9a-f]{6,}", ""),
        (r"\b[0-9a-f]{32,64}\b", "HASH"),
        (r"\b\d{1,2}:\d{2}:\d{2}(\.\d+)?\b", "TIME"),
        (r"\b\d{8}T\d{6}Z?\b", "INSTANT"),
    )
)


class Crawler:
    """Asks each address once a role, breadth first, and writes down the answers."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.index: dict[str, dict[str, Any]] = {}
        self.tokens: dict[str, str] = {}  # of quotes, numbered as they are met

    def crawl(self, role: str, paths: list[str]) -> None:
        from django.contrib.auth.models import User
        from django.test import Client

        client = Client(raise_request_exception=False)
        if ROLES[role]:
            client.force_login(User.objects.get(username=ROLES[role]))
        waiting, asked, by_page = deque(paths), set(), defaultdict(int)
        while waiting:
            path = waiting.popleft()
            key, page = name_of(UUID.sub(self.numbered, path))
            if key in asked or by_page[page] >= MOST_PATHS or page == "log-out":
                continue
            asked.add(key)
            by_page[page] += 1
            answer = client.get(path)
            text = self.keep(f"{role} {key}", page, answer)
            waiting.extend(sorted(links(path, text)))

    def numbered(self, found: re.Match[str]) -> str:
        return self.tokens.setdefault(found[0], f"00000000-0000-0000-0000-{len(self.tokens) + 1:012d}")

    def keep(self, key: str, page: str, answer: Any) -> str:
        kind = answer.get("Content-Type", "").partition(";")[0]
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        is_text = kind.startswith("text/") or kind in (
            "application/json",
            "image/svg+xml",
            "application/gpx+xml",
        )
        text = body.decode("utf-8", "replace") if is_text else ""
        name = re.sub(r"[^\w.-]+", "_", key)[:150] + f"-{len(self.index)}.txt"
        shown = quiet(text) if is_text else f"{kind or 'nothing'}, not text"
        (self.folder / name).write_text(shown + "\n", encoding="utf-8")
        self.index[key] = {
            "page": page, "status": answer.status_code, "kind": kind,
            "to": quiet(answer.get("Location", "")), "file": name,
        }  # fmt: skip
        return text


def name_of(path: str) -> tuple[str, str]:
    """A path's name that two runs share, and the page's name in the address table."""
    from django.urls import Resolver404, resolve

    parts = urlsplit(path)
    query = urlencode(sorted(parse_qsl(parts.query, keep_blank_values=True)))
    try:
        page = resolve(parts.path).view_name or "unnamed"
    except Resolver404:
        page = "no page"
    return quiet(parts.path + (f"?{query}" if query else "")), page


def links(path: str, text: str) -> Iterator[str]:
    """The addresses of this site that a page links to or fetches parts from."""
    for found in re.findall(r'(?:\bhref|\bhx-get|\bsrc|\bdata-json|\bdata-url)="([^"]+)"', text):
        address = urlsplit(urljoin(f"http://testserver{path}", html.unescape(found)))
        is_ours = address.scheme in ("http", "https") and address.netloc in ("testserver", "127.0.0.1:8000")
        if is_ours and not address.path.startswith(("/static/", "/admin", "/media/")):
            yield address.path + (f"?{address.query}" if address.query else "")


def quiet(text: str) -> str:
    """The text without what differs from run to run, one tag a line."""
    for pattern, instead in NOISE:
        text = pattern.sub(instead, text)
    text = re.sub(r"\s+", " ", text)
    return re.sub(r"(>) ?(<)", r"\1\n\2", text).strip()


def every_address() -> list[str]:
    """Each address of the site, filled with the demo's own ids, dates, codes and numbers."""
    from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

    def named(patterns: list[Any]) -> Iterator[URLPattern]:
        for one in patterns:
            if isinstance(one, URLResolver) and not one.namespace:
                yield from named(one.url_patterns)
            elif isinstance(one, URLPattern) and one.name:
                yield one

    found = []
    for pattern in named(get_resolver().url_patterns):
        wanted = list(pattern.pattern.converters)
        for values in zip(*(samples(name) for name in wanted), strict=False) if wanted else [()]:
            try:
                found.append(reverse(pattern.name, kwargs=dict(zip(wanted, values, strict=True))))
            except NoReverseMatch:
                continue
    return found


def samples(name: str) -> list[Any]:
    """Values of one part of an address: ids by the table it is named for."""
    from django.apps import apps

    fixed: dict[str, list[Any]] = {
        "on": ["2026-09-18", "2026-09-25", "2026-09-19"], "day": ["2026-09-18"], "z": [9, 12], "x": [80, 642],
        "y": [187, 1498], "act": ["split", "close", "change", "cover", "air", "sale", "measure", "lose"],
    }  # fmt: skip
    if name in fixed:
        return fixed[name]
    tables = {model.__name__.lower(): model for model in apps.get_models()}
    if name in ("number", "order_number"):
        return list(tables["order"].objects.order_by("number").values_list("number", flat=True)[:MOST_ROWS])
    if name == "code":
        return list(tables["lot"].objects.order_by("code").values_list("code", flat=True)[:MOST_ROWS])
    table = tables.get(name.removesuffix("_id").replace("_", ""))
    if table is not None:
        return list(table.objects.order_by("pk").values_list("pk", flat=True)[:MOST_ROWS])
    return [1]


def order_links() -> list[str]:
    """The signed pages of the demo's first orders."""
    from django.apps import apps

    from firewood_site.access import order_path

    paths = []
    for order in apps.get_model("orders", "Order").objects.order_by("number")[: 2 * MOST_ROWS]:
        page = order_path(order.number, order.link_secret)
        paths += [
            page,
            *(f"{page}/{part}" for part in ("change", "day.ics", "ticket", "ticket.pdf", "wrong")),
        ]
    return paths


def priced() -> list[str]:
    """The price pages of a few wishes, as a stranger's phone asks for them."""
    from django.apps import apps
    from django.test import Client

    client = Client(raise_request_exception=False)
    pages = []
    for order_request in PRICED:
        town = apps.get_model("orders", "Town").objects.filter(name=order_request.get("town", "")).first()
        answer = client.post("/price", {**order_request, "town": town.pk if town else ""})
        if answer.status_code == 302:
            pages.append(answer["Location"])
        else:
            print(f"No price for {order_request}: the form answered {answer.status_code}.", file=sys.stderr)
    return pages


def save(folder: Path) -> int:
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.iterdir()):
        raise SystemExit(f"{folder} is not empty: name a new folder.")
    os.environ["DATA_DIR"] = tempfile.mkdtemp(prefix="firewood-pages-")
    os.environ["TASKS_BACKEND"] = "django.tasks.backends.immediate.ImmediateBackend"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "firewood_site.settings")

    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    logging.disable(logging.CRITICAL)  # refusals are answers here, not news
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "testserver"]
    call_command("migrate", verbosity=0)
    call_command("load_demo", verbosity=0, stdout=sys.stderr)
    crawler = Crawler(folder)
    paths = [*STARTS, *priced(), *order_links(), *every_address()]
    for role in ROLES:
        crawler.crawl(role, paths)
    (folder / "index.json").write_text(json.dumps(crawler.index, indent=1, sort_keys=True), encoding="utf-8")
    broken = sorted(key for key, row in crawler.index.items() if row["status"] >= 500)
    pages = {row["page"] for row in crawler.index.values()}
    print(f"{len(crawler.index)} answers of {len(pages)} pages in {folder}.")
    for key in broken:
        print(f"Broken: {key}")
    return len(broken)


def diff(before: Path, after: Path) -> int:
    old, new = (json.loads((folder / "index.json").read_text(encoding="utf-8")) for folder in (before, after))
    heads: dict[str, list[str]] = defaultdict(list)
    changes: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for key in sorted(old.keys() | new.keys()):
        if key not in new:
            heads[f"gone: {old[key]['page']}"].append(key)
        elif key not in old:
            heads[f"new: {new[key]['page']}"].append(key)
        else:
            for part in ("status", "kind", "to"):
                if old[key][part] != new[key][part]:
                    heads[f"{part} of {old[key]['page']}: {old[key][part]} became {new[key][part]}"].append(
                        key
                    )
            texts = [
                (folder / index[key]["file"]).read_text(encoding="utf-8").splitlines()
                for folder, index in ((before, old), (after, new))
            ]
            for hunk in hunks(*texts):
                changes[hunk].append(key)
    for head, keys in sorted(heads.items()):
        print(f"{head}\n    {len(keys)} times, such as {keys[0]}")
    for hunk, keys in sorted(changes.items(), key=lambda pair: -len(pair[1])):
        print(f"\n{len(keys)} times, such as {keys[0]}")
        print("\n".join(f"    {line[:300]}" for line in hunk[:MOST_SHOWN]))
        if len(hunk) > MOST_SHOWN:
            print(f"    and {len(hunk) - MOST_SHOWN} lines more")
    changed = {key for keys in (*heads.values(), *changes.values()) for key in keys}
    print(f"\n{len(changed)} of {len(old | new)} answers differ, in {len(heads) + len(changes)} ways.")
    return 0


def hunks(old: list[str], new: list[str]) -> Iterator[tuple[str, ...]]:
    """Each run of changed lines, without the lines around it."""
    for kind, first, last, start, end in difflib.SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        if kind != "equal":
            yield tuple([f"- {line}" for line in old[first:last]] + [f"+ {line}" for line in new[start:end]])


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    acts = parser.add_subparsers(dest="act", required=True)
    acts.add_parser("save").add_argument("folder", type=Path)
    both = acts.add_parser("diff")
    both.add_argument("before", type=Path)
    both.add_argument("after", type=Path)
    asked = parser.parse_args(argv)
    return save(asked.folder) if asked.act == "save" else diff(asked.before, asked.after)


if __name__ == "__main__":
    sys.exit(main())
