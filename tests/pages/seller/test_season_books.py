"""What the season ahead is planned from: hours, closures, ground, rigs and yards as the books have them."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from firewood_site.seller.forms.season import SeasonGuessForm
from inventory.models import Lot, Unit, WeatherStation, WeatherYear, Yard
from routing.models import SeasonGuesses, Shut
from routing.season.problem import Step
from routing.selectors.season.periods import period_of, period_starts
from routing.selectors.season.season_problem import season_asked
from tests.conftest import A_DAY
from tests.factories.inventory import make_unit

pytestmark = pytest.mark.django_db
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))


@pytest.mark.slow
def test_days_off_take_their_hours(demo):
    before = season_asked(A_DAY).season.people[0].hours[0]
    Shut.objects.create(kind="off", from_on=A_DAY, to_on=date(2026, 9, 24), reason="Day job")

    assert before > 0
    assert season_asked(A_DAY).season.people[0].hours[0] == 0


@pytest.mark.slow
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


@pytest.mark.slow
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


def test_a_rig_that_brings_nothing_in_a_day_is_refused():
    """None at all would read as any amount."""
    form = SeasonGuessForm({"near_cords_a_day": "0"}, today=A_DAY)

    assert (
        form.errors["loads"]
        .as_text()
        .endswith("Cords a rig delivers near in a day: Ensure this value is greater than or equal to 0.01.")
    )
