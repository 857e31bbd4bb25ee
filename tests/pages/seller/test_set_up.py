"""What a seller says once, on pages: towns, markets, ways to pay, people, limits, older months."""

from calendar import month_name
from datetime import date
from fractions import Fraction
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import User

from firewood_site.seller import town_picker
from inventory.models import AuditEntry, Business
from orders.models import Market, PaymentKind, Town
from orders.selectors.prices import pay_ways
from routing.models import BroughtForward, RoadLimit
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_order, make_sheet
from tests.factories.routing import make_rig
from tests.pages.seller.test_papers import SETTINGS
from tests.pages.seller.test_price_sheet import sheet_form

BY_HAND = {"name": "Fennick", "market": "far", "lat": "44.2", "lon": "-150.1"}


def lines(answer):
    return [row.what for row in answer.context["blocking"]]


def test_empty_books_say_what_keeps_them_from_selling_in_order(seller_client):
    Business.objects.all().delete()

    for path in ("/seller/", "/seller/set-up"):
        assert lines(seller_client.get(path)) == [
            "Enter your name and address", "Load the roads", "Add a yard", "Name the towns you sell to",
            "Set a price", "Set how you get paid", "Add a rig", "Open the first lot",
        ]  # fmt: skip


def test_an_address_that_tickets_must_carry_is_asked_for_before_the_first_delivery(seller_client):
    """The driver's first "delivered" came back as a disagreement: no ticket could be written."""
    assert "Write your address" not in lines(seller_client.get("/seller/"))

    Business.objects.update(address="")

    assert lines(seller_client.get("/seller/"))[0] == "Write your address"


def test_each_line_leads_to_a_page_that_opens(seller_client):
    for row in seller_client.get("/seller/").context["blocking"]:
        assert seller_client.get(row.href).status_code == 200, row.what


def test_books_that_sell_say_nothing_of_it(seller_client, settings):
    settings.ROAD_ENGINE = "estimate"
    yard = make_yard()
    make_sheet(), make_lot(yard=yard), make_rig(home_yard=yard)
    Town.objects.create(name="Fennick", market=Market.objects.first(), lat=44, lon=-150)

    assert lines(seller_client.get("/seller/")) == ["Load the roads"]


def test_wood_that_nobody_can_buy_says_why(seller_client):
    market = Market.objects.create(key="near", name="Near", minimum_cords="1/3")
    Town.objects.create(name="Fennick", market=market, lat=44, lon=-150)
    seller_client.post("/seller/set-up/prices/new", sheet_form(from_on="2026-09-18"))
    lot = make_lot(yard=make_yard(), sale="not_yet", wood="hardwood", mix={"red_oak": 100})
    for what, why in (("Offer a lot for sale", "kept back"), ("Price the wood you have", "no near price")):
        row = list(seller_client.get("/seller/").context["blocking"])[-1]
        assert row.what == what
        assert why in row.why
        assert seller_client.get(row.href).status_code == 200
        lot.sale = "for_sale"
        lot.save()


def test_a_town_makes_its_market_and_is_corrected_by_its_name(seller_client):
    seller_client.post("/seller/set-up/town", BY_HAND)
    town = Town.objects.get()
    assert (town.market.key, town.market.is_far, town.market.minimum_cords) == ("far", True, Fraction(1, 2))

    seller_client.post("/seller/set-up/town", {**BY_HAND, "name": "fennick", "market": "near"})
    assert Town.objects.get().market.key == "near"
    assert AuditEntry.objects.filter(thing="town Fennick", who="ruth").count() == 2
    typed = {**BY_HAND, "lat": "", "lon": "", "where": "44.3, -150.25"}
    seller_client.post("/seller/set-up/town", typed)
    assert (Town.objects.get().lat, Town.objects.get().lon) == (44.3, -150.25)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"lat": "", "lon": ""}, "The loaded roads know no such place"),
        ({"lat": "", "where": "up the road"}, "Write latitude and longitude as a map shows them"),
        ({"where": "444, -150.1"}, "Latitude goes from -90 to 90"),
        ({"market": "moon"}, "Select a valid choice"),
    ],
)
def test_a_town_that_cannot_be_is_refused_and_what_was_typed_stays(seller_client, changes, words):
    answer = seller_client.post("/seller/set-up/town", {**BY_HAND, **changes})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Town.objects.exists()
    if "where" in changes:
        assert changes["where"] in answer.content.decode()


def test_a_town_wood_went_to_stays(seller_client):
    order = make_order()
    seller_client.post("/seller/set-up/town", BY_HAND)
    town = Town.objects.get(name="Fennick")
    order.place.town = town
    order.place.save()

    answer = seller_client.post(f"/seller/set-up/town/{town.pk}/remove", follow=True)
    assert "it stays" in answer.content.decode()

    order.place.town = None
    order.place.save()
    seller_client.post(f"/seller/set-up/town/{town.pk}/remove")
    assert not Town.objects.filter(name="Fennick").exists()


def test_a_market_of_ones_own(seller_client):
    form = {"name": "Up the valley", "minimum_cords": "1/2", "is_delivered_price": "on"}
    seller_client.post("/seller/set-up/market", form)

    market = Market.objects.get()
    assert (market.key, market.minimum_cords, market.is_delivered_price) == (
        "up-the-valley", Fraction(1, 2), True,
    )  # fmt: skip
    assert seller_client.post("/seller/set-up/market", {**form, "name": "???"}).status_code == 422


def test_cash_is_offered_until_a_way_to_pay_is_named(seller_client):
    order = make_order(state="confirmed")
    page = seller_client.get(f"/seller/orders/{order.number}").content.decode()
    assert '<option value="cash"' in page
    assert "/seller/set-up?part=way#way" in page
    paid = {"dollars": "10", "method": "cash", "key": "11111111-1111-4111-8111-111111111111"}
    assert seller_client.post(f"/seller/orders/{order.number}/pay", paid).status_code == 302

    seller_client.post("/seller/set-up/way", {"kind": "check"})
    assert [way.name for way in pay_ways()] == ["Check at the door"]
    seller_client.post(f"/seller/set-up/way/{PaymentKind.objects.get().pk}/remove")
    assert [way.name for way in pay_ways()] == ["Cash"]


@pytest.mark.parametrize(("kind", "at_the_door"), [("other", True), ("ahead", False)])
def test_another_way_to_pay_is_taken_at_the_door_or_not(seller_client, kind, at_the_door):
    seller_client.post("/seller/set-up/way", {"kind": kind, "name": "Farm credit"})

    way = PaymentKind.objects.get()
    assert (way.key, way.at_the_door) == ("farm-credit", at_the_door)
    assert "Name" in seller_client.post("/seller/set-up/way", {"kind": kind}).text


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("October 5", (10, 5)),
        ("5 oct", (10, 5)),
        ("11/20", (11, 20)),
        ("Feb 29", None),
        ("rain", None),
        ("13/1", None),
        ("October 5 or March 6", None),
        ("October 5, 2026", None),
    ],
)
def test_the_first_rain_is_said_as_a_day_of_the_year(seller_client, said, kept):
    before = Business.objects.get()
    answer = seller_client.post(
        "/seller/set-up/settings", {**SETTINGS, "currency": "USD", "language": "en", "first_rain": said}
    )

    after = Business.objects.get()
    found = after.first_rain_month, after.first_rain_day
    assert found == (kept or (before.first_rain_month, before.first_rain_day))
    if kept:
        shown = seller_client.get("/seller/set-up/settings").text
        assert f'value="{month_name[kept[0]]} {kept[1]}"' in shown
    else:
        assert "Write a month and a day of it, such as October 5." in answer.text


def test_a_driver_gets_a_first_password_shown_once(seller_client, client):
    form = {"name": "tam", "role": "driver"}
    told = seller_client.post("/seller/set-up/person", form, follow=True).content.decode()
    first = told.split("tam signs in with ")[1].split(" ")[0]

    assert first not in seller_client.get("/seller/set-up").content.decode()
    assert first not in str(list(AuditEntry.objects.values()))
    assert client.login(username="tam", password=first)
    assert client.get("/seller/set-up").status_code == 403
    assert client.get("/driver/").status_code == 200


def test_who_may_do_what_is_changed_and_nobody_locks_themselves_out(seller_client, seller, logged_in):
    seller_client.post("/seller/set-up/person", {"name": "tam", "role": "driver"})
    tam = User.objects.get(username="tam")

    seller_client.post(f"/seller/set-up/person/{tam.pk}/role", {"role": "seller"})
    assert logged_in(tam).get("/seller/").status_code == 200
    seller_client.post(f"/seller/set-up/person/{tam.pk}/role", {"role": "none"})
    assert logged_in(tam).get("/driver/").status_code == 403

    answer = seller_client.post(f"/seller/set-up/person/{seller.pk}/role", {"role": "none"}, follow=True)
    assert "another seller can" in answer.content.decode()


@pytest.mark.parametrize("name", ["RUTH", "a b", ""])
def test_a_person_who_cannot_sign_in_is_not_added(seller_client, name):
    assert seller_client.post("/seller/set-up/person", {"name": name, "role": "driver"}).status_code == 422
    assert User.objects.count() == 1


def test_posted_limits_and_older_months_are_kept_and_forgotten(seller_client):
    seller_client.post("/seller/set-up/limit", {"name": "Old Mill Bridge", "whole_rig_lb": "12000"})
    seller_client.post("/seller/set-up/limit", {"name": "old mill bridge", "whole_rig_lb": "10000"})
    limit = RoadLimit.objects.get()
    assert limit.whole_rig_lb == 10_000

    lines = "2025-10-15; 5 1/2; $1,540; 212; 118; 13; 12"
    seller_client.post("/seller/set-up/month", {"months": lines})
    kept = BroughtForward.objects.get()
    assert (kept.month, kept.cords) == (date(2025, 10, 1), Fraction(11, 2))

    seller_client.post(f"/seller/set-up/limit/{limit.pk}/remove")
    seller_client.post(f"/seller/set-up/month/{kept.pk}/remove")
    assert not RoadLimit.objects.exists()
    assert not BroughtForward.objects.exists()


def test_months_are_pasted_from_a_spreadsheet_and_one_written_again_is_corrected(seller_client):
    pasted = "2025-11\t3\t840\n2025-12\t2.5\t700\t90\t40\t4 h\t9\t2025-12-20\tsnowed in"
    told = seller_client.post("/seller/set-up/month", {"months": pasted}, follow=True)
    seller_client.post("/seller/set-up/month", {"months": "2025-11; 4; 1000"})

    assert "2 months kept." in told.text
    november, december = BroughtForward.objects.all()
    assert (november.cords, november.revenue, november.miles) == (4, 1000, 0)
    assert (december.delivery_hours, december.covers_until) == (4, date(2025, 12, 20))
    assert (december.label, december.cash_out) == ("snowed in", 90)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("2025-11; 3; a lot", "Taken ($): Enter a number"),
        ("some day; 3; 840", "Month: Enter a valid date"),
        ("2025-11; 3", "Taken ($): This field is required"),
        ("2025-11;3;840;0;0;0;0;;note;more", "has more than asked for"),
        ("  ", "Write a month, such as 2025-10; 12.5; 3400."),
    ],
)
def test_a_line_of_months_that_cannot_be_read_keeps_none(seller_client, line, sentence):
    answer = seller_client.post(
        "/seller/set-up/month", {"months": f"2025-10; 2; 500\n{line}" if line.strip() else line}
    )

    assert answer.status_code == 422
    assert sentence in answer.text
    assert not BroughtForward.objects.exists()


def test_towns_are_ticked_on_a_map_of_the_loaded_roads(seller_client, monkeypatch):
    make_yard(name="Home", lat=40.3, lon=-76.9)
    places = (
        ("Marrow", 40.31, -76.95, 8), ("Larch", 40.5, -76.9, 6), ("Nook", 40.3, -76.91, 3),
    )  # fmt: skip
    monkeypatch.setattr(town_picker, "places_on_map", lambda: places)

    page = seller_client.get("/seller/set-up?part=town").text
    assert page.index("1 Nook") < page.index("2 Marrow") < page.index("3 Larch")
    assert 'class="route-map"' in page

    nothing = seller_client.post("/seller/set-up/towns", {"market": "near"})
    assert nothing.status_code == 422
    assert "Tick the towns you sell to" in nothing.text
    seller_client.post("/seller/set-up/towns", {"name": ["Marrow", "Larch"], "market": "far"})
    assert [(town.name, town.market.key, town.lat) for town in Town.objects.order_by("name")] == [
        ("Larch", "far", 40.5), ("Marrow", "far", 40.31),
    ]  # fmt: skip
    assert "1 Nook" in (after := seller_client.get("/seller/set-up?part=town").text)
    assert "2 Marrow" not in after


def test_a_yard_is_pinned_on_the_map_once_roads_are_loaded(seller_client, monkeypatch):
    page = "/seller/set-up/yards/new"
    assert 'data-pin="1"' not in seller_client.get(page).text

    loaded = SimpleNamespace(is_estimate=False)
    monkeypatch.setattr("firewood_site.seller.views.yards.roads_now", lambda: loaded)

    assert 'data-pin="1" data-pin-name="The yard" data-lat="id_lat"' in seller_client.get(page).text


def test_roads_nobody_loaded_are_asked_for_once_on_today(seller_client, settings):
    settings.ROAD_ENGINE = "valhalla"

    page = seller_client.get("/seller/")

    assert "Load the roads" in lines(page)
    assert "all drives are straight-line estimates" not in page.text
