"""Slips of the finger on the seller's pages: each is answered with a sentence, and nothing typed is lost."""

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django import forms
from django.urls import reverse
from django.utils import timezone

from firewood_site.seller.forms.fields import DayField, dollars_field, pin_field
from firewood_site.seller.query_values import day_of_query, month_of_query, page_of_query
from firewood_site.templatetags.firewood import dated, told
from inventory.models import AuditEntry
from inventory.selectors.stock import open_wood, stock_as_of
from orders.models import Uplift
from orders.services.payments import record_payment
from tests.factories.inventory import make_lot
from tests.factories.orders import make_customer, make_order, make_sheet
from tests.pages.seller.sheets import log

pytestmark = pytest.mark.django_db
ABSURD_DAYS = ("0001-01-01", "9999-12-31", "1066-10-14")
HUGE = "1e400"


@pytest.mark.parametrize("typed", ABSURD_DAYS)
def test_a_day_with_a_slip_in_its_year_is_refused_with_the_reason(typed):
    with pytest.raises(forms.ValidationError, match="look at the year again"):
        DayField().clean(typed)


@pytest.mark.parametrize("typed", [HUGE, "nan", "-5", "abc", "100000.01"])
def test_no_figure_leaves_its_bounds(typed):
    with pytest.raises(forms.ValidationError):
        dollars_field("Price").clean(typed)
    with pytest.raises(forms.ValidationError):
        pin_field("Face 1").clean(typed)


@pytest.mark.parametrize("typed", [*ABSURD_DAYS, "abc", "", "2026-13-45"])
def test_an_absurd_day_in_an_address_is_not_read(typed):
    assert day_of_query(typed) is None
    assert month_of_query(typed[:7]) is None


def test_a_page_of_a_list_is_a_plain_number_or_the_first():
    assert [page_of_query(words) for words in ("3", "0", "-1", "²", "9" * 30, "x")] == [3, 1, 1, 1, 1, 1]


@pytest.mark.parametrize("typed", ABSURD_DAYS)
@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("days", "from"),
        ("days-together", "first_on"),
        ("orders", "day"),
        ("money", "day"),
        ("stock", "on"),
    ],
)
def test_a_list_asked_for_an_absurd_day_shows_its_usual_one(seller_client, business, typed, name, field):
    assert seller_client.get(reverse(name), {field: typed}).status_code == 200


@pytest.mark.parametrize("typed", ABSURD_DAYS)
def test_an_absurd_delivery_day_is_not_found(seller_client, business, typed):
    assert seller_client.get(reverse("day", args=[typed])).status_code == 404
    assert seller_client.get(reverse("load-sheet", args=[typed])).status_code == 404


def test_a_long_dated_fact_is_refused_and_not_a_fault(seller_client, business):
    customer = make_customer("Gus Morrow")

    answer = seller_client.post(reverse("customer-pay-first", args=[customer.pk]), {"reason": "x" * 400})

    assert answer.status_code == 422
    assert "at most 200 letters" in answer.text
    customer.refresh_from_db()
    assert not customer.pay_first


@pytest.mark.parametrize("typed", [HUGE, "abc", "-3", ""])
def test_money_back_that_is_no_sum_is_refused_and_comes_back(seller_client, business, typed):
    order = make_order(number=201)
    key = "0b6f0f5e-6a7e-4c0e-8d53-6a6f6a0d8a11"

    answer = seller_client.post(
        reverse("order-give-back", args=[order.number]), {"dollars": typed, "key": key}
    )

    assert answer.status_code == 422
    assert "in dollars and cents" in answer.text


@pytest.mark.parametrize("typed", [HUGE, "9" * 40, "abc", "-3", "", "77"])
def test_a_bounced_check_that_is_none_is_refused(seller_client, business, typed):
    order = make_order(number=201)
    key = "0b6f0f5e-6a7e-4c0e-8d53-6a6f6a0d8a11"

    answer = seller_client.post(
        reverse("order-check-returned", args=[order.number]), {"payment": typed, "key": key}
    )

    assert answer.status_code == 422
    assert "Pick the check that bounced" in answer.text


def test_a_refused_sum_stands_in_its_open_field_again(seller_client, business):
    order = make_order(number=201)
    record_payment(
        number=201, dollars=Decimal(60), method="cash", on=timezone.localdate(), at=timezone.now(),
        who="ruth", key=uuid4(),
    )  # fmt: skip

    answer = seller_client.post(
        reverse("order-give-back", args=[order.number]), {"dollars": "61.00", "key": str(uuid4())}
    )

    assert answer.status_code == 422
    assert 'name="dollars" value="61.00"' in answer.text
    assert '<details id="refund" open><summary>Refund' in answer.text


def test_the_field_to_put_right_is_never_folded_away(seller_client, knob):
    answer = log(seller_client, "split", wood="K1", on="9999-12-31")

    assert answer.status_code == 422
    assert "look at the year again" in answer.text
    assert "<details open><summary>Another day" in answer.text


def test_a_new_sheet_keeps_an_amount_that_only_the_old_one_has(seller_client, business):
    sheet = make_sheet()
    Uplift.objects.create(sheet=sheet, cords=Fraction(5, 8), share=Decimal("0.07"))

    shown = seller_client.get(reverse("prices-new")).text

    assert 'name="size-5_8" value="7"' in shown


def test_a_new_sheet_starts_from_the_old_one_in_plain_numbers(seller_client, business):
    make_sheet()

    shown = seller_client.get(reverse("prices-new")).text

    assert 'name="size-1_2" value="10"' in shown
    assert "E+1" not in shown


# --- counted by the bundle -------------------------------------------------------------------------------


@pytest.fixture
def kindling(siding):
    """85 bundles of 0.75 ft3, 40 of them promised."""
    return make_lot(
        code="K7", wood="kindling", form="kindling", cords=Fraction(85) * Fraction(3, 4) / 128,
        firm_cords=Fraction(40) * Fraction(3, 4) / 128, bundle_ft3=Decimal("0.75"), yard=siding,
    )  # fmt: skip


def test_kindling_is_counted_in_bundles_on_every_page(seller_client, business, kindling):
    make_sheet()
    on = timezone.localdate()

    row = next(row for row in open_wood(on).sums if row.wood == "kindling")

    assert (row.bundles, row.bundles_on_hand) == (45, 85)
    assert "45 bundles" in seller_client.get(reverse("stock")).text
    assert "45 bundles" in seller_client.get(reverse("text-back")).text


def test_wood_that_is_measured_has_no_bundles(business, knob):
    on = date(2026, 9, 18)

    assert {row.bundles for row in open_wood(on).sums} == {None}
    assert {row.bundles for row in stock_as_of(on)} <= {None}


# --- the trail in words ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("cords", "121/20", "6.05 cords"),
        ("kept", "0", "0 cords"),
        ("cost", "19916", "$199.16"),
        ("dollars", "60.00", "$60.00"),
        ("day", "2026-09-18", "Sep 18, 2026"),
        ("cords", "nonsense", "nonsense"),
        ("note", "call 2026-09-18 early", "call Sep 18, 2026 early"),
    ],
)
def test_a_value_of_the_trail_is_read_in_its_unit(name, value, words):
    assert told(value, name) == words


def test_the_trail_names_lots_with_their_amounts_and_leads_to_the_order(seller_client, business):
    make_order(number=205)
    AuditEntry.objects.create(
        at=timezone.now(),
        who="ruth",
        verb="confirmed",
        thing="order 205",
        before={},
        after={"lots": {"K4": "1/2"}},
    )

    answer = seller_client.get(reverse("audit"))

    assert "K4 1/2" in answer.text
    assert "{" not in answer.text.split("<main")[1].split("</main>")[0]
    assert f'href="{reverse("order", args=[205])}"' in answer.text


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (date(2026, 9, 18), "Fri, Sep 18"),
        (date(2025, 11, 20), "Thu, Nov 20, 2025"),
        (datetime(2025, 11, 20, 12, tzinfo=UTC), "Thu, Nov 20, 2025"),
        (None, ""),
    ],
)
def test_a_day_of_another_year_names_it(on, words):
    assert dated(on, date(2026, 9, 18)) == words


def test_the_trail_says_what_was_done_as_people_say_it(seller_client, business):
    """It said "ruth day set order 205" and "ruth laid out day Sep 18, 2026"."""
    for verb, thing in (("day set", "order 205"), ("laid out", "day 2026-09-18")):
        AuditEntry.objects.create(at=timezone.now(), who="ruth", verb=verb, thing=thing, before={}, after={})

    page = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", seller_client.get(reverse("audit")).text))

    assert "Order 205: scheduled" in page
    assert "Day Sep 18, 2026: planned" in page
