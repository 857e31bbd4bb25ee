"""The day as a board: lines of time, what an hour earns, moves priced first, steps taken back."""

import re
from datetime import time, timedelta

import pytest
from django.urls import reverse

from orders.models import Order
from routing.models import Run, Stop
from routing.services import days
from tests.factories.day import FRIDAY, at, drive_by_the_job, make_friday

ISO = FRIDAY.isoformat()
PART = {"HX-Request": "true"}


@pytest.fixture
def friday(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    made = make_friday()
    days.lay_out_day(
        on=FRIDAY, rig_id=made.big.pk, loads=((made.creek.pk, (201,)), (made.siding.pk, (202, 203))),
        at=an_instant, who="ruth", starts_at=time(7, 30),
    )  # fmt: skip
    return made


def asked(client, number, **asks):
    stop = Stop.objects.get(order__number=number)
    return client.get(reverse("drop-moves", args=[ISO, stop.pk]), asks, headers=PART).content.decode()


def test_the_board_shows_each_run_on_a_line_of_time_and_what_its_hours_earn(seller_client, friday):
    page = seller_client.get(reverse("day", args=[ISO])).content.decode()

    strip = re.search(r'<svg class="strip run-a".*?</svg>', page).group()
    assert strip.count('class="stop"') == 3
    assert strip.count('class="aboard"') == 2
    assert "Big trailer: 2 loads, 3 drops" in strip
    assert re.search(r'class="per-hour">(?:−\u2060)?\$\d+/h<', page)
    assert page.count('class="grip') == 3


def test_a_promised_window_carries_its_chance(seller_client, friday, monkeypatch):
    morning = at(6)
    monkeypatch.setattr("django.utils.timezone.now", lambda: morning)

    page = seller_client.get(f"/seller/days/{FRIDAY}").content.decode()

    chances = [int(told) for told in re.findall(r", (\d+)% on time", page)]
    assert len(chances) == 3
    assert all(50 <= chance <= 99 for chance in chances)


def test_a_place_is_priced_before_the_drop_is_let_go(seller_client, friday):
    places = re.findall(r'data-place="([^"]+)"', asked(seller_client, 202))
    assert places

    said = asked(seller_client, 202, to=places[0])

    assert "Greta Sool to Big trailer" in said
    assert re.search(r"[+−]\u2060?\$\d+\.\d\d|same cost", said)
    assert re.search(r"\$\d+/h", said)
    assert "Put back" in said
    assert "<html" not in said
    seller_client.post(
        reverse("day-edit", args=[ISO]),
        {"act": "move", "stop": Stop.objects.get(order__number=202).pk, "place": places[0]},
    )
    page = seller_client.get(reverse("day", args=[ISO])).content.decode()
    assert "Undo<" in page
    assert "moved order 202" in page


def test_a_place_that_breaks_a_rule_says_which(seller_client, friday):
    last = Stop.objects.get(order__number=203).load

    said = asked(seller_client, 201, to=f"{last.pk}:3")

    assert "Nothing was moved" in said
    assert "Big trailer" in said
    assert seller_client.get(
        reverse("drop-moves", args=[ISO, Stop.objects.get(order__number=201).pk]), {"to": "nowhere"}
    ).status_code == 404  # fmt: skip


def test_a_drop_goes_to_another_day_in_one_step_and_back_in_one(seller_client, friday):
    saturday = FRIDAY + timedelta(days=1)
    address = reverse("order-day", args=[203])

    said = seller_client.get(address, {"to": f"{saturday}"}, headers=PART).content.decode()
    assert "Pilar Ostrander from Fri, Sep 18 to Sat, Sep 19?" in said
    assert "They asked for" in said
    assert re.search(r"[+−]\u2060?\$\d+\.\d\d", said)
    answer = seller_client.post(address, {"to": f"{saturday}"}, follow=True)
    assert "Pilar Ostrander is on Sat, Sep 19 now" in answer.content.decode()
    assert Stop.objects.get(order__number=203).load.run.day.on == saturday

    seller_client.post(reverse("day-edit", args=[ISO]), {"act": "undo"})
    assert Stop.objects.get(order__number=203).load.run.day.on == FRIDAY
    seller_client.post(reverse("day-edit", args=[ISO]), {"act": "redo"})
    assert Stop.objects.get(order__number=203).load.run.day.on == saturday
    assert seller_client.get(address, {"to": "soon"}).status_code == 404
    assert seller_client.get(reverse("order-day", args=[999]), {"to": f"{saturday}"}).status_code == 404


def test_no_step_is_taken_back_once_the_rig_is_out(seller_client, friday, an_instant):
    seller_client.post(reverse("day-edit", args=[ISO]), {"act": "take-off", "number": "203"})
    Run.objects.update(actual_leave_at=an_instant)

    answer = seller_client.post(reverse("day-edit", args=[ISO]), {"act": "undo"})

    assert answer.status_code == 422
    assert "Big trailer is out" in answer.content.decode()
    assert "steps are not taken back any more" in answer.content.decode()


def test_one_run_can_be_looked_at_without_javascript(seller_client, friday):
    page = seller_client.get(reverse("day", args=[ISO]), {"run": "0"})

    assert page.status_code == 200
    assert 'data-run="0" aria-current="true"' in page.content.decode()
    assert seller_client.get(reverse("day", args=[ISO]), {"run": "77"}).status_code == 200


def test_a_week_stands_side_by_side_and_a_waiting_order_is_priced_onto_a_day(seller_client, friday):
    Order.objects.filter(number=203).update(last_on=FRIDAY + timedelta(days=3))
    seller_client.post(reverse("day-edit", args=[ISO]), {"act": "take-off", "number": "203"})

    page = seller_client.get(reverse("week-board"), {"from": ISO}).content.decode()

    assert page.count("data-day=") == 7
    assert page.index("No day yet") < page.index("Pilar Ostrander") < page.index(f'data-day="{ISO}"')
    assert page.index(f'data-day="{ISO}"') < page.index("Greta Sool")
    address = reverse("order-day", args=[203])
    assert "To which day?" in seller_client.get(address).content.decode()
    said = seller_client.get(address, {"to": ISO}, headers=PART).content.decode()
    assert re.search(r"\+\$\d+\.\d\d", said)
    seller_client.post(address, {"to": ISO})
    assert Stop.objects.get(order__number=203).load.run.day.on == FRIDAY
    assert seller_client.get(reverse("week-board"), {"from": "soon"}).status_code == 200


def test_an_answer_and_the_day_take_few_questions(seller_client, friday, django_assert_max_num_queries):
    """However many drops: roads, seller, runs and what is aboard are read once a page."""
    stop = Stop.objects.get(order__number=202)

    with django_assert_max_num_queries(59):
        seller_client.get(
            reverse("drop-moves", args=[ISO, stop.pk]), {"to": f"{stop.load_id}:9"}, headers=PART
        )
    with django_assert_max_num_queries(61):
        seller_client.get(reverse("day", args=[ISO]))
