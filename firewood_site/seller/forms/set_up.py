"""What a seller says once: towns, markets, ways to pay, people, posted limits, months of older books."""

from typing import Any

from django import forms

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
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from firewood_site.seller.forms.spots import SpotForm

ROLES = [
    ("seller", "sells, does everything"),
    ("driver", "drives, sees the run"),
    ("helper", "helps with wood, orders and days; sees the money and changes none"),
]
MOST_POUNDS = 200_000


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
    field_order = ("name", "market", "lat", "lon", "hop_miles")

    def __init__(self, *args: Any, markets: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["market"].choices = list(markets)  # type: ignore[attr-defined]


class PickedTownsForm(forms.Form):
    """Towns ticked among those of the loaded roads."""

    towns = forms.MultipleChoiceField(
        label="Towns", error_messages={"required": "Tick the towns you sell to, or write one below."}
    )
    market = forms.ChoiceField(label="Priced as", widget=forms.RadioSelect, initial="near")

    def __init__(self, *args: Any, markets: Any, towns: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["towns"].choices = [(town.name, town.name) for town in towns]  # type: ignore[attr-defined]
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
    caution = BuyerText(label="What to mind", max_length=200, required=False)
    instructions = BuyerText(label="How to pay a deposit this way", max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        kind = cleaned.get("kind")
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
    whole_rig_lb = forms.IntegerField(
        label="Posted for the whole rig, pounds", min_value=1, max_value=MOST_POUNDS, required=False
    )
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


class MonthForm(LineForm):
    lines = {
        "money": Line(label="Taken ($) / paid out ($)", parts=("revenue", "cash_out")),
        "worked": Line(
            label="Miles / hours on the road / hours in yard and woods",
            parts=("miles", "delivery_hours", "yard_hours"),
        ),
    }
    month = DayField(label="Month (any day of it)")
    covers_until = DayField(label="Counted until, if not all of it", required=False)
    cords = cords_field("Cords sold", kind=CountText)
    revenue = dollars_field("Taken ($)", high=9_999_999)
    miles = road_field("Miles", high=999_999, places=1, initial=0)
    delivery_hours = hours_field("Hours on the road", high=9_999, initial=0)
    yard_hours = hours_field("Hours in yard and woods", high=9_999, initial=0)
    cash_out = dollars_field("Paid out ($)", high=9_999_999, initial=0)
    label = forms.CharField(label="Note", max_length=80, required=False)
