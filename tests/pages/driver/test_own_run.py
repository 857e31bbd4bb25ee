"""Whoever drives signs in by a name of their own and sees their own run first."""

import pytest
from django.urls import reverse

from routing.models import Driver, Run
from tests.factories.day import FRIDAY, commit, drive_by_the_job, make_friday


@pytest.fixture
def one_run(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    commit(make_friday(), an_instant)
    return Run.objects.get(day__on=FRIDAY)


def seen(client):
    return client.get(reverse("run-today")).content.decode()


def driven_by(run, name, **more):
    run.driver = Driver.objects.create(name=name, **more)
    run.save()


def test_a_driver_sees_their_own_run_and_another_ones_as_a_link(driver_client, driver, one_run):
    driven_by(one_run, "Tam", signs_in_as=driver.username)
    own = seen(driver_client)
    assert "Marlow Finch" in own
    assert "Other runs today" not in own

    driven_by(one_run, "Odell")
    others = seen(driver_client)
    assert "Marlow Finch" not in others
    assert f'href="{reverse("run", args=[one_run.pk])}">Big trailer, Odell' in others


def test_a_helper_sees_the_run_they_help_on(driver_client, driver, one_run):
    one_run.helper = Driver.objects.create(name="Tam", signs_in_as=driver.username)
    one_run.save()

    assert "Marlow Finch" in seen(driver_client)


def test_a_sign_in_that_is_nobodys_sees_all_runs(driver_client, one_run):
    driven_by(one_run, "Odell")

    assert "Marlow Finch" in seen(driver_client)


def test_one_sign_in_is_one_persons(seller_client, driver):
    typed = {
        "name": "Tam", "starts_at": "07:00", "ends_at": "18:00", "longest_hours": "10", "break_minutes": "0",
        "break_from": "11:30", "break_to": "13:30", "works": "on", "signs_in_as": driver.username,
    }  # fmt: skip
    seller_client.post(reverse("driver-new"), typed)
    answer = seller_client.post(reverse("driver-new"), typed | {"name": "Odell"})
    stranger = seller_client.post(
        reverse("driver-new"), typed | {"name": "Odell", "signs_in_as": "nobody-here"}
    )

    assert Driver.objects.get().signs_in_as == driver.username
    assert answer.status_code == stranger.status_code == 422
    assert f"Tam signs in as {driver.username} already" in answer.content.decode()
