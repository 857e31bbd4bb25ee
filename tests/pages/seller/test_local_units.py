"""A seller in a place of euros, cubic meters and kilometers reads and types those on every page."""

from decimal import Decimal
from fractions import Fraction

import pytest

from firewood_site.amounts import amount_shown, read_amount
from firewood_site.seller.forms.rigs import CostForm
from inventory.core import local
from inventory.core.local import Local, in_local_units, money_words, unsigned
from inventory.core.units import format_cords
from inventory.models import Business
from orders.core import pricing
from orders.models import Order
from orders.selectors.prices import sheet_in_force
from tests.conftest import A_DAY
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town

EUROS = Local(currency="EUR", is_metric=True)


@pytest.fixture
def here():
    local.remember(EUROS)
    return EUROS


@pytest.fixture
def abroad(business):
    Business.objects.update(currency="EUR", place_key="metric", language="es", pinned_today="2026-09-18")
    make_reading(make_lot(code="K1", cords=4, yard=make_yard(name="Siding Yard"), sale="for_sale"))
    make_town()
    make_sheet(is_in_km=True)


def test_money_wood_and_roads_are_written_as_the_place_counts_them(here):
    assert money_words(Decimal("1240.50")) == "€1,240.50"
    assert amount_shown(Fraction(1, 3)) == "1.21 m³"
    assert in_local_units("Loaded mile ($)") == "Loaded km (€)"
    assert in_local_units("Cords now") == "m³ now"
    assert in_local_units("Off a cord from two cords on") == "Off a m³ from 7.25 m³ on"
    assert in_local_units("Stacking a cord ($)") == "Stacking a m³ (€)"


def test_what_is_typed_is_read_in_cubic_meters_and_an_unchanged_amount_stays_exact(here):
    assert read_amount("1.21 m³") == read_amount("1.21") == Fraction(1, 3)
    assert read_amount("2 cords") == 2
    assert float(read_amount("2")) == pytest.approx(2 / 3.6246, abs=0.001)
    assert unsigned("€ 1,240.50") == unsigned("1240.50 EUR") == "1240.50"


def test_a_cost_of_the_km_is_kept_by_the_mile_and_shown_by_the_km(here):
    typed = {
        "from_on": "2026-09-01",
        "loaded_mile": "0.5",
        "empty_mile": "0.4",
        "fixed_run": "0",
        "wage_hour": "20",
    }
    form = CostForm(typed)

    assert form.is_valid(), form.errors
    assert form.cleaned_data["loaded_mile"] == Decimal("0.805")
    shown = CostForm(initial=form.cleaned_data)["costs"].value()
    assert shown == "0.5 / 0.4; 20 / 0"


@pytest.mark.django_db
def test_the_sheets_road_is_charged_by_started_km(here, abroad):
    local.remember(here)
    found = sheet_in_force(A_DAY)
    assert found is not None
    sheet = found.sheet

    assert pricing.charged_miles(sheet, miles=Decimal(10)) == 5  # 16.1 km, 12 of them free
    with pytest.raises(pricing.TooFar, match="km away"):
        pricing.distance_fee(sheet, miles=Decimal(70))


@pytest.mark.django_db
def test_a_sheet_typed_in_miles_stays_as_dear_when_the_place_turns_metric(seller_client, business):
    make_town()
    make_sheet(is_in_km=False)
    form = seller_client.get("/seller/set-up/settings").context["form"]
    as_it_is = {name: form.get_initial_for_field(field, name) or "" for name, field in form.fields.items()}
    found = sheet_in_force(A_DAY)
    assert found is not None
    before = pricing.distance_fee(found.sheet, miles=Decimal(40))

    changed = seller_client.post("/seller/set-up/settings", {**as_it_is, "place_key": "metric"})
    assert changed.status_code == 302
    local.forget()
    found = sheet_in_force(A_DAY)
    assert found is not None

    sheet = found.sheet
    assert (sheet.free_miles, sheet.per_mile) == (Decimal("19.3"), Decimal("1.71"))
    assert pricing.distance_fee(sheet, miles=Decimal(40)) == pytest.approx(before, abs=Decimal("1.71"))
    with pytest.raises(pricing.TooFar, match=r"144\.8 at most"):
        pricing.distance_fee(sheet, miles=Decimal(91))
    asked = seller_client.get("/seller/set-up/prices/new").context["form"]
    assert asked.initial["free_miles"] == Decimal("19.3")


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/", "/price"])
def test_customers_read_euros_and_the_sellers_language_unless_they_ask_for_another(client, abroad, path):
    usual = client.get(path).text
    asked = client.get(path, headers={"accept-language": "en"}).text

    assert '<html lang="es">' in usual
    assert '<html lang="en">' in asked
    for page in (usual, asked):
        assert "€" in page
        assert "$" not in page


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["", "wood", "orders", "money", "set-up/prices", "season", "set-up/rigs"])
def test_seller_pages_show_no_dollars_cords_or_miles(seller_client, abroad, path):
    make_order(number=301)
    page = seller_client.get(f"/seller/{path}", follow=True).text

    assert "$" not in page
    assert " mi<" not in page
    assert "€" in page or path in ("", "wood", "season", "set-up/rigs")


@pytest.mark.django_db
def test_settings_choose_currency_and_language(seller_client, business):
    form = seller_client.get("/seller/set-up/settings").context["form"]
    as_it_is = {name: form.get_initial_for_field(field, name) or "" for name, field in form.fields.items()}
    changed = {**as_it_is, "currency": "CHF", "language": "es"}
    answer = seller_client.post("/seller/set-up/settings", changed)
    row = Business.objects.get()

    assert answer.status_code == 302
    assert (row.currency, row.language) == ("CHF", "es")
    assert seller_client.post("/seller/set-up/settings", {**changed, "currency": "XXX"}).status_code == 422
    assert Order.objects.count() == 0


@pytest.mark.django_db
def test_prices_are_typed_shown_and_charged_by_the_cubic_meter(seller_client, abroad):
    form = seller_client.get("/seller/set-up/prices/new").context["form"]
    typed = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    asked = {**typed, "price-near-fir-seasoned": "80", "stacking_per_cord": "15", "round_to": "1"}
    asked["from_on"] = "2026-09-18"
    example = seller_client.post("/seller/set-up/prices/new", {**asked, "look": "1"}).text
    kept = seller_client.post("/seller/set-up/prices/new", asked)
    assert kept.status_code == 302, kept.context["form"].errors

    found = sheet_in_force(A_DAY)
    assert found is not None
    cord = next(
        row.dollars for row in found.sheet.cord_prices if (row.wood, row.dryness) == ("fir", "seasoned")
    )
    assert cord == Decimal("289.96")  # of 3.6246 m³
    assert found.sheet.stacking_per_cord == Decimal("54.37")
    assert "€80 for 1 m³ stacked" in example
    again = seller_client.get("/seller/set-up/prices/new").context["form"]
    assert str(again["price-near-fir-seasoned"].value()) == "80.00"
    assert again["stacking"].value().startswith("15 / ")
    page = seller_client.get(f"/seller/set-up/prices?sheet={found.id}").text
    assert "<b>€80</b> a m³" in page.replace("\n", "")
    assert "€15.00" in page


@pytest.mark.django_db
def test_a_quote_for_a_text_is_tapped_in_cubic_meters(seller_client, abroad):
    page = seller_client.get("/seller/quote")
    assert page.context["sizes"][1] == "2 m³"
    choice = next(row for row in page.context["form"].fields["choice"].choices if "kindling" not in row[0])[0]
    town = page.context["form"].fields["town"].choices[1][0]

    sent = {"choice": choice, "amount": "2 m³", "town": town, "laid": "drop"}
    quote = seller_client.post("/seller/quote", sent, follow=True).context["quote"]

    assert format_cords(quote.cords) == "2.00 m³"


@pytest.mark.django_db
def test_what_wood_takes_is_typed_by_the_cubic_meter_and_stays_as_typed(seller_client, abroad):
    form = seller_client.get("/seller/set-up/settings").context["form"]
    as_it_is = {name: form[name].value() for name in form.fields if form[name].value() not in (None, "")}
    changed = {**as_it_is, "production_hours_per_cord": "2", "production_cash_per_cord": "10"}
    assert seller_client.post("/seller/set-up/settings", changed).status_code == 302

    row = Business.objects.get()
    assert (row.production_hours_per_cord, row.production_cash_per_cord) == (
        Decimal("7.25"),
        Decimal("36.25"),
    )
    again = seller_client.get("/seller/set-up/settings").context["form"]
    assert again["cord_takes"].value().endswith(" / 10")
