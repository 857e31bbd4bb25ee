"""Story 5 of a live day: what a month earned holds no drafts, says what is planned and what was driven, and
the taps of the run teach the next plan how long it takes.
"""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Lot
from routing.models import Load, Run
from routing.selectors.learned_paces import paces_in_use
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import prepare
from routing.services import days
from routing.services.paces import learn_paces
from tests.factories.day import FRIDAY, confirmed
from tests.routing.selectors.test_paces import at, driven, stay, tell

__all__ = ["driven"]  # a fixture, found by name

SATURDAY = FRIDAY + timedelta(days=1)


@pytest.fixture
def month(driven, an_instant):
    """Friday driven to the end, half as long again at every halt; Saturday a draft with one more order."""
    last = driven.loads.order_by("-sequence").first().stops.order_by("-sequence").first()
    gone = timedelta(0)
    for load in driven.loads.all():
        gone += 0.5 * stay(load) + sum((0.5 * stay(stop) for stop in load.stops.all()), timedelta(0))
    tell("home", when=at(last.leave_at) + gone + timedelta(hours=1), run_id=driven.pk)
    lot = Lot.objects.get(code="K1")
    confirmed(lot, number=301, name="Nell Draft", at="Marrow", cords="1/3", total="97.00",
              first_on=SATURDAY, last_on=SATURDAY)  # fmt: skip
    days.lay_out_day(
        on=SATURDAY, rig_id=driven.rig_id, loads=((lot.yard_id, (301,)),), at=an_instant, who="ruth",
        starts_at=driven.starts_at,
    )  # fmt: skip
    return driven


def sums(page):
    """Dollars of cash left by the heading they stand under."""
    found = {}
    for part in page.split('<section class="stack tight" aria-label="')[1:]:
        title = part.split('"')[0]
        if "<span>Cash left</span>" in part:
            told = re.search(r"<span>Cash left</span><b>([−-]?)\$([\d,.]+)", part)
            found[title] = Decimal(told[2].replace(",", "")) * (-1 if told[1] else 1)
    return found


def test_a_month_counts_no_draft_and_its_taps_teach_the_next_plan(month, seller_client):
    page = seller_client.get(reverse("margins"), {"month": "2026-09"}).content.decode()

    earned = sums(page)
    assert set(earned) == {"Driven", "Drafts"}  # nothing is committed and still to drive
    assert earned["Driven"] > 0
    assert "of days not committed; in no sum above" in page
    assert page.count('<span class="badge good">actual</span>') == 2
    assert page.count('<span class="badge warn">draft</span>') == 1

    load = Load.objects.filter(run=month).order_by("sequence").first()
    both = seller_client.get(reverse("load-margin", args=[load.pk])).content.decode()
    assert "Planned beside actual" in both
    heads = re.findall(
        r'<th scope="col"[^>]*>(\w+)</th>', both.split('aria-label="Planned beside actual"')[1]
    )
    assert heads[:4] == ["Line", "Planned", "Actual", "Difference"]

    run, plan = OpenRun(rig_id=month.rig_id, on=SATURDAY), {"order_numbers": [301], "must_go": True}
    before = prepare(open_runs=[run], **plan).problem.orders[0]
    learn_paces(on=FRIDAY)
    after = prepare(open_runs=[run], **plan).problem.orders[0]

    assert paces_in_use().of_customer(None) > 110
    assert after.stop_s > before.stop_s
    assert after.unload_s_per_cord > before.unload_s_per_cord
    assert Run.objects.get(pk=month.pk).actual_home_at is not None
