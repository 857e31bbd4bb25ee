"""Two orders, one drop: a neighbor rides along, the drive is paid once, the link gives nothing away."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from firewood_site import throttle
from firewood_site.access import neighbor_token, order_path, order_token
from firewood_site.clock import now, today
from inventory.models import Lot
from orders.core.figures import Figures
from orders.core.sharing import drive_shared, half_of
from orders.core.sheets import TaxRule
from orders.models import Letter, Order, Quote
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig
from tests.pages.customer.test_price_and_order import order_form

pytestmark = pytest.mark.django_db

DRIVE = Decimal(22)


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


@pytest.fixture
def first(business):
    """Greta's third of a cord to Larch Prairie on a day of her own, with $22 of drive in it."""
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_rig(home_yard=yard)
    make_sheet()
    make_town("Larch Prairie")
    greta = make_customer("Greta Sool", email="greta@example.org")
    day = today() + timedelta(days=5)
    return make_order(
        number=213,
        customer=greta,
        place=make_place(greta, town="Larch Prairie", address="40 Willow Lane, Larch Prairie"),
        total_dollars=Decimal(122),
        drive_dollars=DRIVE,
        reasons=[
            {"kind": "wood", "label": "Fir", "dollars": "100.00", "why": ""},
            {"kind": "drive", "label": "Delivery", "dollars": "22.00", "why": ""},
        ],
        first_on=day,
        last_on=day,
        asked_at=now(),
        asked_on=today(),
    )


def link(order):
    return f"/with/{neighbor_token(order.number, order.link_secret)}"


def words(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def status(client, order):
    return client.get(order_path(order.number, order.link_secret))


def joined(client, first, **changes):
    """The neighbor's price, from the link to the page of the price."""
    form = client.get(link(first), follow=True).content.decode()
    hidden = dict(re.findall(r'<input type="hidden" name="(where|town)" value="([^"]*)"', form))
    asked = {
        "choice": "fir:seasoned",
        "amount": "1/3",
        "laid": "drop",
        "how": "delivered",
        **hidden,
        **changes,
    }
    return client.post("/price", asked)


def ordered(client, path):
    form = order_form(client, path, name="Ben Ortiz", phone="541 555 0144")
    del form["address"]
    day = re.search(r'name="day" value="(\d{4}-\d\d-\d\d)" checked', client.get(path).content.decode())[1]
    seen = re.search(r'name="seen" value="([^"]+)"', client.get(path).content.decode())[1]
    assert client.post(f"{path}/order", {**form, "day": day, "seen": seen}).status_code == 302
    return Order.objects.get(customer__name="Ben Ortiz")


def test_the_order_says_that_a_neighbor_may_ride_along_and_what_the_link_shows(client, first):
    page = words(status(client, first))

    assert "A neighbor wants wood too?" in page
    assert "not your name, your phone or your price" in page


def test_the_link_shows_the_place_and_the_day_and_nothing_of_the_person(client, first):
    answer = client.get(link(first), follow=True)

    page = words(answer)
    assert "40 Willow Lane, Larch Prairie" in page
    assert "your half is $11" in page
    assert "Greta" not in page
    assert first.customer.phone not in page
    assert order_token(first.number, first.link_secret) not in answer.content.decode()


def test_the_neighbor_pays_half_the_drive_that_day(client, first):
    page = words(client.get(joined(client, first)["Location"]))

    assert "Comes with your neighbor's wood" in page
    assert "$111" in page  # a third of a cord at 100, and half of 22


def test_a_price_the_seller_made_by_hand_has_no_day_and_is_ordered_all_the_same(client, first):
    path = joined(client, first)["Location"]
    Quote.objects.update(day_offers=[])
    form = order_form(client, path, name="Ben Ortiz", phone="541 555 0144")
    del form["address"]

    answer = client.post(f"{path}/order", form)

    assert answer.status_code == 302, words(answer)
    order = Order.objects.get(customer__name="Ben Ortiz")
    assert order.neighbor == first
    assert order.first_on < order.last_on


def test_both_pay_half_once_the_seller_confirms_and_the_seller_gets_one_drive(client, seller_client, first):
    second = ordered(client, joined(client, first)["Location"])
    assert (second.neighbor, second.first_on, second.last_on) == (first, first.first_on, first.first_on)
    assert second.place.address == first.place.address
    assert second.place.pk != first.place.pk
    first.refresh_from_db()
    assert first.total_dollars == 122  # nothing changes before the seller's yes

    seller_client.post(f"/seller/orders/{second.number}/confirm", {"lot-K1": "1/3"})

    first.refresh_from_db()
    second.refresh_from_db()
    assert first.total_dollars == 111
    assert first.drive_dollars + second.drive_dollars == DRIVE
    assert sum(Decimal(line["dollars"]) for line in first.reasons) == first.total_dollars
    assert "$111" in Letter.objects.get(kind="drive_shared").body
    page = words(status(client, first))
    assert "Drive shared with a neighbor" in page
    assert "A neighbor wants wood too?" not in page  # one neighbor to a drop
    seller = words(seller_client.get(f"/seller/orders/{second.number}"))
    assert "one drop and one drive with order 213" in seller


def test_who_shares_a_drop_calls_to_change_day_or_goods(client, seller_client, first):
    second = ordered(client, joined(client, first)["Location"])

    client.get(f"{order_path(first.number, first.link_secret)}/other")
    town = make_town("Larch Prairie").pk
    asked = {
        "choice": "fir:seasoned",
        "amount": "1/2",
        "town": town,
        "where": "40 Willow Lane",
        "how": "delivered",
    }
    page = client.get(client.post("/price", asked)["Location"]).content.decode()
    action = re.search(r'action="(/o/[^"]+/take/[^"]+)"', page)[1] if "/take/" in page else ""
    if action:
        seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
        client.post(action, {"day": "any", "seen": seen})
    first.refresh_from_db()

    assert first.cords == Fraction(1, 3)
    assert second.neighbor == first


def test_too_much_for_one_load_is_refused_with_a_way_out(client, first):
    Lot.objects.filter(code="K1").update(on_hand_cords=Fraction(40))

    answer = joined(client, first, amount="", other="20")

    assert answer.status_code == 422
    assert "do not fit one load" in words(answer)


@pytest.mark.parametrize(
    ("state", "from_day", "to_day"),
    [(Order.State.CANCELLED, 5, 5), (Order.State.ASKED, 5, 12), (Order.State.ASKED, -3, -3)],
    ids=["cancelled", "no day of its own", "past"],
)
def test_an_order_that_cannot_be_shared_offers_no_link_and_an_old_link_says_so(
    client, first, state, from_day, to_day
):
    days = [today() + timedelta(days=ahead) for ahead in (from_day, to_day)]
    Order.objects.filter(pk=first.pk).update(state=state, first_on=days[0], last_on=days[1])
    first.refresh_from_db()

    assert "A neighbor wants wood too?" not in words(status(client, first))
    assert "can't be shared any more" in words(client.get(link(first), follow=True))


def test_a_forged_link_opens_nothing(client, first):
    answer = client.get("/with/zz-notasignature", follow=True)

    assert answer.status_code == 200
    assert "can't be shared any more" in words(answer)
    assert "Willow Lane" not in words(answer)


def test_the_first_one_cancelled_meanwhile_is_said_at_the_order(client, first):
    path = joined(client, first)["Location"]
    Order.objects.filter(pk=first.pk).update(state=Order.State.CANCELLED)

    answer = client.post(f"{path}/order", order_form(client, path, day=first.first_on.isoformat()))

    assert answer.status_code == 422
    assert "can't be shared any more" in words(answer)


@pytest.mark.parametrize("drive", [Decimal("22.00"), Decimal("28.01"), Decimal("0.01"), Decimal("0.00")])
def test_the_halves_add_up_to_the_drive(drive):
    half = half_of(drive)

    assert half + (drive - half) == drive
    assert 0 <= (drive - half) - half <= Decimal("0.01")


def test_tax_on_the_drive_falls_with_it_and_on_wood_alone_it_stays():
    lines = ({"kind": "drive", "label": "Delivery", "dollars": "20.00", "why": ""},)
    figures = Figures(
        total=Decimal("132.00"), wood=Decimal(100), drive=Decimal(20), tax=Decimal("12.00"),
        deposit=Decimal(0), reasons=lines,
    )  # fmt: skip

    taxed = drive_shared(
        figures, tax=TaxRule(percent=Decimal(10), on_wood=True, on_delivery=True), language="en"
    )
    untaxed = drive_shared(figures, tax=TaxRule(percent=Decimal(12), on_wood=True), language="en")

    assert (taxed.total, taxed.tax) == (Decimal("121.00"), Decimal("11.00"))
    assert (untaxed.total, untaxed.tax) == (Decimal("122.00"), Decimal("12.00"))
