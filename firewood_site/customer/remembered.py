"""What this phone remembers: for a year its town and last order, for an hour what its prices belong to."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse

from firewood_site.customer.linked import order_of_token
from orders.selectors.orders import OrderView
from orders.selectors.prices import TownRow

TOWN_COOKIE = "town"
ORDER_COOKIE = "order"  # the signed link of the last order placed on this phone
PRICED_FOR_COOKIE = "priced-for"
PRICE_PATH = "/price"
AN_HOUR = 3600
PICK_UP = "pickup"
YEAR = 365 * 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where this visitor's wood goes, as far as they have said."""

    town: TownRow | None = None
    is_pick_up: bool = False

    @property
    def key(self) -> str:
        return PICK_UP if self.is_pick_up else str(self.town.id) if self.town else ""


def door_of(request: HttpRequest, towns: Iterable[TownRow]) -> Door:
    """What the address says, else what the phone remembers; nothing for a town that is served no more."""
    said = request.GET.get(TOWN_COOKIE) or request.COOKIES.get(TOWN_COOKIE, "")
    if said == PICK_UP:
        return Door(is_pick_up=True)
    return Door(town=next((town for town in towns if str(town.id) == said), None))


def remember(answer: HttpResponse, door: Door) -> None:
    """Keep it on this phone for a year."""
    if door.key:
        answer.set_cookie(TOWN_COOKIE, door.key, max_age=YEAR, samesite="Lax", httponly=True)


def last_order(request: HttpRequest) -> tuple[str, OrderView] | None:
    """The order this phone placed last, with its link, while that link is good."""
    token = request.COOKIES.get(ORDER_COOKIE, "")
    view = order_of_token(token) if token else None
    return None if view is None else (token, view)


def remember_order(answer: HttpResponse, token: str) -> None:
    """Keep the link on this phone, for a glance and for the same again."""
    answer.set_cookie(ORDER_COOKIE, token, max_age=YEAR, samesite="Lax", httponly=True)


def price_for(answer: HttpResponse, token: str) -> None:
    """For an hour what this phone prices belongs to a link: the order it may change, or a neighbor's drop."""
    answer.set_cookie(
        PRICED_FOR_COOKIE, token, max_age=AN_HOUR, path=PRICE_PATH, samesite="Lax", httponly=True
    )


def priced_for(request: HttpRequest) -> str:
    """The link that what is priced belongs to; empty for a new order of its own."""
    return request.COOKIES.get(PRICED_FOR_COOKIE, "")


def price_anew(answer: HttpResponse) -> None:
    """What is priced next is a new order to a place of its own."""
    answer.delete_cookie(PRICED_FOR_COOKIE, path=PRICE_PATH)
