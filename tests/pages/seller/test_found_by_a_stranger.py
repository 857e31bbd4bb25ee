"""What somebody who had never seen the pages stumbled over, on a phone."""

import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse
from django.utils import timezone

from firewood_site import clock
from firewood_site.stacked import stacked_table
from routing.models import Load, Run, Stop
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_customer, make_order, make_sheet, make_town
from tests.factories.routing import make_day, make_rig

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)


def text_of(client, page, *args, **query):
    return " ".join(client.get(reverse(page, args=args), query).text.split())


def test_a_wide_table_names_its_columns_in_every_cell_and_leads_with_the_dollars():
    table = stacked_table(
        '<table><thead><tr><th scope="col">Order</th><th scope="col">Who</th><th scope="col">Due</th>'
        '</tr></thead><tbody><tr><th scope="row">7</th><td>Ida</td><td class="num">$5</td></tr>'
        '<tr><th scope="row">8</th><td colspan="2">Not known</td></tr></tbody></table>',
        lead=-1,
    )

    assert '<td role="cell" data-label="Who">Ida' in table
    assert '<td role="cell" data-label="Due" data-lead="" class="num">$5' in table
    assert '<td role="cell" colspan="2">' in table
    assert table.count('role="columnheader"') == 3
    assert '<tr role="row"><th role="rowheader" scope="row">8' in table


def test_the_clock_of_the_demo_stands_with_its_date(business, monkeypatch):
    seen = []
    for hour in (1, 9, 23):
        real = datetime(2026, 11, 28, hour, 30, tzinfo=UTC)
        monkeypatch.setattr(timezone, "now", lambda real=real: real)
        seen.append(timezone.localtime(clock.now()))

    assert {(at.date(), at.hour, at.minute) for at in seen} == {(ON, 7, 0)}
    assert len(set(seen)) == 3


def test_what_wants_doing_follows_one_line_of_what_may_be_sold(seller_client, business):
    make_sheet()
    make_lot(code="K1", cords="2.80")

    text = text_of(seller_client, "today")

    between = text[text.index("For sale today") : text.index("Read five fresh faces")]
    assert "2.80 cords" in between
    assert between.count("<p>") <= 1
    assert not re.search(r"p\.m\.|Saturday", text)


def test_a_quote_without_a_town_leads_back_to_the_towns(seller_client, business):
    make_sheet()
    make_lot(code="K1", cords=3, yard=make_yard(lat=44.0, lon=-150.0))
    make_town(name="Farther", lat=44.3, lon=-150.0)
    make_town(name="Nearer", lat=44.05, lon=-150.0)

    page = seller_client.get(reverse("text-back"))
    names = [name for _, name, _ in page.context["towns"]]
    refused = seller_client.post(
        reverse("text-back"), {"amount": "1/2", "laid": "drop", "choice": "fir:green"}
    )

    assert names.index("Nearer") < names.index("Farther")
    assert re.search(r"Nearer <small>[\d.]+ mi", page.text)
    assert page.text.index("<legend>Town") < page.text.index("<legend>Wood")
    assert refused.status_code == 422
    town = refused.text.split("<legend>Town")[1].split("</fieldset>")[0]
    assert town.index("Choose the town") < town.index("autofocus") < town.index("Nearer")


def test_the_stock_says_what_requests_have_asked_for(seller_client, business):
    make_sheet()
    make_lot(code="K1", cords="2.80", start_moisture_pct=60)
    make_order(
        state="asked",
        wood="fir",
        dryness="green",
        cords=Fraction(3, 2),
        asked_at=clock.now() - timedelta(minutes=1),
    )

    for page in ("today", "stock"):
        assert "1.50 cords in requests you haven’t answered" in text_of(seller_client, page)


def test_a_day_somebody_comes_for_wood_is_not_empty(seller_client, business):
    make_sheet()
    make_order(state="confirmed", how="pick_up", first_on=date(2026, 9, 19), last_on=date(2026, 9, 19))

    text = text_of(seller_client, "days")

    saturday = text.split("Sat, Sep 19")[1].split("</li>")[0]
    assert "1 pickup" in saturday
    assert "nothing waits" not in saturday
    assert "Thu, Sep 17" not in text


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("oak dry", "K3 Bench oak"), ("oak dry", "When it will be dry"), ("September", "Money by month"),
        ("nearest town price", "Text a quote"), ("bench nonsense", "K3 Bench oak"),
    ],
)  # fmt: skip
def test_words_are_found_one_by_one_too(seller_client, business, words, found):
    make_lot(code="K3", name="Bench oak")

    hits = seller_client.get(reverse("find"), {"q": words}).context["hits"]

    assert found in [hit.text for hit in hits]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("Gus", ["Gus Morrow"]), ("august fir", ["K6 August fir"]), ("owes", ["Money", "Gus Morrow"]),
        ("who owes money?", ["Money", "Gus Morrow"]), ("oak", ["K3 Bench oak", "K5 Mixed"]),
        ("when is the oak dry", ["K3 Bench oak", "K5 Mixed"]),
        ("what goes on first", ["Load sheet, Sat, Sep 19"]),
        ("trailer", ["Load sheet, Sat, Sep 19"]), ("(541) 555-0123", ["Gus Morrow"]),
    ],
)  # fmt: skip
def test_the_nearest_answer_is_found_first(seller_client, business, words, first):
    day = make_day(date(2026, 9, 19))
    run = Run.objects.create(day=day, rig=make_rig())
    load = Load.objects.create(run=run, sequence=1, yard=make_yard())
    Stop.objects.create(load=load, sequence=1, order=make_order(state="confirmed"), cords=Fraction(1, 3))
    make_lot(code="K3", name="Bench oak", mix={"oak": 100})
    make_lot(code="K5", name="Mixed", mix={"fir": 60, "oak": 40})
    make_lot(code="K6", name="August fir")
    make_customer(name="Gus Morrow", owed_before=Decimal(165), phone="+15415550123")

    hits = [hit.text for hit in seller_client.get(reverse("find"), {"q": words}).context["hits"]]

    assert hits[: len(first)] == first


def test_the_guide_is_found_after_everything_else(seller_client, business):
    make_lot(code="K3", name="Moisture test")

    hits = seller_client.get(reverse("find"), {"q": "moisture"}).context["hits"]

    assert [hit.kind == "guide" for hit in hits] == sorted(hit.kind == "guide" for hit in hits)
    assert hits[0].text == "K3 Moisture test"
    assert hits[-1].kind == "guide"
