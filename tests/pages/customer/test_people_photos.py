"""The people and their truck on the first page: from the seller's settings, late and light, and off again."""

import re
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.models import Photo

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
    sent = {"photo": picture(), "purpose": "shop", "taken_on": "2026-09-14", "note": note}
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
