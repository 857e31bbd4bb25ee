"""What a truck meets on the way in: the three things that decide which rig can come, and their words."""

from collections.abc import Iterable
from types import MappingProxyType

from inventory.core.sentences import say

WAYS = MappingProxyType(
    {
        "narrow": "narrow lane",
        "steep": "steep",
        "no_turn": "no room to turn a trailer around",
    }
)


def access_keys(text: str) -> tuple[str, ...]:
    """What was ticked, from how it is stored: "narrow,steep"."""
    return tuple(key for key in WAYS if key in text.split(","))


def stored_access(keys: Iterable[str]) -> str:
    return ",".join(key for key in WAYS if key in set(keys))


def access_words(text: str, note: str, *, language: str) -> str:
    """What was ticked and what was written, in one line."""
    ticked = [say(WAYS[key], language=language) for key in access_keys(text)]
    line = ", ".join(ticked)
    return ". ".join(part for part in (line[:1].upper() + line[1:], note) if part)
