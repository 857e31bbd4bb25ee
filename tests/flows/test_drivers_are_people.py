"""Story 8 of a live day: whoever drives is a person, with a sign-in, a wage, hours and a lunch."""

from datetime import datetime, time, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from routing.models import Driver, Run
from tests.factories.day import FRIDAY, drive_by_the_job, lay_out, make_friday

ISO = FRIDAY.isoformat()
WAGE = Decimal("31.50")
HOUR = 3600
TAM = {
    "name": "Tam", "wage_hour": "31.50", "starts_at": "07:00", "ends_at": "17:00", "longest_hours": "9",
    "break_minutes": 30, "break_from": "11:30", "break_to": "13:00", "works": "on",
}  # fmt: skip


@pytest.fixture
def friday(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    made = make_friday()
    lay_out(made, an_instant)
    return made


def edit(client, **given):
    run = Run.objects.get()
    form = {"act": "hours", "run": run.pk, "starts_at": "07:30", "ends_at": "18:00", **given}
    return client.post(reverse("day-edit", args=[ISO]), form, follow=True)


def after(clock: time, minutes: int) -> time:
    return (datetime.combine(FRIDAY, clock) + timedelta(minutes=minutes)).time()


def test_story_8_a_driver_has_a_name_a_wage_hours_and_a_lunch(seller_client, friday):
    nobody = Run.objects.get()
    usual = friday.big.running_costs.get().wage_hour
    assert nobody.driver is None

    seller_client.post(reverse("driver-new"), TAM)
    tam = Driver.objects.get()
    page = edit(seller_client, crew=tam.pk).content.decode()

    run = Run.objects.get()
    assert "Tam, Big trailer" in page
    assert run.home_at == after(nobody.home_at, 30)  # lunch, and it is not paid
    assert run.paid_seconds == nobody.paid_seconds
    more = (WAGE - usual) * run.paid_seconds / HOUR
    assert abs(run.cost_cents - nobody.cost_cents - more * 100) <= 1

    seller_client.post(reverse("driver-new"), {**TAM, "name": "Odell", "wage_hour": "20"})
    edit(seller_client, crew=f"{tam.pk}+{Driver.objects.get(name='Odell').pk}")
    both = Run.objects.get()
    assert both.helper.name == "Odell"
    assert abs(both.cost_cents - run.cost_cents - Decimal(20) * run.paid_seconds / HOUR * 100) <= 1


def test_story_8_nobody_is_planned_past_their_hours(seller_client, friday):
    seller_client.post(reverse("driver-new"), {**TAM, "ends_at": "12:00"})

    answer = edit(seller_client, crew=Driver.objects.get().pk)

    assert "Tam" in answer.content.decode()
    assert Run.objects.get().driver is None
    assert Run.objects.get().home_at > time(12)


def test_story_8_the_sign_in_of_a_driver_opens_their_own_run(
    seller_client, driver_client, driver, friday, monkeypatch
):
    seller_client.post(reverse("driver-new"), {**TAM, "signs_in_as": driver.username})
    seller_client.post(reverse("driver-new"), {**TAM, "name": "Odell"})
    edit(seller_client, crew=Driver.objects.get(name="Odell").pk)
    seller_client.post(reverse("day-commit", args=[ISO]))

    others = driver_client.get(reverse("run-today")).content.decode()
    assert "Marlow Finch" not in others
    assert "Big trailer, Odell" in others
    Run.objects.update(driver=Driver.objects.get(name="Tam"))

    assert "Marlow Finch" in driver_client.get(reverse("run-today")).content.decode()
