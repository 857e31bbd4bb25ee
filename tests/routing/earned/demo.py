"""The invented seller's roads, rates and rigs, as the worked examples use them."""

from datetime import date
from decimal import Decimal

from routing.core.rigs import Rig
from routing.earned.costs import NOWHERE, RunningRates, Stretch
from routing.earned.shares import LoadLegs

RATES = RunningRates(
    from_on=date(2025, 10, 1),
    loaded_mile=Decimal("0.75"),
    empty_mile=Decimal("0.65"),
    wage_hour=Decimal(25),
)

BIG = Rig(
    name="big trailer",
    truck_lb=6600,
    truck_gross_lb=8600,
    payload_lb=5100,
    box_length_ft=Decimal(12),
    box_width_ft=Decimal(6),
    box_side_ft=Decimal(2),
    heap_number=Decimal(180),
    box_heap_ft=Decimal(1),
    trailer_empty_lb=1900,
    trailer_gross_lb=7000,
    bed_payload_lb=1650,
)
SMALL = Rig(
    name="small trailer",
    truck_lb=6600,
    truck_gross_lb=8600,
    payload_lb=2090,
    box_length_ft=Decimal(10),
    box_width_ft=Decimal(5),
    box_side_ft=Decimal("1.5"),
    heap_number=Decimal(180),
    box_heap_ft=Decimal("0.6"),
    trailer_empty_lb=900,
    trailer_gross_lb=2990,
    bed_payload_lb=1650,
    is_small=True,
)


def marrow_and_larch() -> LoadLegs:
    """Siding to A at Marrow, on to B at Larch, home to Siding."""
    marrow_larch = Stretch.of("17.0", 25)
    return LoadLegs(
        orders=("A", "B"),
        approach=NOWHERE,
        out=(Stretch.of("3.8", 8), Stretch.of("19.5", 29)),
        between=((NOWHERE, marrow_larch), (marrow_larch, NOWHERE)),
        back=(Stretch.of("3.8", 8), Stretch.of("19.5", 29)),
    )
