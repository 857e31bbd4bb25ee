"""Where wood, sale and road meet: what is open, the drive there, the days on offer, one kept quote.

Used by the customer's price page and by the seller's answer to a text. The road is asked before anything
is written.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from firewood_site.supply import (
    nearest_pick_up_yard,
    open_lots,
    pick_up_yards,
    road_days,
    road_to,
    seller_cost,
    street_near,
    street_spot,
)
from inventory.selectors.business import business
from orders.core import picking
from orders.core.drives import Drive
from orders.core.floors import DayRoad, SellerCost
from orders.core.places import place_rule
from orders.core.wants import KINDLING, LOGS, How, Want
from orders.selectors import prices
from orders.services.quotes import SavedQuote, Spot, save_quote

DAYS_AHEAD = 14
SOONEST_DAYS = 1
SOON_DAYS = 45  # wood that will be dry so soon is offered now, with its day
AMOUNTS = tuple(Fraction(text) for text in ("1/4", "1/3", "1/2", "2/3", "3/4", "1", "3/2", "2", "3"))
NEAR_TOWN_MILES = 25.0  # a pin farther than this from every town we deliver to belongs to none


class NotHere(Exception):
    """The place could not be found, or is outside where we deliver."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodChoice:
    """A wood on the price form, with what is open of it."""

    key: str  # wood:dryness
    wood: str
    dryness: str
    cord_dollars: Decimal | None
    open_cords: Fraction
    first_on: date | None
    amounts: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        return bool(self.open_cords)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnSale:
    """What a day's prices are made of: the sheet in force, lots for sale, towns delivered to."""

    in_force: prices.SheetInForce | None
    lots: tuple[picking.OpenLot, ...]
    towns: tuple[prices.TownRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What somebody wants to know the price of, as a page heard it."""

    wood: str
    dryness: str
    cords: Fraction
    bundles: int = 0
    how: How = How.DELIVERED
    is_stacked: bool = False
    small_rig_only: bool = False
    where: str = ""
    town_id: int | None = None
    lat: float | None = None
    lon: float | None = None
    is_new_customer: bool = True
    customer_id: int | None = None
    first_on: date | None = None
    last_on: date | None = None


def on_sale(on: date) -> OnSale:
    """Read once by a page that lists the woods and then prices one."""
    return OnSale(in_force=prices.sheet_in_force(on), lots=open_lots(on), towns=prices.towns())


def wood_choices(on: date, *, sale: OnSale | None = None) -> tuple[WoodChoice, ...]:
    """Woods with a near price, dry ones first, each with its open amount and first honest day."""
    sale = sale or on_sale(on)
    if sale.in_force is None:
        return ()
    sheet, lots = sale.in_force.sheet, sale.lots
    near = next((terms for terms in sheet.markets if not terms.is_far), None)
    least = near.minimum_cords if near else Fraction(0)
    found = []
    for price in sheet.cord_prices:
        if near is None or price.market != near.key:
            continue
        amount = _open_of(lots, price.wood, price.dryness, on=on)
        found.append(
            WoodChoice(
                key=f"{price.wood}:{price.dryness}",
                wood=price.wood,
                dryness=price.dryness,
                cord_dollars=price.dollars,
                open_cords=amount,
                first_on=picking.first_day(lots, wood=price.wood, cords=least, on=on, dryness=price.dryness),
                amounts=tuple(str(size) for size in AMOUNTS if least <= size <= amount),
            )
        )
    found.sort(key=lambda choice: (not choice.is_open, choice.dryness != "seasoned", choice.wood))
    for wood, dryness in ((KINDLING, "seasoned"), (LOGS, "green")):
        amount = sum((lot.open_cords for lot in lots if lot.wood == wood), Fraction(0))
        if amount:
            found.append(
                WoodChoice(
                    key=f"{wood}:{dryness}",
                    wood=wood,
                    dryness=dryness,
                    cord_dollars=sheet.log_cord_price if wood == LOGS else None,
                    open_cords=amount,
                    first_on=on,
                    amounts=tuple(str(size) for size in AMOUNTS if wood == LOGS and 1 <= size <= amount),
                )
            )
    return tuple(found)


def price_want(
    asked: Asked, *, on: date, at: datetime, language: str = "en", sale: OnSale | None = None
) -> SavedQuote:
    """Price what was asked, with days on offer, and keep it.

    Shapes
        sale: what is on sale today, when the caller has read it.

    Errors
        NoPriceSheet: no sheet holds today.
        NotHere: the place is not known or not served.
        NoSuchWood, NotEnoughWood: not open; and all that `save_quote` refuses.
    """
    sale = sale or on_sale(on)
    in_force, lots = sale.in_force, sale.lots
    if in_force is None:
        raise prices.NoPriceSheet(on=on)
    rule = place_rule(business().place_key)
    first_on = _first_honest_day(asked, lots, on=on)
    if asked.how is How.PICK_UP:
        near = next((terms.key for terms in in_force.sheet.markets if not terms.is_far), "near")
        want = _want(asked, market=near, place="")
        return save_quote(
            want=want,
            on=on,
            at=at,
            is_new_customer=asked.is_new_customer,
            customer_id=asked.customer_id,
            first_honest_day=first_on,
            in_force=in_force,
            rule=rule,
            language=language,
        )
    spot, town = find_spot(asked, towns=sale.towns)
    holding = picking.yards_holding(
        lots, wood=asked.wood, cords=_cords(asked), on=first_on, dryness=asked.dryness
    )
    lat = town.lat if spot.lat is None else spot.lat
    lon = town.lon if spot.lon is None else spot.lon
    drive, yard_id = road_to(lat=lat, lon=lon, yards=holding or {lot.yard for lot in lots})
    want = _want(asked, market=town.market, place=town.name)
    cost = _cost(asked, drive, on=on)
    days: Iterable[DayRoad] = ()
    if not town.is_far:
        first = max(first_on, on + timedelta(days=SOONEST_DAYS))
        days = road_days(
            want=want,
            lat=lat,
            lon=lon,
            town_id=town.id,
            first_on=first,
            count=DAYS_AHEAD,
            drive=drive,
            cost=cost,
            picks=_picks(asked, lots, on=first),
        )
    return save_quote(
        want=want,
        on=on,
        at=at,
        drive=drive,
        spot=spot,
        from_yard_id=yard_id,
        days=days,
        is_new_customer=asked.is_new_customer,
        customer_id=asked.customer_id,
        first_honest_day=first_on,
        in_force=in_force,
        cost=cost,
        rule=rule,
        language=language,
    )


def find_spot(asked: Asked, *, towns: tuple[prices.TownRow, ...]) -> tuple[Spot, prices.TownRow]:
    """Where it goes and which town's prices hold there.

    A pin or a picked street stands as it is; typed words are looked up; a town alone stands at its middle.

    Errors
        NotHere
    """
    chosen = next((town for town in towns if town.id == asked.town_id), None)
    if asked.lat is not None and asked.lon is not None:
        town = _town_near(asked.lat, asked.lon, towns)
        said = asked.where.strip() or street_near(asked.lat, asked.lon)
        address = said or _("a pin on the map near %(town)s") % {"town": town.name}
        return Spot(address=address, town_id=town.id, lat=asked.lat, lon=asked.lon), town
    named = chosen or next((town for town in towns if town.name.lower() in asked.where.lower()), None)
    if asked.where.strip():
        near = (named.lat, named.lon) if named else None
        hit = street_spot(asked.where, near=near)
        if hit is not None and (named is None or _is_near(hit.lat, hit.lon, named)):
            town = named or _town_near(hit.lat, hit.lon, towns)
            address = asked.where.strip() if hit.is_exact else f"{asked.where.strip()}, {town.name}"
            return (
                Spot(address=address, town_id=town.id, lat=hit.lat, lon=hit.lon, is_exact=hit.is_exact),
                town,
            )
    if named is None:
        listed = ", ".join(town.name for town in towns)
        raise NotHere(
            _(
                "We could not find that place. Choose the town, or put a pin on the map. "
                "We drive to %(towns)s."
            )
            % {"towns": listed}
        )
    words = asked.where.strip()
    address = named.name if not words else words if named.name in words else f"{words}, {named.name}"
    return Spot(address=address, town_id=named.id, lat=named.lat, lon=named.lon, is_exact=False), named


def nearest_yard_words() -> str:
    """Yards where a customer may fetch wood, in words."""
    return ", ".join(pick_up_yards())


def _want(asked: Asked, *, market: str, place: str) -> Want:
    return Want(
        wood=asked.wood,
        market=market,
        cords=asked.cords,
        bundles=asked.bundles,
        dryness=asked.dryness,
        how=asked.how,
        is_stacked=asked.is_stacked,
        small_rig_only=asked.small_rig_only,
        place=place,
        first_on=asked.first_on,
        last_on=asked.last_on,
    )


def _first_honest_day(asked: Asked, lots: tuple[picking.OpenLot, ...], *, on: date) -> date:
    """The first day the wood can go under the word it is sold by.

    Errors
        NoSuchWood, NotEnoughWood, NothingDryEnough
    """
    cords = _cords(asked)
    first = picking.first_day(lots, wood=asked.wood, cords=cords, on=on, dryness=asked.dryness)
    if first is None:
        picking.pick_lots(lots, wood=asked.wood, cords=cords, on=on, dryness=asked.dryness)
    return first or on


def _picks(asked: Asked, lots: tuple[picking.OpenLot, ...], *, on: date) -> tuple[picking.Pick, ...]:
    """The lots it would take on the first day on offer; none for kindling alone."""
    if not asked.cords:
        return ()
    return picking.pick_lots(lots, wood=asked.wood, cords=asked.cords, on=on, dryness=asked.dryness)


def _cords(asked: Asked) -> Fraction:
    """Cords to look for in the lots; bundles alone only need some kindling."""
    return asked.cords if asked.cords else Fraction(1, 512)


def _open_of(lots: tuple[picking.OpenLot, ...], wood: str, dryness: str, *, on: date) -> Fraction:
    """Open cords sold under this word: dry now or within weeks, or green."""
    soon = on + timedelta(days=SOON_DAYS)
    of_wood = [lot for lot in lots if lot.wood == wood]
    return sum((lot.open_cords for lot in of_wood if lot.is_ready(dryness=dryness, on=soon)), Fraction(0))


def _town_near(lat: float, lon: float, towns: tuple[prices.TownRow, ...]) -> prices.TownRow:
    town = prices.nearest_town(lat, lon, among=towns)
    if town is None or prices.miles_apart(lat, lon, town.lat, town.lon) > NEAR_TOWN_MILES:
        yard = nearest_pick_up_yard(lat, lon)
        raise NotHere(
            _("That is farther than we drive, sorry. You are welcome to fetch wood at %(yards)s.")
            % {"yards": yard or _("our yard")}
        )
    return town


def _is_near(lat: float, lon: float, town: prices.TownRow) -> bool:
    return prices.miles_apart(lat, lon, town.lat, town.lon) <= NEAR_TOWN_MILES


def _cost(asked: Asked, drive: Drive, *, on: date) -> SellerCost | None:
    """What the order costs the seller, for the warning only the seller sees."""
    if not asked.cords:
        return None
    return seller_cost(cords=asked.cords, is_stacked=asked.is_stacked, drive=drive, on=on)
