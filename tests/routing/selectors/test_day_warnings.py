"""What is said of a planned day before it is committed."""

from datetime import time

import pytest

from routing.models import Day, Driver, Load, Run
from routing.selectors.days.warnings import day_warnings
from tests.factories.day import FRIDAY
from tests.factories.inventory import make_yard
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


@pytest.fixture
def out(db):
    """Puts a rig on the road of Friday."""
    day, yard = Day.objects.create(on=FRIDAY), make_yard(name="Siding Yard")

    def send(name, leaves, home, **more):
        rig = make_rig(name=name, home_yard=yard)
        run = Run.objects.create(day=day, rig=rig, leaves_at=time(leaves), home_at=time(home), **more)
        Load.objects.create(run=run, sequence=1, yard=yard)

    return send


def test_two_rigs_out_at_once_take_two_drivers(out):
    out("Big trailer", 7, 12)
    out("Small trailer", 11, 15)

    assert day_warnings(FRIDAY, FRIDAY)[FRIDAY] == (
        "Big trailer and Small trailer are out at the same time: that takes two drivers.",
    )


def test_three_rigs_out_at_once_are_told_of_in_one_sentence(out):
    for name in ("Big trailer", "Dump bed", "Small trailer"):
        out(name, 7, 12)

    assert day_warnings(FRIDAY, FRIDAY)[FRIDAY] == (
        "Big trailer, Dump bed and Small trailer are out at the same time: that takes 3 drivers.",
    )


def test_rigs_one_after_the_other_or_with_drivers_named_are_fine(out):
    out("Big trailer", 7, 11, driver=Driver.objects.create(name="Tam"))
    out("Dump bed", 7, 11, driver=Driver.objects.create(name="Odell"))
    out("Small trailer", 12, 15)

    assert day_warnings(FRIDAY, FRIDAY) == {}
