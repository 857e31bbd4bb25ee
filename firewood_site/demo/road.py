"""Rigs, running costs, shut days and the season before the books began."""

from datetime import date, time
from decimal import Decimal
from fractions import Fraction

from inventory.models import Yard
from orders.models import Town
from routing.models import BroughtForward, Driver, Pickup, Rig, RoadLimit, RunningCost, SeasonGuesses, Shut

MONTHS = (  # month, cords, revenue, miles, delivery h, yard and woods h, cash out, label
    (date(2025, 10, 1), "5.50", 1540, 118, "13.0", "12", 212, ""),
    (
        date(2025, 11, 1),
        "4.00",
        1340,
        231,
        "14.0",
        "8",
        314,
        "one coast run, hardwood / es: un viaje a la costa, madera dura",
    ),
    (date(2025, 12, 1), "3.25", 945, 84, "8.0", "6", 139, ""),
    (date(2026, 1, 1), "2.50", 735, 66, "6.5", "10", 131, ""),
    (date(2026, 2, 1), "1.50", 430, 41, "4.0", "24", 204, ""),
    (date(2026, 3, 1), "1.00", 260, 22, "2.5", "31", 236, ""),
    (date(2026, 4, 1), "0.50", 115, 12, "1.5", "18", 148, ""),
    (date(2026, 5, 1), "1.50", 320, 38, "4.0", "26", 187, "green / es: leña verde"),
    (date(2026, 6, 1), "2.00", 415, 45, "5.0", "14", 121, ""),
    (date(2026, 7, 1), "1.00", 270, 24, "2.5", "5", 64, ""),
    (date(2026, 8, 1), "3.00", 815, 71, "7.5", "6", 118, ""),
    (date(2026, 9, 1), "3.75", 1075, 92, "9.5", "5", 109, "1 to 17 September / es: 1 a 17 de septiembre"),
)


def load_rigs(yards: dict[str, Yard]) -> dict[str, Rig]:
    pickup = Pickup.objects.create(name="Pickup")
    wage = Decimal("25.00")
    Driver.objects.create(name="Ruth", wage_hour=wage, signs_in_as="ruth")
    tam = Driver.objects.create(name="Tam", wage_hour=wage, signs_in_as="tam")
    big = Rig.objects.create(
        name="Big trailer", pickup=pickup, driver=tam, bed_ft3=45, has_trailer=True,
        home_yard=yards["upper"], truck_lb=6600, truck_gross_lb=8600,
        trailer_empty_lb=1900, trailer_gross_lb=7000, bed_payload_lb=1650, payload_lb=5100,
        box_length_ft=Decimal(12), box_width_ft=Decimal(6), box_side_ft=Decimal(2), box_heap_ft=Decimal(1),
        capacity_ft3=Decimal(180), heap_number=Decimal(180), length_ft=Decimal(37), top_speed_mph=55,
        hitch_tongue_lb=1200, hitch_tow_lb=12000, combined_rating_lb=16000, trailer_axle_lb=7000,
        trailer_tires_lb=7280, hitch_to_axle_ft=Decimal(11), hitch_to_box_ft=Decimal("3.5"), straps=4,
        strap_lb=1100,
    )  # fmt: skip
    small = Rig.objects.create(
        name="Small trailer", pickup=pickup, driver=tam, bed_ft3=45, has_trailer=True, is_small=True,
        home_yard=yards["upper"],
        truck_lb=6600,
        truck_gross_lb=8600, trailer_empty_lb=900, trailer_gross_lb=2990, bed_payload_lb=1650,
        payload_lb=2090, box_length_ft=Decimal(10), box_width_ft=Decimal(5), box_side_ft=Decimal("1.5"),
        box_heap_ft=Decimal("0.6"), capacity_ft3=Decimal(90), heap_number=Decimal(180),
        length_ft=Decimal(33), top_speed_mph=55,
        hitch_tongue_lb=1200, hitch_tow_lb=12000, combined_rating_lb=16000, trailer_axle_lb=3500,
        trailer_tires_lb=3640, hitch_to_axle_ft=Decimal("9.3"), hitch_to_box_ft=Decimal("3.2"), straps=3,
        strap_lb=1100,
    )  # fmt: skip
    for rig in (big, small):
        RunningCost.objects.create(
            rig=rig, from_on=date(2025, 10, 1), loaded_mile=Decimal("0.75"), empty_mile=Decimal("0.65"),
            wage_hour=wage,
        )  # fmt: skip
    return {"big": big, "small": small}


def load_shuts(yards: dict[str, Yard]) -> None:
    for on in (date(2026, 2, 18), date(2026, 3, 9)):
        Shut.objects.create(
            kind=Shut.Kind.YARD, yard=yards["upper"], from_on=on, to_on=on,
            reason="Mud: an inch of rain in two days",
        )  # fmt: skip
    Shut.objects.create(
        kind=Shut.Kind.ROAD, town=Town.objects.get(name="Sandhook"), what="Tollgate Pass: chains for towing",
        from_on=date(2025, 12, 3), to_on=date(2025, 12, 3), reason="Chains posted for towing",
    )  # fmt: skip
    Shut.objects.create(
        kind=Shut.Kind.SAW, what="Saws", from_on=date(2026, 7, 14), to_on=date(2026, 9, 9),
        from_time=time(13), to_time=time(20), reason="Fire danger: no saws from 1 to 8 pm",
    )  # fmt: skip
    Shut.objects.create(
        kind=Shut.Kind.WINDOW, what="Burn window for the two Knob piles", from_on=date(2026, 10, 20),
        to_on=date(2026, 11, 15), reason="Burn only with that day's permission",
    )  # fmt: skip
    RoadLimit.objects.create(
        name="Old Mill Bridge",
        whole_rig_lb=12_000,
        note="Loaded, by way of Siding. / es: Con carga, por Siding.",
    )
    RoadLimit.objects.create(
        name="Tollgate Pass",
        note="Chains for towing when posted, 15 November to 1 April. 2,140 ft at mile 31. / es: Cadenas para "
        "remolcar cuando estén anunciadas, del 15 de noviembre al 1 de abril. 2,140 pies en la milla 31.",
    )


def load_season() -> None:
    SeasonGuesses.objects.create(
        fall_hours=Decimal(8), winter_hours=Decimal(7), spring_hours=Decimal(6), summer_hours=Decimal(6),
        helper_fall_hours=Decimal(2), helper_winter_hours=Decimal(1), helper_spring_hours=Decimal(1),
        helper_summer_hours=Decimal(2), helper_name="Tam",
    )  # fmt: skip
    for month, cords, revenue, miles, delivery, yard, cash, label in MONTHS:
        BroughtForward.objects.create(
            month=month, label=label, cords=Fraction(cords), revenue=Decimal(revenue), miles=Decimal(miles),
            delivery_hours=Decimal(delivery), yard_hours=Decimal(yard), cash_out=Decimal(cash),
            covers_until=date(2026, 9, 17) if month == date(2026, 9, 1) else None,
        )  # fmt: skip
