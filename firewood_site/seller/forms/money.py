"""Forms of the settings and money pages."""

from calendar import month_name
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import dollars_field, hours_field
from orders.core.places import place_rules  # the places whose wording we know

MONTHS = [(number, month_name[number]) for number in range(1, 13)]


class BusinessForm(forms.Form):
    name = forms.CharField(max_length=120, label="Name on tickets")
    owner = forms.CharField(max_length=120, required=False, label="Who sells")
    address = forms.CharField(
        max_length=200, required=False, label="Address", help_text="Most places ask for it on the ticket."
    )
    phone = forms.CharField(max_length=40, required=False, label="Phone")
    email = forms.EmailField(required=False, label="E-mail")
    about = forms.CharField(
        required=False, widget=forms.Textarea(attrs={"rows": 3}), label="A line about you for the front page"
    )
    place_key = forms.ChoiceField(label="Rules of sale", help_text="Check your local rule; this is a start.")
    volume_style = forms.ChoiceField(
        label="Show amounts as",
        choices=[
            ("cords_ft3", "cords and cubic feet"),
            ("ft3", "cubic feet only"),
            ("stacked_m3", "stacked cubic meters"),
        ],
    )
    target_wage = dollars_field("An hour should earn ($)", high=9_999)
    production_hours_per_cord = hours_field("Hours to make a cord")
    production_cash_per_cord = dollars_field("Cash to make a cord ($)", high=9_999)
    first_rain_month = forms.TypedChoiceField(choices=MONTHS, coerce=int, label="First rain, month")
    first_rain_day = forms.IntegerField(min_value=1, max_value=31, label="First rain, day")
    change_cut_off_hour = forms.IntegerField(
        min_value=0,
        max_value=23,
        label="Customers may change until this hour the day before",
        help_text="0 to 23; 12 is noon.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["place_key"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(rule.key, rule.name) for rule in place_rules()]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        month, day = said.get("first_rain_month"), said.get("first_rain_day")
        longest = {2: 28, 4: 30, 6: 30, 9: 30, 11: 30}
        if month and day and day > longest.get(month, 31):
            self.add_error("first_rain_day", f"That month has no day {day}.")
        return said
