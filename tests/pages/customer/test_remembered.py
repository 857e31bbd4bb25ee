"""What a phone remembers of its last order, and the seller's photos on the first page."""

import re
from datetime import date
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.base import ContentFile
from PIL import Image

from firewood_site import throttle
from firewood_site.access import order_token
from inventory.models import Photo
from orders.models import Quote
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business, monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    return make_town("Marrow Bridge")


def order_on_this_phone(client):
    greta = make_customer(phone_as_typed="541 555 0199", email="greta@example.org")
    home = make_place(greta, address="12 Mill Street, Marrow Bridge", drop_spot="by the shed")
    order = make_order(
        number=213, customer=greta, place=home, state="delivered", delivered_on=date(2026, 9, 18)
    )
    client.cookies["order"] = order_token(order.number, order.link_secret)
    return order


def test_an_order_is_remembered_on_the_phone_that_placed_it(client, shop):
    path = client.post("/price", {"choice": "fir:seasoned", "amount": "1/2", "town": shop.pk})["Location"]
    key = str(uuid4())
    form = {
        "key": key, "stamp": throttle.stamp(key), "day": "any", "name": "Greta Sool", "phone": "541 555 0199",
        "address": "12 Mill Street",
    }  # fmt: skip

    client.post(f"{path}/order", form)

    page = client.get("/").content.decode()
    assert "Your order" in page
    assert "1/2 cord seasoned fir" in page


def test_the_same_again_takes_one_tap_and_asks_for_nothing_known(client, shop):
    order_on_this_phone(client)
    again = re.search(r'action="(/o/[^"]+/again)"', client.get("/").content.decode())[1]

    page = client.get(client.post(again)["Location"]).content.decode()

    assert Quote.objects.get().customer.name == "Greta Sool"
    for value in ("Greta Sool", "541 555 0199", "greta@example.org", "by the shed"):
        assert f'value="{value}"' in page


def test_a_forged_or_revoked_memory_shows_nothing(client, shop):
    order_on_this_phone(client)
    client.cookies["order"] = "3q-5PF-forged"

    assert "The same again" not in client.get("/").content.decode()


def a_photo(**changes):
    out = BytesIO()
    Image.effect_noise((1600, 1200), 90).convert("RGB").save(out, "JPEG")
    fields = {"about": "lot K1", "purpose": "shop", "taken_on": date(2026, 9, 14), "made_at": an_instant()}
    photo = Photo(**{**fields, **changes})
    photo.file.save(f"{uuid4().hex}.jpg", ContentFile(out.getvalue()))
    return photo


def test_a_photo_the_seller_shows_stands_on_its_wood_lazy_and_light(client, shop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    kept = a_photo()

    page = client.get("/").content.decode()

    assert re.search(
        rf'src="/photo/{kept.pk}.jpg" width="720" height="480" loading="lazy" alt="Our seasoned fir', page
    )
    assert len(client.get(f"/photo/{kept.pk}.jpg").content) <= 40 * 1024


@pytest.mark.parametrize("changes", [{"purpose": "reading"}, {"about": "order 7", "purpose": "claim"}])
def test_photos_that_are_not_for_customers_are_not_served(client, shop, settings, tmp_path, changes):
    settings.MEDIA_ROOT = tmp_path

    assert client.get(f"/photo/{a_photo(**changes).pk}.jpg").status_code == 404


def test_an_old_photo_gives_way_to_the_drawing(client, shop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    a_photo(taken_on=date(2026, 6, 1))

    assert "lot-photo" not in client.get("/").content.decode()
