"""Pages that are parts of another now: the set-up, a lot, the log; old addresses lead on."""

import re

import pytest
from django.urls import reverse

from firewood_site.seller import urls
from firewood_site.seller.urls.old import NOW
from inventory.models import Business, Expense, WorkEntry
from tests.count_pages import page_of
from tests.factories.inventory import make_yard
from tests.pages.seller.sheets import log

pytestmark = pytest.mark.django_db
MOST_PAGES = 20


def test_a_seller_has_at_most_twenty_pages():
    pages = {page_of(str(pattern.pattern)) for pattern in urls.urlpatterns if pattern.name}
    acts = {"parts", "planning", "photos", "quote/<one>", "tell/<one>", "claims/<one>", "log/<one>"}
    acts |= {"planning/<one>", "photos/<one>", "parts/<one>", "readiness"}

    assert len(pages - acts) <= MOST_PAGES, sorted(pages - acts)


@pytest.mark.parametrize("old", NOW)
def test_an_old_address_leads_on_for_good_with_what_was_asked(seller_client, old):
    answer = seller_client.get(f"/seller/{old}?month=2026-09")

    assert answer.status_code == 301
    assert answer.headers["Location"].partition("#")[0] in (
        f"/seller/{NOW[old]}?month=2026-09",
        "/seller/log?month=2026-09",
    )


def test_an_old_address_of_one_thing_leads_to_that_thing(seller_client):
    yard = make_yard(name="Creek Yard")

    answer = seller_client.get(f"/seller/yards/{yard.pk}", follow=True)

    assert answer.redirect_chain == [(f"/seller/set-up/yards/{yard.pk}", 301)]
    assert "Creek Yard" in answer.text


def test_a_form_sent_to_an_old_address_is_not_lost(seller_client):
    said = {"line": "Chains", "dollars": "31.50", "kind": "cord", "on": "2026-09-17", "about": ""}

    answer = seller_client.post("/seller/work/expense", said, follow=True)

    assert answer.redirect_chain[0] == ("/seller/log/expense", 308)
    assert str(Expense.objects.get().dollars) == "31.50"


def test_an_old_address_refuses_a_driver(driver_client):
    assert driver_client.get("/seller/margins").status_code == 403


def test_the_set_up_page_opens_one_part_at_a_time(seller_client):
    page = seller_client.get(reverse("set-up"), {"part": "way"}).text

    folds = re.findall(r'<details name="part"( open)?><summary>([^<]+)', page)
    assert [title for is_open, title in folds if is_open] == ["Ways to pay"]
    assert len(folds) == 5
    for name in ("settings", "yards", "units", "prices", "rigs", "restack", "shuts", "species", "audit"):
        assert f'class="fold" href="{reverse(name)}"' in page


def test_no_two_fields_of_the_set_up_page_share_an_id(seller_client):
    """Five forms ask for a name: a label led to the first of them."""
    ids = re.findall(r' id="([^"]+)"', seller_client.get(reverse("set-up")).text)

    assert len(ids) == len(set(ids)), sorted(one for one in ids if ids.count(one) > 1)


def test_every_part_of_the_set_up_leads_to_the_others(seller_client):
    page = seller_client.get(reverse("yard-new")).text

    assert f'href="{reverse("yards")}" aria-current="page"' in page
    assert f'href="{reverse("prices")}">Price sheet' in page


def test_a_change_of_a_lot_opens_on_the_lots_page(seller_client, knob):
    page = seller_client.get(reverse("lot-change", args=["K1", "loss"])).text

    assert "Write it off" in page
    assert "All about K1" in page


def test_what_was_typed_wrong_stays_on_the_lots_page(seller_client, knob):
    answer = seller_client.post(
        reverse("lot-change", args=["K1", "loss"]), {"cords": "lots", "note": "by eye"}
    )

    assert answer.status_code == 422
    assert 'value="lots"' in answer.text
    assert "All about K1" in answer.text


def test_a_reading_opens_on_the_lots_page(seller_client, knob):
    page = seller_client.get(reverse("reading", args=["K1"])).text

    assert f'action="{reverse("reading", args=["K1"])}"' in page
    assert "All about K1" in page


def test_a_heap_leads_to_its_own_sheet(seller_client, knob):
    address = f"{reverse('log')}?lot=K1"
    assert f'href="{address}"' in seller_client.get(reverse("lot", args=["K1"])).text

    sheet = seller_client.get(address).text

    chosen = re.search(r'<input type="radio" name="wood" value="K1"[^>]*>', sheet)
    assert chosen is not None
    assert "checked" in chosen[0]


def test_work_is_logged_corrected_and_read_on_one_page(seller_client, knob):
    sent = log(seller_client, "paper", hours="2 counted", on="2026-09-17")
    entry = WorkEntry.objects.get(job="paper")
    assert sent["Location"] == "/seller/log#last"
    assert "paper and phone" in seller_client.get(sent["Location"]).text

    correction = seller_client.get(reverse("work-change", args=[entry.pk])).text
    assert "Correct: paper and phone" in correction
    said = {"job": "paper", "hours": "3", "about": "", "on": "2026-09-17"}
    seller_client.post(reverse("work-change", args=[entry.pk]), said)

    entry.refresh_from_db()
    assert entry.hours_likely == 3


@pytest.mark.parametrize(
    ("old", "now"),
    [
        ("measure", "log?steps=measure"),
        ("wood/new", "log?steps=measure&wood=new"),
        ("lots/K1/move", "log?steps=haul&lot=K1"),
        ("lots/K1/change/step", "log?steps=split&lot=K1"),
        ("lots/K1/change/count", "log?steps=measure&amount=all&lot=K1"),
    ],
)
def test_what_is_logged_now_opens_on_the_sheet(seller_client, knob, old, now):
    answer = seller_client.get(f"/seller/{old}", follow=True)

    assert answer.redirect_chain == [(f"/seller/{now}", 301)]
    steps = now.partition("steps=")[2].partition("&")[0]
    assert re.search(rf'name="steps" value="{steps}"[^>]* checked', answer.text)
    if "lot=" in now:
        assert re.search(r'name="wood" value="K1"[^>]* checked', answer.text)


@pytest.mark.parametrize(("typed", "kept"), [("(541) 555-0199", "+15415550199"), ("", "")])
def test_the_phone_in_settings_is_read_and_shown_as_people_write_it(seller_client, business, typed, kept):
    Business.objects.update(phone="+15415550142")
    form = seller_client.get(reverse("settings")).context["form"]
    as_it_is = {name: "" if (said := form[name].value()) is None else said for name in form.fields}

    answer = seller_client.post(reverse("settings"), {**as_it_is, "phone": typed})

    assert form["phone"].value() == "(541) 555-0142"
    assert answer.status_code == 302, answer.context["form"].errors
    assert Business.objects.get().phone == kept
    refused = seller_client.post(reverse("settings"), {**as_it_is, "phone": "ask Ruth"})
    assert refused.context["form"].has_error("phone")
