"""What could be done to a lot, alone and together, and how it lies then."""

from dataclasses import dataclass, replace
from datetime import date
from itertools import product

from inventory.drying.engine import Heap
from inventory.drying.history import History, Stage
from inventory.drying.weather import Source

AIRIER = {  # ways to lay it that let more air through, best first
    "deep_heap": ("row", "spread", "low_heap"),
    "low_heap": ("row", "spread"),
    "row": (),
    "spread": (),
    "stickered": (),
    "open": (),
}
LAY_WORDS = {
    "row": "stack it in a single row in the sun",
    "spread": "spread it out one deep",
    "low_heap": "rake it out into a low heap",
}
SPLIT_SIZE_IN = 5.0  # what a round is split to, across (common practice)
OUTLOOK_DAYS = 800  # how far ahead from today it is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Things to do together. `keys`: "split", "cover", "lay:row"."""

    keys: tuple[str, ...]
    text: str
    heap: Heap
    source: Source


def actions(stage: Stage) -> tuple[Action, ...]:
    """Every sensible combination of splitting, laying and covering, from how the wood lies now."""
    heap = stage.heap
    is_round = heap.shape == "round"
    splits = (False, True) if is_round and heap.size_in > SPLIT_SIZE_IN / 2 else (False,)
    covers = (False, True) if heap.cover == "bare" else (False,)
    lays = ("", *AIRIER[heap.lies]) if heap.cover != "roof" else ("",)
    found = []
    for split, lay, cover in product(splits, lays, covers):
        keys = (
            *(("split",) if split else ()),
            *((f"lay:{lay}",) if lay else ()),
            *(("cover",) if cover else ()),
        )
        if keys:
            found.append(action_of(stage, keys))
    return tuple(found)


def action_of(stage: Stage, keys: tuple[str, ...], *, source: Source | None = None) -> Action:
    """Some things to do together, to wood that lies so; `source`: the air where it is taken meanwhile."""
    heap = stage.heap
    lay = next((key.removeprefix("lay:") for key in keys if key.startswith("lay:")), "")
    parts = [
        *(["split it"] if "split" in keys else []),
        *([LAY_WORDS[lay]] if lay else []),
        *(["cover its top"] if "cover" in keys else []),
    ]
    now = replace(
        heap,
        lies=lay or heap.lies,
        cover="top" if "cover" in keys and heap.cover == "bare" else heap.cover,
        shape="split" if "split" in keys else heap.shape,
        has_bark=heap.has_bark and "split" not in keys,
        size_in=min(heap.size_in, SPLIT_SIZE_IN) if "split" in keys else heap.size_in,
    )
    return Action(keys=keys, text=_joined(parts), heap=now, source=source or stage.source)


def changed(history: History, action: Action, on: date) -> History:
    """The lot's history with the action taken on a day."""
    return replace(
        history, stages=(*history.stages, Stage(from_on=on, heap=action.heap, source=action.source))
    )


def _joined(words: list[str]) -> str:
    return "".join(words) if len(words) < 2 else ", ".join(words[:-1]) + " and " + words[-1]
