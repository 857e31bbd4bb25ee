"""One road for quote, plan and map: the cheapest for the seller among those the rig may use with its load."""

from dataclasses import replace
from datetime import time
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from firewood_site.demo import spots
from inventory.models import Lot
from inventory.selectors.sale import plan_weights
from orders.models import Order
from routing.core.road_engine import rig_profile
from routing.core.roads import Leg, Point
from routing.engines.valhalla import ValhallaEngine
from routing.models import Rig, RoadExtract, RoadLimit
from routing.planner.clock import timed_run
from routing.quoting.drives import Cargo, drive_to
from routing.selectors.planning.parcels import Line, Newcomer, OrderToPlan
from routing.selectors.planning.part_sizes import heaviest_load, pounds
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import prepare
from routing.selectors.roads.legs import drives_between
from routing.selectors.roads.rig_roads import road_bands, roads_by_rig
from tests.factories.day import FRIDAY
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_place
from tests.factories.routing import make_rig, make_small_rig
from tests.routing.roads.conftest import PLACES, place

pytestmark = [pytest.mark.roads, pytest.mark.django_db]

YARDS = {"Upper Yard": spots.UPPER, "Creek Yard": spots.CREEK, "Siding Yard": spots.SIDING}
BRIDGE_LB = 12_000


@pytest.fixture
def ground(roads_loaded: RoadExtract, business: object) -> dict[str, object]:
    """The seller's yards, both trailers, and the posted bridge, on the invented roads."""
    yards = {name: make_yard(name=name, lat=lat, lon=lon) for name, (lat, lon) in YARDS.items()}
    make_rig(name="Big trailer", home_yard=yards["Upper Yard"])
    make_small_rig(name="Small trailer", home_yard=yards["Upper Yard"])
    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=BRIDGE_LB)
    for code, yard in (("K1", "Siding Yard"), ("K5", "Creek Yard"), ("K6", "Upper Yard")):
        make_reading(make_lot(code=code, cords=20, yard=yards[yard]))
    return yards


def miles_and_minutes(leg: Leg | None) -> tuple[float, int]:
    assert leg is not None
    return round(leg.miles, 1), leg.minutes


def test_a_loaded_trailer_takes_the_gravel_where_it_is_cheaper(engine: ValhallaEngine) -> None:
    """Upper Yard by Creek Yard to Marrow Bridge is 6.4 + 3.0 miles; the paved way round by Siding is 15."""
    light = rig_profile(weight_lb=9084, length_ft=33, height_ft=7.5, is_loaded=True, mile_seconds=108)
    ends = [PLACES["Upper"], PLACES["Marrow"]]

    leg = engine.matrix(ends, ends, light).leg(0, 1)

    assert miles_and_minutes(leg) == (9.3, 24)
    assert miles_and_minutes(engine.matrix(ends, ends, light).leg(1, 0))[0] == 9.3


def test_a_way_of_two_yards_is_never_dearer_than_its_parts(engine: ValhallaEngine) -> None:
    """What the engine knows by way of a third place it takes by itself: no such detour saves money."""
    for rig in (
        rig_profile(weight_lb=BRIDGE_LB, length_ft=37, height_ft=7.5, is_loaded=True, mile_seconds=108),
        rig_profile(weight_lb=13_600, length_ft=37, height_ft=7.5, is_loaded=True, mile_seconds=108),
        rig_profile(weight_lb=8_500, length_ft=37, height_ft=7.5, mile_seconds=94),
    ):
        places = list(PLACES.values())
        legs = engine.matrix(places, places, rig).legs
        cost = [[leg.seconds + leg.meters * rig.mile_seconds / 1609.344 for leg in row] for row in legs]  # type: ignore[union-attr]
        for start in range(len(places)):
            for end in range(len(places)):
                for by in range(len(places)):
                    assert cost[start][end] <= cost[start][by] + cost[by][end] + 5, (start, by, end)


def test_a_load_below_the_posted_limit_goes_over_the_bridge(ground: dict[str, object]) -> None:
    """2,729 lb of wood on the big trailer are 11,229 lb all told; 3,501 lb would be a pound too much."""
    roads = roads_by_rig(Rig.objects.filter(name="Big trailer"), FRIDAY).popitem()[1]
    ends = ([PLACES["Creek"]], [PLACES["Marrow"]])

    light = drives_between(*ends, roads.aboard(2_729)).leg(0, 0)
    heavy = drives_between(*ends, roads.aboard(3_501)).leg(0, 0)

    assert miles_and_minutes(light)[0] == 3.0
    assert miles_and_minutes(heavy)[0] == pytest.approx(8.9, abs=0.2)


def test_tables_by_weight_are_kept_only_where_a_limit_makes_a_difference(ground: dict[str, object]) -> None:
    points = list(PLACES.values())
    by_name = {rig.name: rig.pk for rig in Rig.objects.all()}
    roads = roads_by_rig(Rig.objects.all(), FRIDAY)

    def over_lb(rig: str, places: list[Point], most_lb: int = 9_000) -> list[int]:
        bands, tables = road_bands(places, roads, most_lb=dict.fromkeys(roads, Fraction(most_lb)))
        assert {band.table for of_rig in bands.values() for band in of_rig} == tables.keys()
        return [band.over_lb for band in bands[by_name[rig]]]

    assert over_lb("Big trailer", points) == [0, 1, 3_500]
    assert over_lb("Small trailer", points) == [0, 1]
    assert over_lb("Big trailer", points, most_lb=2_000) == [0, 1]  # no load is so heavy
    assert over_lb("Big trailer", [PLACES["Siding"], PLACES["Larch"]]) == [0, 1]  # no bridge between them


def test_a_full_box_of_dry_fir_never_weighs_as_much_as_the_trailer_may(ground: dict[str, object]) -> None:
    """However much is brought that day, one cord of it stays below the bridge's limit."""
    rig = Rig.objects.get(name="Big trailer")
    lot = Lot.objects.get(code="K1")
    weights = plan_weights(FRIDAY, [lot.pk])
    planned = OrderToPlan(
        order=Order(number=1), point=PLACES["Marrow"], lines={"1.1": [Line(lot=lot, cords=Fraction(5))]}
    )

    most_lb = heaviest_load(rig, [planned], weights)

    assert most_lb == pounds(lot, weights) < 3_500 < rig.payload_lb


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    town=some.sampled_from(["Marrow", "Larch", "Fennick"]),
    north=some.floats(-0.01, 0.01),
    east=some.floats(-0.01, 0.01),
    twelfths=some.integers(3, 12),
    lot=some.sampled_from([("K1", "Siding Yard"), ("K5", "Creek Yard"), ("K6", "Upper Yard")]),
    small_only=some.booleans(),
)
def test_quote_and_plan_drive_the_same_drop_alike(
    ground: dict[str, object], town: str, north: float, east: float, twelfths: int, lot: tuple[str, str],
    small_only: bool,
) -> None:  # fmt: skip
    """To the second and the meter, whatever the yard, the town, the amount and the rig."""
    cords = Fraction(twelfths, 12) / (2 if small_only else 1)
    spot = place((PLACES[town].lat + north, PLACES[town].lon + east))
    row = Lot.objects.get(code=lot[0])
    wood_lb = -(-cords * pounds(row, plan_weights(FRIDAY, [row.pk])) // 1)
    trip = drive_to(
        lat=spot.lat, lon=spot.lon, yards=[lot[1]], on=FRIDAY,
        cargo=Cargo(cords=cords, wood_lb=int(wood_lb), small_rig_only=small_only),
    )  # fmt: skip
    assert trip.rig is not None
    open_run = OpenRun(
        rig_id=trip.rig.id, on=FRIDAY, starts_at=time(6), ends_at=time(20), longest_minutes=900
    )
    order = Order(
        number=0, customer=make_customer(), place=make_place(make_customer()), small_rig_only=small_only,
        total_dollars=Decimal(0), window_from=time(6), window_to=time(20), first_on=FRIDAY, last_on=FRIDAY,
    )  # fmt: skip
    newcomer = Newcomer(order=order, point=spot, picks=((row, cords),))
    prepared = prepare(open_runs=(open_run,), order_numbers=(), newcomer=newcomer)
    assert prepared.newcomer is not None
    [part] = prepared.newcomer.parts

    run = timed_run(
        replace(prepared.problem, orders=(prepared.newcomer,)),
        (open_run.id, ((str(row.yard_id), (part.id,)),)),
    )

    [stop] = run.loads[0].stops
    assert (stop.leg_m, stop.leg_s) == (trip.out.meters, trip.out.seconds)
    if row.yard_id == Rig.objects.get(pk=trip.rig.id).home_yard_id:
        assert (run.home_leg_m, run.home_leg_s) == (trip.back.meters, trip.back.seconds)
