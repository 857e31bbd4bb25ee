"""English sentences of the cores and of the books, retold in the reader's language.

Refusals, the referee's faults and what the books keep are said in English, for no reader is known there. On a
page each is found among the catalog's sentences by its shape, and what stands in its gaps is retold too.
"""

import re
from calendar import month_name
from functools import lru_cache

from django.utils.text import capfirst
from django.utils.translation import get_language, gettext, gettext_noop
from django.utils.translation.trans_real import translation

from inventory.core.gaps import MONTHS, WEEKDAYS
from inventory.core.sentences import ENGLISH

MOST_KEPT = 4096  # sentences retold before, kept per process
FEWEST_LETTERS = 5  # of a sentence beside its gaps: with fewer it would fit anything
GAP = re.compile(r"\\\{(\w+)\\\}")
DAY = re.compile(rf"(?:({'|'.join(WEEKDAYS)}), )?({'|'.join(MONTHS)}) (\d{{1,2}})(?:, (\d{{4}}))?\b")
COUNTED = re.compile(r"[-−\d][\d,./ ]* (?:cords?|bundles?)")
AMOUNT = re.compile(r"\b(cords?|bundles?)\b")
SHORT = (
    gettext_noop("{rig}'s run on {date}"),
    gettext_noop("{rig}'s run"),
    gettext_noop("lot {lot}"),
    gettext_noop("{count} of {all}"),
)
FULL_MONTH = re.compile(r"\b(?:" + "|".join(month_name[1:]) + r")\b(?= \d{4}\b)")
JOINED = re.compile(r" (and|to) ")
SENTENCES = re.compile(r"((?<=[.!?]) (?=[A-Z0-9])|; )")
MONTH = re.compile(rf"({'|'.join(MONTHS)})( \d{{4}})?")
SHARE = re.compile(r"([\d.]+ %) (\D+)|(\D+?) ([\d.]+ %)")
SIZE = re.compile(r"(\D+?) ([\d.]+)(?: (ft|in|lb))?|(\D+?) \((ft|in|lb)\)")


def retold(text: str) -> str:
    """A sentence in the reader's language; as it stands where nobody has put it in that."""
    language = get_language() or ENGLISH
    return text if not text or language == ENGLISH else _retold(str(text), language)


@lru_cache(maxsize=MOST_KEPT)
def _retold(text: str, language: str) -> str:
    whole = _known(text, language)
    if whole is not None:
        return whole
    parts = SENTENCES.split(text)
    if len(parts) > 1:
        return "".join(_known(part, language) or part for part in parts)
    head, sign, tail = text.rpartition(": ")
    if sign and (told := _known(tail, language)):
        return f"{head}: {told}"
    return _figures(text)


def _figures(text: str) -> str:
    """Days, amounts, shares and sizes that stand alone; other words as they are."""
    if DAY.fullmatch(text) or COUNTED.fullmatch(text):
        return _in_gap(text)
    if found := MONTH.fullmatch(text):
        return f"{gettext(found[1])}{found[2] or ''}"
    if found := SHARE.fullmatch(text):
        return f"{found[1]} {gettext(found[2])}" if found[1] else f"{gettext(found[3])} {found[4]}"
    if found := SIZE.fullmatch(text):
        name, size, unit, label, of = found.groups()
        if label:
            return f"{gettext(label)} ({gettext(of)})"
        return " ".join(part for part in (gettext(name), size, unit and gettext(unit)) if part)
    return _short(text) or text


def _known(text: str, language: str) -> str | None:
    """With or without its full stop: sentences are joined with one."""
    for said, stop in ((text, ""), (f"{text}.", ""), (text.removesuffix("."), "." * text.endswith("."))):
        if (spoken := gettext(said)) != said:
            return spoken + stop
    for said, stop in ((text, ""), (text.removesuffix("."), "." * text.endswith("."))):
        for pattern, sentence in _shapes(language):
            if found := pattern.fullmatch(said):
                gaps = {name: _in_gap(value) for name, value in found.groupdict().items()}
                spoken = gettext(sentence).format(**gaps) + stop
                return capfirst(spoken) if text[:1].isupper() else spoken
    return None


@lru_cache
def _shapes(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """The catalog's sentences with gaps, those with the most words of their own first."""
    found = []
    for sentence in sorted(vars(translation(language))["_catalog"].keys(), key=str):
        gaps = re.findall(r"\{(\w*)[^}]*\}", sentence) if isinstance(sentence, str) else []
        if not gaps or len(gaps) > len(set(gaps)) or "%(" in sentence or "\n" in sentence:
            continue
        shape, plain = GAP.sub(r"(?P<\1>[^;]+?)", re.escape(sentence)), re.sub(r"\{.*?\}|\W", "", sentence)
        if len(plain) >= FEWEST_LETTERS and "\\{" not in shape:
            found.append((re.compile(shape, re.DOTALL), sentence))
    return tuple(sorted(found, key=lambda shape: -len(re.sub(r"\{.*?\}", "", shape[1]))))


def _short(text: str) -> str | None:
    """Shapes with too few letters of their own to be looked for in every sentence."""
    for shape in SHORT:
        if found := re.fullmatch(GAP.sub(r"(?P<\1>.+?)", re.escape(shape)), text):
            return gettext(shape).format(**{name: _in_gap(part) for name, part in found.groupdict().items()})
    return None


def _in_gap(value: str) -> str:
    """Days, amounts and words of the trade inside a sentence."""
    if (spoken := gettext(value)) != value and value:
        return spoken
    if (short := _short(value)) is not None:
        return short
    value = FULL_MONTH.sub(lambda found: gettext(found[0]).lower(), value)
    told = AMOUNT.sub(lambda found: gettext(found[1]), DAY.sub(_day, value))
    return JOINED.sub(lambda found: f" {gettext(found[1])} ", told) if told != value else value


def _day(found: re.Match[str]) -> str:
    weekday, month, day, year = found.groups()
    return " ".join(part for part in (weekday and gettext(weekday), day, gettext(month), year) if part)
