"""What two screens say of one thing agrees, word for word and figure for figure."""

import pytest

from routing.models import Day, RoadLimit
from tests.factories.day import FRIDAY, drive_by_the_job, lay_out, make_friday
from tests.pages.seller.figures import main_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def friday(business, monkeypatch):
    drive_by_the_job(monkeypatch)
    return make_friday()


def told(client, address: str) -> str:
    """A page's words in one line."""
    return main_of(client.get(address).content.decode()).text


def test_a_day_that_can_be_driven_and_its_bridge_do_not_contradict_each_other(
    seller_client, friday, an_instant
):
    lay_out(friday, an_instant)
    Day.objects.filter(on=FRIDAY).update(proof="hand", is_estimate=False)
    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=11_000, note="By way of Siding.")

    day = told(seller_client, f"/seller/days/{FRIDAY}")
    sheet = told(seller_client, f"/seller/days/{FRIDAY}/load-sheet")

    assert (
        "Checked: it can be driven, by a way round Old Mill Bridge where a load is too heavy for it." in day
    )
    for page in (day, sheet):
        assert "Old Mill Bridge is posted 11,000 lb; loaded you weigh" in page
        assert ": go round it" in page
        assert "Do not cross" not in page
