"""When the next dry wood may be promised: by the drying forecast, or by the season's plan where none lies."""

from datetime import date, datetime

import pytest
from django.utils import timezone
from django.utils.translation import override

from firewood_site.clock import today
from firewood_site.customer.next_dry import about_when
from inventory.selectors.sale import lots_drying
from routing.models import SeasonOutlook
from tests.conftest import A_DAY
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_sheet

pytestmark = pytest.mark.django_db
SPANISH = {"headers": {"Accept-Language": "es"}}


def planned(week_on=A_DAY, day="2027-07-16"):
    SeasonOutlook.objects.create(
        week_on=week_on,
        made_at=timezone.make_aware(datetime(2026, 9, 18)),
        answer={"next_dry": [["fir", day]]},
    )


@pytest.mark.parametrize(
    ("day", "english", "spanish"),
    [
        (date(2026, 10, 4), "early October", "principios de octubre"),
        (date(2026, 11, 20), "mid-November", "mediados de noviembre"),
        (date(2027, 3, 21), "late March 2027", "fines de marzo de 2027"),
        (
            date(2026, 9, 18),
            "any day now, once we have measured it",
            "en cualquier momento, en cuanto la midamos",
        ),
    ],
)
def test_a_day_is_said_as_people_say_it(day, english, spanish):
    assert about_when(day, A_DAY) == english
    with override("es"):
        assert about_when(day, A_DAY) == spanish


def test_wood_that_is_not_dry_is_told_by_the_day_it_may_be_promised(client, business):
    make_sheet()
    make_lot(code="K6", split_on=A_DAY, drying_from=A_DAY)
    make_lot(code="K2", form="rounds", drying_from=date(2026, 3, 1))
    sure = next(lot.dry_on for lot in lots_drying(today()) if lot.code == "K6")
    planned()  # a lot that lies there goes before what the plan would split

    assert sure is not None
    for page in (client.get("/"), client.get("/tell-me")):
        assert f"Next seasoned fir: {about_when(sure, today())}" in page.content.decode()


def test_the_sellers_own_words_stand_before_the_forecast(client, business):
    make_sheet()
    make_lot(code="K6", split_on=A_DAY, drying_from=A_DAY, said_ready="after the fair")

    assert "Next seasoned fir: after the fair" in client.get("/").content.decode()


def test_wood_that_is_sold_out_is_told_by_the_seasons_plan(client, business):
    make_sheet()
    make_yard()
    planned()

    assert "Next seasoned fir: mid-July 2027" in client.get("/").content.decode()
    assert "Next seasoned fir: mid-July 2027" in client.get("/tell-me").content.decode()
    spanish = "Próxima leña de abeto de Douglas, seca: mediados de julio de 2027"
    assert spanish in client.get("/", **SPANISH).content.decode()


@pytest.mark.parametrize("plan", [{"week_on": date(2026, 9, 4)}, {"day": "2026-09-10"}])
def test_a_plan_that_is_old_or_whose_day_is_gone_promises_nothing(client, business, plan):
    make_sheet()
    make_yard()
    planned(**plan)

    assert "Next seasoned fir" not in client.get("/").content.decode()
