"""One order by its signed link: followed, changed, cancelled, complained about, ordered again."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from icalendar import Calendar
from PIL import Image

from firewood_site import clock
from firewood_site.access import order_path
from firewood_site.letters import stop_link
from inventory.models import Photo
from orders.models import Claim, Customer, Letter, Order, Quote
from orders.services.orders import Picked, confirm_order
from orders.services.tickets import make_ticket
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet

pytestmark = pytest.mark.django_db

MORNING = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


@pytest.fixture(autouse=True)
def _a_morning(monkeypatch):
    for page in (
        "customer.views.order",
        "customer.views.claims",
        "customer.views.quote",
        "customer.views.price",
    ):
        monkeypatch.setattr(f"firewood_site.{page}.now", lambda: MORNING)


@pytest.fixture
def order(business):
    make_sheet()
    lot = make_lot(code="K1", yard=make_yard(name="Siding Yard"))
    make_reading(lot)
    return make_order(number=202)


def link(order):
    order.refresh_from_db()
    return order_path(order.number, order.link_secret)


def settle(order, **changes):
    Order.objects.filter(pk=order.pk).update(**changes)


def test_each_state_is_said_in_plain_words(client, order):
    said = {
        "asked": "We have your order",
        "confirmed": "held for you",
        "delivered": "is delivered",
        "declined": "cannot bring",
        "cancelled": "is cancelled",
    }
    for state, words in said.items():
        settle(order, state=state)
        assert words in client.get(link(order)).content.decode(), state


def test_a_day_that_is_set_shows_its_hours_and_the_cut_off(client, order):
    settle(order, state="planned", promised_on=date(2026, 9, 22), comes_from="10:00", comes_to="11:30")

    page = client.get(link(order)).content.decode()

    assert "Your wood comes Tue, Sep 22" in page
    assert "10:00 am – 11:30 am" in page
    assert "Mon, Sep 21 12:00" in page


def test_on_the_way_is_said(client, order):
    settle(order, state="planned", promised_on=date(2026, 9, 18), on_the_way_at=MORNING)

    assert "We are on the way" in client.get(link(order)).content.decode()


def test_the_calendar_file_holds_the_hours(client, order):
    settle(order, state="planned", promised_on=date(2026, 9, 22), comes_from="10:00", comes_to="11:30")

    answer = client.get(link(order) + "/day.ics")

    event = Calendar.from_ical(answer.content).walk("VEVENT")[0]
    assert timezone.localtime(event["dtstart"].dt).strftime("%d %H:%M") == "22 10:00"
    assert timezone.localtime(event["dtend"].dt).strftime("%H:%M") == "11:30"


def test_there_is_no_calendar_file_before_there_is_a_day(client, order):
    assert client.get(link(order) + "/day.ics").status_code == 404


def test_the_drop_spot_can_be_changed(client, order):
    form = {"day": "2026-09-18", "window": "morning", "drop_spot": "by the barn", "gate_code": "4471"}

    answer = client.post(link(order) + "/change", form)

    assert answer.status_code == 302
    order.place.refresh_from_db()
    assert (order.place.drop_spot, order.place.gate_code) == ("by the barn", "4471")


def test_past_the_cut_off_nothing_changes_and_the_phone_is_given(client, order):
    settle(order, state="planned", promised_on=date(2026, 9, 18))
    form = {"day": "2026-09-18", "window": "morning", "drop_spot": "by the barn"}

    changed = client.post(link(order) + "/change", form)
    cancelled = client.post(link(order) + "/cancel")

    assert (changed.status_code, cancelled.status_code) == (422, 422)
    assert "call us" in cancelled.content.decode()
    order.refresh_from_db()
    assert order.state == "planned"
    assert "+15415550100" in client.get(link(order)).content.decode()


def test_cancelling_gives_the_wood_back(client, order):
    confirm_order(number=202, picks=[Picked(lot="K1", cords=Fraction(1, 3))], at=MORNING, who="ruth")

    answer = client.post(link(order) + "/cancel", {"reason": "bought a heat pump"})

    assert answer.status_code == 302
    order.refresh_from_db()
    assert order.state == "cancelled"
    assert order.order_holds.get().hold.state == "released"


def test_the_ticket_can_be_read_by_its_customer(client, order):
    settle(order, state="delivered", delivered_on=date(2026, 9, 18))
    make_ticket(number=202, at=MORNING, who="tam")

    page = client.get(link(order) + "/ticket").content.decode()

    assert "1/3 cord (42.7 cubic feet stacked)" in page
    assert "Greta Sool" in page


def test_a_short_stack_with_a_photo_is_claimed_and_answered_at_once(client, order):
    settle(order, state="delivered", delivered_on=date(2026, 9, 18))
    picture = BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "taken at 44.01 -150.06"
    Image.new("RGB", (40, 30), "brown").save(picture, "JPEG", exif=exif)
    form = {
        "kind": "short",
        "length_ft": "7",
        "height_ft": "4",
        "depth_in": "16",
        "cribbed_ends": "0",
        "key": str(uuid4()),
        "photo": SimpleUploadedFile("stack.jpg", picture.getvalue(), "image/jpeg"),
    }

    answer = client.post(link(order) + "/wrong", form)

    assert answer.status_code == 302
    assert Claim.objects.get().result["short_pct"] == "12.50"
    assert "12.50% short" in client.get(link(order)).content.decode()
    assert "12.50% short" in Letter.objects.get().body
    photo = Photo.objects.get()
    kept = client.get(f"{link(order)}/photo/{photo.pk}.jpg").content
    assert b"44.01" not in kept
    assert Image.open(BytesIO(kept)).format == "JPEG"


def test_another_orders_photo_is_not_shown(client, order):
    photo = Photo.objects.create(about="order 999", purpose="claim", taken_on=MORNING.date(), made_at=MORNING)

    assert client.get(f"{link(order)}/photo/{photo.pk}.jpg").status_code == 404


def test_a_file_that_is_no_photo_is_refused(client, order):
    settle(order, state="delivered", delivered_on=date(2026, 9, 18))
    form = {
        "kind": "wet",
        "key": str(uuid4()),
        "photo": SimpleUploadedFile("stack.jpg", b"<script>alert(1)</script>", "image/jpeg"),
    }

    answer = client.post(link(order) + "/wrong", form)

    assert answer.status_code == 422
    assert not Claim.objects.exists()
    assert not Photo.objects.exists()


def test_a_claim_without_measures_says_which_are_missing(client, order):
    settle(order, state="delivered", delivered_on=date(2026, 9, 18))

    answer = client.post(link(order) + "/wrong", {"kind": "short", "length_ft": "7", "key": str(uuid4())})

    assert answer.status_code == 422
    assert "Measure this side" in answer.content.decode()


def test_the_same_again_is_priced_at_todays_sheet(client, order):
    settle(order, state="settled", delivered_on=date(2026, 9, 18))

    answer = client.post(link(order) + "/again")

    assert answer.status_code == 302
    assert Quote.objects.get().total_dollars == Decimal("100.00")


@pytest.fixture
def stop_page(client, order):
    """Where the link of a reminder leads, for somebody who asked for one."""
    client.post(link(order) + "/remind", {"wanted": "yes"})
    assert Customer.objects.get().wants_reminder
    return "/" + stop_link(order.customer_id).split("/", 3)[3]


def test_reminders_go_off_with_one_tap_on_the_page_of_the_letter(client, stop_page):
    assert "Stop the reminders" in client.get(stop_page).content.decode()

    page = client.post(stop_page, {"wanted": "no"}).content.decode()

    assert "No more reminders" in page
    assert "unless you order" in page
    assert not Customer.objects.get().wants_reminder


def test_a_mail_program_that_opens_links_stops_no_reminders(client, stop_page):
    client.get(stop_page)
    client.head(stop_page)

    assert Customer.objects.get().wants_reminder


def test_reminders_stopped_by_mistake_come_back_with_a_tap(client, stop_page):
    client.post(stop_page, {"wanted": "no"})
    assert "That was a mistake" in client.get(stop_page).content.decode()

    page = client.post(stop_page, {"wanted": "yes"}).content.decode()

    assert "We will write to you before next season" in page
    assert Customer.objects.get().wants_reminder


def test_the_stop_link_of_a_person_who_was_erased_leads_nowhere(client, stop_page, an_instant):
    Customer.objects.update(erased_at=an_instant)

    assert client.get(stop_page).status_code == 404
    assert client.post(stop_page, {"wanted": "yes"}).status_code == 404


def test_a_forged_stop_link_stops_nothing(client, order):
    assert client.get("/no-more/forged").status_code == 404


def test_links_are_not_guessed_at_leisure(client, order):
    answers = {client.get(f"/o/guess-{number}").status_code for number in range(35)}

    assert answers == {404}


def test_the_demo_day_is_the_day_of_the_pages(business):
    assert clock.today() == date(2026, 9, 18)


@pytest.mark.parametrize("readings", ["nan", "22 NaN 19", "inf", "-5", "1e999", "wet"])
def test_readings_that_are_no_numbers_are_asked_for_again(client, order, readings):
    settle(order, state="delivered", delivered_on=date(2026, 9, 18))
    said = {"kind": "wet", "readings": readings, "basis": "dry", "key": str(uuid4()), "message": "it hisses"}

    answer = client.post(link(order) + "/wrong", said)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "readings" in page
    assert f'value="{readings}"' in page
    assert "it hisses" in page
