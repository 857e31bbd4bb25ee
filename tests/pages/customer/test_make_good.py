"""A cord that stacked up short, from the customer's phone to the rig's heap number (the job's example 9)."""

from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from firewood_site.access import order_path
from inventory.models import Business, Photo, Restack
from orders.models import Claim, Customer, Letter
from orders.selectors.orders import order_view
from orders.services.payments import record_payment
from orders.services.tickets import make_ticket
from routing.models import Load, Run, Stop
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet
from tests.factories.routing import make_day, make_rig

pytestmark = pytest.mark.django_db

ON = date(2026, 9, 18)
STACK = {"kind": "short", "length_ft": "22", "height_ft": "4", "depth_in": "16", "cribbed_ends": "0"}


@pytest.fixture(autouse=True)
def _a_morning(monkeypatch):
    morning = timezone.make_aware(datetime(2026, 9, 18, 9, 30))
    for page in ("customer.views.claims", "seller.views.claims"):
        monkeypatch.setattr(f"firewood_site.{page}.now", lambda: morning)


@pytest.fixture
def order(business):
    """A mixed cord of 300.00 with 60.00 paid, brought by the big trailer filled to its heap number of 180."""
    make_sheet()
    yard = make_yard(name="Creek Yard")
    lot = make_lot(code="K5", cords=2, wood="mixed", yard=yard)
    make_reading(lot)
    order = make_order(
        number=201, wood="mixed", cords=1, total_dollars=Decimal(300), wood_dollars=Decimal(300),
        deposit_dollars=Decimal(60), state="delivered", delivered_on=ON,
    )  # fmt: skip
    record_payment(
        number=201, dollars=Decimal(60), method="cash", on=ON, at=an_instant(), who="ruth", key=uuid4()
    )
    make_ticket(number=201, at=an_instant(), who="tam", loaded_ft3=Decimal(180))
    run = Run.objects.create(day=make_day(ON), rig=make_rig(name="Big trailer", home_yard=yard))
    load = Load.objects.create(run=run, sequence=1, yard=yard)
    Stop.objects.create(load=load, sequence=1, order=order, lot=lot, cords=1, state="delivered")
    order.refresh_from_db()
    return order


def claim(client, order, **changes):
    path = order_path(order.number, order.link_secret) + "/wrong"
    return client.post(path, {**STACK, "key": str(uuid4()), **changes})


def settle(client, **said):
    path = reverse("claim-settle", args=[Claim.objects.get().pk])
    return client.post(path, {"way": "credit", "dollars": "", "answer": "", **said})


def a_photo():
    picture = BytesIO()
    Image.new("RGB", (40, 30), "brown").save(picture, "JPEG")
    return SimpleUploadedFile("stack.jpg", picture.getvalue(), "image/jpeg")


def test_eleven_twelfths_of_a_cord_is_credited_25_dollars_and_215_is_due(client, order, seller):
    assert claim(client, order).status_code == 302
    page = client.get(order_path(order.number, order.link_secret)).content.decode()
    assert "8.33% short" in page
    assert "$25.00 off, or bring 15.0 loose cubic feet" in page
    assert "We'll take off $25 or bring 15 loose cubic feet" in Letter.objects.get().body

    client.force_login(seller)
    settle(client)

    balance = order_view(201).balance
    assert (balance.credited, balance.due) == (Decimal("25.00"), Decimal("215.00"))


METERS = {
    "length_m": "6.71",
    "height_m": "1.22",
    "depth_cm": "41",
    "cribbed_ends": "0",
}  # 118.41 of 128 ft3: 13.5 loose short


@pytest.mark.parametrize(
    ("language", "asked", "answer"),
    [
        ("en", "Length of the pieces, centimeters", "or bring 0.38 loose m³"),
        ("es", "Largo de los leños, centímetros", "o llevamos 0.38 m³ sueltos"),
    ],
)
def test_a_metric_place_measures_and_answers_in_meters(client, order, language, asked, answer):
    Business.objects.update(place_key="metric")
    Customer.objects.update(language=language)
    path = order_path(order.number, order.link_secret)
    form = client.get(f"{path}/wrong?lang={language}").content.decode()
    assert asked in form
    assert "feet" not in form
    assert "pies" not in form.lower()

    said = {"kind": "short", "key": str(uuid4()), **METERS}
    assert client.post(f"{path}/wrong", said).status_code == 302

    page = client.get(path).content.decode()
    assert "6.71 × 1.22 m × 41 cm" in page
    assert answer in page
    assert answer in Letter.objects.get().body
    kept = Claim.objects.get()
    assert (kept.length_ft, kept.height_ft, kept.depth_in) == (
        Decimal("22.01"), Decimal("4.00"), Decimal("16.14"),
    )  # fmt: skip


def test_a_side_that_was_not_measured_is_asked_for_in_meters_too(client, order):
    Business.objects.update(place_key="metric")

    answer = client.post(
        order_path(order.number, order.link_secret) + "/wrong",
        {"kind": "short", "key": str(uuid4()), **METERS, "height_m": ""},
    )

    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Measure this side and write the number." in page
    assert 'value="6.71"' in page
    assert "(optional)" not in page.partition("Length, meters")[2].partition("Not dry:")[0]


def test_a_settled_claim_teaches_the_rig_196_4_once(client, order, seller):
    claim(client, order)
    client.force_login(seller)

    answer = settle(client)

    assert answer.status_code == 302
    learned = Restack.objects.get()
    assert (learned.rig_name, learned.form, learned.reference) == ("Big trailer", "splits", "order 201")
    assert (learned.loose_ft3, learned.stacked_ft3) == (Decimal("180.00"), Decimal("117.33"))
    assert "196.4" in client.get("/seller/claims").content.decode()
    claim(client, order)
    settle_again = Claim.objects.order_by("-pk").first()
    client.post(reverse("claim-settle", args=[settle_again.pk]), {"way": "bring", "answer": ""})
    assert Restack.objects.count() == 1


def test_a_claim_answered_in_words_teaches_nothing(client, order, seller):
    claim(client, order)
    client.force_login(seller)

    settle(client, way="answer", answer="We stacked it again together: a full cord.")

    assert not Restack.objects.exists()


def test_sent_twice_it_is_one_claim_one_photo_and_one_letter(client, order):
    key = str(uuid4())
    for _tap in range(2):
        assert claim(client, order, key=key, photo=a_photo()).status_code == 302

    assert (Claim.objects.count(), Photo.objects.count(), Letter.objects.count()) == (1, 1, 1)


def test_a_refused_claim_keeps_no_photo(client, order):
    answer = claim(client, order, length_ft="", photo=a_photo())

    assert answer.status_code == 422
    assert not Photo.objects.exists()


def test_wood_that_is_brought_is_told_with_the_page_of_its_own_order(client, order, seller):
    Customer.objects.update(email="greta@example.org")
    claim(client, order)
    client.force_login(seller)

    settle(client, way="bring")

    letter = Letter.objects.get(kind="brings_more")
    assert letter.order.number != 201
    assert "We bring 1/12 cord seasoned mixed wood more. It costs you nothing" in letter.body
    assert order_path(letter.order.number, letter.order.link_secret).rpartition("/")[0] in letter.body


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", "We take $25 off your bill."), ("es", "Le descontamos $25 de su cuenta.")],
)
def test_a_credit_without_words_still_tells_what_is_taken_off(client, order, seller, language, said):
    claim(client, order)
    Customer.objects.update(language=language)
    client.force_login(seller)

    settle(client)

    assert said in Letter.objects.get(kind="claim_answered").body
