"""Today: one card for a job, however many lots it is about."""

import pytest
from django.urls import reverse

from tests.factories.inventory import make_lot, make_reading

pytestmark = pytest.mark.django_db


def test_twelve_bare_lots_are_one_card_to_cover(seller_client, siding):
    for number in range(1, 13):
        make_reading(make_lot(code=f"K{number:02}", cords=1, yard=siding))

    page = seller_client.get(reverse("today")).text

    assert page.count("<b>Cover ") == 1
    assert "Cover 12 lots (K01, K02, K03, K04 ...) before Oct 5" in page
    assert "12 lots (K01, K02, K03, K04 ...) are dry now and would soak it up." in page
    assert leads_to(page, "Cover 12 lots") == reverse("stock")


def test_one_bare_lot_is_named_and_leads_to_its_page(seller_client, siding):
    make_reading(make_lot(code="K1", cords=1, yard=siding))

    page = seller_client.get(reverse("today")).text

    assert "Cover K1 Knob fir before Oct 5" in page
    assert leads_to(page, "Cover K1 Knob fir") == reverse("lot", args=["K1"])


def test_lots_nobody_read_are_one_card_too(seller_client, siding):
    for code in ("K1", "K2", "K3"):
        make_lot(code=code, cords=1, yard=siding)

    page = seller_client.get(reverse("today")).text

    assert page.count("<b>Read five fresh faces") == 1
    assert "Read five fresh faces of K1, K2 and K3" in page


def leads_to(page, said):
    """Where the task that says so leads: the whole row is its link."""
    row = next(row for row in page.split('<a class="task" href="')[1:] if said in row)
    return row.split('"')[0]
