"""The seller carries wood between yards, on the sheet of Log it."""

from datetime import date
from decimal import Decimal
from math import ceil

import pytest
from django.urls import reverse

from inventory.models import Lot
from routing.core.roads import EngineDown
from routing.selectors.rigs import rig_value
from routing.selectors.roads.legs import drives_between
from routing.selectors.roads.rig_roads import roads_by_rig
from tests.factories.routing import make_rig, make_small_rig
from tests.pages.seller.sheets import log

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


def road(client, yard, **said):
    asked = {"wood": "K1", "steps": "haul", "to_yard": yard.pk, **said}
    return client.get(reverse("log"), asked, **HTMX).context["road"]


def test_a_part_is_moved_by_the_road_at_the_rigs_rates(seller_client, knob, upper):
    rig = make_rig(home_yard=knob.yard)
    rig.running_costs.all().delete()
    rig.running_costs.create(
        from_on=date(2026, 1, 1), loaded_mile=Decimal("0.75"), empty_mile=Decimal("0.65")
    )
    there = road(seller_client, upper, cords="1")

    log(seller_client, "haul", wood="K1", to_yard=upper.pk, cords="1")

    part = Lot.objects.get(code="K1b")
    moved, hauled = part.movements.get(kind="moved"), part.movements.get(kind="hauled")
    assert part.yard == upper
    assert (moved.miles, moved.minutes) == (there.miles, there.minutes)
    assert moved.miles > 10
    assert hauled.cost_dollars == round(moved.miles / 2 * Decimal("1.40"), 2)


def test_the_rig_that_carries_the_wood_is_charged(seller_client, knob, upper):
    make_small_rig(name="A little one", home_yard=knob.yard).running_costs.update(loaded_mile=9, empty_mile=9)
    make_rig(name="Big trailer", home_yard=knob.yard)

    there = road(seller_client, upper, cords="1")

    assert there.rig == "Big trailer"
    assert there.cost_dollars == round(there.miles / 2 * Decimal("1.40"), 2)


def test_held_wood_is_not_moved_in_part(seller_client, knob, upper):
    answer = log(seller_client, "haul", wood="K1", to_yard=upper.pk, cords="5")

    assert answer.status_code == 422
    assert "has 3.80 cords not promised" in answer.text
    assert Lot.objects.count() == 1


def test_the_sheet_says_the_road_and_counts_the_loads(seller_client, knob, upper):
    """6.05 cords of fir in a box of one cord: seven loads; two cords: two."""
    make_rig(home_yard=knob.yard)

    whole, some = road(seller_client, upper), road(seller_client, upper, cords="2")

    assert (whole.yard, whole.trips, some.trips) == ("Upper Yard", 7, 2)
    assert some.miles == pytest.approx(whole.miles * 2 / 7, rel=Decimal("0.02"))


def test_the_haul_goes_out_with_the_load_on_and_comes_home_empty(seller_client, knob, upper, monkeypatch):
    rig = make_rig(home_yard=knob.yard)
    asked = []

    def kept(sources, targets, profile):
        asked.append(profile)
        return drives_between(sources, targets, profile)

    monkeypatch.setattr("routing.quoting.moves.drives_between", kept)
    row = seller_client.get(reverse("lot", args=["K1"])).context["row"]
    road(seller_client, upper, cords="1/2")
    out, home = asked

    roads = roads_by_rig((rig,), date(2026, 9, 18))[rig.pk]
    assert home == roads.empty
    assert out == roads.aboard(ceil(row.plan_lb_per_cord / 2))
    assert home.weight_lb == rig_value(rig).empty_lb < out.weight_lb


def test_wood_moves_even_while_the_road_engine_is_down(seller_client, knob, upper, monkeypatch):
    def down(*_points, **_rest):
        raise EngineDown(engine="valhalla", why="no answer")

    monkeypatch.setattr("routing.quoting.moves.drives_between", down)

    assert road(seller_client, upper).miles is None
    assert log(seller_client, "haul", wood="K1", to_yard=upper.pk).status_code == 302
    assert Lot.objects.get().yard == upper
