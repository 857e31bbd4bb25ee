"""What every quote must be, whatever is asked for and however long the drive."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from orders.core import pricing
from orders.core.drives import Drive
from orders.core.quotes import DayRoad, How, OrderRequest
from tests.orders.core.tariff import TODAY, make_tariff
from tests.orders.core.test_quotes import day_offers, quoted


@given(cords=st.fractions(min_value=Fraction(1, 600), max_value=3, max_denominator=600))
def test_fetched_wood_never_costs_below_nothing(cords):
    quote = quoted(OrderRequest(wood="fir", market="near", cords=cords, how=How.PICK_UP))

    assert quote.total_dollars >= 0
    assert quote.deposit_dollars <= quote.total_dollars


WANTS = st.builds(
    OrderRequest,
    wood=st.just("fir"),
    market=st.sampled_from(["near", "far"]),
    cords=st.fractions(min_value=Fraction(1, 2), max_value=5, max_denominator=12),
    bundles=st.integers(min_value=0, max_value=50),
    stacked=st.booleans(),
    small_rig_only=st.booleans(),
)
MILES = st.decimals(min_value=0, max_value=90, places=1)
ROADS = st.decimals(min_value=0, max_value=300, places=2)
TAXES = st.sampled_from(["none", "wood", "all"])


@given(order_request=WANTS, miles=MILES, marginal=ROADS, on=TAXES)
def test_the_reasons_always_add_up_to_the_total(order_request, miles, marginal, on):
    sheet = make_tariff(tax=pricing.tax_rule(percent=Decimal("5.5"), on=on))
    drive = Drive(miles=miles, minutes=30, from_yard="Siding")
    road = DayRoad(on=TODAY, marginal_dollars=marginal, drops_already=1)

    quote = quoted(order_request, drive, sheet=sheet, day=road)

    parts = quote.wood_dollars + quote.drive_dollars + quote.access_dollars + quote.stacking_dollars
    assert sum(line.dollars for line in quote.reasons) == quote.total_dollars
    assert parts + quote.tax_dollars == quote.total_dollars
    assert 0 <= quote.deposit_dollars <= quote.total_dollars
    assert quote.balance_dollars + quote.deposit_dollars == quote.total_dollars


@given(
    order_request=WANTS,
    miles=MILES,
    marginal=ROADS,
    floor=st.integers(min_value=0, max_value=600).map(Decimal),
)
def test_a_day_costs_between_what_it_adds_and_coming_alone(order_request, miles, marginal, floor):
    sheet = make_tariff(floor_per_cord=floor)
    drive = Drive(miles=miles, minutes=30, from_yard="Siding")
    alone = quoted(order_request, drive, sheet=sheet)
    roads = [DayRoad(on=TODAY, marginal_dollars=marginal, drops_already=1)]

    (offer,) = day_offers(order_request, sheet=sheet, on=TODAY, drive=drive, days=roads)

    assert offer.saved >= 0
    assert offer.total + offer.saved == alone.total_dollars
    assert min(alone.drive_dollars, marginal) <= offer.drive <= alone.drive_dollars
    kept = alone.wood_dollars + offer.drive - marginal
    assert (
        offer.saved == 0
        or kept >= floor * Decimal(order_request.cords.numerator) / order_request.cords.denominator
    )
