"""Every line of a table brought into the books, or only tried: what becomes of each, in words."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction

from firewood_site.bringing_in.columns import BadCell, read_row
from firewood_site.bringing_in.tables import Table
from firewood_site.people import Author
from firewood_site.refusals import REFUSALS, refusal_words
from inventory.core.sentences import Refusal
from inventory.core.woods import SOLD, Wood
from inventory.selectors.lot_choices import lot_choices
from inventory.selectors.yards import yard_choices
from inventory.services.lots import NewLot, open_lot
from orders.services.bringing_in import bring_customer, bring_order


@dataclass(frozen=True, slots=True, kw_only=True)
class Fate:
    """What becomes of a line. state: "new", "known" or "bad"."""

    line: int
    state: str
    text: str
    cells: tuple[str, ...]


class _Known(Refusal):
    """The books have it already."""


def bring_in(
    kind: str, table: Table, columns: Mapping[str, int], *, by: Author, keep: bool
) -> tuple[Fate, ...]:
    """Bring every line in, each by itself; without `keep` all of it is taken back at the end."""
    step = STEPS[kind]
    fates = []
    with transaction.atomic():
        for line, row in enumerate(table.rows, start=2):
            try:
                with transaction.atomic():
                    text = step(read_row(kind, row, columns, table.names), by)
                state = "new"
            except _Known as known:
                state, text = "known", str(known)
            except REFUSALS as error:
                state, text = "bad", refusal_words(error)
            fates.append(Fate(line=line, state=state, text=text, cells=row))
        if not keep:
            transaction.set_rollback(True)
    return tuple(fates)


def _customer(values: dict[str, Any], by: Author) -> str:
    brought = bring_customer(
        name=values["name"],
        phone=values["phone"] or "",
        email=values["email"] or "",
        address=values["address"] or "",
        town=values["town"] or "",
        access_note=values["access"] or "",
        owed=values["owed"] or Decimal(0),
        at=by.at,
    )
    if not brought.is_new:
        raise _Known("{name} is in the books already.", name=values["name"])
    return f"{values['name']} is added{brought.remark}."


def _order(values: dict[str, Any], by: Author) -> str:
    is_by_bundle = values["wood"] == Wood.KINDLING
    brought = bring_order(
        name=values["name"],
        phone=values["phone"] or "",
        delivered_on=values["on"],
        wood=values["wood"],
        cords=Fraction(0) if is_by_bundle else values["cords"],
        bundles=int(values["count"]) if is_by_bundle else 0,
        total=values["total"],
        paid=values["total"] if values["paid"] is None else values["paid"],
        town=values["town"] or "",
        on=by.on,
        at=by.at,
        who=by.who,
    )
    if not brought.is_new:
        raise _Known("{name} has this order already.", name=values["name"])
    return f"Order {brought.number} of {values['name']} is added{brought.remark}."


def _lot(values: dict[str, Any], by: Author) -> str:
    known = {code.casefold(): name for code, name in ((row.code, row.name) for row in lot_choices())}
    code = values["code"] or _free_code(known)
    if code.casefold() in known or (not values["code"] and values["name"] in known.values()):
        raise _Known("There is a lot {lot} already.", lot=values["code"] or values["name"])
    wood = Wood(values["wood"])
    if wood == Wood.KINDLING:
        raise BadCell("Kindling is counted in bundles: open that lot under Wood, New lot.")
    is_logs = wood == Wood.LOGS
    mix = SOLD[wood].usual_mix or {"fir": 100}
    lot = NewLot(
        code=code,
        name=values["name"][:80],
        yard_id=_yard(values["yard"]),
        cords=values["cords"],
        mix={key: Decimal(pct) for key, pct in mix.items()},
        wood=wood,
        form="logs" if is_logs else "splits",
        piling="decked" if is_logs else "heaped",
        exposure="low_heap",
        start_moisture_pct=None,
        drying_from=values["split_on"] or values["felled_on"] or by.on,
        split_on=None if is_logs else values["split_on"],
        felled_on=values["felled_on"],
        sale="for_sale",
        note="From an older list. Look at its species, how it lies, and read its moisture.",
    )
    open_lot(lot=lot, on=by.on, at=by.at, who=by.who)
    return f"Lot {code} is added, for sale."


def _yard(typed: str | None) -> int:
    yards = yard_choices()
    if typed:
        found = [pk for pk, name in yards if name.casefold() == typed.casefold()]
        if not found:
            found = [pk for pk, name in yards if typed.casefold() in name.casefold()]
        if not found:
            names = ", ".join(name for _pk, name in yards) or "none yet"
            raise BadCell("There is no yard {typed!r}. Your yards: {names}.", typed=typed, names=names)
        return found[0]
    if len(yards) != 1:
        raise BadCell("Say which yard it lies in." if yards else "Add a yard first.")
    return yards[0][0]


def _free_code(known: Mapping[str, str]) -> str:
    number = 1
    while f"l{number}" in known:
        number += 1
    return f"L{number}"


STEPS: Mapping[str, Callable[[dict[str, Any], Author], str]] = {
    "customers": _customer,
    "orders": _order,
    "lots": _lot,
}
