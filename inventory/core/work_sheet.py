"""What a logged sheet of work says, from the facts it kept: "split, lot K2b, 5/6 cord, about 4 h"."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inventory.core.gaps import Cords, Joined, joined
from inventory.core.sentences import Sentence, noop

STEP_WORDS = {
    "fell": noop("felled and bucked"),
    "haul": noop("hauled"),
    "split": noop("split"),
    "stack": noop("stacked"),
    "cover": noop("covered"),
    "move": noop("moved"),
    "slash": noop("slash"),
    "deliver": noop("delivered"),
    "paper": noop("paper and phone"),
    "upkeep": noop("saws, splitter, truck"),
    "measure": noop("measured"),
}


def sheet_words(facts: Mapping[str, Any]) -> Joined:
    """A sheet as it is read afterwards: what was done, to which lot, how much, how long, by whom.

    >>> str(sheet_words({"steps": ["split"], "lot": "K2", "cords": "5/6", "hours": "4", "people": ["ruth"]}))
    'split, lot K2, 5/6 cord, about 4 h, ruth'
    """
    parts: list[object] = [Sentence(STEP_WORDS[step]) for step in facts["steps"]]
    if facts["lot"]:
        parts.append(Sentence("lot {lot}", {"lot": facts["lot"]}))
    if facts["cords"]:
        parts.append(Cords(Fraction(facts["cords"])))
    if facts["hours"]:
        people = facts["people"]
        parts.append(
            Sentence(
                "about {hours} h each" if len(people) > 1 else "about {hours} h", {"hours": facts["hours"]}
            )
        )
        parts += people
    return joined(parts)
