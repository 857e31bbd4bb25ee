"""Makes the demo's customers and orders, and the holds and money that go with them."""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.core.units import bundle_cords
from inventory.models import Hold, Lot
from orders.core.reasons import SAID_ALIKE, ReasonKind
from orders.models import Customer, Order, OrderHold, Payment, Place, Town


def at(on: date, hour: int = 10) -> datetime:
    return timezone.make_aware(datetime.combine(on, time(hour)))


def agreed_line(total: Decimal) -> dict[str, str]:
    """The one line of a price that was agreed on."""
    return {
        "kind": ReasonKind.AGREED, "label": SAID_ALIKE[ReasonKind.AGREED], "dollars": str(total), "why": "",
    }  # fmt: skip


class DemoBooks:
    """Makes the demo's customers and orders, and the holds and money that go with them."""

    def __init__(self, towns: dict[str, Town], lots: dict[str, Lot]) -> None:
        self.towns = towns
        self.lots = lots
        self.phones = 0

    def customer(self, name: str, **kwargs: Any) -> Customer:
        self.phones += 1
        phone = f"+15415550{150 + self.phones}"
        return Customer.objects.create(
            name=name, phone=phone, phone_as_typed=phone, made_at=at(date(2026, 9, 1)), **kwargs
        )

    def order(
        self, number: int, who: Customer, town: str, address: str, where: tuple[float, float], **kwargs: Any
    ) -> Order:
        lot = self.lots[kwargs.pop("lot")]
        place = Place.objects.create(
            customer=who, address=f"{address}, {town}", town=self.towns[town], lat=where[0], lon=where[1],
            small_rig_only=kwargs.get("small_rig_only", False), gate_code=kwargs.pop("gate_code", ""),
            access_note=kwargs.pop("access_note", ""), drop_spot=kwargs.pop("drop_spot", ""),
        )  # fmt: skip
        fields: dict[str, Any] = {
            "wood": lot.wood,
            "dryness": "seasoned",
            "market": self.towns[town].market,
            "asked_on": date(2026, 9, 12),
            "state": Order.State.CONFIRMED,
            "wood_dollars": kwargs["total_dollars"],
            "reasons": [agreed_line(kwargs["total_dollars"])],
        }
        fields.update(kwargs)
        fields["asked_at"] = at(fields["asked_on"])
        if fields["state"] != Order.State.ASKED:
            fields["confirmed_at"] = at(fields["asked_on"], 19)
        order = Order.objects.create(number=number, customer=who, place=place, **fields)
        order.refresh_from_db()
        return order

    def hold(self, order: Order, code: str, kind: str = "firm", lapses_on: date | None = None) -> None:
        lot = self.lots[code]
        lot.refresh_from_db()
        amount = order.cords or bundle_cords(order.bundles)
        hold = Hold.objects.create(
            lot=lot, cords=amount, kind=kind, reference=order.reference, made_at=order.asked_at,
            lapses_on=lapses_on,
        )  # fmt: skip
        OrderHold.objects.create(order=order, hold=hold)
        column = "firm_cords" if kind == "firm" else "soft_cords"
        setattr(lot, column, getattr(lot, column) + amount)
        lot.save(update_fields=[column])

    def paid(
        self, order: Order, kind: str, dollars: str, on: date, note: str = "", method: str = "cash"
    ) -> None:
        Payment.objects.create(
            order=order, kind=kind, method=method, dollars=Decimal(dollars), on=on, made_at=at(on, 15),
            who="ruth", note=note,
        )  # fmt: skip
