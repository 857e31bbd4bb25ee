"""A plan as only what was decided: runs, their loads, where each is filled, and the order of the drops."""

# A load is filled at one yard, or part by part at several: ((yard, parts), ...).
type Fills = tuple[tuple[str, tuple[str, ...]], ...]
type LoadSketch = tuple[str | Fills, tuple[str, ...]]  # where it is filled, parts in the order of the drops
type RunSketch = tuple[str, tuple[LoadSketch, ...]]  # run, loads


def fills_of(load: LoadSketch) -> Fills:
    """Where a load is filled: (yard, parts filled there), in the order of the visits."""
    return ((load[0], load[1]),) if isinstance(load[0], str) else load[0]
