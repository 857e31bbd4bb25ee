"""The season ahead: from the demo's books to this week's advice, and from empty books to what is missing."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from firewood_site.daily import daily_work
from inventory.core.hours import Hours
from inventory.models import Unit, WorkEntry
from inventory.services.work import add_expense, add_work
from orders.models import Order
from orders.services.orders import hand_over_pick_up
from routing.models import SeasonGuesses, SeasonOutlook
from routing.season.problem import Step
from routing.selectors.season.outlook import newest_outlook, season_guesses
from routing.selectors.season.season_problem import NothingToPlan, season_asked
from routing.services.season import plan_season
from routing.tasks import plan_season_in_background
from tests.conftest import A_DAY
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_order, make_sheet
from tests.pages.seller.figures import main_of, number, rows_of

pytestmark = pytest.mark.django_db
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


def answer_of_a_week():
    """The least an answer holds to be held against what happened."""
    return {"periods": [{"all_hours": 8, "hours": {}, "sold": {"near": 1}, "net": 100}]}


def guesses(**changes):
    values = {name: "" if value is None else str(value) for name, value in season_guesses().items()}
    for row, quarter in enumerate(("fall", "winter", "spring", "summer"), start=1):
        values[f"hours_{row}"] = values.pop(f"{quarter}_hours")
        values[f"helper_hours_{row}"] = values.pop(f"helper_{quarter}_hours")
    return values | changes


@pytest.mark.slow
def test_the_demo_gets_advice_it_can_follow_down_to_its_entries(ruth):
    answer = ruth.post(reverse("season-ahead"), guesses(), follow=True)
    outlook = newest_outlook()

    page = answer.content.decode()
    assert answer.status_code == 200
    assert outlook is not None
    assert outlook.week_on == A_DAY
    assert "What one more would be worth" in page
    assert outlook.answer["decisions"]
    assert outlook.answer["net"][0] <= outlook.answer["net"][1] <= outlook.answer["net"][2]
    assert {"Demand", "Hours a cord", "Driving (near)"} <= {name for name, _ in outlook.answer["rests_on"]}
    assert outlook.answer["lived"]["plan"] > outlook.answer["lived"]["habit"]
    assert sum(row["weeks"] for row in outlook.answer["periods"]) == 52


@pytest.mark.slow
def test_promised_orders_and_wood_as_it_lies_are_what_is_asked(demo):
    asked = season_asked(A_DAY).season

    promised = {promise.name: promise.cords for promise in asked.promises}
    assert promised["208"] == 1.0
    assert promised["210"] == 2.0
    assert "212" not in promised  # only asked for
    lots = {lot.key: lot for lot in asked.lots}
    assert {choice.key for choice in lots["K1"].choices} == {"leave"}  # dry today
    assert "green" in {choice.key for choice in lots["K6"].choices}
    assert {ground.name for ground in asked.grounds} == {"East slope", "Knob"}  # Knob: its slash


@pytest.mark.slow
def test_last_weeks_column_tells_what_was_logged_and_handed_over(ruth):
    """By the services: 2 h felling, 2.5 splitting, 1 stacking, 1.5 driving, 0.5 on the phone, a $40 chain."""
    plan_season(on=A_DAY, at=AT)
    promised = SeasonOutlook.objects.get().answer
    SeasonOutlook.objects.create(week_on=A_DAY + timedelta(days=7), made_at=AT, answer=promised)
    told = {"at": AT, "who": "ruth"}
    slope = Unit.objects.get(name="East slope").pk
    for days, job, hours, where in (
        (0, "rounds", "2", {"unit_id": slope}), (1, "split", "2.5", {"lot_code": "K6"}),
        (2, "heap", "1", {"lot_code": "K6"}), (3, "deliver", "1.5", {}), (6, "paper", "0.5", {}),
        (7, "split", "9", {}),  # the week after
    ):  # fmt: skip
        sure = Hours(low=Decimal(hours), likely=Decimal(hours), high=Decimal(hours))
        add_work(on=A_DAY + timedelta(days=days), job=job, hours=sure, **where, **told)
    add_expense(on=A_DAY, line="Saw chain", dollars=Decimal(40), kind="cord", **told)
    hand_over_pick_up(number=209, on=A_DAY + timedelta(days=2), **told)
    order = Order.objects.get(number=209)

    page = main_of(ruth.get(reverse("season-ahead")).content.decode())
    table = next(t for t in page.all("table") if "Last week" in t.text)
    done = {row[0]: number(row[2]) for row in rows_of(table, "tbody")}
    planned = {row[0]: number(row[1]) for row in rows_of(table, "tbody")}
    week = promised["periods"][0]

    hours = {"Fell and buck , hours": 2.0, "Split , hours": 2.5, "Stack , hours": 1.0, "Driving , hours": 1.5,
             "Other work , hours": 0.5}  # fmt: skip
    assert hours.items() <= done.items(), done
    assert done["All hours"] == sum(hours.values())
    assert (
        planned["All hours"]
        == week["all_hours"]
        == pytest.approx(sum(value for name, value in planned.items() if name.endswith(", hours")), abs=0.11)
    )
    assert done["Cords sold"] == float(order.cords)
    assert done["Money in"] == round(order.total_dollars - order.tax_dollars)
    assert done["Money out"] == 40
    assert done["Money in less money out"] == done["Money in"] - 40
    assert planned["Money in less money out"] == week["net"]
    assert "order 209" in page.text


@pytest.mark.slow
def test_a_second_week_is_held_against_the_first(ruth):
    plan_season(on=A_DAY, at=AT)
    WorkEntry.objects.create(  # on the first day after the months brought forward
        on=A_DAY, job=WorkEntry.Job.SPLIT, hours_low=2, hours_likely=Decimal("2.5"), hours_high=3
    )
    plan_season(on=date(2026, 9, 25), at=AT)

    outlook = newest_outlook()

    assert outlook is not None
    assert outlook.since is not None
    assert outlook.since.week_on == A_DAY
    assert outlook.since.hours_worked >= 2.5
    assert ("split", Decimal("2.50")) in {(step, worked) for step, _, worked in outlook.since.steps}
    assert "Money in less money out" in ruth.get(reverse("season-ahead")).content.decode()


def test_the_week_held_against_the_plan_is_one_that_is_over(ruth):
    for on in (date(2026, 9, 11), date(2026, 9, 17), A_DAY):
        SeasonOutlook.objects.create(week_on=on, made_at=AT, answer=answer_of_a_week())

    outlook = newest_outlook()

    assert outlook is not None
    assert outlook.since is not None
    assert outlook.since.week_on == date(2026, 9, 11)
    assert outlook.since.is_brought  # the demo's older books reach to the day before it opens


@pytest.mark.slow
def test_the_worker_plans_anew_once_a_week_without_a_press(demo):
    for days, planned in ((0, 1), (1, 1), (6, 1), (7, 2)):
        on = A_DAY + timedelta(days=days)
        daily_work(on=on, at=AT + timedelta(days=days))
        assert SeasonOutlook.objects.count() == planned

    outlook = newest_outlook()

    assert outlook is not None
    assert outlook.week_on == date(2026, 9, 25)
    assert outlook.since is not None
    assert outlook.since.week_on == A_DAY


def test_a_season_asked_for_before_the_last_planning_began_is_not_planned_again(business):
    """Three presses while the worker was busy planned it three times, a quarter of a minute each."""
    SeasonOutlook.objects.create(week_on=A_DAY, made_at=AT, answer={})

    assert (
        plan_season_in_background.call(A_DAY.isoformat(), (AT - timedelta(minutes=1)).isoformat()) == "done"
    )
    assert "price sheet" in plan_season_in_background.call(
        A_DAY.isoformat(), (AT + timedelta(minutes=1)).isoformat()
    )


def test_empty_books_say_what_is_missing(business, seller_client):
    with pytest.raises(NothingToPlan, match="price sheet"):
        season_asked(A_DAY)

    answer = seller_client.post(reverse("season-ahead"), guesses(), follow=True)

    assert "There is no price sheet yet" in answer.content.decode()
    assert not SeasonOutlook.objects.exists()
    page = seller_client.get(reverse("season-ahead")).content.decode()  # and before anybody presses
    assert "There is no price sheet yet" in page
    assert f'<a href="{reverse("prices")}">' in page


@pytest.mark.slow
def test_books_without_hours_sales_or_wood_say_so(business, seller_client):
    make_sheet()
    make_yard()
    plan_season(on=A_DAY, at=AT)

    page = seller_client.get(reverse("season-ahead")).content.decode()

    assert "No hours are known yet" in page
    assert "No sales are known yet" in page
    assert "No wood is known yet" in page
    assert "Sharpen a chain" not in page


@pytest.mark.slow
def test_a_small_season_says_that_only_one_thing_matters(business, seller_client):
    """A cord of dry fir, three hours a week, one order promised: nothing else to decide."""
    make_sheet()
    make_lot(code="K1", cords=1, yard=make_yard(), split_on=date(2025, 3, 1), drying_from=date(2025, 3, 1))
    SeasonGuesses.objects.create(fall_hours=3, winter_hours=3, spring_hours=3, summer_hours=3)
    order = make_order(state="confirmed", cords=1, total_dollars=Decimal(260), last_on=date(2026, 9, 22))
    plan_season(on=A_DAY, at=AT)

    page = seller_client.get(reverse("season-ahead")).content.decode()

    assert "Only this matters this week: all else can wait at no cost." in page
    assert reverse("order", args=[order.number]) in page


def test_an_answer_of_an_earlier_version_asks_to_be_planned_again(business, seller_client):
    SeasonOutlook.objects.create(week_on=A_DAY, made_at=AT, answer=answer_of_a_week())

    answer = seller_client.get(reverse("season-ahead"))

    assert answer.status_code == 200
    assert "made by an earlier version" in answer.content.decode()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("hours_1", "200", "less than or equal to 168"),
        ("demand_low_pct", "150", "low share of last year"),
        ("dry_chance_pct", "10", "greater than or equal to 50"),
        ("bills", "soon", "Line 1 of the bills"),
        ("bills", "Nov 1, 450", "write it, or cash 0"),
        ("bills", "cash some", "Cash: Enter a number"),
    ],
)
def test_a_bad_guess_is_told_and_nothing_is_lost(business, seller_client, field, value, sentence):
    answer = seller_client.post(reverse("season-ahead"), guesses(**{field: value}))

    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert value in answer.content.decode()
    assert not SeasonGuesses.objects.exists()


@pytest.mark.slow
def test_who_saws_and_who_drives_is_typed_and_kept(ruth):
    typed = guesses(helper_name="Ada", helper_saws="on")
    typed.pop("helper_drives")
    typed.pop("saws")
    ruth.post(reverse("season-ahead"), typed)

    asked = season_asked(A_DAY)
    you, ada = asked.season.people
    assert (you.name, ada.name) == ("You", "Ada")
    assert Step.FELL not in you.steps
    assert Step.FELL in ada.steps
    assert not ada.steps & {Step.HAUL, Step.MOVE, Step.DELIVER_NEAR, Step.DELIVER_FAR}
    assert you.steps & ada.steps >= {Step.SPLIT, Step.STACK, Step.TEND, Step.SLASH}
    assert dict(asked.rests_on)["Who saws"] == "Ada, as you typed"
    assert dict(asked.rests_on)["Who drives"] == "You, as you typed"
    answer = SeasonOutlook.objects.get().answer
    (hers,) = [person for person in answer["who"] if person["name"] == "Ada"]
    assert not {row["step"] for row in hers["rows"]} & {"haul", "move", "deliver_near", "deliver_far"}


@pytest.mark.slow
def test_prices_and_bills_are_off_until_they_are_typed(ruth):
    plan_season(on=A_DAY, at=AT)
    assert "At other prices" not in ruth.get(reverse("season-ahead")).content.decode()

    typed = guesses(lost_pct="20", bills="cash 0\nSep 20, 5000, truck")
    page = ruth.post(reverse("season-ahead"), typed, follow=True).content.decode()

    assert "At other prices" in page
    assert "10% higher" in page
    assert "short before the money comes in" in page
    assert "more cash on hand, or a bill moved" in page


def test_strangers_and_drivers_see_nothing(client, driver_client):
    assert client.get(reverse("season-ahead")).status_code == 302
    assert driver_client.get(reverse("season-ahead")).status_code in (302, 403)


@pytest.mark.slow
def test_a_promise_nothing_can_keep_says_what_would_mend_it(ruth):
    SeasonGuesses.objects.update(rig_days_a_week=0)
    plan_season(on=A_DAY, at=AT)

    page = ruth.get(reverse("season-ahead")).content.decode()

    assert "short on its day" in page
    assert "would mend it" in page
    assert "rig days up by" in page
