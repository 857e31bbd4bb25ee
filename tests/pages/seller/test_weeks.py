"""Several days planned together, and yards where no big trailer turns."""

import re
from datetime import time, timedelta
from fractions import Fraction

import pytest
from django.urls import reverse

from inventory.models import Hold, Yard
from orders.models import Order, OrderHold
from orders.services.orders import cancel_order
from routing.models import Day, PlanJob, Run, Stop
from routing.services import commits, days, edits
from routing.services.shuts import shut
from routing.services.standing import PlanRefused
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday
from tests.factories.inventory import make_hold, make_lot

SATURDAY, MONDAY = FRIDAY + timedelta(days=1), FRIDAY + timedelta(days=3)
TOGETHER = "/seller/days/together"


@pytest.fixture
def friday(db, business, monkeypatch):
    drive_by_the_job(monkeypatch)
    return make_friday()


def week_form(friday, **changes):
    form = {
        "first_on": FRIDAY.isoformat(), "last_on": MONDAY.isoformat(), "orders": ["201", "202", "203"],
        "rigs": [str(friday.big.pk), str(friday.small.pk)], "weekdays": ["0", "4", "5"],
        "starts_at": "07:30", "ends_at": "18:00", "seconds": "1",
    }  # fmt: skip
    return {**form, **changes}


def test_several_days_are_planned_each_order_on_a_day_of_its_own(seller_client, friday):
    Order.objects.filter(number=203).update(first_on=MONDAY, last_on=MONDAY)

    answer = seller_client.post(TOGETHER, week_form(friday))

    job = PlanJob.objects.get()
    assert answer["Location"] == reverse("day-job", args=[job.key])
    assert job.state == PlanJob.State.DONE, job.message
    on = dict(Stop.objects.values_list("order__number", "load__run__day__on"))
    assert on == {201: FRIDAY, 202: FRIDAY, 203: MONDAY}
    page = seller_client.get(answer["Location"]).content.decode()
    assert "See the days" in page
    assert f"/seller/days/{MONDAY.isoformat()}" in page


def test_an_order_of_no_planned_weekday_is_left_out_with_the_reason(seller_client, friday):
    Order.objects.filter(number=203).update(first_on=SATURDAY, last_on=SATURDAY)

    answer = seller_client.post(TOGETHER, week_form(friday, weekdays=["0", "4"]), follow=True)

    assert "none of those days is planned" in answer.content.decode()
    assert set(Stop.objects.values_list("order__number", flat=True)) == {201, 202}


def test_committed_days_stay_as_they_are(seller_client, friday, an_instant):
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.siding.pk, (202,)),), at=an_instant, who="ruth"
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    Order.objects.filter(number=203).update(last_on=MONDAY)

    page = seller_client.get(TOGETHER, {"first_on": FRIDAY.isoformat()}).content.decode()
    seller_client.post(TOGETHER, week_form(friday, orders=["203"]))

    assert "Greta Sool" not in page
    assert Day.objects.get(on=FRIDAY).state == Day.State.FIXED
    assert Stop.objects.get(order__number=202).load.run.day.on == FRIDAY
    assert Stop.objects.get(order__number=203).load.run.day.on > FRIDAY


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"orders": []}, "Choose at least one order"),
        ({"last_on": "2026-09-17"}, "must not be before"),
        ({"last_on": "2026-10-18"}, "At most 10 days"),
        ({"first_on": "soon"}, "Enter a valid date"),
        ({"weekdays": []}, "Tick a weekday"),
        ({"weekdays": ["2"]}, "None of these weekdays"),
        ({"rigs": []}, "Choose a rig"),
    ],
)
def test_a_week_that_makes_no_sense_is_refused_in_a_sentence(seller_client, friday, changes, said):
    answer = seller_client.post(TOGETHER, week_form(friday, **changes))

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not PlanJob.objects.exists()


def test_a_stranger_plans_no_week(client, driver_client, friday):
    assert client.get(TOGETHER).status_code == 302
    assert driver_client.post(TOGETHER, week_form(friday)).status_code in (302, 403, 404)
    assert not PlanJob.objects.exists()


def test_an_order_on_a_committed_day_cannot_be_committed_twice(friday, an_instant):
    Order.objects.filter(number=202).update(last_on=SATURDAY)
    for on in (FRIDAY, SATURDAY):
        days.lay_out_day(
            on=on, rig_id=friday.big.pk, loads=((friday.siding.pk, (202,)),), at=an_instant, who="ruth"
        )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")

    with pytest.raises(PlanRefused, match="Order 202 goes on Fri, Sep 18 already"):
        commits.commit_day(on=SATURDAY, at=an_instant, who="ruth")


def test_a_yard_without_room_to_turn_sends_only_the_small_rig(friday, an_instant):
    Yard.objects.filter(pk=friday.siding.pk).update(takes_big_trailer=False)
    Order.objects.filter(number=203).update(cords="1/2")

    planned = days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202),
        rig_ids=(friday.big.pk, friday.small.pk), steps=200,
    )  # fmt: skip

    assert planned.postponed == ()
    assert Stop.objects.get(order__number=202).load.run.rig == friday.small
    assert Stop.objects.filter(order__number=201, load__run__rig=friday.big).exists()


def test_without_a_small_rig_a_tight_yard_s_order_stays_and_says_why(friday, an_instant):
    Yard.objects.filter(pk=friday.siding.pk).update(takes_big_trailer=False)

    planned = days.plan_day(
        on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201, 202), rig_ids=(friday.big.pk,), steps=100
    )

    assert [row.order for row in planned.postponed] == ["202"]
    assert "Siding Yard takes no big trailer" in str(planned.postponed[0].reason)


def test_the_referee_refuses_a_big_trailer_at_a_tight_yard(friday, an_instant):
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.siding.pk, (202,)),), at=an_instant, who="ruth"
    )
    Yard.objects.filter(pk=friday.siding.pk).update(takes_big_trailer=False)

    with pytest.raises(PlanRefused, match="Siding Yard, where no big trailer turns"):
        edits.set_hours(
            on=FRIDAY,
            run_id=Run.objects.get().pk,
            starts_at=time(8),
            ends_at=time(18),
            driver_id=None,
            at=an_instant,
            who="ruth",
        )


def test_the_referee_speaks_of_minutes_and_cubic_feet(friday, an_instant):
    def lay_out(**hours):
        days.lay_out_day(
            on=FRIDAY, rig_id=friday.big.pk, loads=((friday.siding.pk, (202, 203)),), at=an_instant,
            who="ruth", **hours,
        )  # fmt: skip

    with pytest.raises(PlanRefused, match=r"is back \d+ h \d+ min too late"):
        lay_out(starts_at=time(8), ends_at=time(11))
    Order.objects.filter(number=202).update(cords="2/3")
    more = make_hold(friday.knob_fir, cords="1/3", kind="firm", reference=friday.greta.reference)
    OrderHold.objects.create(order=friday.greta, hold=more)
    with pytest.raises(PlanRefused, match="is 240 ft³ loose, Big trailer holds 180 ft³"):
        lay_out()


def test_a_shut_yard_on_a_committed_day_is_planned_around_and_priced(seller_client, friday, an_instant):
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    shut(
        kind="yard", yard_id=friday.creek.pk, from_on=FRIDAY, to_on=FRIDAY, reason="Gate washed out",
        at=an_instant, who="ruth",
    )  # fmt: skip
    page = reverse("day", args=[FRIDAY.isoformat()])
    assert "Creek Yard is shut (Gate washed out)" in seller_client.get(page).content.decode()
    form = {
        "orders": ["201", "202", "203"], "rigs": [str(friday.big.pk)], "starts_at": "07:30",
        "ends_at": "18:00",
    }  # fmt: skip

    answer = seller_client.post(reverse("day-plan", args=[FRIDAY.isoformat()]), form, follow=True)

    said = answer.content.decode()
    assert re.search(r"1 left out, see why. It costs \$[\d.]+ less than the plan before, of 3", said)
    assert "Every yard with" in said
    assert set(Stop.objects.values_list("order__number", flat=True)) == {202, 203}


def test_the_heavy_rig_goes_round_by_siding_and_the_light_one_over_the_bridge(friday, an_instant):
    for rig, cords in ((friday.big, "1"), (friday.small, "1/3")):
        Order.objects.filter(number=201).update(cords=cords)
        Hold.objects.filter(reference=friday.marlow.reference).update(cords=Fraction(cords))
        days.plan_day(
            on=FRIDAY, at=an_instant, who="ruth", order_numbers=(201,), rig_ids=(rig.pk,), steps=100
        )
        legs = Stop.objects.filter(order__number=201).values_list("leg_meters", "leg_seconds")
        miles, minutes = ("8.9", 18) if rig == friday.big else ("3.0", 7)
        assert [(f"{meters / 1609.344:.1f}", seconds // 60) for meters, seconds in legs] == [(miles, minutes)]
        assert Stop.objects.get().load.run.rig == rig


def test_a_rig_that_breaks_is_planned_without(seller_client, friday, an_instant):
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.siding.pk, (202,)),), at=an_instant, who="ruth"
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    seller_client.post(reverse("rig-out", args=[friday.big.pk]), {"reason": "bearing gone"})
    page = reverse("day", args=[FRIDAY.isoformat()])
    assert "Big trailer is out (bearing gone)" in seller_client.get(page).content.decode()
    form = {
        "orders": ["202"], "rigs": [str(friday.small.pk)], "starts_at": "07:30", "ends_at": "18:00",
    }  # fmt: skip

    answer = seller_client.post(reverse("day-plan", args=[FRIDAY.isoformat()]), form, follow=True)

    assert "the plan before, of 1" in answer.content.decode()
    assert Stop.objects.get().load.run.rig == friday.small


def test_an_order_without_wood_is_not_laid_out_and_says_why(friday, an_instant):
    OrderHold.objects.filter(order__number=202).delete()

    with pytest.raises(PlanRefused, match="No wood is held"):
        days.lay_out_day(
            on=FRIDAY,
            rig_id=friday.big.pk,
            loads=((friday.siding.pk, (202, 203)),),
            at=an_instant,
            who="ruth",
        )


def test_a_cancelled_order_of_several_lots_comes_off_with_one_tap(seller_client, friday, an_instant):
    more = make_lot(code="K9", cords=1, yard=friday.siding)
    hold = make_hold(more, cords="1/3", kind="firm", reference=friday.greta.reference)
    OrderHold.objects.create(order=friday.greta, hold=hold)
    days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.siding.pk, (202,)), (friday.siding.pk, (203,))),
        at=an_instant,
        who="ruth",
    )
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    cancel_order(number=202, at=an_instant, who="Greta", reason="no room")
    page = reverse("day", args=[FRIDAY.isoformat()])
    assert "Order 202 is cancelled" in seller_client.get(page).content.decode()

    form = {"act": "take-off", "number": "202"}
    answer = seller_client.post(reverse("day-edit", args=[FRIDAY.isoformat()]), form, follow=True)

    assert "less" in answer.content.decode()
    assert [stop.order.number for stop in Stop.objects.all()] == [203]


def test_a_drop_s_page_offers_only_moves_that_can_be_made(
    seller_client, driver_client, client, friday, an_instant
):
    days.lay_out_day(
        on=FRIDAY, rig_id=friday.big.pk, loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    greta = Stop.objects.get(order__number=202)
    address = reverse("drop-moves", args=[f"{FRIDAY}", greta.pk])

    page = seller_client.get(address).content.decode()

    assert "Another place that day would save $" in page
    assert "Siding Yard: the wood held for it lies there (K1)." in page
    assert page.count('name="place"') >= 1
    assert client.get(address).status_code == 302
    assert driver_client.get(address).status_code in (302, 403, 404)
    assert seller_client.get(reverse("drop-moves", args=[f"{FRIDAY}", 0])).status_code == 404
