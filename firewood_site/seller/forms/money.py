"""Forms of the settings and money pages."""

from typing import Any

from django import forms
from django.conf import settings

from firewood_site.seller.forms.fields import DayOfYear, dollars_field, wood_field
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.core.local import CURRENCIES
from inventory.selectors.spoken import reader_language
from orders.core.places import GENERAL_RULE, ForbiddenWord, check_words, place_rule, place_rules
from orders.services.customers import BadPhone, read_phone


class BusinessForm(LineForm):
    lines = {
        "cord_takes": Line(
            label="Making a cord takes: hours / cash ($)",
            parts=("production_hours_per_cord", "production_cash_per_cord"),
        ),
        "limits": Line(
            label="Customers may change until, the day before (hour) / a request keeps its wood (hours)",
            parts=("change_cut_off_hour", "request_hours"),
            help_text="12 / 48. 12 is noon, 0 to 23; after so many hours others may order the same wood, and "
            "0 keeps none.",
        ),
    }
    name = forms.CharField(max_length=120, label="Name on tickets")
    photo = forms.FileField(
        required=False,
        label="Picture beside your name",
        widget=forms.ClearableFileInput(attrs={"accept": "image/*"}),
        help_text="Small and square is best. Customers see it on every page and on tickets.",
    )
    without_picture = forms.BooleanField(required=False, label="Take the picture off")
    owner = forms.CharField(max_length=120, required=False, label="Who sells")
    address = forms.CharField(
        max_length=200, required=False, label="Address", help_text="Most places ask for it on the ticket."
    )
    phone = forms.CharField(max_length=40, required=False, label="Phone")
    email = forms.EmailField(required=False, label="E-mail")
    about = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        label="A line about you for the front page",
        help_text="To say it in Spanish too, begin a line with es:",
    )
    place_key = forms.ChoiceField(
        label="Rules of sale and units",
        help_text="Wood and roads are counted as it counts them. Check your local rule.",
    )
    currency = forms.ChoiceField(
        label="Currency", choices=[(code, f"{code}, {name}") for code, (_sign, name) in CURRENCIES.items()]
    )
    language = forms.ChoiceField(
        label="Language",
        choices=settings.LANGUAGES,
        help_text="Of pages and messages for customers who did not say what they read.",
    )
    target_wage = dollars_field("An hour should earn ($)", high=9_999)
    production_hours_per_cord = wood_field("Hours to make a cord", each=True, high=400)
    production_cash_per_cord = wood_field("Cash to make a cord ($)", each=True, high=9_999)
    first_rain = DayOfYear(label="First rain, in a usual year", help_text="October 5")
    change_cut_off_hour = forms.IntegerField(
        min_value=0,
        max_value=23,
        label="Customers may change until",
    )
    request_hours = forms.IntegerField(
        min_value=0,
        max_value=720,
        label="A new request keeps its wood",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["place_key"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(rule.key, rule.name) for rule in place_rules()]

    def clean_phone(self) -> str:
        typed = self.cleaned_data["phone"]
        try:
            return read_phone(typed).kept if typed else ""
        except BadPhone as error:
            raise forms.ValidationError(error.text_in(reader_language())) from error

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if rain := cleaned.pop("first_rain", None):
            cleaned["first_rain_month"], cleaned["first_rain_day"] = rain
        for name in ("name", "owner", "about"):  # by the rule chosen here, not the one in the books
            try:
                check_words(
                    cleaned.get(name) or "", rule=place_rule(cleaned.get("place_key") or GENERAL_RULE)
                )
            except ForbiddenWord as error:
                self.add_error(name, str(error))
        return cleaned
