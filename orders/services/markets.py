"""Where wood is sold and how it is paid for: markets, their towns, ways to pay."""

from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from django.db.models import ProtectedError
from django.utils.text import slugify

from inventory.core.local import local
from inventory.core.units import cords_of_m3
from inventory.services import audit
from orders.core import OrdersError
from orders.models import Market, PaymentKind, Town

FIRST_MARKETS = {  # made with their first town; smallest amounts are common practice
    "near": {"name": "Near", "is_far": False, "minimum_cords": Fraction(1, 3)},
    "far": {"name": "Far", "is_far": True, "minimum_cords": Fraction(1, 2)},
}
FIRST_LEAST_M3 = {"near": 1, "far": 2}  # the same in a place that counts in m³
USUAL_WAYS = {  # name, paid at the door, caution
    "cash": ("Cash at the door", True, ""),
    "check": ("Check at the door", True, "If a check is for more than is due, send nothing back."),
    "transfer": ("Bank transfer before we load", False, ""),
}


class NoSuchMarket(OrdersError):
    says = "There is no market {market}: choose one of the list."


class TownInUse(OrdersError):
    says = "Orders were delivered in {town}: it stays, for their sake."


class NoName(OrdersError):
    says = "Give it a name with letters in it."


@transaction.atomic
def save_town(
    *,
    name: str,
    lat: float,
    lon: float,
    market: str,
    hop_miles: Decimal | None = None,
    at: datetime,
    who: str,
) -> int:
    """Sell to a town; the same name again is corrected. The markets "near" and "far" are made on first use.

    Units
        hop_miles: from one drop there to the next; None leaves them.

    Errors
        NoSuchMarket
        ValidationError: a value a column refuses.
    """
    sold = Market.objects.filter(key=market).first()
    if sold is None:
        if market not in FIRST_MARKETS:
            raise NoSuchMarket(market=market)
        usual = dict(FIRST_MARKETS[market])
        if local().is_metric:
            usual["minimum_cords"] = cords_of_m3(FIRST_LEAST_M3[market])
        sold = Market.objects.create(key=market, **usual)
    row = Town.objects.filter(name__iexact=name.strip()).first() or Town(name=name.strip())
    row.market, row.lat, row.lon = sold, lat, lon
    row.hop_miles = row.hop_miles if hop_miles is None else hop_miles
    row.full_clean()
    row.save()
    audit.note(
        at=at, who=who, verb="sells to", thing=f"town {row.name}"[:40],
        after={"market": sold.name, "lat": lat, "lon": lon},
    )  # fmt: skip
    return row.pk


@transaction.atomic
def remove_town(*, town_id: int, at: datetime, who: str) -> None:
    """Sell there no longer; nothing happens when it is gone already.

    Errors
        TownInUse: orders went there.
    """
    row = Town.objects.filter(pk=town_id).first()
    if row is None:
        return
    try:
        row.delete()
    except ProtectedError as error:
        raise TownInUse(town=row.name) from error
    audit.note(at=at, who=who, verb="left", thing=f"town {row.name}"[:40])


@transaction.atomic
def save_market(
    *, name: str, minimum_cords: Fraction, is_far: bool, is_delivered_price: bool, at: datetime, who: str
) -> str:
    """A set of towns priced together, by its name; the same name again is corrected. Its key.

    Errors
        NoName: a name of signs only.
        ValidationError: a value a column refuses.
    """
    row = Market.objects.filter(name__iexact=name.strip()).first()
    if row is None:
        key = slugify(name)
        if not key:
            raise NoName
        row = Market.objects.filter(key=key).first() or Market(key=key)
    row.name, row.minimum_cords = name.strip(), minimum_cords
    row.is_far, row.is_delivered_price = is_far, is_delivered_price
    row.full_clean()
    row.save()
    audit.note(
        at=at, who=who, verb="changed", thing=f"market {row.name}"[:40],
        after={"least": str(minimum_cords), "far": is_far, "drive in the price": is_delivered_price},
    )  # fmt: skip
    return row.key


@transaction.atomic
def offer_way_to_pay(
    *, kind: str, name: str, at_the_door: bool, caution: str, instructions: str = "", at: datetime, who: str
) -> None:
    """Take money this way, under its usual name where none is given; one not offered any more comes back.

    Shapes
        kind: a key of USUAL_WAYS, or "other" for one named here.
    Errors
        NoName: "other" without a name.
        ValidationError: a value a column refuses.
    """
    usual, usual_at_the_door, usual_caution = USUAL_WAYS.get(kind, ("", at_the_door, ""))
    key = kind if kind in USUAL_WAYS else slugify(name)
    if not key:
        raise NoName
    row = PaymentKind.objects.filter(key=key).first() or PaymentKind(
        key=key, order_by=PaymentKind.objects.count() + 1
    )
    row.name, row.at_the_door = name.strip() or usual, usual_at_the_door
    row.caution, row.is_offered = caution.strip() or usual_caution, True
    row.instructions = instructions.strip()
    row.full_clean()
    row.save()
    audit.note(at=at, who=who, verb="offered", thing=f"way to pay {row.name}"[:40])


@transaction.atomic
def stop_way_to_pay(*, way_id: int, at: datetime, who: str) -> None:
    """Offer it no more; money taken so stays in the ledger."""
    row = PaymentKind.objects.filter(pk=way_id).first()
    if row is not None:
        row.is_offered = False
        row.save(update_fields=["is_offered"])
        audit.note(at=at, who=who, verb="stopped", thing=f"way to pay {row.name}"[:40])
