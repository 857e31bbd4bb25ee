"""The people and their truck on the first page: from the seller's settings, late and light, and off again."""

import re
from datetime import date
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from firewood_site.ticket_pdf import can_print
from inventory.models import Photo
from orders.services.tickets import make_ticket
from tests.factories.inventory import an_instant
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db

ADD = "/seller/photos/us/us/add"
WHO = "Ruth and Tam with the small trailer"


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def picture():
    out = BytesIO()
    Image.effect_noise((1600, 1200), 90).convert("RGB").save(out, "JPEG")
    return SimpleUploadedFile("us.jpg", out.getvalue(), content_type="image/jpeg")


def add(seller_client, note=WHO):
    sent = {"photo": picture(), "purpose": "shop", "on": "2026-09-14", "note": note}
    return seller_client.post(ADD, sent, follow=True)


def test_a_photo_of_the_people_stands_on_the_first_page_lazy_light_and_with_its_words(
    client, seller_client, business
):
    add(seller_client)

    kept = Photo.objects.get()
    page = client.get("/").content.decode()
    assert re.search(rf'src="/photo/{kept.pk}.jpg" width="720" height="480" loading="lazy" alt="{WHO}"', page)
    assert len(client.get(f"/photo/{kept.pk}.jpg").content) <= 40 * 1024


def test_without_words_it_is_not_kept_and_the_page_says_why(client, seller_client, business):
    answer = add(seller_client, note="  ")

    assert "Say who or what is in it" in answer.content.decode()
    assert not Photo.objects.exists()


def test_no_more_than_three_are_shown_the_newest_first(client, seller_client, business):
    for name in ("one", "two", "three", "four"):
        add(seller_client, note=name)

    page = client.get("/").content.decode()

    assert re.findall(r'loading="lazy" alt="(\w+)"', page) == ["four", "three", "two"]


def test_it_comes_off_the_page_and_its_file_is_served_to_no_stranger(client, seller_client, business):
    add(seller_client)
    kept = Photo.objects.get()

    answer = seller_client.post(f"/seller/photos/us/us/{kept.pk}/off", follow=True)

    assert "Customers do not see the photo any more." in answer.content.decode()
    assert WHO not in client.get("/").content.decode()
    assert client.get(f"/photo/{kept.pk}.jpg").status_code == 404


def test_a_stranger_can_neither_add_one_nor_take_one_off(client, seller_client, business):
    add(seller_client)
    kept = Photo.objects.get()

    assert client.post(ADD, {"photo": picture(), "note": "me"}).status_code == 302
    assert client.post(f"/seller/photos/us/us/{kept.pk}/off").status_code == 302
    assert Photo.objects.filter(purpose="shop").count() == 1


def test_the_sellers_picture_stands_beside_the_name_on_customers_pages_and_tickets(
    client, seller_client, business
):
    sent = BytesIO()
    Image.new("RGBA", (900, 600), (0, 0, 0, 0)).save(sent, "PNG")
    form = seller_client.get("/seller/set-up/settings").context["form"]
    filled = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    filled = {name: value for name, value in filled.items() if value not in (None, False)}
    sign = SimpleUploadedFile("sign.png", sent.getvalue(), content_type="image/png")
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18))
    make_ticket(number=order.number, at=an_instant(), who="ruth")
    ticket = f"/seller/orders/{order.number}/ticket"

    assert seller_client.post("/seller/set-up/settings", {**filled, "photo": sign}).status_code == 302

    kept = Photo.objects.get(purpose="mark")
    address = f"/our-picture/{kept.pk}.jpg"
    stamp = client.get(address).content
    with Image.open(BytesIO(stamp)) as shown:
        assert shown.size == (96, 96)
        assert shown.getpixel((5, 5)) == (255, 255, 255)  # what is see-through is white, not black
    assert len(stamp) < 4_000
    assert address in client.get("/").text
    assert address in seller_client.get(ticket, follow=True).text

    if can_print():
        paper = seller_client.get(f"{ticket}.pdf").content
        assert b"/Subtype/Image" in paper
    seller_client.post("/seller/set-up/settings", {**filled, "without_picture": "on"})
    assert address not in client.get("/").text
    if can_print():
        assert b"/Subtype/Image" not in seller_client.get(f"{ticket}.pdf").content


def test_a_picture_that_is_none_is_refused_in_a_sentence(seller_client, business):
    form = seller_client.get("/seller/set-up/settings").context["form"]
    filled = {name: form.get_initial_for_field(field, name) or "" for name, field in form.fields.items()}
    bad = SimpleUploadedFile("sign.png", b"no picture", content_type="image/png")
    answer = seller_client.post("/seller/set-up/settings", {**filled, "photo": bad})

    assert answer.status_code in (200, 422)
    assert "This is not a photo we can read" in answer.text
