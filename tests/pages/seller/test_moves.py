"""The seller carries wood between yards."""

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
from tests.factories.inventory import make_yard
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


def test_a_part_is_moved_with_the_rigs_rates(seller_client, knob):
    creek = make_yard(name="Creek Yard")
    rig = make_rig()
    rig.running_costs.all().delete()
    rig.running_costs.create(
        from_on=date(2026, 1, 1), loaded_mile=Decimal("0.75"), empty_mile=Decimal("0.65")
    )

    answer = seller_client.post(
        reverse("move", args=["K1"]), {"to_yard": creek.pk, "cords": "1", "miles": "10.2", "minutes": "80"}
    )

    part = Lot.objects.get(code="K1b")
    assert answer["Location"] == reverse("lot", args=["K1b"])
    assert part.yard == creek
    assert part.movements.get(kind="hauled").cost_dollars == Decimal("7.14")  # 5.1 x .75 + 5.1 x .65


def test_held_wood_is_not_moved_in_part(seller_client, knob):
    creek = make_yard(name="Creek Yard")

    answer = seller_client.post(reverse("move", args=["K1"]), {"to_yard": creek.pk, "cords": "5"})

    assert answer.status_code == 422
    assert "has 3.80 cords open" in answer.text
    assert Lot.objects.count() == 1


def test_the_move_page_offers_the_road_and_counts_the_loads(seller_client, knob, upper):
    """6.05 cords of fir in a box of one cord: seven loads; two cords: two."""
    make_rig(home_yard=knob.yard)

    whole = seller_client.get(reverse("move", args=["K1"])).context["offers"]
    part = seller_client.get(reverse("move", args=["K1"]), {"cords": "2"}, **HTMX)
    (some,) = part.context["offers"]

    assert [(offer.yard, offer.trips) for offer in whole] == [("Upper Yard", 7)]
    assert some.trips == 2
    assert some.miles == pytest.approx(whole[0].miles * 2 / 7, rel=Decimal("0.02"))
    assert "<form" not in part.text


def test_a_move_with_nothing_typed_is_charged_by_the_road(seller_client, knob, upper):
    make_rig(home_yard=knob.yard)
    (road,) = seller_client.get(reverse("move", args=["K1"]), {"cords": "1"}).context["offers"]

    seller_client.post(reverse("move", args=["K1"]), {"to_yard": upper.pk, "cords": "1"})

    moved = Lot.objects.get(code="K1b").movements.get(kind="moved")
    assert (moved.miles, moved.minutes) == (road.miles, road.minutes)
    assert moved.miles > 10


def test_what_is_typed_goes_before_the_road(seller_client, knob, upper):
    make_rig(home_yard=knob.yard)

    seller_client.post(reverse("move", args=["K1"]), {"to_yard": upper.pk, "cords": "1", "miles": "9"})

    moved = Lot.objects.get(code="K1b").movements.get(kind="moved")
    assert (moved.miles, moved.minutes) == (9, None)


def test_a_move_filled_in_before_another_change_is_asked_again(seller_client, knob, upper):
    seller_client.post(reverse("lot-change", args=["K1", "keep"]), {"cords": "1/2"})

    refused = seller_client.post(reverse("move", args=["K1"]), {"to_yard": upper.pk, "version": "0"})

    assert refused.status_code == 422
    assert "changed by somebody else just now" in refused.text


def test_the_haul_goes_out_with_the_load_on_and_comes_home_empty(seller_client, knob, upper, monkeypatch):
    rig = make_rig(home_yard=knob.yard)
    asked = []

    def kept(sources, targets, profile):
        asked.append(profile)
        return drives_between(sources, targets, profile)

    monkeypatch.setattr("routing.quoting.moves.drives_between", kept)
    row = seller_client.get(reverse("move", args=["K1"]), {"cords": "1/2"}).context["row"]
    out, home = asked

    roads = roads_by_rig((rig,), date(2026, 9, 18))[rig.pk]
    assert home == roads.empty
    assert out == roads.aboard(ceil(row.plan_lb_per_cord / 2))
    assert home.weight_lb == rig_value(rig).empty_lb < out.weight_lb


def test_wood_moves_even_while_the_road_engine_is_down(seller_client, knob, upper, monkeypatch):
    def down(*_points, **_rest):
        raise EngineDown(engine="valhalla", why="no answer")

    monkeypatch.setattr("routing.quoting.moves.drives_between", down)

    assert "no road known" in seller_client.get(reverse("move", args=["K1"])).text
    assert seller_client.post(reverse("move", args=["K1"]), {"to_yard": upper.pk}).status_code == 302
