"""The acre sheet from rows: job example 7, and what it says of missing figures."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone

from inventory.models import Expense, Movement, Unit, WorkEntry
from routing.models import Load, Run, Stop
from routing.selectors.earned.acre import acre_view
from tests.factories.inventory import make_lot, make_unit, make_yard
from tests.factories.orders import make_order
from tests.factories.routing import make_day, make_rig

pytestmark = pytest.mark.django_db
ON = date(2026, 6, 1)
HOURS = {"rounds": "27", "haul": "4.5", "split": "10.8", "heap": "6.75", "slash": "20", "deliver": "13.6"}


def log(unit: Unit, job: str, hours: str) -> None:
    likely = Decimal(hours)
    WorkEntry.objects.create(
        on=ON,
        job=job,
        hours_low=likely * Decimal("0.8"),
        hours_likely=likely,
        hours_high=likely * 2,
        unit=unit,
    )


@pytest.fixture
def knob(business) -> Unit:
    """The unit of job example 7: 82.65 hours, 459 cash, nine cords, saw logs and cost-share."""
    unit = make_unit(
        name="Knob",
        acres=Decimal("1.5"),
        saw_log_dollars=Decimal(180),
        cost_share_dollars=Decimal(600),
        hire_out_low=Decimal(335),
        hire_out_high=Decimal(1395),
        sold_before={"fir": {"cords": "7", "dollars": "1820"}, "hardwood": {"cords": "2", "dollars": "700"}},
    )
    for job, hours in HOURS.items():
        log(unit, job, hours)
    Expense.objects.create(on=ON, line="saw gas and oil", dollars=Decimal(459), kind="cord", unit=unit)
    return unit


def test_the_ground_reads_as_in_the_worked_example(knob):
    view = acre_view(knob.pk, on=ON)

    without = view.sheet.line(with_cost_share=False)
    shared = view.sheet.line(with_cost_share=True)
    assert view.thinning.hours == Fraction("82.65")
    assert (without.net, without.net_per_acre) == (2241, 1494)
    assert (without.per_hour, without.left_after_wages) == (Decimal("27.11"), Decimal("174.75"))
    assert (shared.net, shared.net_per_acre) == (2841, 1894)
    assert (shared.per_hour, shared.left_after_wages) == (Decimal("34.37"), Decimal("774.75"))
    assert view.sheet.verdict == "The wood paid for the thinning and left $175."


def test_slash_hours_stand_apart(knob):
    view = acre_view(knob.pk, on=ON)

    assert [step.job for step in view.steps if step.is_slash] == ["slash"]
    assert view.sheet.line(with_cost_share=False, with_slash=False).hours == Fraction("62.65")


def test_money_for_slash_work_is_what_was_booked_on_that_job_whatever_its_line_says(knob):
    Expense.objects.create(
        on=ON, line="burn permit", dollars=Decimal(30), kind="cord", job="slash", unit=knob
    )
    Expense.objects.create(on=ON, line="gloves, not for slash", dollars=Decimal(11), kind="cord", unit=knob)

    thinning = acre_view(knob.pk, on=ON).thinning

    assert thinning.cash == 500
    assert thinning.slash_cash == 30


def test_hiring_it_out_is_read_at_both_prices(knob):
    cheap, dear = acre_view(knob.pk, on=ON).hired

    assert cheap.sheet.hired_net == Decimal("97.50")  # 600 less 1.5 x 335
    assert dear.sheet.hired_net == Decimal("-1492.50")  # 600 less 1.5 x 1,395
    assert cheap.sheet.better_than_hired == Decimal("677.25")


def test_hours_that_are_guesses_give_a_range(knob):
    wages = acre_view(knob.pk, on=ON).wages

    assert wages.worst < wages.likely < wages.best
    assert wages.likely == Decimal("34.37")


def test_wood_sold_since_counts_at_its_part_of_the_order(knob):
    knob_lot, other_lot = make_lot(unit=knob), make_lot()
    order = make_order(cords=Fraction(1), total_dollars=Decimal(260))
    for lot, cords in ((knob_lot, Fraction(3, 4)), (other_lot, Fraction(1, 4))):
        Movement.objects.create(
            lot=lot, kind=Movement.Kind.SOLD, cords=-cords, on=ON, reference=order.reference,
            made_at=timezone.make_aware(datetime(2026, 9, 18, 12)),
        )  # fmt: skip

    view = acre_view(knob.pk, on=ON)

    (since,) = [line for line in view.sold if line.when == "since the books began"]
    assert (since.cords, since.dollars) == (Fraction(3, 4), Decimal("195.00"))


def test_hours_logged_to_a_lot_belong_to_its_ground(business):
    unit = make_unit()
    lot = make_lot(unit=unit)
    WorkEntry.objects.create(on=ON, job="split", hours_low=1, hours_likely=2, hours_high=3, lot=lot)

    assert acre_view(unit.pk, on=ON).thinning.hours == 2


def test_runs_that_carried_its_wood_cost_hours_and_road_by_their_cords(business):
    unit, yard = make_unit(), make_yard()
    ours, theirs = make_lot(unit=unit), make_lot()
    run = Run.objects.create(
        day=make_day(), rig=make_rig(home_yard=yard), loaded_meters=16093, empty_meters=16093,
        paid_seconds=7200,
    )  # fmt: skip
    load = Load.objects.create(run=run, sequence=1, yard=yard, cords=Fraction(1), weight_lb=3000)
    for sequence, (lot, cords) in enumerate(((ours, Fraction(3, 4)), (theirs, Fraction(1, 4))), start=1):
        Stop.objects.create(
            load=load, sequence=sequence, order=make_order(), cords=cords, lot=lot, state="delivered"
        )

    view = acre_view(unit.pk, on=ON)

    assert view.thinning.hours == Fraction(3, 2)  # three quarters of two hours
    assert view.thinning.cash == Decimal("10.50")  # three quarters of 10 x .75 + 10 x .65


def test_cash_without_a_receipt_is_the_usual_cash_and_says_so(business):
    unit = make_unit(sold_before={"fir": {"cords": "2", "dollars": "520"}})

    view = acre_view(unit.pk, on=ON)

    assert view.thinning.cash == 64
    assert "no receipt names this unit" in view.cash_source


def test_ground_without_hours_has_no_wage_and_no_error(business):
    unit = make_unit()

    view = acre_view(unit.pk, on=ON)

    assert view.wages is None
    assert view.sheet.lines[0].per_hour is None


def test_the_busiest_ground_is_shown_first(knob):
    make_unit(name="Bench")

    view = acre_view(on=ON)

    assert view.unit.name == "Knob"
    assert [unit.name for unit in view.units] == ["Bench", "Knob"]


def test_no_ground_and_unknown_ground_are_none(business):
    assert acre_view(on=ON) is None
    assert acre_view(99, on=ON) is None
