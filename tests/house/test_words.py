"""Pages, letters, messages and form labels use the words of the trade: none of those we left behind."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LEFT_BEHIND = {
    "(if you like)": "(optional)",
    "brought to you": "delivered",
    "from where the wood lies": "from our yard",
    "Fresh faces read": "measured inside fresh splits",
    "Price my wood": "Get a price",
    "Throw it off": "Dump it",
    "thrown off": "dumped",
    "throwing off": "unloading",
    "fetch it": "pickup",
    "is fetched": "is picked up",
    "fetched here": "picked up here",
    "fetches it": "picks it up",
    "ready to fetch": "ready for pickup",
    "way in": "access",
    "Ask for this wood": "Place order",
    "How the price comes about": "How we figured it",
    "started mile": "mile or part of one",
    "Suits them": "Days that work",
    "day set": "scheduled",
    "all the same": "anyway",
    "hold softly": "hold it for now",
    "soft hold": "tentative hold",
    "firm hold": "promised",
    "Take money": "Record a payment",
    "Book it": "Record",
    "Give back, or a check came back": "Refund, and Bounced check",
    "check that came back": "check that bounced",
    "Call it off": "Cancel (an order), Lift (a closure)",
    "called off": "cancelled",
    "Their own link": "Customer's link",
    "Holds from": "In effect from",
    "Keep at least, a cord": "Least you want left per cord",
    "dearer by the cord": "more per cord",
    "Many is from": "Bulk price from (bundles)",
    "Look for so many": "Search time (seconds)",
    "Laid out by hand; the referee": "Planned by hand. Checked: it can be driven.",
    "Time it anew": "Recalculate times",
    "Not out before": "Leave no earlier than",
    "Shut something": "Add a closure",
    "Shut days": "Closures",
    "It runs again": "Back in service",
    "Reckon": "Estimate",
    "by reckoning": "estimated",
    "reckoned": "estimated",
    "Its air": "Local climate",
    "Woods and figures": "Species and figures",
    "Drawn by lot": "simulated outcomes",
    "eight lots of ten": "8 of 10 lots like this",
    "What this phone keeps": "Not sent yet",
    "Open wood": "Wood for sale",
    "open to sell": "for sale",
    "Haul or not": "Near or far",
    "Tight way in": "Tight driveway?",
    "Bringing it is free": "Delivery is free for the first 12 miles",
    "Dry firewood, brought": "Dry firewood, delivered",
    "Confirm all the same": "Confirm anyway",
    "Promise a day": "Schedule it",
    "Grows with": "Varies with",
    "I fetch it": "I pick it up",
    "dearer": "more",
    "cords open": "cords not promised",
    "cord open": "cord not promised",
}
WHOLE_LABELS = {
    "Say it": "Send", "Grows": "Varies with", "Earned": "Profit", "Unit": "Ground", "Units": "Ground",
    "Take money": "Record a payment", "Reckon": "Estimate", "asked for": "new request", "Holds": "In effect",
    "Way in": "Access", "Throw off": "Dump it", "Drop it": "Dump it", "Fetch": "Pickup",
    "Day set": "Scheduled",
    "Keep": "Save", "Keep them": "Save", "Write it down": "Save", "Keep the limit": "Save",
    "Keep the reading": "Save", "Keep the photo": "Save", "Put it right": "Save, or Change the order",
}  # fmt: skip
LABEL_ELSEWHERE = {
    ("firewood_site/templates/seller/money/acre.html", "asked for"): "of a cost-share, not of an order",
    ("orders/models/orders.py", "asked for"): "a choice's name in a landed migration, as day set below",
    ("inventory/models/__init__.py", "Unit"): "a table's name, never read on a page",
}
EXCEPTIONS = {
    (
        "orders/models/orders.py",
        "day set",
    ): "a choice's name in a landed migration; pages name states themselves",
    (
        "orders/services/orders.py",
        "day set",
    ): "a verb of the audit log, kept as the rows that stand there say it",
    ("inventory/selectors/audit.py", "day set"): "where that verb is said as people say it",
    ("firewood_site/templatetags/selling.py", "thrown off"): "how tickets frozen before say it",
}
LEFT_BEHIND_IN_SPANISH = {
    "caras frescas": "leños recién partidos",
    "con agujas": "con medidor de humedad",
    "Cómo le llega": "Entrega",
    "descargada": "volcada",
    "leña menuda": "leña para encender",
    "leña seca (abeto)": "leña de abeto de Douglas, seca",
    "día y horas fijados": "día y hora acordados",
    "La página era demasiado vieja": "La página caducó",
    "Cómo sale el precio": "Cómo se calcula",
}
WHOLE_LABELS_IN_SPANISH = {
    "Cuánta": "Cantidad", "La llevan": "Entrega a domicilio", "Falta": "Saldo", "Vende": "Vendedor",
    "Compra": "Comprador", "Pídala": "Haga su pedido", "Patio": "Patio de leña",
}  # fmt: skip
LEFT_BEHIND_IN_CODE = {
    "load_roads": "load_legs or import_roads",
    "fillings": "packings", "filling": "packing", "happenings": "driver_events", "Said": "EventResult",
    "Told": "EventInput", "Shift": "Run", "Phrase": "IncomingEvent", "ruins": "search/destroy",
    "Lie": "Storage", "LieForm": "StorageForm", "Want": "OrderRequest", "Outing": "Run",
    "trouble": "problem or failure",
    "dice": "rng", "_both": "best_two_by_predecessor", "shift_runs": "exact/labeling", "tails": "labels",
    "beaten": "dominance", "unbeaten": "undominated", "told_before": "forecast_before",
    "rewooding": "redrawing", "pays_first": "customer_paying_first",
}  # fmt: skip
TAGS = re.compile(r"\{#.*?#\}|\{%\s*(?:for|if|elif|with|url|load)\b.*?%\}", re.S)


def sentences():
    """Every text somebody may read, with its file: templates, letters, and strings of the code."""
    for path in sorted((ROOT / "firewood_site/templates").rglob("*.html")):
        yield path.relative_to(ROOT).as_posix(), TAGS.sub(" ", path.read_text("utf-8"))
    for package in ("firewood_site", "orders", "inventory", "routing"):
        for path in sorted((ROOT / package).rglob("*.py")):
            if "migrations" not in path.parts and path.parts[-3:-1] != ("planner", "search"):
                yield from ((path.relative_to(ROOT).as_posix(), text) for text in strings(path))
    for path in sorted(ROOT.glob("*/core/letters.toml")):
        yield path.relative_to(ROOT).as_posix(), path.read_text("utf-8")


def strings(path):
    """The string literals of a module, its docstrings aside."""
    tree = ast.parse(path.read_text("utf-8"))
    aside = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside:
            yield node.value


@pytest.fixture(scope="module")
def read():
    return tuple(sentences())


@pytest.mark.parametrize("phrase", LEFT_BEHIND)
def test_a_phrase_left_behind_is_on_no_page(read, phrase):
    pattern = re.compile(rf"(?<!\w){re.escape(phrase)}(?!\w)", re.I)

    found = {
        f"{where}: {text[max(found.start() - 30, 0) : found.end() + 30]!r}; say {LEFT_BEHIND[phrase]!r}"
        for where, text in read
        if (where, phrase) not in EXCEPTIONS and (found := pattern.search(text))
    }

    assert len(read) > 1_000
    assert sorted(found) == []


def test_no_button_heading_or_choice_has_a_name_left_behind(read):
    """Names too short to look for inside a sentence."""
    found = []
    for where, text in read:
        label = re.compile(r"(?:^|[>\"'}])\s*([A-Za-z][A-Za-z ]*?)\s*(?:$|[<\"'{])")
        whole = {text} if where.endswith(".py") else set(label.findall(text))
        found += [
            f"{where}: {name!r}; say {WHOLE_LABELS[name]!r}"
            for name in sorted(whole & WHOLE_LABELS.keys())
            if (where, name) not in LABEL_ELSEWHERE
        ]

    assert found == []


def spanish():
    """Every Spanish text of the catalogs, with its English."""
    for path in sorted(ROOT.glob("*/locale/es/LC_MESSAGES/django.po")):
        for entry in path.read_text("utf-8").split("\n\n"):
            parts = re.split(r"^(?:msgid|msgid_plural|msgstr(?:\[\d\])?) ", entry, flags=re.M)[1:]
            texts = ["".join(re.findall(r'^"(.*)"$', part, re.M)) for part in parts]
            yield from ((texts[0], text) for text in texts[1:])


def test_a_spanish_phrase_left_behind_is_in_no_catalog():
    read = list(spanish())
    found = {
        f"{english!r}: {text[:80]!r}; say {better!r}"
        for english, text in read
        for phrase, better in (LEFT_BEHIND_IN_SPANISH | WHOLE_LABELS_IN_SPANISH).items()
        if text == phrase or (phrase in LEFT_BEHIND_IN_SPANISH and phrase.lower() in text.lower())
    }

    assert len(read) > 1_000
    assert sorted(found) == []


def test_planner_modules_have_the_names_of_the_literature():
    left = {"walk", "ruins", "placing", "anneal", "tails", "shift_runs"}

    assert not left & {path.stem for path in (ROOT / "routing/planner").rglob("*.py")}


def test_no_name_in_the_code_is_one_left_behind():
    """Classes, functions and modules; a name inside a function is its own business."""
    found = [
        f"{path.relative_to(ROOT)}: {name}; say {LEFT_BEHIND_IN_CODE[name]}"
        for package in ("firewood_site", "orders", "inventory", "routing")
        for path in sorted((ROOT / package).rglob("*.py"))
        if not {"migrations", "commands"} & set(path.parts)
        for name in (
            path.stem,
            *(
                node.name
                for node in ast.walk(ast.parse(path.read_text("utf-8")))
                if isinstance(node, ast.FunctionDef | ast.ClassDef)
            ),
        )
        if name in LEFT_BEHIND_IN_CODE
    ]

    assert found == []


def test_every_exception_is_still_needed(read):
    held = {
        (where, phrase) for where, text in read for phrase in LEFT_BEHIND if phrase.lower() in text.lower()
    }

    assert set(EXCEPTIONS) <= held


def test_days_are_written_through_one_door():
    """Day before month stood beside fields that ask month before day."""
    own = re.compile(r"%a %d|%d %b|\.day\} \{[^}]*:%[bB]|date:\"(?:D |l )?j [MF]")
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()[:80]}"
        for package in ("inventory", "orders", "routing", "firewood_site")
        for path in sorted((ROOT / package).rglob("*"))
        if path.suffix in (".py", ".html", ".txt") and "migrations" not in path.parts
        for line in path.read_text(encoding="utf-8").splitlines()
        if own.search(line)
    ]

    assert found == []
