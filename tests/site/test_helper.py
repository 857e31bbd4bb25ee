"""Somebody who helps: works with the wood, the orders and the days; sees the money and changes none of it."""

import re
from decimal import Decimal
from html import unescape
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.urls import resolve, reverse

from firewood_site.helper_rights import MAY_WRITE, REFUSAL, may_open
from firewood_site.people import add_person, people, set_role
from firewood_site.seller.guide import GUIDE
from firewood_site.seller.page_index import PAGES
from inventory.models import AuditEntry, WorkEntry
from orders.models import Claim, Payment
from tests.factories.inventory import an_instant, make_lot, make_yard
from tests.factories.orders import make_order, make_sheet
from tests.factories.routing import make_rig

POSTS = re.compile(r'<form[^>]*method="post"[^>]*>')
ACTION = re.compile(r'action="([^"]+)"')
LINKS = re.compile(r'<a\b[^>]*href="([^"]+)"')
FOR_EVERYBODY = ("/log-out", "/orders/")  # the customer's own page, and leaving


@pytest.fixture
def delivered(business):
    """A paid order with a claim, in a business with wood, prices and a rig."""
    yard = make_yard(name="Siding Yard")
    make_lot(code="K1", cords="6.05", yard=yard)
    make_rig(home_yard=yard)
    make_sheet()
    order = make_order(state="delivered", delivered_on="2026-09-18", confirmed_at=an_instant())
    Payment.objects.create(
        order=order,
        kind="payment",
        dollars=Decimal("60.00"),
        method="check",
        on=order.asked_on,
        made_at=an_instant(),
    )
    Claim.objects.create(order=order, kind="wet", on=order.asked_on, made_at=an_instant(), readings=[27])
    return order


def _forms(html: str, path: str) -> set[str]:
    """The names of the addresses that the forms of a page send to."""
    found = set()
    for form in POSTS.findall(html):
        action = ACTION.search(form)
        to = action.group(1).partition("?")[0].partition("#")[0] if action else path
        if not to.startswith(FOR_EVERYBODY):
            found.add(str(resolve(to).url_name))
    return found


@pytest.mark.slow
@pytest.mark.django_db
def test_a_helper_is_offered_no_form_and_no_link_that_would_be_refused(delivered, helper_client):
    asked = make_order()
    ended = make_order(state="cancelled")
    confirmed = make_order(state="confirmed", confirmed_at=an_instant())
    numbered = [("order", order.number) for order in (asked, ended, confirmed, delivered)]
    pages = [(page.name, None) for page in PAGES] + [*numbered, ("customer", delivered.customer_id)]
    pages += [("lot", "K1"), ("day", "2026-09-18"), ("rig", 1), ("ticket", delivered.number)]
    pages += [("reading", "K1"), ("today", None), *[("guide-page", page.slug) for page in GUIDE]]

    offered: dict[str, set[str]] = {}
    for name, key in pages:
        path = reverse(name, args=[key] if key else [])
        answer = helper_client.get(path, follow=True)
        if answer.status_code == 200 and path.startswith("/seller/"):
            html = answer.content.decode()
            refused = _forms(html, answer.request["PATH_INFO"]) - MAY_WRITE
            refused |= {link for link in LINKS.findall(html) if not may_open(unescape(link))}
            offered |= {path: refused} if refused else {}

    assert offered == {}


@pytest.mark.django_db
def test_a_helper_sees_the_money_and_changes_none(delivered, helper_client):
    page = helper_client.get(f"/seller/orders/{delivered.number}").content.decode()
    answer = helper_client.post(
        f"/seller/orders/{delivered.number}/pay", {"dollars": "40", "method": "cash", "key": str(uuid4())}
    )

    assert "$60" in page
    assert "Record a payment" not in page
    assert answer.status_code == 403
    assert REFUSAL in answer.content.decode()
    assert Payment.objects.count() == 1


@pytest.mark.django_db
def test_a_helper_logs_work(delivered, helper_client):
    sheet = {"key": str(uuid4()), "steps": "paper", "hours": "2", "amount": "worked"}
    answer = helper_client.post(reverse("log"), sheet, follow=True)

    assert answer.status_code == 200
    assert WorkEntry.objects.count() == 1, answer.content.decode()


@pytest.mark.django_db
def test_a_seller_adds_a_helper_who_lands_on_today(client, business, seller):
    first = add_person(name="joss", role="helper", at=an_instant(), who="ruth")

    landed = client.post("/log-in", {"login": "joss", "password": first}, follow=True)

    assert landed.request["PATH_INFO"] == "/seller/"
    assert landed.status_code == 200
    assert [(person.name, person.role) for person in people()] == [("joss", "helper"), ("ruth", "seller")]


@pytest.mark.django_db
def test_a_change_of_role_holds_at_once_and_is_in_the_trail(helper_client, helper, seller):
    assert helper_client.get("/seller/").status_code == 200

    set_role(user_id=User.objects.get(username="joss").pk, role="driver", at=an_instant(), who="ruth")

    assert helper_client.get("/seller/").status_code == 403
    entry = AuditEntry.objects.get(verb="changed", thing="person joss")
    assert (entry.before, entry.after) == ({"role": "helper"}, {"role": "driver"})


@pytest.mark.django_db
def test_find_lists_only_pages_a_helper_may_open(delivered, helper_client):
    page = helper_client.get("/seller/find").content.decode()

    assert ">Log it</a>" in page
    assert "Who changed what" not in page
    assert "Settings and files" not in page
