"""Rigs and days for tests; weights and boxes are those of the invented seller."""

from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

from routing.models import Day, Rig, RunningCost
from tests.factories.inventory import make_yard

_numbers = count(1)


def make_rig(**kwargs: Any) -> Rig:
    """Pickup with the big trailer: 12 x 6 x 2 ft box, 5,100 lb of wood, heap number 180."""
    fields: dict[str, Any] = {
        "name": f"Big trailer {next(_numbers)}",
        "truck_lb": 6600,
        "truck_gross_lb": 8600,
        "trailer_empty_lb": 1900,
        "trailer_gross_lb": 7000,
        "bed_payload_lb": 1650,
        "payload_lb": 5100,
        "box_length_ft": Decimal(12),
        "box_width_ft": Decimal(6),
        "box_side_ft": Decimal(2),
        "box_heap_ft": Decimal(1),
        "capacity_ft3": Decimal(180),
        "heap_number": Decimal(180),
    }
    fields.update(kwargs)
    if "home_yard" not in fields:
        fields["home_yard"] = make_yard()
    rig = Rig.objects.create(**fields)
    RunningCost.objects.create(
        rig=rig, from_on=date(2025, 1, 1), loaded_mile=Decimal(".75"), empty_mile=Decimal(".65")
    )
    return rig


def make_small_rig(**kwargs: Any) -> Rig:
    """Pickup with the small trailer: half a cord, 2,090 lb of wood, may go where the big one can't."""
    fields: dict[str, Any] = {
        "name": f"Small trailer {next(_numbers)}",
        "is_small": True,
        "trailer_empty_lb": 900,
        "trailer_gross_lb": 2990,
        "payload_lb": 2090,
        "box_length_ft": Decimal(10),
        "box_width_ft": Decimal(5),
        "box_side_ft": Decimal("1.5"),
        "box_heap_ft": Decimal("0.6"),
        "capacity_ft3": Decimal(90),
    }
    return make_rig(**{**fields, **kwargs})


def make_day(on: date = date(2026, 9, 18), **kwargs: Any) -> Day:
    return Day.objects.get_or_create(on=on, defaults=kwargs)[0]
