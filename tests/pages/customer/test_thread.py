"""A thread that reaches the customer: complaints of every kind, photos both ways, answers, the link again."""

import re
from datetime import date, time
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from firewood_site import throttle
from firewood_site.access import order_path
from inventory.models import Photo, Yard
from orders.models import Claim, Customer, Letter, Order, Place
from tests.factories.inventory import make_yard
from tests.factories.orders import make_customer, make_order, make_sheet

pytestmark = pytest.mark.django_db

ON = date(2026, 9, 18)


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


@pytest.fixture
def order(business):
    make_sheet()
    greta = make_customer(email="greta@example.org", phone="+15415550199", phone_as_typed="541 555 0199")
    return make_order(number=213, customer=greta, state="delivered", delivered_on=ON)


def path(order):
    return order_path(order.number, order.link_secret)


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def picture():
    out = BytesIO()
    Image.new("RGB", (60, 40), "brown").save(out, "JPEG")
    return SimpleUploadedFile("wood.jpg", out.getvalue(), content_type="image/jpeg")


def complain(client, order, **changes):
    form = {
        "key": str(uuid4()),
        "kind": "damage",
        "message": "The truck took the gate post.",
        "cribbed_ends": "0",
    }
    return client.post(f"{path(order)}/wrong", {**form, **changes})


@pytest.mark.parametrize("kind", ["late", "damage", "other_wood", "other"])
def test_any_complaint_is_kept_and_shown_back_with_its_photo(client, order, kind):
    assert complain(client, order, kind=kind, photo=picture()).status_code == 302

    page = client.get(path(order))
    assert "“The truck took the gate post.”" in words(page)
    photo = Photo.objects.get(purpose="claim")
    assert f"/photo/{photo.pk}.jpg" in page.content.decode()
    assert client.get(f"{path(order)}/photo/{photo.pk}.jpg").status_code == 200


def test_a_complaint_without_words_is_asked_for_them_and_loses_nothing(client, order):
    answer = complain(client, order, message=" ")

    assert answer.status_code == 422
    assert "Tell us in a few words what happened." in words(answer)
    assert not Claim.objects.exists()


def test_wood_that_does_not_come_can_be_complained_of_and_measured_only_when_it_is_there(client, order):
    Order.objects.update(state="planned", delivered_on=None, promised_on=ON)

    assert "Something is wrong" in words(client.get(path(order)))
    assert complain(client, order, kind="late").status_code == 302
    assert complain(client, order, kind="damage").status_code == 422


def test_the_sellers_answer_and_photo_reach_the_thread_and_the_mailbox(client, seller_client, order):
    complain(client, order, photo=picture())
    claim = Claim.objects.get()
    assert f"/photo/{Photo.objects.get().pk}.jpg" in seller_client.get("/seller/claims").content.decode()

    answer = "We set a new post on Monday."
    seller_client.post(f"/seller/claims/{claim.pk}", {"way": "answer", "answer": answer, "photo": picture()})

    page = client.get(path(order))
    assert answer in words(page)
    assert "A photo from us" in words(page)
    assert answer in Letter.objects.get(kind="claim_answered").body


def test_the_photo_of_the_drop_is_shown_when_it_is_there(client, order):
    kept = Photo.objects.create(
        about=order.reference, purpose="drop", taken_on=ON, made_at=order.asked_at, file="none.jpg"
    )

    page = client.get(path(order)).content.decode()

    assert f"/photo/{kept.pk}.jpg" in page
    assert "Your wood where we left it, Fri, Sep 18" in page


def test_the_page_says_hours_name_phone_and_how_it_is_paid(client, order):
    Order.objects.update(
        state="asked", delivered_on=None, window_from=time(12), window_to=time(18), pay_how="check"
    )

    page = words(client.get(path(order)))

    for said in (
        "12:00 pm – 6:00 pm",
        "Greta Sool",
        "(541) 555-0199",
        "greta@example.org",
        "How you pay check",
    ):
        assert said in page, said


def test_a_saved_change_says_so(client, order):
    Order.objects.update(state="asked", delivered_on=None)
    form = {"day": "2026-09-18", "window": "morning", "drop_spot": "by the shed"}

    answer = client.post(f"{path(order)}/change", form, follow=True)

    assert "Your change is saved." in words(answer)


def test_pickup_says_the_yard_its_hours_and_the_way(client, order):
    make_yard(name="Siding Yard", pick_up_here=True, note="Blue gate on County Road 7 / es: Portón azul")
    Yard.objects.update(opens_at=time(8), closes_at=time(17))
    Order.objects.update(state="confirmed", how="pick_up", delivered_on=None, promised_on=date(2026, 9, 21))

    page = client.get(path(order))

    for said in (
        "Siding Yard",
        "Blue gate on County Road 7",
        "Open 8:00 am to 5:00 pm",
        "ready on Mon, Sep 21",
    ):
        assert said in words(page), said
    assert 'href="geo:4' in page.content.decode()
    assert "Portón" not in words(page)
    assert "Portón azul" in words(client.get(path(order), {"lang": "es"}))


def ask_for_link(client, contact):
    key = str(uuid4())
    return client.post("/my-order", {"contact": contact, "key": key, "stamp": throttle.stamp(key)})


@pytest.mark.parametrize("contact", ["(541) 555-0199", "greta@EXAMPLE.org"])
def test_the_link_goes_again_to_the_address_on_the_order_and_nowhere_else(client, order, contact):
    ask_for_link(client, contact)

    letter = Letter.objects.get(kind="link_again")
    assert letter.to == "greta@example.org"
    assert "/o/" in letter.body


def test_whoever_asks_for_a_link_reads_the_same_and_learns_nothing(client, order):
    known, stranger, nonsense = (
        ask_for_link(client, typed) for typed in ("541 555 0199", "541 555 0123", "nobody@example.org")
    )

    bodies = {re.sub(r'value="[^"]*"', "", answer.content.decode()) for answer in (known, stranger, nonsense)}
    assert len(bodies) == 1
    assert known.status_code == 200
    assert "Greta" not in known.content.decode()
    assert Letter.objects.count() == 1
    assert (Customer.objects.count(), Place.objects.count()) == (1, 1)


def test_asking_for_links_in_a_row_is_stopped(client, order):
    answers = [ask_for_link(client, "541 555 0199").status_code for _time in range(7)]

    assert answers[-1] == 429


def test_the_seller_taps_that_a_place_is_right(seller_client, order):
    Place.objects.update(is_confirmed=False)
    assert "place not confirmed" in words(seller_client.get("/seller/orders/213"))

    seller_client.post("/seller/orders/213/place-confirmed")

    assert Place.objects.get().is_confirmed
    assert "place not confirmed" not in words(seller_client.get("/seller/orders/213"))
