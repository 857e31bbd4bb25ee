"""The seller's pages about what was earned: they open on books and on none, and refuse everybody else."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.template import Context, Template
from django.urls import reverse

from firewood_site.demo.road import load_season
from inventory.core.charts.columns import Column, columns_chart
from inventory.models import WorkEntry
from routing.models import Day, Load, Run, Stop
from tests.factories.inventory import make_lot, make_unit, make_yard
from tests.factories.orders import make_customer, make_order, make_place
from tests.factories.routing import make_day, make_rig
from tests.routing.selectors.earned.earned_roads import EXAMPLE_6, drive_by

pytestmark = pytest.mark.django_db
PAGES = ("margins", "worth", "haul", "pool", "acre-sheet", "season")
HTMX = {"HX-Request": "true"}
FIRST_GUESSES = {
    "rounds": "2.5 3 4", "haul": ".5 .5 .75", "split": "1 1.2 1.5", "heap": ".5 .75 1",
    "deliver": "1.75 2 2.5", "paper": ".25 .35 .5", "revenue": "250 260 280", "expenses": "45 65 70",
}  # fmt: skip


def typed(**changes: str) -> dict[str, str]:
    """The guess form as its fields, job example 5 unless changed."""
    return {**FIRST_GUESSES, "together": "0.5", **changes}


@pytest.fixture
def load(business, monkeypatch) -> Load:
    """The shared load of job example 6."""
    drive_by(monkeypatch, EXAMPLE_6)
    siding = make_yard()
    run = Run.objects.create(day=make_day(), rig=make_rig(home_yard=siding))
    load = Load.objects.create(run=run, sequence=1, yard=siding, cords=Fraction(1), weight_lb=3168)
    greta, pilar = make_customer("Greta Sool"), make_customer("Pilar Ostrander")
    near = make_order(number=202, customer=greta, place=make_place(greta))
    far = make_order(
        number=203, customer=pilar, place=make_place(pilar, town="Larch Prairie"), cords=Fraction(2, 3),
        stacked=True, total_dollars=Decimal(242),
    )  # fmt: skip
    Stop.objects.create(load=load, sequence=1, order=near, cords=near.cords)
    Stop.objects.create(load=load, sequence=2, order=far, cords=far.cords)
    return load


@pytest.mark.parametrize("name", PAGES)
def test_a_page_opens_on_empty_books_and_says_what_to_do(seller_client, name):
    answer = seller_client.get(reverse(name))

    assert answer.status_code == 200
    assert 'class="note' in answer.content.decode()


@pytest.mark.parametrize("name", PAGES)
def test_a_driver_and_a_stranger_are_refused(client, driver_client, business, name):
    assert client.get(reverse(name)).status_code == 302
    assert driver_client.get(reverse(name)).status_code == 403


def test_the_numbered_pages_are_the_sellers_too(client, driver_client, load):
    for path in (reverse("load-margin", args=[load.pk]), reverse("order-margin", args=[202])):
        assert client.get(path).status_code == 302
        assert driver_client.get(path).status_code == 403


@pytest.mark.parametrize("name", PAGES)
def test_a_page_cannot_be_written_to(seller_client, name):
    assert seller_client.post(reverse(name)).status_code == 405


@pytest.mark.parametrize(
    ("state", "title"), [("draft", "Drafts"), ("fixed", "Committed, still to drive")], ids=str
)
def test_what_is_planned_is_never_shown_as_earned(seller_client, load, state, title):
    Day.objects.update(state=state)

    text = seller_client.get(reverse("margins")).content.decode()

    assert f'aria-label="{title}"' in text
    assert 'aria-label="Driven"' not in text


def test_margins_list_the_months_loads_and_orders(seller_client, load):
    text = seller_client.get(reverse("margins")).content.decode()

    assert "$281.72" in text
    assert "202 Greta Sool" in text
    assert "$25.13" in text
    assert reverse("load-margin", args=[load.pk]) in text


def test_another_month_is_empty_and_nonsense_is_the_newest(seller_client, load):
    other = seller_client.get(reverse("margins"), {"month": "2026-08"}).content.decode()
    nonsense = seller_client.get(reverse("margins"), {"month": "2026-99"}).content.decode()

    assert "No load in August 2026" in other
    assert "$281.72" in nonsense


def test_a_load_shows_alone_and_saved_beside_each_share(seller_client, load):
    text = seller_client.get(reverse("load-margin", args=[load.pk])).content.decode()

    for figure in ("$3.15", "$25.13", "$5.32", "$27.30", "$281.72", "$31.59"):
        assert figure in text, figure
    assert "Once the driver is home, planned and actual stand side by side here" in text


def test_an_order_shows_its_margin_and_its_load(seller_client, load):
    text = seller_client.get(reverse("order-margin", args=[203])).content.decode()

    assert "$195.54" in text  # 242 less 21.33 of wood and 25.13 of road
    assert reverse("load-margin", args=[load.pk]) in text


@pytest.mark.parametrize("number", [99, 10**20])
def test_a_load_or_order_that_is_not_there_is_not_found(seller_client, number):
    assert seller_client.get(reverse("load-margin", args=[number])).status_code == 404
    assert seller_client.get(reverse("order-margin", args=[number])).status_code == 404


def test_the_guess_form_opens_with_the_worked_example(seller_client):
    text = seller_client.get(reverse("worth")).content.decode()

    for figure in ("$17.56", "$25.00", "$36.15", "$24.40", "$23.25", "$25.67"):
        assert figure in text, figure
    assert "Measure this next: fell and buck to rounds" in text


def test_other_guesses_give_another_answer(seller_client):
    text = seller_client.get(reverse("worth"), typed(revenue="250 270 280")).content.decode()

    assert "$26.28" in text  # (270 - 65) / 7.80


def test_a_guess_out_of_order_is_refused_beside_it(seller_client):
    answer = seller_client.get(reverse("worth"), typed(split="9 1.2 1.5"))

    assert answer.status_code == 422
    assert "Write the smaller figure first" in answer.content.decode()


def test_guesses_of_no_work_are_refused(seller_client):
    hours = [key for key in FIRST_GUESSES if key not in ("revenue", "expenses")]
    nothing = dict.fromkeys(hours, "0")

    answer = seller_client.get(reverse("worth"), typed(**nothing))

    assert answer.status_code == 422
    assert "no work at all" in answer.content.decode()


def test_guesses_that_lose_money_are_shown_as_a_loss(seller_client):
    losing = typed(revenue="10 20 30")

    answer = seller_client.get(reverse("worth"), losing)

    assert answer.status_code == 200
    assert "−\u2060$5.77" in answer.content.decode()  # (20 - 65) / 7.80


def test_ground_that_lost_money_still_opens(seller_client):
    unit = make_unit(name="Knob", sold_before={"fir": {"cords": "2", "dollars": "20"}})
    WorkEntry.objects.create(
        on=date(2026, 6, 1), job="split", hours_low=10, hours_likely=20, hours_high=30, unit=unit
    )

    assert "fell $544 short" in seller_client.get(reverse("acre-sheet")).content.decode()


def test_htmx_gets_only_the_answer_of_the_guesses(seller_client):
    text = seller_client.get(reverse("worth"), typed(), headers=HTMX).content.decode()

    assert text.strip().startswith('<div id="answer"')
    assert "<html" not in text


@pytest.mark.parametrize("by", ["market", "wood", "run", "load", "order", "customer", "season", "nonsense"])
def test_an_hour_is_read_by_any_grouping(seller_client, load, by):
    load_season()

    answer = seller_client.get(reverse("worth"), {"by": by})

    assert answer.status_code == 200
    assert "<table" in answer.content.decode()


def test_the_acre_sheet_speaks_one_sentence(seller_client):
    unit = make_unit(name="Knob", sold_before={"fir": {"cords": "7", "dollars": "1820"}})
    make_unit(name="Bench")
    WorkEntry.objects.create(
        on=date(2026, 6, 1), job="split", hours_low=10, hours_likely=20, hours_high=30, unit=unit
    )

    text = seller_client.get(reverse("acre-sheet")).content.decode()

    assert "The wood paid for the thinning and left $1,096." in text
    assert seller_client.get(reverse("acre-sheet"), {"unit": "999"}).status_code == 404


def test_the_season_table_reads_as_printed(seller_client):
    load_season()

    text = seller_client.get(reverse("season")).content.decode()

    for figure in ("$25.83", "$6,277.00", "29.50 cords", "$280.00", "$8,260.00"):
        assert figure in text, figure


def test_no_page_carries_inline_styles_or_handlers(seller_client, load, far_market):
    load_season()
    make_lot(unit=make_unit())
    paths = [reverse(name) for name in PAGES] + [
        reverse("load-margin", args=[load.pk]),
        reverse("order-margin", args=[202]),
    ]

    for path in paths:
        text = seller_client.get(path).content.decode()
        assert " style=" not in text, path
        assert "onclick" not in text, path
        assert text.count("<h1") == 1, path


def test_an_empty_guess_is_named(seller_client, business):
    answer = seller_client.get(reverse("worth"), typed(split=""), headers=HTMX)

    assert answer.status_code == 422
    assert "<b>Split (hours)</b>: This field is required." in answer.text


@pytest.mark.parametrize("name", ["worth", "haul", "pool"])
def test_a_form_that_answers_as_it_is_typed_does_not_scold_for_what_is_not_typed_yet(
    seller_client, far_market, name
):
    """htmx 4 checks a form before asking, which moved the typing to the next empty field."""
    assert 'hx-validate="false"' in seller_client.get(reverse(name)).text


@pytest.mark.parametrize("name", PAGES)
def test_every_page_of_what_was_earned_leads_to_the_others(seller_client, far_market, name):
    links = seller_client.get(reverse(name)).text.split('class="siblings"')[1].split("</nav>")[0]

    assert [page for page in PAGES if f'href="{reverse(page)}"' in links] == list(PAGES)
    assert 'aria-current="page"' in links


def test_a_chart_stands_on_its_page_as_a_drawing_not_as_its_markup():
    chart = columns_chart([Column(label="Sep 26", value=Decimal(120))], key="net", title="Net, dollars")

    page = Template("{{ chart }}").render(Context({"chart": chart}))

    assert page.startswith('<figure class="chart" id="chart-net">')


@pytest.mark.parametrize("name", ["worth", "season"])
def test_both_ways_to_count_work_are_offered_and_said(seller_client, name):
    lot = make_lot(cords=3)
    WorkEntry.objects.create(on="2026-09-01", job="split", hours_low=9, hours_likely=9, hours_high=9, lot=lot)
    make_order(state="delivered", delivered_on=date(2026, 9, 2), total_dollars=Decimal(90))

    sold = seller_client.get(reverse(name)).text
    done = seller_client.get(reverse(name), {"work": "done"}).text

    assert "9.0 h and $0.00 wait in wood not sold yet" in sold
    assert "Work counts on the day it was done" in done
    if name == "worth":
        assert "An hour,<br>wood sold" in sold
        assert "An hour,<br>work done" in sold
    assert "$10.00" in done


def test_the_worth_page_begins_with_what_this_month_earned_an_hour(seller_client, business):
    make_order(state="delivered", delivered_on=date(2026, 9, 10), total_dollars=Decimal(260), cords=1)
    WorkEntry.objects.create(on=date(2026, 9, 9), job="split", hours_low=4, hours_likely=4, hours_high=4)

    text = " ".join(seller_client.get(reverse("worth")).text.split())

    assert "September pays so far: you earned <b>$65 an hour</b> over 4.0 h, and want $25" in text
    assert "; since October <b>$65</b> over 4 h." in text
