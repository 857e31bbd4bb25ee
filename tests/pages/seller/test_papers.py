"""Papers that are true: where wood was cut, before it rolls; tickets that are replaced, not rewritten; words
that sell by no measure, refused where the seller types them."""

from datetime import date, time
from decimal import Decimal

import pytest
from django.utils.html import escape

from inventory.models import Business
from orders.models import Order, OrderHold, Ticket
from orders.services.payments import record_credit
from orders.services.tickets import make_ticket
from routing.services import days
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday
from tests.factories.inventory import an_instant, make_hold, make_lot, make_reading, make_unit, make_yard
from tests.factories.orders import make_order, make_sheet

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)


@pytest.fixture
def knob(business):
    make_sheet()
    ground = make_unit(name="Knob unit", premises="Tax account 41-207, Siding Road")
    return make_lot(code="K1", yard=make_yard(name="Siding Yard"), unit=ground)


def held_order(lot, *, cords="1/3", **fields):
    order = make_order(number=202, **fields)
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords=cords, reference=order.reference))
    return order


def delivered_order(lot, **fields):
    order = held_order(lot, **fields)
    Order.objects.filter(pk=order.pk).update(state="delivered", delivered_on=ON)
    return order


def shown(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_paper_of_where_wood_was_cut_is_there_before_the_drop(seller_client, knob):
    Business.objects.update(place_key="oregon", phone="541-555-0100")
    held_order(knob, state="confirmed")

    paper = shown(seller_client, "/seller/orders/202/where-cut")

    assert "Knob unit, Tax account 41-207, Siding Road" in paper
    assert "Douglas-fir, lot K1" in paper
    assert "1/3 cord (42.7 cubic feet stacked)" in paper
    assert "Greta Sool" in paper
    assert "ORS 164.813" in paper
    assert "/seller/orders/202/where-cut" in shown(seller_client, "/seller/orders/202")


def test_a_paper_without_its_ground_says_what_to_write_down(seller_client, knob):
    knob.unit = None
    knob.save()
    held_order(knob, state="confirmed")

    paper = shown(seller_client, "/seller/orders/202/where-cut")

    assert "Nobody wrote down where K1 was cut" in paper
    assert "/seller/lots/K1/change/facts" in paper or "/facts" in paper


def test_every_load_of_a_day_has_its_paper(seller_client, business, monkeypatch):
    drive_by_the_job(monkeypatch)
    friday = make_friday()
    friday.knob_fir.unit = make_unit(name="Knob unit")
    friday.knob_fir.save()
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant(), who="ruth", starts_at=time(7, 30),
    )  # fmt: skip

    papers = shown(seller_client, f"/seller/days/{FRIDAY}/where-cut")

    assert "Big trailer, load 1 from Creek" in papers
    assert "60% Douglas-fir, 40% Oregon white oak" in papers
    assert papers.count("Knob unit") == 2
    assert f"/seller/days/{FRIDAY}/where-cut" in shown(seller_client, f"/seller/days/{FRIDAY}/load-sheet")


def test_a_replaced_ticket_stands_and_the_new_one_names_it(seller_client, knob):
    order = delivered_order(knob)
    first = make_ticket(number=202, at=an_instant(), who="tam", measured_by="Tam Averill")
    record_credit(
        number=202,
        dollars=Decimal(10),
        on=ON,
        at=an_instant(),
        who="ruth",
        key=order.link_secret,
        note="short",
    )

    answer = seller_client.post("/seller/orders/202/replace-ticket")

    assert answer.status_code == 302
    old, new = Ticket.objects.order_by("number")
    assert new.replaces == old
    assert new.fields["measured_by"] == "Tam Averill"
    assert old.fields["price_dollars"] != new.fields["price_dollars"]
    page = shown(seller_client, "/seller/orders/202/ticket")
    assert f"Delivery ticket {new.number}" in page
    assert "In place of" in page
    assert f"ticket {first}, written" in page
    assert "Replaced by" in shown(seller_client, f"/seller/orders/202/ticket/{first}")


def test_a_ticket_the_books_agree_with_is_not_replaced(seller_client, knob):
    delivered_order(knob)
    make_ticket(number=202, at=an_instant(), who="tam")

    answer = seller_client.post("/seller/orders/202/replace-ticket")

    assert answer.status_code == 422
    assert "already says what the books say" in answer.content.decode()
    assert Ticket.objects.count() == 1


def test_a_ticket_names_the_share_of_wood_it_was_not_sold_as(business):
    make_sheet()
    mixed = make_lot(code="K5", mix={"fir": 75, "ponderosa_pine": 25}, yard=make_yard())
    make_reading(mixed)
    delivered_order(mixed)

    make_ticket(number=202, at=an_instant(), who="tam")

    fields = Ticket.objects.get().fields
    assert fields["identity"] == "75% Douglas-fir, 25% Ponderosa pine (sold as fir: 25% is other wood)"


def test_a_tenth_of_another_wood_is_named_and_passes(business):
    make_sheet()
    mixed = make_lot(code="K5", mix={"fir": 92, "alder": 8}, yard=make_yard())
    delivered_order(mixed)

    make_ticket(number=202, at=an_instant(), who="tam")

    assert Ticket.objects.get().fields["identity"] == "92% Douglas-fir, 8% Red alder"


def test_the_tax_stands_on_the_ticket(seller_client, knob):
    delivered_order(knob, tax_dollars=Decimal("6.50"))
    make_ticket(number=202, at=an_instant(), who="tam")

    page = shown(seller_client, "/seller/orders/202/ticket")

    assert "Sales tax in it" in page
    assert "$6.50" in page


SETTINGS = {
    "name": "Quarrel Ridge Wood", "place_key": "handbook_130",
    "target_wage": "25", "production_hours_per_cord": "5", "production_cash_per_cord": "32",
    "first_rain": "October 5", "change_cut_off_hour": "12", "request_hours": "48",
}  # fmt: skip
REFUSED = [
    ("/seller/set-up/settings", {**SETTINGS, "about": "One rank of fir, about a cord."}),
    ("/seller/set-up/settings", {**SETTINGS, "name": "Face Cord Pete"}),
    ("/seller/set-up/settings", {**SETTINGS, "place_key": "massachusetts", "about": "Dry wood by the cord"}),
    ("/seller/lots/K1/change/describe", {"name": "Stove cord of fir", "piece_inches": "16"}),
    (
        "/seller/lots/K1/change/describe",
        {"name": "Knob fir", "piece_inches": "16", "said_ready": "a thrown load in October"},
    ),
    ("/seller/orders/202/decline", {"reason": "only one rick left"}),
    ("/seller/orders/202/call-off", {"reason": "sold as a truckload"}),
]


@pytest.mark.parametrize(("address", "typed"), REFUSED, ids=lambda value: str(value)[:40])
def test_words_that_sell_by_no_measure_are_refused_where_they_are_typed(seller_client, knob, address, typed):
    held_order(knob, state="asked")

    answer = seller_client.post(address, typed)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "does not allow wood to be sold by the words" in page
    assert Order.objects.get(number=202).state == "asked"
    kept = next(value for value in typed.values() if len(value) > 12 and value != SETTINGS["name"])
    assert escape(kept) in page  # nothing typed is lost


def test_names_of_ground_and_drop_spots_that_measure_wood_are_refused_where_they_are_typed(
    seller_client, knob
):
    """They stand on the where-cut paper, the pickup card and the load sheet."""
    held_order(knob, state="confirmed")
    typed = [
        ("/seller/set-up/ground/new", {"name": "Two ranks of fir", "acres": "3"}),
        (f"/seller/set-up/yards/{knob.yard_id}", {"name": "Full rick yard", "lat": "42", "lon": "-123"}),
        ("/seller/set-up/town", {"name": "Face Cord Flat", "market": "near"}),
        ("/seller/orders/202/change", {"drop_spot": "a thrown load by the shed"}),
    ]

    for address, words in typed:
        answer = seller_client.post(address, words)

        assert answer.status_code == 422, address
        assert "does not allow wood to be sold by the words" in answer.content.decode(), address


def test_a_yard_may_be_ricks(seller_client, knob):
    answer = seller_client.post(f"/seller/set-up/yards/{knob.yard_id}", {"name": "Rick's yard"})

    assert "does not allow wood" not in answer.content.decode()


def test_a_lot_is_not_called_seasoned(seller_client, knob):
    answer = seller_client.post(
        "/seller/lots/K1/change/describe", {"name": "Seasoned fir", "piece_inches": "16"}
    )

    assert answer.status_code == 422
    assert "says how dry the wood is: leave it out here" in answer.content.decode()


def test_a_ticket_of_wood_no_lot_is_known_for_claims_no_kind_of_tree(seller_client, business):
    """Books kept before lots: "fir" stood there as if it were a species."""
    make_sheet()
    make_order(number=203, state="delivered", delivered_on=ON)

    make_ticket(number=203, at=an_instant(), who="tam")

    page = shown(seller_client, "/seller/orders/203/ticket")
    assert "fir as it was sold: the books name no lot" in page
    assert "Paid" not in page
