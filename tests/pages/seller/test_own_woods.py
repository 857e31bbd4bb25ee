"""A wood the tables leave out, or a printed figure put right: weights, drying, heat and tickets follow."""

import json
from decimal import Decimal

import pytest
from django.core.management import call_command

from inventory.core.species import species_of, woods
from inventory.models import AuditEntry, OwnSpecies
from inventory.selectors.figures import compare, wood_choices
from inventory.selectors.sale import plan_weights
from orders.models import Order, OrderHold, Ticket
from orders.services.tickets import make_ticket
from tests.conftest import A_DAY
from tests.factories.inventory import an_instant, make_hold, make_lot, make_yard
from tests.factories.orders import make_order, make_sheet

pytestmark = pytest.mark.django_db
ALMOND = {
    "name": "Almond (Prunus dulcis)", "group": "hardwood", "specific_gravity": "0.65",
    "green_low_pct": "50", "green_high_pct": "75", "btu_per_lb": "8200", "source": "weighed here, 2026",
}  # fmt: skip


def almond_added(client):
    answer = client.post("/seller/set-up/woods/new", ALMOND)
    assert answer.status_code == 302
    return OwnSpecies.objects.get()


def test_a_wood_of_ones_own_counts_in_weight_drying_heat_and_on_the_ticket(seller_client, business):
    make_sheet()
    almond = almond_added(seller_client)
    assert (almond.name, almond.scientific) == ("Almond", "Prunus dulcis")
    lot = make_lot(code="A1", mix={"almond": 100}, wood="hardwood", yard=make_yard())
    order = make_order(number=202, wood="hardwood", state="confirmed")
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords="1/3", reference=order.reference))
    Order.objects.update(state="delivered", delivered_on=A_DAY)

    make_ticket(number=202, at=an_instant(), who="tam")

    assert Ticket.objects.get().fields["identity"] == "Almond"
    assert ("almond", "Almond") in wood_choices()
    assert plan_weights(A_DAY, {lot.pk})[lot.pk] == pytest.approx(3400 * 1.75 * 1.1)
    assert compare("almond", "fir").one_mbtu == pytest.approx(3400 * (8200 - 240) * 0.7 / 1e6)
    assert "moisture" in seller_client.get("/seller/lots/A1").text.lower()  # it dries as the hardwood it is
    assert "weighed here, 2026" in seller_client.get("/seller/set-up/woods").text


def test_a_published_figure_is_put_right_and_taken_back(seller_client, business):
    lot = make_lot(code="O1", mix={"oak": 100}, wood="hardwood", yard=make_yard())
    before = plan_weights(A_DAY, {lot.pk})[lot.pk]
    page = seller_client.get("/seller/set-up/woods/oak").text
    assert 'value="Oak, Oregon white (Quercus garryana)"' in page
    values = {
        "name": "Oak, Oregon white", "group": "hardwood", "specific_gravity": "0.70", "shrinkage_pct": "13.4",
        "green_low_pct": "57.8", "green_high_pct": "57.8", "btu_per_lb": "8110",
        "source": "our scale, 3 loads",
    }  # fmt: skip

    assert seller_client.post("/seller/set-up/woods/oak", values).status_code == 302

    assert plan_weights(A_DAY, {lot.pk})[lot.pk] > before
    assert "our scale, 3 loads" in species_of("oak").specific_gravity.source
    assert AuditEntry.objects.filter(thing="wood oak", verb="figures kept").exists()
    assert seller_client.post("/seller/set-up/woods/oak/drop").status_code == 302
    assert plan_weights(A_DAY, {lot.pk})[lot.pk] == before


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": "Fir (Prunus dulcis)"}, "already"),
        ({"green_high_pct": "400"}, "holds at most"),
        ({"green_low_pct": "90"}, "driest green wood first"),
        ({"source": ""}, "required"),
        ({"name": "Stove cord wood (Prunus dulcis)"}, "does not allow"),
    ],
)
def test_figures_no_wood_can_have_are_refused_and_nothing_typed_is_lost(
    seller_client, business, changes, sentence
):
    answer = seller_client.post("/seller/set-up/woods/new", {**ALMOND, **changes})

    assert answer.status_code == 422
    assert sentence in answer.text
    assert '(Prunus dulcis)"' in answer.text
    assert not OwnSpecies.objects.exists()


def test_a_wood_some_lot_is_of_stays(seller_client, business):
    almond_added(seller_client)
    make_lot(code="A1", mix={"almond": 100}, wood="hardwood", yard=make_yard())

    answer = seller_client.post("/seller/set-up/woods/almond/drop")

    assert answer.status_code == 422
    assert "A1 is of this wood" in answer.text
    assert "almond" in woods()


def test_a_script_gets_the_same_figures(seller_client, business, tmp_path, capsys):
    almond_added(seller_client)
    asked = tmp_path / "questions.jsonl"
    asked.write_text(json.dumps({"what": "cord", "wood": "almond", "moisture_dry_pct": 20}))

    call_command("work_out", str(asked))

    assert json.loads(capsys.readouterr().out)["lb"] == 4080
    assert Decimal(OwnSpecies.objects.get().specific_gravity) == Decimal("0.650")
