"""Sentences in the reader's language, by gettext: English is the source, the rest is in inventory/locale."""

import gettext
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any, ClassVar

ENGLISH = "en"


def say(sentence: str, *, language: str = ENGLISH, **gaps: object) -> str:
    """A sentence with its {gaps} filled, in English where the language has no words for it."""
    return translated(sentence, language=language).format(**gaps)


def translated(sentence: str, *, language: str = ENGLISH) -> str:
    """A sentence with its gaps still open."""
    return _catalogue(language.split("-")[0]).gettext(sentence) if sentence else ""


def noop(sentence: str) -> str:
    """Mark a sentence for the catalog where it is worded elsewhere."""
    return sentence


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence not worded yet: its English with {gaps}, and what fills them.

    A gap that has words of its own (`text_in`) is worded in the same language; without gaps its English
    stands as it is, braces and all.
    """

    english: str
    gaps: Mapping[str, object] = field(default_factory=dict)

    def text_in(self, language: str = ENGLISH) -> str:
        if not self.gaps:
            return translated(self.english, language=language)
        filled = {name: text_of(gap, language) for name, gap in self.gaps.items()}
        return say(self.english, language=language, **filled)

    def __str__(self) -> str:
        return self.text_in()


class Refusal(Exception):
    """A step that was refused, with a full sentence fit for whoever took it, in whatever language they read.

    A class that always says the same names its sentence, and what words a figure that fills a gap of it. What
    fills the gaps can be asked of the refusal by name.

    >>> class LotEmpty(Refusal):
    ...     says = "Lot {lot} holds {left}."
    ...     in_words = {"left": "{:.1f} cords".format}
    >>> str(LotEmpty(lot="K1", left=0)), LotEmpty(lot="K1", left=0).lot
    ('Lot K1 holds 0.0 cords.', 'K1')
    """

    says: ClassVar[str] = ""
    in_words: ClassVar[Mapping[str, Callable[[Any], object]]] = {}

    def __init__(self, english: str = "", /, **gaps: Any) -> None:
        vars(self).update({**gaps, **vars(self)})
        worded = {name: words(gaps[name]) for name, words in self.in_words.items() if name in gaps}
        self.sentence = Sentence(english or self.says, {**gaps, **worded})
        super().__init__(english or self.says)

    def text_in(self, language: str) -> str:
        return self.sentence.text_in(language)

    def __str__(self) -> str:
        return self.text_in(ENGLISH)


class FramedRefusal(Refusal):
    """A problem put into the frame of its class: `raise BadMix("It has {share}%.", share=90)`.

    of: which gaps of the frame its words fill, as in `BadRig("F-150", "has no box")`; the problem comes last.
    """

    frame = "{problem}"
    of: ClassVar[tuple[str, ...]] = ("problem",)

    def __init__(self, *words: str, **gaps: object) -> None:
        *named, problem = words
        self.problem = Sentence(problem, gaps)
        super().__init__(self.frame, **dict(zip(self.of, (*named, self.problem), strict=True)))


def as_sentence(text: str | Sentence) -> Sentence:
    """A text of our own without gaps as a sentence."""
    return text if isinstance(text, Sentence) else Sentence(text)


def text_of(thing: object, language: str) -> object:
    """What has words of its own, in the language; anything else as it is."""
    return thing.text_in(language) if hasattr(thing, "text_in") else thing


def text_of_all(sentences: Iterable[object], language: str = ENGLISH) -> str:
    """Sentences one after the other."""
    return " ".join(str(text_of(sentence, language)) for sentence in sentences)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    """The compiled catalogue of a language such as "es"; one that hands English back where there is none."""
    where = str(files("inventory").joinpath("locale"))
    return gettext.translation("django", localedir=where, languages=[language], fallback=True)
