"""A day of both trailers behind one pickup: what cannot be driven is never shown as a plan."""

import re
from datetime import date, time
from itertools import pairwise

import pytest

from orders.models import Order
from routing.models import Day, Driver, Pickup, Rig, Run
from routing.selectors.days.day_view import day_view
from routing.services import commits, days
from tests.factories.day import confirmed, drive_by_the_job, make_friday

pytestmark = pytest.mark.django_db

TUESDAY = date(2026, 9, 22)


@pytest.fixture
def tuesday(business, monkeypatch):
    """Eight orders: whole cords for the big trailer, and thirds that only the small one may bring."""
    drive_by_the_job(monkeypatch)
    friday = make_friday()
    Order.objects.all().update(first_on=date(2026, 9, 18), last_on=date(2026, 9, 18))
    Rig.objects.update(pickup=Pickup.objects.create(name="Pickup", hitch_minutes=15))
    Driver.objects.create(name="Tam")
    friday.knob_fir.on_hand_cords = 12
    friday.knob_fir.save()
    on = {"first_on": TUESDAY, "last_on": TUESDAY}
    for number, town in enumerate(("Larch", "Larch", "Marrow", "Larch"), start=301):
        confirmed(
            friday.knob_fir, number=number, name=f"Big {number}", at=town, cords=1, total="300.00", **on
        )
    for number, town in enumerate(("Marrow", "Larch", "Marrow", "Larch"), start=305):
        confirmed(
            friday.knob_fir, number=number, name=f"Small {number}", at=town, cords="1/3", total="100.00",
            small_rig_only=True, window_from=time(8), window_to=time(10), **on,
        )  # fmt: skip
    return friday


def minutes(at: time) -> int:
    return at.hour * 60 + at.minute


def test_eight_orders_both_trailers_one_pickup(tuesday, seller_client, an_instant):
    days.plan_day(on=TUESDAY, at=an_instant, who="ruth", order_numbers=range(301, 309), steps=300, seed=1)

    view = day_view(TUESDAY)
    runs = list(Run.objects.filter(day__on=TUESDAY).order_by("leaves_at"))
    for first, second in pairwise(runs):
        wait = 0 if first.rig_id == second.rig_id else 15
        assert minutes(second.leaves_at) >= minutes(first.home_at) + wait
    assert sum(run.paid_seconds for run in runs) <= 10 * 3600  # one driver, ten hours a day
    assert view.warnings == ()
    brought = {drop.order.number for run in view.runs for drop in run.drops}
    left_out = {row.number: str(row.reason) for row in view.postponed}
    assert brought | left_out.keys() == set(range(301, 309))
    assert brought
    assert left_out, "eight orders are more than one pickup brings in a day"
    page = seller_client.get(f"/seller/days/{TUESDAY}").content.decode()
    assert all(reason in page for reason in left_out.values())
    assert any(re.search(r"Pickup is out with .+ until \d+:\d\d\.$", reason) for reason in left_out.values())
    commits.commit_day(on=TUESDAY, at=an_instant, who="ruth")
    assert Day.objects.get(on=TUESDAY).state == Day.State.FIXED
