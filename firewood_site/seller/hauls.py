"""Wood carried between yards: what the road there takes and costs."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from firewood_site.clock import today
from inventory.core.money import dollars
from inventory.core.stock import Haul
from inventory.selectors.lot import LotPage
from inventory.selectors.yards import yards
from routing.quoting.moves import HaulOffer, haul_offers
from routing.selectors.rigs import RigRow, rigs


def road_to(page: LotPage, *, to_yard_id: int, cords: Fraction | None) -> HaulOffer | None:
    """The drive for so much of a lot, or all of it, to a yard; None where it lies there already."""
    working = rigs(only_working=True)
    offers = haul_offers(page.row, cords=cords or page.row.on_hand, yards=yards(), rigs=working, on=today())
    return next((offer for offer in offers if offer.yard_id == to_yard_id), None)


def haul_by_road(page: LotPage, *, to_yard_id: int, cords: Fraction | None) -> Haul:
    """What carrying it costs: half the miles loaded and half empty at the first rig's rates of the day."""
    road = road_to(page, to_yard_id=to_yard_id, cords=cords)
    if road is None or road.miles is None:
        return Haul()
    rates = _rates(rigs(only_working=True), on=today())
    cost = dollars(road.miles / 2 * (rates[0] + rates[1])) if rates else None
    return Haul(miles=road.miles, minutes=road.minutes, cost_dollars=cost)


def _rates(known: tuple[RigRow, ...], *, on: date) -> tuple[Decimal, Decimal] | None:
    """Dollars a mile, loaded and empty."""
    costs = (rate for rig in known for rate in rig.costs if rate.from_on <= on)
    return next(((rate.loaded_mile, rate.empty_mile) for rate in costs), None)
