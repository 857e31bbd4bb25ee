"""Yards, ground, lots, readings, work and expenses of the invented seller."""

from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils import timezone

from firewood_site.demo import DEMO_DAY, spots
from inventory.core.units import bundle_cords
from inventory.models import (
    Business,
    Expense,
    Lot,
    Measurement,
    Movement,
    Reading,
    Restack,
    Unit,
    WorkEntry,
    Yard,
)
from inventory.services.measures import forecast_columns


def at(on: date, hour: int = 9) -> datetime:
    return timezone.make_aware(datetime.combine(on, time(hour)))


def load_business() -> Business:
    return Business.objects.create(
        name="Quarrel Ridge Wood",
        owner="Ruth Averill",
        address="Siding Yard, County Road 7, Marrow Bridge",
        phone="+15415550142",
        email="wood@quarrelridge.example",
        about="Ruth Averill and her nephew Tam thin their own 38 wooded acres so a wildfire stays "
        "on the ground, and sell the wood.\nes: Ruth Averill y su sobrino Tam aclaran sus 38 acres de bosque "
        "para que un incendio no pase del suelo, y venden la leña.",
        place_key="handbook_130",
        target_wage=Decimal("25.00"),
        pinned_today=DEMO_DAY,
        parts_told={"days": "shown", "driver": "shown", "pool": "shown", "moves": "shown", "claims": "shown"},
    )


def load_yards() -> dict[str, Yard]:
    def yard(name: str, where: tuple[float, float], **kwargs: Any) -> Yard:
        return Yard.objects.create(
            name=name, lat=where[0], lon=where[1], climate_city="Quarrel Ridge", **kwargs
        )

    return {
        "upper": yard(
            "Upper Yard",
            spots.UPPER,
            note="Landing and splitter. Soft after an inch of rain in two days. / es: Cargadero y rajadora. "
            "Se ablanda tras una pulgada de lluvia en dos días.",
            opens_at=time(7),
            has_signal=False,
            soft_when_wet=True,
        ),
        "creek": yard(
            "Creek Yard",
            spots.CREEK,
            note="Covered hardwood on gravel; tight turn-round. / es: Madera dura bajo techo, sobre grava; "
            "poco sitio para dar la vuelta.",
            opens_at=time(7),
        ),
        "siding": yard(
            "Siding Yard",
            spots.SIDING,
            note="Hard pad by the county road. / es: Suelo firme junto a la carretera del condado.",
            opens_at=time(6),
            room_cords=Fraction(12),
            rent_month=Decimal(40),
            pick_up_here=True,
        ),
    }


def load_units() -> dict[str, Unit]:
    knob = Unit.objects.create(
        name="Knob",
        acres=Decimal("1.50"),
        started_on=date(2026, 2, 2),
        notified_on=date(2026, 1, 12),
        saw_log_dollars=Decimal(180),
        cost_share_dollars=Decimal(600),
        cost_share_approved_on=date(2026, 1, 28),
        hire_out_low=Decimal(335),
        hire_out_high=Decimal(1395),
        slash="Two piles for burning after fall rain; the rest lopped and scattered.",
        slash_method="burn",
        slash_by=date(2026, 11, 15),
        sold_before={"fir": {"cords": "7", "dollars": "1820"}, "hardwood": {"cords": "2", "dollars": "700"}},
        note="Before and after photos and dates still owed to the cost-share program.",
    )
    bench = Unit.objects.create(name="Bench", acres=Decimal("2.25"), started_on=date(2024, 11, 1))
    Unit.objects.create(
        name="East slope",
        acres=Decimal("3.00"),
        cost_share_dollars=Decimal(900),
        plot_size="37 ft",
        plots="fir 5 6 6 7 8 9; oak 6 7\nfir 6 7 7 8 8; oak 5\nfir 5 5 6 8 10; madrone 6 7 8\n"
        "fir 6 6 7 9; oak 8 9\nfir 5 6 7 8 9 10",
    )
    return {"knob": knob, "bench": bench}


def load_lots(yards: dict[str, Yard], units: dict[str, Unit]) -> dict[str, Lot]:
    def lot(code: str, name: str, yard: str, cords: Fraction, **kwargs: Any) -> Lot:
        made = kwargs.pop("made_on")
        how = kwargs.pop("first", Movement.Kind.MEASURED)
        row = Lot.objects.create(code=code, name=name, yard=yards[yard], on_hand_cords=cords, **kwargs)
        Movement.objects.create(lot=row, kind=how, cords=cords, on=made, made_at=at(made), who="ruth")
        return row

    splits, rounds = Lot.Form.SPLITS, Lot.Form.ROUNDS
    heaped, stacked, loose = Lot.Piling.HEAPED, Lot.Piling.STACKED, Lot.Piling.LOOSE
    for_sale, not_yet = Lot.Sale.FOR_SALE, Lot.Sale.NOT_YET
    low_heap, roof = Lot.Exposure.LOW_HEAP, Lot.Exposure.UNDER_ROOF
    lots = {
        "K1": lot(
            "K1", "Knob fir", "siding", Fraction("6.05"), unit=units["knob"], mix={"fir": 100}, wood="fir",
            form=splits, piling=heaped, exposure=low_heap, felled_on=date(2026, 3, 5),
            bucked_on=date(2026, 4, 10), split_on=date(2026, 5, 12), drying_from=date(2026, 5, 12),
            start_moisture_pct=Decimal(60), sale=for_sale, made_on=date(2026, 5, 14),
        ),
        "K2": lot(
            "K2", "Knob fir rounds", "upper", Fraction("3.01"), unit=units["knob"], mix={"fir": 100},
            wood="fir", form=rounds, piling=heaped, exposure=low_heap, felled_on=date(2026, 6, 3),
            bucked_on=date(2026, 6, 12), drying_from=date(2026, 6, 12), start_moisture_pct=Decimal(85),
            sale=not_yet, said_ready="not split yet / es: aún sin rajar", made_on=date(2026, 6, 14),
        ),
        "K3": lot(
            "K3", "Bench oak", "creek", Fraction("1.31"), unit=units["bench"], mix={"oak": 100},
            wood="hardwood", form=splits, piling=stacked, exposure=roof, is_covered=True,
            felled_on=date(2025, 3, 14), bucked_on=date(2025, 4, 2), split_on=date(2025, 6, 10),
            drying_from=date(2025, 6, 10), start_moisture_pct=Decimal(70), sale=not_yet,
            said_ready="fall 2027 / es: otoño de 2027", made_on=date(2025, 6, 12),
        ),
        "K4": lot(
            "K4", "Bench madrone", "creek", Fraction("1.90"), unit=units["bench"], mix={"madrone": 100},
            wood="hardwood", form=splits, piling=stacked, exposure=roof, is_covered=True,
            felled_on=date(2024, 11, 18), bucked_on=date(2025, 1, 20), split_on=date(2025, 4, 15),
            drying_from=date(2025, 4, 15), start_moisture_pct=Decimal(65), sale=for_sale,
            made_on=date(2025, 4, 18),
        ),
        "K5": lot(
            "K5", "Fir and oak, mixed", "creek", Fraction(2), unit=units["bench"],
            mix={"fir": 60, "oak": 40}, wood="mixed", form=splits, piling=loose, exposure=roof,
            is_covered=True, felled_on=date(2024, 12, 5), bucked_on=date(2025, 2, 1),
            split_on=date(2025, 4, 28), drying_from=date(2025, 4, 28), start_moisture_pct=Decimal(65),
            sale=for_sale, made_on=date(2025, 5, 2),
        ),
        "K6": lot(
            "K6", "August fir", "upper", Fraction("2.50"), unit=units["knob"], mix={"fir": 100}, wood="fir",
            form=splits, piling=loose, exposure=low_heap, felled_on=date(2026, 8, 6),
            bucked_on=date(2026, 8, 12), split_on=date(2026, 8, 20), drying_from=date(2026, 8, 20),
            start_moisture_pct=Decimal(60), sale=for_sale, made_on=date(2026, 8, 21),
        ),
        "K7": lot(
            "K7", "Kindling", "siding", bundle_cords(85), mix={"fir": 100}, wood="kindling",
            form=Lot.Form.KINDLING, piling=stacked, exposure=roof, is_covered=True,
            bundle_ft3=Decimal("0.750"), drying_from=date(2026, 7, 6), split_on=date(2026, 7, 6),
            start_moisture_pct=Decimal(17), sale=for_sale, made_on=date(2026, 7, 8),
        ),
        "K8": lot(
            "K8", "Fir and oak logs", "upper", Fraction(4), unit=units["knob"], mix={"fir": 70, "oak": 30},
            wood="logs", form=Lot.Form.LOGS, piling=Lot.Piling.DECKED, exposure=Lot.Exposure.DEEP_OR_SHADE,
            piece_inches=96, felled_on=date(2026, 6, 5), drying_from=date(2026, 6, 5),
            start_moisture_pct=Decimal(90), sale=for_sale, made_on=date(2026, 6, 20),
            first=Movement.Kind.FELLED,
        ),
    }  # fmt: skip
    load_measurements(lots)
    load_readings(lots)
    for row in lots.values():
        row.refresh_from_db()
    return lots


def load_measurements(lots: dict[str, Lot]) -> None:
    def measured(code: str, on: date, shape: str, form: str, sizes: Mapping[str, float], *cords: str) -> None:
        low, likely, high = (Fraction(text) for text in cords)
        Measurement.objects.create(
            lot=lots[code], on=on, shape=shape, form=form, sizes=dict(sizes),
            low_cords=low, likely_cords=likely, high_cords=high, who="ruth",
            solid_ft3=Decimal(str(round(float(likely) * 85, 2))),
        )  # fmt: skip

    windrow = {"length_ft": 42, "width_ft": 12, "height_ft": 5}
    measured("K1", date(2026, 5, 14), "windrow", "splits", windrow, "5.44", "6.05", "6.60")
    rounds = {"length_ft": 24, "width_ft": 10, "height_ft": 5}
    measured("K2", date(2026, 6, 14), "windrow", "rounds", rounds, "2.75", "3.01", "3.21")
    stack = {"length_ft": 32, "height_ft": 4, "depth_in": 16, "cribbed_ends": 2}
    measured("K3", date(2025, 6, 12), "stack", "stacked", stack, "1.28", "1.31", "1.34")
    row = {"length_ft": 45.6, "height_ft": 4, "depth_in": 16}
    measured("K4", date(2025, 4, 18), "stack", "stacked", row, "1.86", "1.90", "1.94")


def load_readings(lots: dict[str, Lot]) -> None:
    def read(code: str, on: date, *faces: int) -> None:
        lot, mean = lots[code], sum(faces) / len(faces)
        Reading.objects.create(
            lot=lot, on=on, faces=list(faces), basis="dry", worst_dry_pct=Decimal(max(faces)), who="ruth",
            mean_dry_pct=Decimal(str(round(mean, 1))), **forecast_columns(lot, on=on, mean_pct=mean),
        )  # fmt: skip

    read("K1", date(2026, 8, 10), 30, 31, 33, 30, 31)
    read("K1", date(2026, 9, 14), 17, 18, 19, 21, 18)
    read("K3", date(2026, 9, 14), 29, 31, 27, 33, 30)
    read("K4", date(2026, 9, 14), 18, 19, 20, 19, 18)
    read("K5", date(2026, 9, 14), 19, 20, 22, 20, 21)
    read("K6", date(2026, 9, 14), 44, 46, 43)


def load_restacks() -> None:
    """What stacks taught about the big trailer: 180 loose ft3 to a cord, most loads 165 to 196."""
    for on, stacked in (
        (date(2025, 11, 8), "133.95"), (date(2025, 12, 6), "131.66"), (date(2026, 3, 14), "133.18"),
    ):  # fmt: skip
        Restack.objects.create(
            on=on, rig_name="Big trailer", form="splits", loose_ft3=Decimal(180),
            stacked_ft3=Decimal(stacked), note="Restacked at Siding",
        )  # fmt: skip
    Restack.objects.create(
        on=date(2026, 1, 24), rig_name="Big trailer", form="splits", loose_ft3=Decimal(180),
        stacked_ft3=Decimal("117.33"), reference="order 156",
        note="Customer's own stack, 22 ft x 4 ft x 16 in",
    )  # fmt: skip


def load_work(units: dict[str, Unit]) -> None:
    """Hours and money of the season, as the seller remembers them."""

    def worked(on: date, job: str, likely: str, unit: str | None = None, note: str = "") -> None:
        hours = Decimal(likely)
        WorkEntry.objects.create(
            on=on, job=job, hours_low=hours * Decimal("0.85"), hours_likely=hours,
            hours_high=hours * Decimal("1.3"), unit=units.get(unit or ""), who="ruth", note=note,
        )  # fmt: skip

    worked(date(2026, 3, 31), "rounds", "27", "knob", "Felling and bucking, February to June")
    worked(date(2026, 4, 30), "haul", "4.5", "knob")
    worked(date(2026, 5, 20), "split", "10.8", "knob")
    worked(date(2026, 5, 24), "heap", "6.75", "knob")
    worked(date(2026, 6, 28), "slash", "20", "knob", "Two piles on Knob, the rest scattered")
    worked(date(2026, 8, 31), "deliver", "13.6", "knob", "Nine cords, near home")
    worked(date(2026, 3, 31), "rounds", "43", note="Everywhere else, October to August")
    worked(date(2026, 4, 30), "haul", "15.5")
    worked(date(2026, 5, 20), "split", "23.2")
    worked(date(2026, 5, 24), "heap", "14.25")

    lines = (
        ("truck fuel", "402", "mile", None), ("saw gas and oil", "214", "cord", "knob"),
        ("chains and bars", "168", "cord", "knob"), ("splitter", "77", "cord", "knob"),
        ("splitter", "110", "cord", None), ("trailer tires", "268", "mile", None),
        ("insurance rider", "340", "year", None), ("tarps and pallets", "122", "year", None),
        ("permits and fees", "64", "year", None), ("parts", "218", "year", None),
    )  # fmt: skip
    for line, amount, kind, unit in lines:
        Expense.objects.create(
            on=date(2026, 9, 17), line=line, dollars=Decimal(amount), kind=kind, unit=units.get(unit or ""),
            note="October 2025 to 17 September 2026",
        )  # fmt: skip
