"""An order called off comes off a draft by itself; a committed day asks the seller first."""

from datetime import timedelta

import pytest
from django.urls import reverse

from firewood_site.calling_off import call_off
from orders.core.lifecycle import TooLateToChange
from orders.models import Order
from routing.models import Day, Stop
from routing.selectors.days.today import gone_drops
from routing.services import commits, days
from routing.services.edits import take_off
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday


@pytest.fixture
def friday(db, business, monkeypatch):
    drive_by_the_job(monkeypatch)
    return make_friday()


@pytest.fixture
def drafted(friday, an_instant):
    days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
    )
    return friday


def on_the_day():
    return set(Stop.objects.values_list("order__number", flat=True))


def test_a_drop_comes_off_a_draft_with_its_order(drafted, an_instant):
    call_off(number=202, at=an_instant, who="customer", reason="moved away")

    assert on_the_day() == {201, 203}
    assert Order.objects.get(number=202).state == "cancelled"
    assert Day.objects.get().state == "draft"
    assert gone_drops(FRIDAY) == ()


def test_a_committed_day_stands_as_it_was_told_and_today_asks(drafted, an_instant, client, seller):
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    call_off(number=202, at=an_instant, who="customer")

    assert on_the_day() == {201, 202, 203}
    assert Day.objects.get().state == "fixed"
    client.force_login(seller)
    page = client.get("/seller/").content.decode()
    assert "Take Greta Sool off Friday, Sep 18" in page
    assert reverse("day", args=[FRIDAY.isoformat()]) in page


def test_the_seller_takes_it_off_and_commits_again(drafted, an_instant):
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    call_off(number=202, at=an_instant, who="customer")

    take_off(on=FRIDAY, number=202, at=an_instant, who="ruth")
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    assert on_the_day() == {201, 203}
    assert gone_drops(FRIDAY) == ()


def test_past_the_cut_off_the_order_and_its_drop_stand(drafted, an_instant):
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    with pytest.raises(TooLateToChange):
        call_off(number=202, at=an_instant + timedelta(hours=6), who="customer", by_customer=True)

    assert on_the_day() == {201, 202, 203}
    assert Order.objects.get(number=202).state == "planned"
