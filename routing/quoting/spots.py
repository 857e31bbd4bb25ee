"""Where a quote goes: a pin, a street of the town that was chosen, or that town's middle.

The town binds: nothing outside it is ever taken for the place. What is not found exactly is kept as typed and
asked about.
"""

from decimal import Decimal

from django.utils.translation import gettext as _

from inventory.core.local import local, road_figure
from orders.selectors import prices
from orders.services.quotes import Spot
from routing.core import RoutingError
from routing.core.roads import EngineDown
from routing.core.streets import StreetHit, fold, without_tail
from routing.quoting.drives import nearest_pick_up
from routing.selectors.roads.current import nearest_address, streets_of_town

NEAR_TOWN_MILES = 25.0  # a pin farther than this from a town does not belong to it
PIN_ERROR_MILES = 1.0  # between a pin and the address typed beside it: farther apart, one of them is wrong


class NotHere(RoutingError):
    """The place could not be found, or is outside where we deliver."""


class WhichTown(NotHere):
    """The address fits more than one town, or another one than was chosen."""


def find_spot(
    *,
    where: str,
    town_id: int | None,
    lat: float | None,
    lon: float | None,
    towns: tuple[prices.TownRow, ...],
    is_off_map: bool = False,
) -> tuple[Spot, prices.TownRow]:
    """Where it goes and which town's prices hold there.

    Shapes
        where: typed words; town_id: chosen from the list; lat, lon: a pin. Any of them may be missing.
        is_off_map: the customer has said that what the map has is not it: the town's middle, and the words.

    Errors
        NotHere: nothing fits, or the pin is too far away. WhichTown: one of several is meant.
    """
    typed = where.strip()
    chosen = next((town for town in towns if town.id == town_id), None)
    if lat is not None and lon is not None:
        return _pinned(typed, lat, lon, chosen, towns)
    written = _town_written(typed, towns)
    if chosen and written and chosen.id != written.id:
        raise WhichTown(
            _("You chose %(chosen)s, and the address says %(written)s. Which of the two is it?")
            % {"chosen": chosen.name, "written": written.name}
        )
    town = chosen or written
    if town is None:
        return _in_any_town(typed, towns)
    return _in_town(typed, town, () if is_off_map else _streets(typed, town, towns)), town


def street_near(lat: float, lon: float) -> str:
    """The address next to a pin, in words; empty when the map has none."""
    try:
        hit = nearest_address(lat, lon)
    except EngineDown:
        return ""
    if hit is None:
        return ""
    label = hit.label if not hit.city or hit.city in hit.label else f"{hit.label}, {hit.city}"
    return label if hit.exact else _("near %(address)s") % {"address": label}


def _pinned(
    typed: str,
    lat: float,
    lon: float,
    chosen: prices.TownRow | None,
    towns: tuple[prices.TownRow, ...],
) -> tuple[Spot, prices.TownRow]:
    """A pin stands where it was put, in the town that was chosen."""
    town = chosen or _town_near(lat, lon, towns)
    away = prices.miles_apart(lat, lon, town.lat, town.lon)
    if away > NEAR_TOWN_MILES:
        raise WhichTown(
            _("The pin is %(km)s km from %(town)s. Move the pin, or choose the town it is in.")
            % {"km": road_figure(Decimal(round(away))).partition(".")[0], "town": town.name}
            if local().is_metric
            else _("The pin is %(miles)s miles from %(town)s. Move the pin, or choose the town it is in.")
            % {"miles": round(away), "town": town.name}
        )
    address = typed or street_near(lat, lon)
    address = address or _("a pin on the map near %(town)s") % {"town": town.name}
    known = (
        next((hit for hit in _streets(typed, town, towns) if hit.exact and hit.is_spelled), None)
        if typed
        else None
    )
    agrees = known is None or prices.miles_apart(lat, lon, known.lat, known.lon) <= PIN_ERROR_MILES
    return Spot(
        address=_with_town(address, town), town_id=town.id, lat=lat, lon=lon, is_confirmed=agrees
    ), town


def _in_town(typed: str, town: prices.TownRow, hits: tuple[StreetHit, ...]) -> Spot:
    """The typed address in its town: found, likely, or only words."""
    best = hits[0] if hits else None
    if best is None:
        return Spot(
            address=_with_town(typed, town), town_id=town.id, is_exact=False, is_confirmed=False
        )  # the drive is measured to the town's middle
    return Spot(
        address=_with_town(typed, town),
        town_id=town.id,
        lat=best.lat,
        lon=best.lon,
        is_exact=best.exact,
        is_confirmed=_is_certain(hits, typed, town),
    )


def _is_certain(hits: tuple[StreetHit, ...], typed: str, town: prices.TownRow) -> bool:
    """This very house, spelled as on the map, once, in the town itself or in the hamlet that was named."""
    best = hits[0]
    if not (best.exact and best.is_spelled):
        return False
    is_named = fold(best.city) in (fold(town.name), "") or fold(best.city) in fold(typed)
    twins = [hit for hit in hits[1:] if hit.exact and hit.is_spelled and hit.city == best.city]
    return is_named and all(
        prices.miles_apart(best.lat, best.lon, twin.lat, twin.lon) <= PIN_ERROR_MILES for twin in twins
    )


def _in_any_town(typed: str, towns: tuple[prices.TownRow, ...]) -> tuple[Spot, prices.TownRow]:
    """A street without a town: the one town that has it, or a question."""
    found = [(town, hits) for town in towns if (hits := _streets(typed, town, towns)) and hits[0].is_spelled]
    if len(found) == 1:
        town, hits = found[0]
        return _in_town(typed, town, hits), town
    if found:
        named = _(" or ").join(town.name for town, _hits in found)
        raise WhichTown(_("There is such a street in %(towns)s. Choose the town.") % {"towns": named})
    raise NotHere(
        _("We could not find that place. Choose the town, or put a pin on the map. We drive to %(towns)s.")
        % {"towns": ", ".join(town.name for town in towns)}
    )


def _streets(typed: str, town: prices.TownRow, towns: tuple[prices.TownRow, ...]) -> tuple[StreetHit, ...]:
    """What the loaded map has of it in that town and in no other we deliver to; nothing without a map."""
    if not typed:
        return ()
    try:
        hits = streets_of_town(typed, town=town.name, lat=town.lat, lon=town.lon)
    except EngineDown:
        return ()
    others = {fold(other.name) for other in towns} - {fold(town.name)}
    return tuple(hit for hit in hits if fold(hit.city) not in others)


def _town_written(typed: str, towns: tuple[prices.TownRow, ...]) -> prices.TownRow | None:
    """The town whose name stands at the end of the typed words, or behind their first comma."""
    street, _comma, behind = typed.partition(",")
    words, tail = tuple(fold(street).split()), f" {fold(behind)} "
    for town in sorted(towns, key=lambda town: -len(town.name)):
        name = fold(town.name)
        if f" {name} " in tail or fold(typed) == name or without_tail(words, tuple(name.split())) != words:
            return town
    return None


def _with_town(address: str, town: prices.TownRow) -> str:
    """The address as it was typed, with its town behind it."""
    if not address:
        return town.name
    return address if _town_written(address, (town,)) else f"{address}, {town.name}"


def _town_near(lat: float, lon: float, towns: tuple[prices.TownRow, ...]) -> prices.TownRow:
    town = prices.nearest_town(lat, lon, among=towns)
    if town is None or prices.miles_apart(lat, lon, town.lat, town.lon) > NEAR_TOWN_MILES:
        raise NotHere(
            _("That is farther than we drive, sorry. You are welcome to pick wood up at %(yards)s.")
            % {"yards": nearest_pick_up(lat, lon) or _("our yard")}
        )
    return town
