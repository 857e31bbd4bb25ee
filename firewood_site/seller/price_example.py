"""What a price sheet comes to while it is being written: every fraction, and one order 14 miles away."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.amounts import read_amount
from firewood_site.refusals import refusals
from firewood_site.seller.forms.orders import SheetForm
from inventory.core.local import local, road_figure
from inventory.core.units import format_cords
from inventory.selectors.business import business
from orders.core.drives import Drive
from orders.core.order_request import OrderRequest
from orders.core.places import place_rule
from orders.core.quotes import Quote, quote_for
from orders.core.sheets import CordPrice
from orders.selectors.prices import AmountPrice, draft_sheet, price_table
from orders.services.prices import COLUMNS

MILES = 14
CORDS = Fraction(1, 3)
MINUTES = 25  # of the example's drive: no price is charged on them


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceExample:
    """One wood of the sheet. order: of a third of a cord, or why there is none."""

    wood: str
    dryness: str
    amounts: tuple[AmountPrice, ...] = ()
    order: Quote | None = None
    cannot: str = ""

    @property
    def whom(self) -> str:
        """The order in words: "A third of a cord to somebody 14 miles away"."""
        if local().is_metric:
            return f"{format_cords(_amount())} to somebody {road_figure(Decimal(MILES))} km away"
        return f"A third of a cord to somebody {MILES} miles away"


def example_of(
    form: SheetForm,
    *,
    on: date,
    size: Callable[[str], Fraction],
    line: Callable[[str], tuple[str, str, str]],
) -> PriceExample | None:
    """The first near price as the form stands; what can't be read yet counts as it was before.

    Shapes
        size, line: read the names of the form's fields back into a fraction, and into market, wood, dryness.
    """
    asked = {**form.fields, **form.parts}
    said = {
        **form.initial,
        **{name: form.get_initial_for_field(field, name) for name, field in asked.items()},
    }
    if form.is_bound:
        form.is_valid()
        said |= form.cleaned_data
    priced = [(line(name), said.get(name)) for name in form.line_names]
    lines = [
        CordPrice(market=market, wood=wood, dryness=dryness, dollars=Decimal(dollars))
        for (market, wood, dryness), dollars in priced
        if dollars
    ]
    if not lines:
        return None
    first = lines[0]
    with refusals() as refused:
        sheet = draft_sheet(
            from_on=on,
            terms={name: _plain(form, name, said) for name in COLUMNS},
            lines=lines,
            uplifts={
                size(name): Decimal(said.get(name) or 0) / 100
                for name in form.size_names
                if said.get(name) not in (None, "")
            },
        )
        table = next(row for row in price_table(sheet) if row.market == first.market)
        drive = Drive(miles=Decimal(MILES), minutes=MINUTES, from_yard="your yard")
        request = OrderRequest(wood=first.wood, market=first.market, dryness=first.dryness, cords=_amount())
        with refusals() as no_order:
            order = quote_for(request, sheet=sheet, on=on, drive=drive, rule=place_rule(business().place_key))
            return PriceExample(wood=first.wood, dryness=first.dryness, amounts=table.amounts, order=order)
        return PriceExample(
            wood=first.wood, dryness=first.dryness, amounts=table.amounts, cannot=no_order.text
        )
    return PriceExample(wood=first.wood, dryness=first.dryness, cannot=refused.text)


def _amount() -> Fraction:
    """What the example is for: a third of a cord, or two cubic meters where those count."""
    return read_amount("2") if local().is_metric else CORDS


def _plain(form: SheetForm, name: str, said: Mapping[str, Any]) -> Any:
    """A term as the sheet keeps it, whether it was typed or stands from before."""
    value = said.get(name)
    field = form.fields.get(name) or form.parts.get(name)
    is_read = value in (None, "") or isinstance(value, Decimal | int)  # of the books, not typed
    return field.clean(value) if isinstance(field, forms.DecimalField) and not is_read else value
