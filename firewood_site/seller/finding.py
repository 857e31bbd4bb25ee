"""How well a thing answers what was looked for: by the beginnings of its words, small words left out."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

MOST_WORDS = 5  # looked for one by one
PHONE_DIGITS = 4  # so many digits and nothing else but signs are a number to call


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something found: what it is called, what it is, and where it stands."""

    text: str
    kind: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A thing that may be meant. names: some of them must be looked for; about: more that speaks for it."""

    hit: Hit
    names: str
    about: str = ""


def words_of(term: str) -> tuple[str, ...]:
    """The words that say something, in order: of "when is the oak dry" they are oak and dry."""
    if not re.search(r"[^\d\s()+.-]", term) and sum(sign.isdigit() for sign in term) >= PHONE_DIGITS:
        return (term.lower(),)
    said = tuple(dict.fromkeys(re.findall(r"[^\s?!,.;:\"]+", term.lower())))
    telling = tuple(word for word in said if word not in _small_words())
    return (telling or said)[:MOST_WORDS]


def ranked(words: tuple[str, ...], candidates: Iterable[Candidate]) -> list[Hit]:
    """What the most words lead to first, else in the order given."""
    scored = [
        (sum(begins(word, f"{known.names} {known.about}") for word in words), known.hit)
        for known in candidates
        if any(begins(word, known.names) for word in words)
    ]
    best: dict[str, Hit] = {}
    for _score, hit in sorted(scored, key=lambda row: -row[0]):
        best.setdefault(hit.href, hit)
    return list(best.values())


def begins(word: str, text: str) -> bool:
    """Whether a word of the text begins so.

    >>> begins("gus", "K6 August fir"), begins("aug", "K6 August fir")
    (False, True)
    """
    return re.search(rf"(?<!\w){re.escape(word)}", text.lower()) is not None


def _small_words() -> frozenset[str]:
    # Translators: words of a question that say nothing of what is looked for.
    small = _(
        "a an and are at by can do does for how i in is it me my of on or the to was what when which who"
    )
    return frozenset(small.split())
