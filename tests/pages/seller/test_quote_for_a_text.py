"""A quote the seller gives by text: the line to paste, the order it becomes, every amount."""

from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Lot
from orders.models import Order, Quote
from routing.selectors.rigs import rig_value
from tests.factories.orders import make_town
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


def test_a_quote_for_a_text_gives_a_line_to_paste_and_an_order(seller_client, fir):
    town = make_town("Marrow Bridge")
    form = {"choice": "fir:seasoned", "amount": "1/2", "town": town.pk, "laid": "drop"}

    answer = seller_client.post("/seller/quote", form)
    page = seller_client.get(answer["Location"]).content.decode()

    assert "1/2 cord seasoned fir, delivered to Marrow Bridge, dumped: $145." in page
    token = Quote.objects.get().token
    order = {"name": "Nell Bardo", "phone": "541-555-0177", "day": "any", "key": str(uuid4())}
    placed = seller_client.post(f"/seller/quote/{token}/order", order)
    assert placed["Location"] == f"/seller/orders/{Order.objects.get().number}"
    assert Order.objects.get().total_dollars == Decimal("145.00")


def test_a_quote_may_be_for_any_fraction_and_the_sheet_shows_how_it_is_priced(seller_client, fir):
    form = {
        "choice": "fir:seasoned", "amount": ["1/2", "7/12"], "town": make_town().pk, "laid": "drop"
    }  # fmt: skip

    page = seller_client.post("/seller/quote", form, follow=True)

    assert "7/12 cord seasoned fir" in page.text
    assert "$165" in page.text  # 260 x 7/12 x 1.075, to the next $5
    assert "7/12 cord $165" in seller_client.get("/seller/set-up/prices").text


def test_a_quote_may_be_for_loads_of_the_largest_rig(seller_client, fir):
    """A buyer says "two loads": the seller wrote the amount on paper first."""
    rig = make_rig()
    lot = Lot.objects.get()
    assert lot.on_hand_cords > rig_value(rig).box_cords
    form = {"choice": "fir:seasoned", "amount": "1 load", "town": make_town().pk, "laid": "drop"}

    assert "or 2 loads of" in seller_client.get("/seller/quote").text
    assert seller_client.post("/seller/quote", form).status_code == 302

    assert Quote.objects.get().cords == round(rig_value(rig).box_cords, 2)


def test_a_quote_for_no_town_says_so(seller_client, fir):
    answer = seller_client.post("/seller/quote", {"choice": "fir:seasoned", "amount": "1/2", "laid": "drop"})

    assert answer.status_code == 422
    assert "Choose the town" in answer.content.decode()


def test_an_amount_nobody_sells_by_gets_a_sentence(seller_client, fir):
    form = {"choice": "fir:seasoned", "amount": "a truckload", "town": make_town().pk, "laid": "drop"}

    answer = seller_client.post("/seller/quote", form)

    assert answer.status_code == 422
    assert not Quote.objects.exists()
