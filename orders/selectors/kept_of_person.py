"""All that is kept about one person, found by the ties between tables, so that no new one is left out."""

from collections.abc import Iterable
from typing import Any

from django.db.models import Model

from inventory.models import AuditEntry, Photo
from orders.models import Customer, Order, Place, Quote

DOORS = {"link_secret", "token", "key"}  # what would open pages; it says nothing about anybody


def export_of(customer_id: int) -> dict[str, Any] | None:
    """Every row about a person as plain data they can take away, by table; None for nobody.

    Lines of the trail and photos are tied to the customer and the orders by their names.
    """
    customer = Customer.objects.filter(pk=customer_id, erased_at__isnull=True).first()
    if customer is None:
        return None
    orders = list(Order.objects.filter(customer=customer))
    found: dict[str, list[dict[str, Any]]] = {}
    tied: tuple[Iterable[Model], ...] = (
        [customer], orders,
        Place.objects.filter(orders__in=orders), Quote.objects.filter(orders__in=orders),
        *_tied_to([customer]), *_tied_to(orders),
    )  # fmt: skip
    for rows in tied:
        for row in rows:
            lines = found.setdefault(str(row._meta.verbose_name_plural), [])
            if (line := _plain(row)) not in lines:
                lines.append(line)
    names = [f"customer {customer_id}", *(order.reference for order in orders)]
    found["trail"] = [_plain(row) for row in AuditEntry.objects.filter(thing__in=names)]
    found["photos"] = [_plain(row) for row in Photo.objects.filter(about__in=names)]
    return dict(found)


def _tied_to(rows: list[Any]) -> Iterable[Iterable[Model]]:
    """What points at these rows; orders of neighbors that joined one of them are other people's."""
    if not rows:
        return
    for tie in rows[0]._meta.related_objects:
        if tie.related_model not in (Customer, Order):
            yield tie.related_model._default_manager.filter(**{f"{tie.field.name}__in": rows})


def _plain(row: Model) -> dict[str, Any]:
    fields = [field for field in row._meta.concrete_fields if field.attname not in DOORS]
    return {field.attname: _value(getattr(row, field.attname)) for field in fields}


def _value(value: Any) -> Any:
    """JSON as it is, dates and amounts as text."""
    return value if value is None or isinstance(value, str | int | float | bool | dict | list) else str(value)
