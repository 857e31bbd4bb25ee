"""Sentences in the reader's language, by gettext: English is the sentence, the rest is in orders/locale."""

import gettext
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

ENGLISH = "en"


def say(sentence: str, *, language: str = ENGLISH, **gaps: object) -> str:
    """A sentence with its {gaps} filled, in English where the language has no words for it."""
    return translated(sentence, language=language).format(**gaps)


def translated(sentence: str, *, language: str = ENGLISH) -> str:
    """A sentence with its gaps still open."""
    return _catalogue(language.split("-")[0]).gettext(sentence)


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence not worded yet: its English with {gaps}, and what fills them.

    A gap that has words of its own (`text_in`) is worded in the same language.
    """

    english: str
    gaps: Mapping[str, object] = field(default_factory=dict)

    def text_in(self, language: str = ENGLISH) -> str:
        filled = {name: text_of(gap, language) for name, gap in self.gaps.items()}
        return say(self.english, language=language, **filled)

    def __str__(self) -> str:
        return self.text_in()


def text_of(thing: object, language: str) -> object:
    """What has words of its own, in the language; anything else as it is."""
    return thing.text_in(language) if hasattr(thing, "text_in") else thing


def text_of_all(sentences: Iterable[object], language: str = ENGLISH) -> str:
    """Sentences one after the other."""
    return " ".join(str(text_of(sentence, language)) for sentence in sentences)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    """The compiled catalogue of a language such as "es"; one that hands English back where there is none."""
    where = str(files("orders").joinpath("locale"))
    return gettext.translation("django", localedir=where, languages=[language], fallback=True)
