"""A price for wood that rides to a neighbor's drop: that day, that place, half that drive."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from django.utils.translation import gettext as _

from inventory.core.gaps import ShortDay
from inventory.core.rows import from_row
from orders.core import CustomerRefusal
from orders.core.floors import DayRoad
from orders.selectors.prices import TownRow
from orders.selectors.sharing import Neighbor
from orders.services.quotes import Spot
from routing.models import Rig
from routing.quoting.spots import NotHere
from routing.selectors.rigs import rig_value


class TooMuchTogether(CustomerRefusal):
    """Both orders do not fit one load, so there would be two drives."""

    says = "Both orders do not fit one load: take less, or ask for a price of your own."


class NotDryByThen(CustomerRefusal):
    """The neighbor's day comes before this wood may go out."""

    says = (
        "This wood can't come with your neighbor's on {day}: choose another wood, or ask for a price of "
        "your own."
    )
    in_words = {"day": ShortDay}


def place_of(neighbor: Neighbor, towns: Iterable[TownRow]) -> tuple[Spot, TownRow]:
    """The neighbor's drop as the place of this order too.

    Errors
        NotHere: their town is served no more.
    """
    place = neighbor.place
    town = next((row for row in towns if row.id == place.town_id), None)
    if town is None:
        raise NotHere(_("We do not drive to that place any more: ask for a price of your own."))
    spot = from_row(Spot, place, is_confirmed=True)
    return spot, town


def day_with(neighbor: Neighbor, *, cords: Fraction, soonest: date) -> DayRoad:
    """Their day, at half their drive.

    Errors
        NotDryByThen, TooMuchTogether
    """
    if neighbor.on < soonest:
        raise NotDryByThen(day=neighbor.on)
    rigs = [rig for rig in Rig.objects.filter(works=True) if rig.is_small or not neighbor.small_rig_only]
    if rigs and neighbor.cords + cords > max(rig_value(rig).box_cords for rig in rigs):
        raise TooMuchTogether
    return DayRoad(on=neighbor.on, marginal_dollars=neighbor.half, drops_already=1)
