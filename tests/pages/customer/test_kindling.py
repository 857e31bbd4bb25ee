"""Kindling: no more than there is, its price steps said, and no long drive for seven dollars."""

import re
from decimal import Decimal

import pytest

from orders.models import PriceSheet, Quote
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_sheet, make_town
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    """Forty-five bundles under a roof."""
    yard = make_yard(name="Siding Yard")
    make_lot(
        code="K7",
        name="Kindling",
        wood="kindling",
        form="kindling",
        cords="0.26367",
        bundle_ft3="0.75",
        yard=yard,
    )
    make_rig(home_yard=yard)
    make_sheet()
    return {
        name: make_town(name, market=market)
        for name, market in (("Marrow Bridge", "near"), ("Sandhook", "far"))
    }


def ask(client, shop, bundles, town="Marrow Bridge", **more):
    form = {"choice": "kindling:seasoned", "bundles": bundles, "town": shop[town].pk, "how": "delivered"}
    return client.post("/price", {**form, **more})


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_no_more_bundles_are_priced_than_there_are(client, shop):
    answer = ask(client, shop, 100)

    assert answer.status_code == 422
    assert "You asked for 100 bundles of kindling and 45 are left" in words(answer)
    assert not Quote.objects.exists()


def test_nineteen_that_cost_more_than_twenty_say_so(client, shop):
    page = words(client.get(ask(client, shop, 19)["Location"]))

    assert "$133" in page
    assert "20 bundles cost $100: no more than fewer do." in page
    assert "no more than fewer do" not in words(client.get(ask(client, shop, 10)["Location"]))


def test_one_bundle_is_not_driven_anywhere_but_may_be_fetched(client, shop):
    for town in shop:
        answer = ask(client, shop, 1, town)
        assert answer.status_code == 422
        assert "We drive for $50 of wood or more, and this is $7" in words(answer)

    assert ask(client, shop, 1, how="pick_up").status_code == 302


def test_the_seller_is_warned_when_bundles_do_not_pay_for_their_drive(client, shop):
    PriceSheet.objects.update(least_delivery=Decimal(0))

    ask(client, shop, 1, "Sandhook")

    assert "short of" in str(Quote.objects.get().warning)


def test_the_form_tells_steps_stock_and_the_least_before_anything_is_sent(client, shop):
    page = words(client.get("/price?choice=kindling:seasoned"))

    assert "$7 each, $5 each for 20 or more. 45 for sale. We drive for $50 of wood or more." in page
