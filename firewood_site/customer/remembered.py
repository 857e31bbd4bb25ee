"""What this phone remembers for its owner's next visit: the town, and its last order's link."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse

from firewood_site.customer.linked import order_of_token
from orders.selectors.orders import OrderView
from orders.selectors.prices import TownRow

TOWN_COOKIE = "town"
ORDER_COOKIE = "order"  # the signed link of the last order placed on this phone
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
