"""Wood that unanswered requests of the last hours have asked for: it is not offered a second time."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from fractions import Fraction

from inventory.core.woods import Wood
from inventory.models import Hold
from inventory.selectors.business import business
from inventory.selectors.stock import LotRow
from orders.models import Order

type Sold = tuple[str, str]  # a wood and the word it is sold under


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenFor:
    """Cords by wood and dryness, and kindling bundles, that others asked for first."""

    cords: Mapping[Sold, Fraction] = field(default_factory=dict)
    bundles: int = 0


NOTHING = SpokenFor()


def spoken_for(at: datetime, *, apart_from: int | None = None) -> SpokenFor:
    """What requests ask for that the seller has not answered, as long as each keeps its wood.

    Shapes
        apart_from: the number of an order that is to change: its own wood stands open to it.
    """
    kept_for = timedelta(hours=business().request_hours)
    if not kept_for:
        return NOTHING
    requests = Order.objects.filter(state=Order.State.ASKED, asked_at__gt=at - kept_for)
    cords: dict[Sold, Fraction] = defaultdict(Fraction)
    bundles = 0
    if apart_from is not None:
        requests = requests.exclude(number=apart_from)
    for request in requests.only("wood", "dryness", "cords", "bundles"):
        if request.cords:
            cords[request.wood, request.dryness] += request.cords
        bundles += request.bundles
    return SpokenFor(cords=dict(cords), bundles=bundles)


def held_for(number: int) -> dict[str, Fraction]:
    """Cords by lot that are held for an order."""
    held: dict[str, Fraction] = defaultdict(Fraction)
    rows = Hold.objects.filter(reference=f"order {number}", state=Hold.State.STANDING)
    for code, cords in rows.values_list("lot__code", "cords"):
        held[code] += cords
    return dict(held)


def left_open(lots: Iterable[LotRow], spoken: SpokenFor, *, soon: date) -> tuple[LotRow, ...]:
    """The lots without what others asked for, oldest wood first, as an order would take it."""
    left = list(lots)
    for (wood, dryness), asked in spoken.cords.items():
        fitting = [
            place
            for place, lot in enumerate(left)
            if lot.wood == wood and (wood == Wood.LOGS or lot.is_ready(dryness=dryness, on=soon))
        ]
        for place in sorted(fitting, key=lambda place: (left[place].since, left[place].code)):
            taken = min(asked, left[place].open_cords)
            left[place] = replace(left[place], open=left[place].open - taken)
            asked -= taken
    return tuple(left)
