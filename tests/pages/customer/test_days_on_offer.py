"""The price knows the road: a day we are coming your way anyway costs less, and says why."""

from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from firewood_site.access import order_path
from inventory.models import Lot
from orders.models import Order
from orders.services.orders import Picked, cancel_order, confirm_order
from orders.services.placing import place_order
from routing.core.roads import EngineDown
from routing.models import Load, Rig, Run, Shut, Stop
from routing.quoting.prices import PriceInput, price_request
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_day, make_rig

pytestmark = pytest.mark.django_db

ON = date(2026, 9, 18)
FRIDAY = date(2026, 9, 25)


@pytest.fixture
def siding(business):
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_rig(home_yard=yard)
    make_sheet()
    return yard


def offers(**changes):
    asked = {
        "wood": "fir",
        "dryness": "seasoned",
        "cords": Fraction(1, 3),
        "town_id": make_town("Larch Prairie").pk,
    }
    return {
        offer.on: offer
        for offer in price_request(PriceInput(**{**asked, **changes}), on=ON, at=an_instant()).offers
    }


def wilma_on_friday(cords="1/2"):
    """A neighbor's confirmed order that has to come on Friday."""
    place = make_place(town="Larch Prairie")
    order = make_order(number=208, cords=Fraction(cords), first_on=FRIDAY, last_on=FRIDAY, place=place)
    confirm_order(number=208, picks=[Picked(lot="K1", cords=order.cords)], at=an_instant(), who="ruth")
    return order


def test_with_nothing_set_every_day_costs_the_stand_alone_drive(siding):
    found = offers()

    assert len({offer.total for offer in found.values()}) == 1
    assert all(offer.saved == 0 for offer in found.values())


def test_the_day_of_a_neighbor_is_cheaper_and_says_why(siding):
    wilma_on_friday()

    found = offers()

    others = {offer.total for on, offer in found.items() if on != FRIDAY}
    assert found[FRIDAY].saved > 0
    assert found[FRIDAY].total < min(others)
    assert "already coming your way" in found[FRIDAY].why
    assert found[FRIDAY].total >= Decimal("100.00")  # never below the wood itself


def test_a_load_with_no_room_left_makes_no_day_cheaper(siding):
    wilma_on_friday("1")

    assert all(offer.saved == 0 for offer in offers().values())


def test_sundays_and_shut_roads_are_not_offered(siding):
    town = make_town("Larch Prairie")
    Shut.objects.create(kind="road", town=town, from_on=FRIDAY, to_on=FRIDAY, reason="mud")

    found = offers()

    assert FRIDAY not in found
    assert date(2026, 9, 20) not in found
    assert date(2026, 9, 24) in found


def test_the_coast_is_delivered_at_its_own_price_on_no_particular_day(siding):
    coast = make_town("Sandhook", market="far")

    assert offers(town_id=coast.pk, cords=Fraction(1, 2)) == {}


def planned_on_friday(siding, **changes):
    """Neighbors in Larch Prairie on the big rig's Friday."""
    return planned_on(siding, FRIDAY, **changes)


def planned_on(siding, on, *, loads=1, first=600, **changes):
    """Neighbors on the big rig's run of a day, one to a load, each with its wood held."""
    rig = Rig.objects.get()
    run = Run.objects.create(day=make_day(on), rig=rig)
    lot = Lot.objects.get(code="K1")
    for number in range(1, loads + 1):
        place = make_place(town="Larch Prairie", lat=43.79 + number / 1000)
        fields = {"first_on": on, "last_on": on, "place": place, "cords": Fraction(1, 3), **changes}
        order = make_order(number=first + number, **fields)
        confirm_order(
            number=order.number, picks=[Picked(lot="K1", cords=order.cords)], at=an_instant(), who="ruth"
        )
        load = Load.objects.create(run=run, sequence=number, yard=siding)
        Stop.objects.create(load=load, sequence=1, order=order, lot=lot, cords=order.cords)
    return run


def test_a_planned_load_going_that_way_makes_its_day_cheaper(siding):
    planned_on_friday(siding)

    found = offers()

    assert found[FRIDAY].saved > 0
    assert "another drop" in found[FRIDAY].why


def test_a_planned_day_is_priced_by_the_planner_with_its_hours_kept(siding):
    """The run has to be home at nine: there is room on the trailer, but no time for a second drop."""
    run = planned_on_friday(siding, window_from=time(8), window_to=time(9))
    assert FRIDAY in offers()
    Run.objects.filter(pk=run.pk).update(ends_at=time(9))

    assert FRIDAY not in offers()


def test_a_planned_day_never_costs_more_than_the_drive_alone(siding):
    planned_on_friday(siding, window_from=time(8), window_to=time(9))
    alone = max(offer.total for on, offer in offers().items() if on != FRIDAY)

    assert offers()[FRIDAY].total <= alone


def test_a_neighbor_who_called_off_makes_no_day_cheaper(siding):
    planned_on_friday(siding)
    cancel_order(number=601, at=an_instant(), who="customer")

    assert all(offer.saved == 0 for offer in offers().values())


def test_the_price_of_the_chosen_day_stands_when_the_plan_falls_apart(siding):
    planned_on_friday(siding)
    saved = price_request(
        PriceInput(
            wood="fir",
            dryness="seasoned",
            cords=Fraction(1, 3),
            where="9 Station Street",
            town_id=make_town("Larch Prairie").pk,
        ),
        on=ON,
        at=an_instant(),
    )
    offered = next(offer for offer in saved.offers if offer.on == FRIDAY)
    cancel_order(number=601, at=an_instant(), who="customer")

    placed = place_order(
        key=uuid4(), quote_token=saved.token, name="Pilar", phone="541 555 0133", on=ON, at=an_instant(),
        day=FRIDAY,
    )  # fmt: skip

    assert Order.objects.get(number=placed.number).total_dollars == offered.total < saved.quote.total_dollars


def test_a_planned_day_the_planner_cannot_answer_for_costs_the_drive_alone(siding, monkeypatch):
    planned_on_friday(siding)

    def down(**asked):
        raise EngineDown(engine="roads", why="it rests")

    monkeypatch.setattr("routing.quoting.days.day_offers", down)

    assert offers()[FRIDAY].saved == 0


def test_an_order_on_one_days_plan_is_no_load_of_its_own_on_another(siding):
    planned_on_friday(siding)
    Order.objects.filter(number=601).update(promised_on=FRIDAY - timedelta(days=1))

    assert offers()[FRIDAY - timedelta(days=1)].saved == 0


def test_more_planned_loads_take_no_more_queries(siding):
    planned_on_friday(siding, loads=2)
    offers()
    with CaptureQueriesContext(connection) as few:
        offers()
    planned_on(siding, FRIDAY + timedelta(days=3), loads=4, first=700)
    offers()
    with CaptureQueriesContext(connection) as many:
        offers()

    assert len(many) <= len(few) <= 66


def test_an_order_is_moved_to_another_day_on_offer_with_its_price_in_sight(siding, client):
    wilma_on_friday()
    asked = PriceInput(
        wood="fir", dryness="seasoned", cords=Fraction(1, 3), town_id=make_town("Larch Prairie").pk
    )
    saved = price_request(asked, on=ON, at=an_instant())
    days = sorted(offer.on for offer in saved.offers)
    placed = place_order(
        key=uuid4(), quote_token=saved.token, name="Greta Sool", phone="541 555 0199",
        day=days[0], on=ON, at=an_instant(),
    )  # fmt: skip

    page = client.get(order_path(placed.number, placed.link_secret) + "/change").content.decode()

    soon, _fold, later = page.partition("Later days")
    assert "As it is: Sat, Sep 19" in soon
    assert f'value="{FRIDAY}"' in soon
    assert " less</span>" in soon  # coming by Wilma's on that Friday
    assert f'value="{days[-1]}"' in later
    assert page.count(f'value="{days[0]}"') == 1
