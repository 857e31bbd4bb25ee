"""The seller's delivery days: choose, plan, adjust, commit, print."""

import re
from datetime import time, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Letter, Order
from routing.models import Day, PlanJob, Run, Stop
from routing.services import days, jobs
from routing.tasks import plan_in_background
from tests.factories.day import FRIDAY, drive_by_the_job, make_friday

ISO = FRIDAY.isoformat()


@pytest.fixture
def friday(db, business, monkeypatch):
    drive_by_the_job(monkeypatch)
    return make_friday()


@pytest.fixture
def planned(friday, an_instant):
    days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
        starts_at=time(7, 30),
    )
    return friday


def plan_form(friday, **changes):
    form = {
        "orders": ["201", "202", "203"], "rigs": [str(friday.big.pk)], "starts_at": "07:30",
        "ends_at": "18:00", "seconds": "2",
    }  # fmt: skip
    return {**form, **changes}


def test_an_unplanned_day_offers_the_orders_that_suit_it(seller_client, friday):
    page = seller_client.get(reverse("day", args=[ISO])).content.decode()

    assert "Plan the day" in page
    assert "Marlow Finch" in page
    assert "last day" in page


@pytest.mark.parametrize("is_tight", [False, True])
def test_the_largest_rig_goes_out_and_a_small_one_where_only_it_gets_there(seller_client, friday, is_tight):
    friday.pilar.small_rig_only = is_tight
    friday.pilar.save(update_fields=["small_rig_only"])

    form = seller_client.get(reverse("day", args=[ISO])).context["form"]

    out = [friday.big, friday.small] if is_tight else [friday.big]
    assert form.initial["rigs"] == [str(rig.pk) for rig in out]


def test_planning_a_small_day_gives_the_draft_at_once(seller_client, friday):
    answer = seller_client.post(reverse("day-plan", args=[ISO]), plan_form(friday))

    assert answer.status_code == 302
    assert Stop.objects.count() == 3
    page = seller_client.get(answer["Location"]).content.decode()
    assert "Commit" in page
    assert re.findall(r'<span class="when">(.*?)</span>', page)
    assert all(re.fullmatch(r"\d+:\d\d", at) for at in re.findall(r'<span class="when">(.*?)</span>', page))
    assert "What goes on first" not in page  # that is on the load sheet
    assert "Creek Yard" in page


def test_planning_nothing_says_so_and_changes_nothing(seller_client, friday):
    answer = seller_client.post(reverse("day-plan", args=[ISO]), plan_form(friday, orders=[]))

    assert answer.status_code == 422
    assert "Choose at least one order" in answer.content.decode()
    assert Day.objects.count() == 0


def test_home_before_out_is_refused(seller_client, friday):
    answer = seller_client.post(reverse("day-plan", args=[ISO]), plan_form(friday, ends_at="06:00"))

    assert answer.status_code == 422
    assert "later than out" in answer.content.decode()


def test_committing_tells_the_customers(seller_client, planned):
    answer = seller_client.post(reverse("day-commit", args=[ISO]))

    assert answer.status_code == 302
    assert Order.objects.get(number=203).state == Order.State.PLANNED
    assert Letter.objects.filter(kind="day_set").count() == 3
    assert "Take back" in seller_client.get(answer["Location"]).content.decode()


def test_a_commit_that_is_refused_says_why(seller_client, planned):
    Order.objects.filter(number=202).update(state=Order.State.CANCELLED)

    answer = seller_client.post(reverse("day-commit", args=[ISO]))

    assert answer.status_code == 422
    assert "Order 202 is cancelled" in answer.content.decode()
    assert Letter.objects.count() == 0


def test_a_day_taken_back_is_a_draft_again(seller_client, planned):
    seller_client.post(reverse("day-commit", args=[ISO]))

    seller_client.post(reverse("day-take-back", args=[ISO]))

    assert Day.objects.get().state == Day.State.DRAFT
    seller_client.post(reverse("day-clear", args=[ISO]))
    assert Run.objects.count() == 0


def test_a_move_that_breaks_the_hours_is_refused_with_the_reason(seller_client, planned):
    marlow = Stop.objects.get(order__number=201)
    last = Stop.objects.get(order__number=203).load
    form = {"act": "move", "stop": marlow.pk, "place": f"{last.pk}:3"}

    answer = seller_client.post(reverse("day-edit", args=[ISO]), form)

    assert answer.status_code == 422
    assert "Big trailer" in answer.content.decode()
    assert Stop.objects.get(order__number=201).load != last


def test_a_pin_and_a_take_off_are_kept(seller_client, planned):
    greta = Stop.objects.get(order__number=202)
    edit = reverse("day-edit", args=[ISO])

    seller_client.post(edit, {"act": "pin", "stop": greta.pk, "pinned": "1"})
    greta.refresh_from_db()
    assert greta.pinned
    answer = seller_client.post(edit, {"act": "take-off", "number": "203"}, follow=True)

    assert re.search(r"It costs \$[\d.]+ less. It takes \d h \d+ min less", answer.content.decode())
    assert not Stop.objects.filter(order__number=203).exists()


@pytest.mark.parametrize("form", [{"act": "fly"}, {"act": "move", "stop": "x"}, {"act": "take-off"}, {}])
def test_an_edit_that_makes_no_sense_is_not_found(seller_client, planned, form):
    assert seller_client.post(reverse("day-edit", args=[ISO]), form).status_code == 404


def test_the_load_sheet_says_what_goes_on_first(seller_client, planned):
    page = seller_client.get(reverse("load-sheet", args=[ISO])).content.decode()

    assert "Draft: not committed yet" in page
    assert page.index("Pilar Ostrander: Knob fir") < page.index("Greta Sool: Knob fir")
    assert "12 Street" not in page
    assert "29.7 mi loaded" in page


def test_a_day_that_is_no_date_is_not_found(seller_client, business):
    assert seller_client.get("/seller/days/tomorrow").status_code == 404


def test_the_list_shows_what_must_go(seller_client, friday):
    page = seller_client.get(reverse("days")).content.decode()

    assert "3 must go" in page


def test_a_large_day_is_planned_in_the_background(seller_client, friday, monkeypatch):
    monkeypatch.setattr("routing.services.days.SMALL_DAY_ORDERS", 1)

    answer = seller_client.post(reverse("day-plan", args=[ISO]), plan_form(friday, seconds="1"))

    job = PlanJob.objects.get()
    assert answer["Location"] == reverse("day-job", args=[job.key])
    assert job.state == PlanJob.State.DONE, job.message
    assert Stop.objects.count() == 3
    assert "See the day" in seller_client.get(answer["Location"]).content.decode()


def test_a_planning_shows_its_progress_to_htmx_and_can_be_stopped(seller_client, business, an_instant):
    key = jobs.start_job(first_on=FRIDAY, last_on=FRIDAY, orders=(), at=an_instant)
    jobs.begin(key=key, at=timezone.now())
    jobs.note_progress(key=key, at=timezone.now(), seconds=1.2, best_cents=20_100, bound_cents=19_900)

    part = seller_client.get(reverse("day-job", args=[key]), headers={"HX-Request": "true"})
    stopped = seller_client.post(reverse("day-job-stop", args=[key]), follow=True)

    assert "keeps the best plan so far" in stopped.text
    assert "$201.00" in part.content.decode()
    assert "<html" not in part.content.decode()
    assert jobs.stop_is_asked(key=key)


def test_a_planning_whose_worker_was_killed_says_so_and_blocks_nothing(seller_client, friday, an_instant):
    key = jobs.start_job(first_on=FRIDAY, last_on=FRIDAY, orders=(), at=an_instant, seconds=10)
    jobs.begin(key=key, at=timezone.now() - timedelta(seconds=75))

    page = seller_client.get(reverse("day-job", args=[key])).content.decode()
    day = seller_client.get(reverse("day", args=[ISO])).content.decode()
    again = seller_client.post(reverse("day-plan", args=[ISO]), plan_form(friday))

    assert "gone silent" in page
    assert "hx-get" not in page  # the page asks no more
    assert "A plan is being made" not in day
    assert again.status_code == 302
    assert Stop.objects.count() == 3


def test_a_planning_that_breaks_off_is_not_left_running(seller_client, friday, an_instant, monkeypatch):
    def breaks(**wants):
        raise ZeroDivisionError

    monkeypatch.setattr("routing.tasks.plan_day", breaks)
    key = jobs.start_job(first_on=FRIDAY, last_on=FRIDAY, orders=(), at=an_instant)

    plan_in_background.enqueue(str(key))

    job = PlanJob.objects.get(key=key)
    assert job.state == PlanJob.State.FAILED
    assert "nothing was changed" in str(job.message)


def test_a_job_that_cannot_plan_ends_with_the_sentence(seller_client, business, an_instant):
    key = jobs.start_job(first_on=FRIDAY, last_on=FRIDAY, orders=(), at=an_instant)

    plan_in_background.enqueue(str(key))

    job = PlanJob.objects.get(key=key)
    assert job.state == PlanJob.State.FAILED
    assert "No rig is out" in str(job.message)
