"""Nothing a customer reads is left in English: the catalog is whole, and its gaps match."""

import ast
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from gettext import GNUTranslations
from importlib import import_module
from itertools import chain
from pathlib import Path

from django.conf import settings
from django.utils import translation
from django.utils.translation.template import templatize

from firewood_site.letter_names import NAMES
from firewood_site.templatetags.firewood import day, long_day
from inventory.core.gaps import LONG_MONTHS, MONTHS, WEEKDAYS
from inventory.core.sizes import WORDS
from inventory.core.woods import ENGLISH_NAMES
from inventory.drying.without_meter import ENDS, SOUND
from inventory.models import DrySign, Expense, Hold, Lot, Movement, WorkEntry
from inventory.selectors.lot import SHAPE_WORDS
from orders.core import CustomerRefusal
from orders.core.phrases import USUAL_REASONS, letter_kinds, letter_sentences
from orders.core.places import caution, cautions_on, place_rules
from orders.core.pricing import TooFar
from orders.core.reasons import TAXED
from orders.models import Claim, Payment
from orders.services.customers import BadPhone
from routing.core.rigs import wood_limits
from tests.routing.earned.demo import BIG

ROOT = Path(__file__).resolve().parents[3]
CATALOGS = [
    ROOT / app / "locale" / "es" / "LC_MESSAGES" / "django.mo" for app in ("firewood_site", "inventory")
]
SAID_BY = {
    "gettext", "_", "ngettext", "say", "gettext_lazy", "gettext_noop", "noop", "translated", "pgettext",
    "Sentence", "BadEvent", "NotOnTheRun",
}  # fmt: skip
WORDED_CHOICES = (
    (Lot, "form"), (Lot, "piling"), (Lot, "exposure"), (Lot, "sale"), (DrySign, "how"), (Movement, "kind"),
    (WorkEntry, "job"), (Expense, "kind"), (Hold, "state"),
)  # fmt: skip
IN_PACKAGES = (  # the road maps' import says how far it is in English, to the office
    "firewood_site", "orders", "inventory", "routing/quoting", "routing/core", "routing/maps",
    "routing/selectors", "routing/services/driver_events",
)  # fmt: skip
RATED = replace(
    BIG,
    bed_payload_lb=1,
    hitch_tongue_lb=1,
    hitch_tow_lb=1,
    combined_rating_lb=1,
    trailer_axle_lb=1,
    trailer_tires_lb=1,
)
EVERY_RATING = (RATED, replace(RATED, has_trailer=False))
IN_TEMPLATES = re.compile(r"\b(n?gettext)\(u?('(?:[^'\\\\]|\\\\.)*'|\"(?:[^\"\\\\]|\\\\.)*\")", re.S)


def catalog():
    spoken = {}
    for path in CATALOGS:
        with path.open("rb") as file:
            for key, value in GNUTranslations(file)._catalog.items():
                name = key[0] if isinstance(key, tuple) else key
                spoken[name] = spoken.get(name) or value
    spoken.pop("", None)
    return spoken


def said_in_code():
    """Every sentence that is looked up by name somewhere in the code."""
    for package in IN_PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Call) and node.args:
                    name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                    choice = node.args[0]
                    parts = [choice.body, choice.orelse] if isinstance(choice, ast.IfExp) else [choice]
                    for part in parts if name in SAID_BY else ():
                        if isinstance(part, ast.Constant):
                            yield part.value, path.relative_to(ROOT)


def verbs_of_the_trail():
    """What somebody did, as the trail of an order says it."""
    for package in {part.partition("/")[0] for part in IN_PACKAGES}:
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("note"):
                    verbs = [one.value for one in node.keywords if one.arg == "verb"]
                    ends = [
                        [verb.body, verb.orelse] if isinstance(verb, ast.IfExp) else [verb] for verb in verbs
                    ]
                    yield from (
                        (end.value, path.relative_to(ROOT))
                        for end in chain.from_iterable(ends)
                        if isinstance(end, ast.Constant)
                    )
    yield from ((f"claimed {kind}", "Claim") for kind in Claim.Kind.values)
    yield from ((f"claim {state.label}", "Claim") for state in Claim.State)
    yield from ((str(kind.label), "Payment") for kind in Payment.Kind)


def said_in_templates():
    for path in (ROOT / "firewood_site" / "templates").rglob("*.html"):
        for _call, words in IN_TEMPLATES.findall(templatize(path.read_text("utf-8"))):
            yield ast.literal_eval(words), path.relative_to(ROOT)


def said_by_data():
    yield from ((words, "letters.toml") for words in letter_sentences())
    for rule in place_rules():
        yield from ((words, rule.key) for words in (rule.statement, rule.check_local, rule.dry_note))
        yield from ((rule.dry_word(key), rule.key) for key in ("seasoned", "part_seasoned", "green"))
    for shown in (caution("dispute"), caution("chains"), *cautions_on("load_card")):
        yield shown.text, "cautions.toml"
    yield from ((limit.rating, "routing/core/rigs.py") for rig in EVERY_RATING for limit in wood_limits(rig))
    words = (
        *TAXED.values(),
        *ENGLISH_NAMES.values(),
        *WEEKDAYS,
        *MONTHS,
        *LONG_MONTHS,
        *USUAL_REASONS.values(),
    )
    yield from ((sentence, "orders.core") for sentence in words)
    import_module(settings.ROOT_URLCONF)  # every page, and with it all it may refuse
    yield from ((refusal.says, refusal.__name__) for refusal in CustomerRefusal.__subclasses__())


def said_in_lists():
    """Fixed names that pages word by `in_language`: choices of columns, and words kept by key."""
    for model, column in WORDED_CHOICES:
        yield from (
            (str(words), f"{model.__name__}.{column}") for _, words in model._meta.get_field(column).choices
        )
    for words in (WORDS, SHAPE_WORDS, ENDS, SOUND):
        yield from ((name, "a list") for name in words.values())
    assert set(letter_kinds()) <= set(NAMES)
    yield from ((name, "letter_names.py") for name in NAMES.values())


def test_every_sentence_a_customer_may_read_has_its_spanish():
    spoken = catalog()
    said = [*said_in_code(), *said_in_templates(), *said_by_data(), *said_in_lists(), *verbs_of_the_trail()]

    missing = sorted({f"{where}: {words}" for words, where in said if words.strip() and words not in spoken})

    assert len(said) > 400
    assert missing == []


def test_every_refusal_a_customer_may_meet_is_said_in_spanish():
    """Whoever adds one says it, or words it in text_in, from a sentence the catalog holds."""
    import_module(settings.ROOT_URLCONF)
    refusals = CustomerRefusal.__subclasses__()

    assert len(refusals) >= 15
    assert all("text_in" in vars(refusal) or refusal.says for refusal in refusals)
    for error in (TooFar(miles=Decimal(90), longest_miles=Decimal(60)), BadPhone(typed="12")):
        assert error.text_in("es") != str(error) == error.text_in("en")


def test_the_gaps_are_the_same_in_both():
    gaps = re.compile(r"%\((\w+)\)[sd]|(?<!\{)\{(\w+)\}")
    clocks = {("", "twelve"), ("", "hour")}  # Spanish counts to 24
    others = [
        (english, spanish)
        for english, spanish in sorted(catalog().items())
        if not set(gaps.findall(english)) ^ set(gaps.findall(spanish)) <= clocks
    ]

    assert others == []


def test_days_are_written_as_spanish_writes_them():
    """Small letters, and "de" before the month and the year."""
    with translation.override("es"):
        assert day(date(2026, 9, 28)) == "lun 28 sep"
        assert day(date(2027, 5, 17)) == "lun 17 may"
        assert long_day(date(2026, 9, 18)) == "viernes 18 de septiembre de 2026"
    assert day(date(2026, 9, 28)) == "Mon, Sep 28"
    assert long_day(date(2026, 9, 18)) == "Friday, September 18, 2026"
