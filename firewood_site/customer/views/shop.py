"""The front page: what wood costs at your door, in plain words; how dry and how hot a tap further."""

from fractions import Fraction
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found
from firewood_site.clock import now, today
from firewood_site.customer.next_dry import next_dry
from firewood_site.customer.remembered import PICK_UP, Door, door_of, last_order, remember
from firewood_site.customer.shop_woods import shop_woods
from firewood_site.languages import in_their_language
from firewood_site.photos import small_photo, stamp_photo
from inventory.selectors.business import business
from inventory.selectors.photos import photos_about, shown_photo
from inventory.selectors.yards import pick_up_yards
from orders.core.places import sells_cords
from orders.selectors.on_sale import OnSale, on_sale
from routing.quoting.door_prices import drive_alone, pool_now, town_drives
from routing.quoting.drives import Roads

MOST_PEOPLE = 3  # photos of the people and the truck
SIZES = (Fraction(1, 3), Fraction(1, 2), Fraction(1))


@in_their_language
@require_safe
def shop(request: HttpRequest) -> HttpResponse:
    """What is for sale today, priced to the town that was tapped or that this phone remembers."""
    on = today()
    sale, roads = on_sale(on, at=now()), Roads(on)
    door = door_of(request, sale.towns)
    sheet = sale.in_force.sheet if sale.in_force else None
    waiting = next_dry(on, sheet=sheet)
    context = {
        "woods": shop_woods(on, sale=sale, door=door, roads=roads),
        "waiting": waiting,
        "sheet": sheet,
        "door": door,
        "towns": town_drives(sale, on=on, roads=roads),
        "pick_up": PICK_UP if pick_up_yards() else "",
        "sizes": sheet.amounts[:3] if sheet and sheet.is_by_m3 else SIZES,
        "people": photos_about("us", purpose="shop")[:MOST_PEOPLE],
        "last": last_order(request),
        **(_far(door, sale, roads) if door.town and door.town.is_far else {}),
    }
    answer = render(request, "customer/shop.html", context)
    remember(answer, door)
    return answer


def _far(door: Door, sale: OnSale, roads: Roads) -> dict[str, Any]:
    """The load that waits for a far town, and what a truck for one order would cost."""
    on = today()
    here = next((row for row in town_drives(sale, on=on, roads=roads) if row.town == door.town), None)
    return {
        "far": here,
        "pool": pool_now(door.town.id, on=on) if door.town else None,
        "alone": drive_alone(sale.in_force.sheet, miles=here.miles) if here and sale.in_force else None,
    }


@in_their_language
@require_safe
def cord_card(request: HttpRequest) -> HttpResponse:
    """One page to print: what a cord is, and when wood is dry; none where wood is not sold by the cord."""
    if not sells_cords(business().place_key):
        raise Http404(_("Wood is not sold by the cord here."))
    return render(request, "customer/card.html", {"sizes": SIZES})


@require_safe
def photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    """A photo of wood that the seller shows to customers, made light."""
    with found(shown_photo(photo_id, purpose="shop"), _("There is no such photo.")) as file:
        picture = small_photo(file.read())
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "public, max-age=86400"}
    )


@require_safe
def our_picture(request: HttpRequest, photo_id: int) -> HttpResponse:
    """The picture beside the seller's name, the size of a stamp; a new one has a new address."""
    with found(shown_photo(photo_id, purpose="mark"), _("There is no such photo.")) as file:
        picture = stamp_photo(file.read())
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "public, max-age=604800"}
    )
