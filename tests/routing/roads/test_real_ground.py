"""A real extract carries the whole of planning: streets found, ten drops planned, refereed and committed."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command

from inventory.models import Lot
from orders.models import Order, OrderHold
from routing.core.roads import meters_between
from routing.models import Day, Load, Run, Stop
from routing.selectors.roads.current import roads_now, search_streets
from routing.selectors.roads.legs import matrix_between
from routing.services.commits import commit_day
from routing.services.days import plan_day
from tests.factories.inventory import make_hold, make_lot, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig, make_small_rig
from tests.routing.roads.conftest import SAMPLES, place

pytestmark = [pytest.mark.django_db, pytest.mark.roads]

NOON = datetime(2026, 9, 17, 12, tzinfo=ZoneInfo("Europe/Vaduz"))
THE_DAY = date(2026, 9, 18)
COUNTRY = "liechtenstein.osm.pbf"
YARDS = ("Bahnhofstrasse, Schaan", "Balzers")
DROPS = (
    "117 Landstrasse, Vaduz", "Landstrasse, Triesen", "2 Landstrasse, Schaan", "Landstrasse, Ruggell",
    "Eschestrasse, Eschen", "Schellenberg", "Planken", "Triesenberg", "Mauren", "Gamprin",
)  # fmt: skip
CORDS = ("1/3", "1/2", "2/3", "1/3", "1", "1/3", "1/2", "1/3", "2/3", "1/3")


@pytest.fixture
def real_roads(db: Any, settings: Any, tmp_path: Path) -> None:
    """The country's extract loaded by the command, as a seller there would."""
    path = Path(SAMPLES) / COUNTRY
    if not SAMPLES or not path.exists():
        pytest.skip(f"set ROADS_SAMPLES to a folder that holds {COUNTRY}")
    settings.ROADS_DIR = tmp_path / "roads"
    settings.ROAD_ENGINE = "valhalla"
    call_command("load_roads", str(path), verbosity=0)


@pytest.fixture
def ten_orders(real_roads: None) -> tuple[Order, ...]:
    """Two yards with fir, two rigs, and ten confirmed orders at places found in the street index."""
    make_sheet()
    lots = []
    for name in YARDS:
        spot = search_streets(name)[0]
        lots.append(make_lot(cords=6, yard=make_yard(name=f"Yard {name}", lat=spot.lat, lon=spot.lon)))
    make_rig(name="Big trailer", home_yard=lots[0].yard)
    make_small_rig(name="Small trailer", home_yard=lots[0].yard)
    return tuple(
        _ordered(number, words, Fraction(cords), lots[index % 2])
        for index, (number, words, cords) in enumerate(zip(range(301, 311), DROPS, CORDS, strict=True))
    )


def _ordered(number: int, words: str, cords: Fraction, lot: Lot) -> Order:
    spot = search_streets(words)[0]
    town = spot.city or spot.label
    make_town(town, lat=spot.lat, lon=spot.lon)
    customer = make_customer(f"Buyer {number}")
    order = make_order(
        number=number, customer=customer, cords=cords, state=Order.State.CONFIRMED,
        place=make_place(customer, town=town, address=spot.label, lat=spot.lat, lon=spot.lon),
        first_on=THE_DAY, last_on=THE_DAY, total_dollars=Decimal(100), wood_dollars=Decimal(100),
    )  # fmt: skip
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords=cords, reference=order.reference))
    return order


def test_ten_drops_are_planned_refereed_and_committed_on_real_roads(ten_orders: tuple[Order, ...]) -> None:
    planned = plan_day(on=THE_DAY, at=NOON, who="ruth", order_numbers=range(301, 311))
    committed = commit_day(on=THE_DAY, at=NOON, who="ruth")

    assert (planned.drops, planned.postponed) == (10, ())
    assert planned.lower_bound_cents is not None
    assert planned.lower_bound_cents <= planned.cost_cents
    assert len(committed.letters) == 10
    day = Day.objects.get(on=THE_DAY)
    assert not day.is_estimate
    stops = Stop.objects.filter(load__run__day=day)
    assert {stop.order.number for stop in stops} == set(range(301, 311))
    assert sum(stop.cords for stop in stops) == sum(Fraction(cords) for cords in CORDS) == 5
    for load in Load.objects.filter(run__day=day).select_related("run__rig"):
        carried = sum(stop.cords for stop in load.stops.all()) * Fraction(load.run.rig.heap_number)
        assert carried <= Fraction(load.run.rig.capacity_ft3)
    meters = sum(run.loaded_meters + run.empty_meters for run in Run.objects.filter(day=day))
    assert 50_000 < meters < 250_000  # the country is 25 km long


def test_real_places_are_reached_by_road_and_never_nearer_than_the_crow_flies(real_roads: None) -> None:
    spots = [search_streets(words)[0] for words in DROPS]
    points = [place((spot.lat, spot.lon)) for spot in spots]

    matrix = matrix_between(points)

    assert roads_now().credit == "© OpenStreetMap contributors"
    for row, start in zip(matrix.legs, points, strict=True):
        for leg, end in zip(row, points, strict=True):
            assert leg is not None
            assert leg.meters >= meters_between(start, end) - 500  # ends move to the nearest road
            assert leg.meters < 40_000
