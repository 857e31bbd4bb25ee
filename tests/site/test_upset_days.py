"""A broken rig or a closure upsets a planned day: Today says so and leads to planning it again."""

from datetime import date, time

import pytest
from django.urls import reverse

from orders.models import Town
from routing.models import Day, Rig, Shut, Stop
from routing.selectors.days.today import upset_days
from routing.services import commits, days
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday

TWO_FREE = {"from_on": FRIDAY, "to_on": FRIDAY, "reason": "grading"}


@pytest.fixture
def friday(db, business, monkeypatch, an_instant):
    """The job's Friday, laid out and committed."""
    drive_by_the_job(monkeypatch)
    made = make_friday()
    days.lay_out_day(
        on=FRIDAY,
        rig_id=made.big.pk,
        loads=((made.creek.pk, (201,)), (made.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    return made


def test_nothing_upsets_a_day_as_planned(friday, django_assert_max_num_queries):
    with django_assert_max_num_queries(3):
        assert upset_days(FRIDAY) == ()


def test_a_broken_rig_upsets_its_day(friday):
    Rig.objects.filter(pk=friday.big.pk).update(works=False)

    (upset,) = upset_days(FRIDAY)

    assert (upset.on, upset.is_committed) == (FRIDAY, True)
    assert upset.reasons == (f"{friday.big.name} is out",)


def test_a_shut_yard_upsets_the_day_it_is_shut_all_day(friday):
    Shut.objects.create(kind="yard", yard=friday.creek, **TWO_FREE)

    (upset,) = upset_days(FRIDAY)

    assert upset.reasons == (f"{friday.creek.name} is shut",)


def test_a_shut_road_upsets_the_day_with_a_drop_in_that_town(friday):
    town = Town.objects.get(name="Larch Prairie")
    Shut.objects.create(kind="road", town=town, **TWO_FREE)

    (upset,) = upset_days(FRIDAY)

    assert upset.reasons == ("Larch Prairie cannot be reached",)


@pytest.mark.parametrize(
    "closing",
    [
        {"from_on": date(2026, 9, 19), "to_on": date(2026, 9, 20)},
        {"from_on": FRIDAY, "to_on": FRIDAY, "from_time": time(13), "to_time": time(20)},
    ],
)
def test_another_day_or_some_hours_do_not(friday, closing):
    Shut.objects.create(kind="yard", yard=friday.creek, reason="mud", **closing)

    assert upset_days(FRIDAY) == ()


def test_what_is_brought_already_cannot_be_upset(friday):
    Rig.objects.filter(pk=friday.big.pk).update(works=False)
    Stop.objects.update(state=Stop.State.DELIVERED)

    assert upset_days(FRIDAY) == ()


def test_today_leads_to_planning_the_day_again(friday, seller_client):
    Rig.objects.filter(pk=friday.big.pk).update(works=False, out_reason="wheel bearing")

    shown = seller_client.get(reverse("today")).text

    assert "Plan Friday, Sep 18 again" in shown
    assert f"{friday.big.name} is out. Commit it again" in shown
    assert f'href="{reverse("day", args=["2026-09-18"])}#again"' in shown


def test_the_way_to_plan_again_stands_open_on_an_upset_day(friday, seller_client):
    Rig.objects.filter(pk=friday.big.pk).update(works=False)

    shown = seller_client.get(reverse("day", args=["2026-09-18"])).text

    assert '<a href="#again">Plan again</a>' in shown
    assert '<details id="again" class="card no-print" open>' in shown


def test_today_says_when_all_are_home(friday, seller_client):
    Day.objects.filter(on=FRIDAY).update(state=Day.State.DONE)

    shown = seller_client.get(reverse("today")).text

    assert "3 drops in 2 loads</a>, all home." in shown
