"""An address that only takes a form leads to its page: a session may end between typing and sending."""

import pytest
from django.urls import reverse

from firewood_site.seller.post_only import page_above
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db
WORK = "/seller/log"
A_JOB = "/seller/planning/6e0f6d3c-5e0f-4ad8-8d3e-2f3b7b2c9a01"


@pytest.mark.parametrize(
    ("path", "above"),
    [
        ("/seller/orders/204/decline", "/seller/orders/204"),
        ("/seller/days/2026-09-18/edit", "/seller/days/2026-09-18"),
        ("/seller/claims/3", "/seller/claims"),
        ("/seller/set-up/closures/3/open", "/seller/set-up/closures"),
        (f"{WORK}/expense/3/remove", WORK),
        (f"{A_JOB}/stop", A_JOB),
        ("/seller/photos/lot/K1/add", "/seller/"),
        ("/seller/nowhere/at/all", "/seller/"),
    ],
)
def test_the_page_above_an_address_is_found(path, above):
    assert page_above(path) == above


def test_opening_the_address_of_a_form_shows_its_page(seller_client, business):
    make_order(number=204)

    answer = seller_client.get(reverse("order-decline", args=[204]))

    assert (answer.status_code, answer["Location"]) == (302, "/seller/orders/204")


def test_logging_in_again_after_sending_ends_on_the_page(client, business, seller):
    make_order(number=204)
    sent = client.post(reverse("order-decline", args=[204]), {"reason": "no fir left"})
    client.force_login(seller)

    answer = client.get(sent["Location"].split("next=")[1], follow=True)

    assert answer.status_code == 200
    assert answer.request["PATH_INFO"] == "/seller/orders/204"


def test_other_verbs_are_not_taken(seller_client, business):
    assert seller_client.put(reverse("order-decline", args=[204])).status_code == 405
