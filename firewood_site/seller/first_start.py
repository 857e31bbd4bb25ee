"""What still keeps a new seller from selling, in the order it is best mended."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _

from firewood_site.seller.today_tasks import Task
from inventory.core.local import in_local_units
from inventory.selectors.business import business, has_business
from inventory.selectors.stock import OpenWood
from inventory.selectors.yards import has_yard
from orders.core.places import place_rule
from orders.selectors import prices
from orders.selectors.on_sale import wood_choices
from routing.selectors.rigs import rigs
from routing.selectors.roads.current import roads_now


def set_up_part(part: str) -> str:
    """The address of the set-up page with one part open."""
    return f"{reverse('set-up')}?part={part}#{part}"


def blocking(on: date, wood: OpenWood) -> Iterator[Task]:
    """One line for each thing missing; "bad" stops a sale, the rest makes a quote rougher."""
    if not has_business():
        yield _line(
            _("Enter your name and address"), _("Tickets and quotes carry your name."), reverse("settings")
        )
    elif not business().address and "seller_address" in place_rule(business().place_key).ticket_fields:
        why = _("Tickets have to carry it: without it none is written at the door.")
        yield _line(_("Write your address"), why, reverse("settings"), level="warn")
    if roads_now().is_estimate:
        why = _("Yards and towns are then found by name; until then drives are estimates.")
        yield _line(_("Load the roads"), why, set_up_part("roads"), level="warn")
    if not has_yard():
        yield _line(_("Add a yard"), _("Deliveries start from a yard."), reverse("yard-new"))
    if not prices.towns():
        yield _line(
            _("Name the towns you sell to"), _("A quote needs a town, near or far."), set_up_part("town")
        )
    sheet = prices.sheet_in_force(on)
    if sheet is None or not sheet.sheet.cord_prices:
        yield _line(_("Set a price"), _("One price a cord is enough to begin."), reverse("prices-new"))
    if not any(way.is_offered for way in prices.ways_kept()):
        yield _line(
            _("Set how you get paid"), _("Until then only cash is offered."), set_up_part("way"), level="warn"
        )
    working = [rig for rig in rigs() if rig.works]
    if not working:
        yield _line(_("Add a rig"), _("Days can't be planned without one."), reverse("rig-new"), level="warn")
    elif not any(rig.costs for rig in working):
        why = _("Plans and margins count by the mile and the driver's hour.")
        yield _line(_("Say what a mile costs"), why, reverse("rig", args=[working[0].id]), level="warn")
    yield from _wood(on, wood, has_prices=bool(sheet and sheet.sheet.cord_prices))


def _wood(on: date, wood: OpenWood, *, has_prices: bool) -> Iterator[Task]:
    """What keeps the wood in hand from being quoted: none there, none offered, or none that has a price."""
    offered = [lot for lot in wood.lots if lot.sale == "for_sale" and lot.open > 0]
    if not wood.lots:
        why = _("Cords by tape or by eye: a count can follow.")
        yield _line(_("Open the first lot"), why, f"{reverse('log')}?wood=new&steps=measure")
    elif not offered:
        lot = wood.lots[0]
        why = _("{lot} is kept back: offer it on its page.").format(lot=f"{lot.code} {lot.name}")
        yield _line(_("Offer a lot for sale"), why, reverse("lot-change", args=[lot.code, "sale"]))
    elif has_prices and not any(choice.is_open for choice in wood_choices(on)):
        lot = offered[0]
        why = (
            _("{lot} is dry, and no near price is for such wood.")
            if lot.dry.claim == "seasoned"
            else _("{lot} is green by what is known of it, and no near price is for such wood.")
        ).format(lot=f"{lot.code} {lot.name}")
        why = f"{why} {_('Read its moisture, or price it.')}"
        yield _line(_("Price the wood you have"), why, reverse("prices-new"))


def _line(what: str, why: str, href: str, level: str = "bad") -> Task:
    return Task(level=level, what=in_local_units(what), why=in_local_units(why), href=href, action=_("Go"))
