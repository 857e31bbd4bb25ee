"""Words of messages as they are sent: the seller's own, or ours."""

from inventory.core.once import once_a_page
from orders.core.own_texts import PARTS
from orders.core.phrases import letter_words
from orders.models import OwnText


@once_a_page
def own_texts(kind: str, language: str) -> dict[str, str] | None:
    """The seller's words for a kind in a language; None where ours are sent."""
    row = OwnText.objects.filter(kind=kind, language=language.split("-")[0]).first()
    return None if row is None else {part: getattr(row, part) for part in PARTS}


def texts_sent(kind: str, language: str) -> dict[str, str]:
    """What is sent, its gaps open."""
    return own_texts(kind, language) or letter_words(kind, language=language)


def reworded() -> frozenset[tuple[str, str]]:
    """Kinds and languages the seller has words of their own for."""
    return frozenset(OwnText.objects.values_list("kind", "language"))
