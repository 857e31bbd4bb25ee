"""What a seller says once: towns, markets, ways to pay, people, posted limits, months of older books."""

import re
from decimal import Decimal
from typing import Any

from django import forms

from firewood_site.measured import MeasuredField, bare_figure, in_place
from firewood_site.seller.buyer_words import BuyerName, BuyerText
from firewood_site.seller.forms.fields import (
    CordsText,
    CountText,
    DayField,
    cords_field,
    dollars_field,
    hours_field,
    road_field,
)
from firewood_site.seller.forms.lines import LineForm, Ticks
from firewood_site.seller.forms.spots import SpotForm

ROLES = [
    ("seller", "sells, does everything"),
    ("driver", "drives, sees the run"),
    ("helper", "helps with wood, orders and days; sees the money and changes none"),
]
MOST_POUNDS = 200_000
FIGURES = 7  # cells of a line of months before words may follow


class TownForm(SpotForm):
    name = BuyerName(
        label="Town", max_length=60, widget=forms.TextInput(attrs={"list": "places", "autocomplete": "off"})
    )
    market = forms.ChoiceField(label="Priced as", widget=forms.RadioSelect, initial="near")
    hop_miles = road_field(
        "Miles from one drop there to the next", high=99, places=1, required=False,
        help_text="Empty: as it is, at first 2 miles.",
    )  # fmt: skip
    looked_up = "name"
    field_order = ("name", "market", "where", "hop_miles")

    def __init__(self, *args: Any, markets: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["market"].choices = list(markets)  # type: ignore[attr-defined]


class PickedTownsForm(forms.Form):
    """Towns ticked among those of the loaded roads."""

    name = forms.MultipleChoiceField(
        label="Towns", error_messages={"required": "Tick the towns you sell to, or write one below."}
    )
    market = forms.ChoiceField(label="Priced as", widget=forms.RadioSelect, initial="near")

    def __init__(self, *args: Any, markets: Any, towns: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].choices = [(town.name, town.name) for town in towns]  # type: ignore[attr-defined]
        self.fields["market"].choices = list(markets)  # type: ignore[attr-defined]


class MarketForm(LineForm):
    ticks = {"is": Ticks(label="It is", parts=("is_far", "is_delivered_price"))}
    name = BuyerName(label="Market", max_length=60, help_text="The name of one there corrects it.")
    minimum_cords = cords_field("Least we bring", kind=CordsText)
    is_far = forms.BooleanField(label="It is far: loads wait to be pooled", required=False)
    is_delivered_price = forms.BooleanField(label="The price includes the drive", required=False)


class WayForm(forms.Form):
    kind = forms.ChoiceField(
        label="Way",
        widget=forms.RadioSelect,
        initial="cash",
        choices=[
            ("cash", "cash"), ("check", "check"), ("transfer", "bank transfer"),
            ("other", "another, at the door"), ("ahead", "another, not at the door"),
        ],
    )  # fmt: skip
    name = BuyerText(label="What customers read", max_length=40, required=False)
    note = BuyerText(label="What to mind", max_length=200, required=False)
    instructions = BuyerText(
        label="How to pay a deposit this way (in Spanish too: / es: ...)", max_length=300, required=False
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        kind = cleaned.get("kind")
        cleaned["caution"] = cleaned.pop("note", "")
        return {**cleaned, "kind": "other" if kind == "ahead" else kind, "at_the_door": kind == "other"}


class PersonForm(forms.Form):
    name = forms.CharField(
        label="Signs in as", max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    role = forms.ChoiceField(label="What they do", widget=forms.RadioSelect, choices=ROLES, initial="driver")


class LimitForm(forms.Form):
    name = forms.CharField(
        label="Bridge or road", max_length=120, help_text="The name of one there corrects it."
    )
    whole_rig_lb = MeasuredField(
        kept="lb", low=1, high=MOST_POUNDS, label="Posted for the whole rig (lb)", required=False,
        help_text=in_place("12000, or 5.4 t where a sign says so.", "5443, or 5.4 t."),
    )  # fmt: skip
    note = forms.CharField(label="What drivers should know", max_length=200, required=False)


class RoadsForm(forms.Form):
    file = forms.FileField(
        label="The file, ending in .osm.pbf", required=False, widget=forms.FileInput(attrs={"accept": ".pbf"})
    )
    path = forms.CharField(
        label="Or where it lies on the machine that runs this site",
        max_length=400,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("file") and not cleaned.get("path") and not self.errors:
            self.add_error("file", "Choose the file, or type where it lies.")
        return cleaned


class MonthsForm(forms.Form):
    """Months of older books, one a line or pasted from a spreadsheet, its cells as in `MonthForm`."""

    months = forms.CharField(
        label="Months",
        max_length=6_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 4, "placeholder": "2025-10; 12.5; 3400; 420; 310; 22; 60"}),
        help_text="One a line, as copied from a spreadsheet, or with ; between: month, cords sold, "
        "taken ($), paid out ($), miles, hours on the road, hours in yard and woods; then, if not the "
        "whole month, the last day counted; a note. A month written again is corrected.",
    )

    def clean_months(self) -> list[dict[str, Any]]:
        found = []
        for line in filter(str.strip, self.cleaned_data["months"].splitlines()):
            cells = [cell.strip() for cell in re.split(r"[\t;]", line)]
            cells[1:FIGURES] = [bare_figure(cell) for cell in cells[1:FIGURES]]
            if len(cells) > len(MonthForm.base_fields):
                more = '"%(line)s" has more than asked for: see the order below.'
                raise forms.ValidationError(more, params={"line": line})
            if re.fullmatch(r"\d{4}-\d{1,2}", cells[0]):
                cells[0] += "-01"
            row = MonthForm(dict(zip(MonthForm.base_fields, cells, strict=False)))
            if not row.is_valid():
                name, wrong = next(iter(row.errors.items()))
                told = {"line": line.strip(), "what": row.fields[name].label, "wrong": wrong[0]}
                raise forms.ValidationError('"%(line)s": %(what)s: %(wrong)s', params=told)
            found.append(row.cleaned_data)
        if not found:
            raise forms.ValidationError("Write a month, such as 2025-10; 12.5; 3400.")
        return found


class MonthForm(forms.Form):
    """One line of it."""

    month = DayField(label="Month")
    cords = cords_field("Cords sold", kind=CountText)
    revenue = dollars_field("Taken ($)", high=9_999_999)
    cash_out = dollars_field("Paid out ($)", high=9_999_999, required=False)
    miles = road_field("Miles", high=999_999, places=1, required=False)
    delivery_hours = hours_field("Hours on the road", high=9_999, required=False)
    yard_hours = hours_field("Hours in yard and woods", high=9_999, required=False)
    covers_until = DayField(label="Last day counted", required=False)
    label = forms.CharField(label="Note", max_length=80, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        figures = ("cash_out", "miles", "delivery_hours", "yard_hours")
        return {**cleaned, **{name: cleaned.get(name) or Decimal(0) for name in figures}}
