"""The season ahead: from the demo's books to this week's advice, and from empty books to what is missing."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from firewood_site.daily import daily_work
from firewood_site.seller.forms.season import SeasonGuessForm
from inventory.models import Lot, Unit, WeatherStation, WeatherYear, WorkEntry, Yard
from inventory.services.work import add_expense, add_work
from orders.models import Order
from orders.services.orders import hand_over_pick_up
from routing.models import SeasonGuesses, SeasonOutlook, Shut
from routing.season.problem import Step
from routing.selectors.season.outlook import newest_outlook, season_guesses
from routing.selectors.season.periods import period_of, period_starts
from routing.selectors.season.season_problem import NothingToPlan, season_asked
from routing.services.season import plan_season
from tests.conftest import A_DAY
from tests.factories.inventory import make_lot, make_unit, make_yard
from tests.factories.orders import make_order, make_sheet
from tests.pages.seller.figures import main_of, number, rows_of

pytestmark = pytest.mark.django_db
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


@pytest.fixture
def demo(db):
    call_command("load_demo", verbosity=0)


@pytest.fixture
def ruth(demo, client):
    """The demo's seller, logged in."""
    client.force_login(User.objects.get(username="ruth"))
    return client


def answer_of_a_week():
    """The least an answer holds to be held against what happened."""
    return {"periods": [{"all_hours": 8, "hours": {}, "sold": {"near": 1}, "net": 100}]}


def guesses(**changes):
    values = {name: "" if value is None else str(value) for name, value in season_guesses().items()}
    for row, quarter in enumerate(("fall", "winter", "spring", "summer"), start=1):
        values[f"hours_{row}"] = values.pop(f"{quarter}_hours")
        values[f"helper_hours_{row}"] = values.pop(f"helper_{quarter}_hours")
    return values | changes


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
        likely = Decimal(hours)
        add_work(on=A_DAY + timedelta(days=days), job=job, hours_low=likely, hours_likely=likely,
                 hours_high=likely, **where, **told)  # fmt: skip
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


def test_empty_books_say_what_is_missing(business, seller_client):
    with pytest.raises(NothingToPlan, match="price sheet"):
        season_asked(A_DAY)

    answer = seller_client.post(reverse("season-ahead"), guesses(), follow=True)

    assert "There is no price sheet yet" in answer.content.decode()
    assert not SeasonOutlook.objects.exists()
    page = seller_client.get(reverse("season-ahead")).content.decode()  # and before anybody presses
    assert "There is no price sheet yet" in page
    assert f'<a href="{reverse("prices")}">' in page


def test_books_without_hours_sales_or_wood_say_so(business, seller_client):
    make_sheet()
    make_yard()
    plan_season(on=A_DAY, at=AT)

    page = seller_client.get(reverse("season-ahead")).content.decode()

    assert "No hours are known yet" in page
    assert "No sales are known yet" in page
    assert "No wood is known yet" in page
    assert "Sharpen a chain" not in page


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
        ("bills", "Nov 1, 450", "write it, or 0"),
    ],
)
def test_a_bad_guess_is_told_and_nothing_is_lost(business, seller_client, field, value, sentence):
    answer = seller_client.post(reverse("season-ahead"), guesses(**{field: value}))

    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert value in answer.content.decode()
    assert not SeasonGuesses.objects.exists()


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


def test_days_off_take_their_hours(demo):
    before = season_asked(A_DAY).season.people[0].hours[0]
    Shut.objects.create(kind="off", from_on=A_DAY, to_on=date(2026, 9, 24), reason="Day job")

    assert before > 0
    assert season_asked(A_DAY).season.people[0].hours[0] == 0


def test_a_window_opens_slash_and_a_saw_closure_stops_felling(demo):
    asked = season_asked(A_DAY).season
    in_window = [i for i in range(asked.periods) if asked.share_allowed(Step.SLASH, i) > 0]
    assert in_window == [4, 5]  # Oct 20 to Nov 15, in the four weeks from Oct 16 and from Nov 13

    Shut.objects.create(kind="saw", from_on=A_DAY, to_on=date(2026, 10, 1), reason="Fire danger")

    assert season_asked(A_DAY).season.allowed[Step.FELL][:3] == (0.0, 0.0, 1.0)


def test_counted_plots_stand_before_what_other_ground_gave(demo):
    unit = Unit.objects.get(name="East slope")
    unit.plot_size, unit.plots, unit.cost_share_until = "37 ft", "fir 8 8; oak 6\nfir 9", date(2026, 11, 1)
    unit.full_clean()
    unit.save()

    asked = season_asked(A_DAY)

    ground = asked.season.grounds[0]
    assert set(ground.cords_per_acre) == {"fir", "hardwood"}
    assert ground.yields.low < 1 < ground.yields.high
    assert ground.cost_share_until == 4
    assert "from 2 plots" in dict(asked.rests_on)["Cords an acre (East slope)"]


def test_plots_are_typed_on_the_grounds_own_page_and_a_slip_is_told(ruth):
    unit = Unit.objects.get(name="East slope")
    typed = {"name": "East slope", "acres": "3", "saw_log_dollars": "0", "cost_share_dollars": "900",
             "plots": "37 ft\nfir 8 8\nplastic 9"}  # fmt: skip

    refused = ruth.post(reverse("unit", args=[unit.pk]), typed)
    assert refused.status_code == 422
    assert "Plot 2: no wood is called plastic" in refused.content.decode()
    assert "plastic 9" in refused.content.decode()

    ruth.post(reverse("unit", args=[unit.pk]), typed | {"plots": "37 ft\nfir 8 8\nfir 9"})
    page = ruth.get(reverse("unit", args=[unit.pk])).content.decode()
    assert "From 2 plots" in page
    assert "University of New Hampshire" in page


@pytest.mark.slow
def test_prices_and_bills_are_off_until_they_are_typed(ruth):
    plan_season(on=A_DAY, at=AT)
    assert "At other prices" not in ruth.get(reverse("season-ahead")).content.decode()

    typed = guesses(lost_pct="20", cash_dollars="0", bills="Sep 20, 5000, truck")
    page = ruth.post(reverse("season-ahead"), typed, follow=True).content.decode()

    assert "At other prices" in page
    assert "10 % higher" in page
    assert "short before the money comes in" in page
    assert "more cash on hand, or a bill moved" in page


def test_strangers_and_drivers_see_nothing(client, driver_client):
    assert client.get(reverse("season-ahead")).status_code == 302
    assert driver_client.get(reverse("season-ahead")).status_code in (302, 403)


def test_periods_cover_a_year_without_a_gap():
    starts = period_starts(A_DAY)

    assert starts[0] == A_DAY
    assert period_of(date(2026, 9, 30), starts) == 1
    assert period_of(date(2027, 9, 30), starts) == len(starts)


def test_ground_counts_what_is_left_to_thin(business):
    whole = make_unit(name="Whole", acres=Decimal(3))
    started = make_unit(name="Started", acres=Decimal(3), started_on=A_DAY)
    partly = make_unit(name="Partly", acres=Decimal(3), started_on=A_DAY, acres_left=Decimal("1.5"))

    left = [unit.acres_to_thin for unit in (whole, started, partly)]

    assert left == [3, 0, Decimal("1.5")]


def test_rig_days_near_loads_and_ways_between_yards_are_read_from_the_books(demo):
    guessed = season_asked(A_DAY)
    SeasonGuesses.objects.update(rig_days_a_week=2, near_cords_a_day=Decimal("1.5"))
    Shut.objects.create(kind=Shut.Kind.OFF, from_on=A_DAY, to_on=A_DAY + timedelta(days=6), reason="away")

    typed = season_asked(A_DAY)

    assert guessed.season.rig_days[1] == 6  # both trailers hang on one pickup
    near, far = guessed.season.markets
    assert near.cords_a_day == pytest.approx(8 / near.hours)
    assert far.days_a_cord == pytest.approx(1 / far.trip_cords)
    assert typed.season.rig_days[:2] == (0, 2)  # nobody works in the first week
    assert typed.season.markets[0].cords_a_day == 1.5
    siding = {move.origin for move in typed.season.moves}
    assert len(siding) == 1  # only the yard that may fill
    assert all(move.hours > 0.5 and move.cash > 0 for move in typed.season.moves)
    assert {"Rig days", "Near loads", "Between yards"} <= {name for name, _ in typed.rests_on}


def test_a_lot_may_be_taken_to_a_yard_with_other_air(demo):
    lot = Lot.objects.get(code="K6")
    other = Yard.objects.exclude(pk=lot.yard_id).first()
    assert other is not None
    station = WeatherStation.objects.create(name="Desert floor")
    days = [[str(date(2025, 1, 1) + timedelta(days=i)), 28, 15, 4, 20, 0, 0] for i in range(365)]
    WeatherYear.objects.create(station=station, year=2025, days=days)
    Yard.objects.filter(pk=other.pk).update(station=station)

    choices = {
        choice.key: choice
        for found in season_asked(A_DAY).season.lots
        for choice in found.choices
        if found.key == "K6"
    }

    moved = choices[f"move:{other.pk}"]
    assert moved.yard == str(other.pk)
    assert moved.name == f"take it to {other.name}"
    assert moved.ready < choices["leave"].ready
    assert moved.hours > float(lot.on_hand_cords) * 0.5


@pytest.mark.slow
def test_a_promise_nothing_can_keep_says_what_would_mend_it(ruth):
    SeasonGuesses.objects.update(rig_days_a_week=0)
    plan_season(on=A_DAY, at=AT)

    page = ruth.get(reverse("season-ahead")).content.decode()

    assert "short on its day" in page
    assert "would mend it" in page
    assert "rig days up by" in page


def test_a_rig_that_brings_nothing_in_a_day_is_refused():
    """None at all would read as any amount."""
    form = SeasonGuessForm({"near_cords_a_day": "0"}, today=A_DAY)

    assert form.errors["near_cords_a_day"] == ["Ensure this value is greater than or equal to 0.01."]
