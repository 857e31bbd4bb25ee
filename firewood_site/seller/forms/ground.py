"""Work, expenses, yards, ground and the comparison of woods, as filled in."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import (
    TIME,
    CountText,
    DayField,
    cords_field,
    dollars_field,
    hours_field,
    number_field,
    percent_field,
    pin_field,
)

SURE = {  # how far off remembered hours may be: least and most, as shares of the likely (common practice)
    "counted": (Decimal("0.95"), Decimal("1.05")),
    "about": (Decimal("0.85"), Decimal("1.30")),
    "guess": (Decimal("0.65"), Decimal("1.80")),
}
KINDS = [("cord", "by the cord"), ("mile", "by the mile"), ("year", "by the year")]


class WorkForm(forms.Form):
    """Hours in one number and how sure; the range can be typed instead."""

    job = forms.ChoiceField(label="Job", widget=forms.RadioSelect)
    hours = hours_field("Hours, likely", low=Decimal("0.1"))
    sure = forms.ChoiceField(
        label="How sure",
        choices=[("counted", "counted"), ("about", "about"), ("guess", "a guess")],
        initial="about",
        widget=forms.RadioSelect,
    )
    hours_low = hours_field("At least", high=999, required=False)
    hours_high = hours_field("At most", high=999, required=False)
    about = forms.ChoiceField(label="For", required=False)
    on = DayField(label="Day")
    cords = forms.CharField(label="Cords made", max_length=20, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, *args: Any, jobs: Any, about: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].choices = list(jobs)  # type: ignore[attr-defined]
        self.fields["about"].choices = [("", "no lot or ground"), *about]  # type: ignore[attr-defined]

    @property
    def range(self) -> tuple[Decimal, Decimal, Decimal]:
        """Low, likely, high: typed ends win over how sure."""
        likely = self.cleaned_data["hours"]
        least, most = SURE[self.cleaned_data["sure"]]
        low, high = self.cleaned_data.get("hours_low"), self.cleaned_data.get("hours_high")
        return (
            low if low is not None else _hundredths(likely * least),
            likely,
            high if high is not None else _hundredths(likely * most),
        )


class ExpenseForm(forms.Form):
    line = forms.CharField(
        label="What for",
        max_length=60,
        widget=forms.TextInput(attrs={"list": "lines", "autocomplete": "off"}),
    )
    dollars = dollars_field("Dollars", low=Decimal("0.01"))
    kind = forms.ChoiceField(label="Grows", choices=KINDS, widget=forms.RadioSelect, initial="cord")
    spent_on = DayField(label="Day")
    for_what = forms.ChoiceField(label="For", required=False)

    def __init__(self, *args: Any, about: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["for_what"].choices = [("", "the whole business"), *about]  # type: ignore[attr-defined]


class YardForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80)
    lat = forms.FloatField(label="Latitude", min_value=-90, max_value=90)
    lon = forms.FloatField(label="Longitude", min_value=-180, max_value=180)
    note = forms.CharField(label="Note for drivers", max_length=200, required=False)
    opens_at = forms.TimeField(label="Opens", widget=TIME, initial="06:00")
    closes_at = forms.TimeField(label="Shuts", widget=TIME, initial="19:00")
    load_fixed_minutes = number_field("Minutes for any stop", high=300, places=1, initial=10)
    load_minutes_per_cord = number_field("Minutes to load a cord", high=300, places=1, initial=36)
    room_cords = cords_field("Room for (cords)", kind=CountText, required=False)
    rent_month = dollars_field("Rent a month ($)", initial=0)
    has_signal = forms.BooleanField(label="Phone signal", required=False, initial=True)
    takes_big_trailer = forms.BooleanField(label="Room to turn a big trailer", required=False, initial=True)
    soft_when_wet = forms.BooleanField(label="Soft when wet", required=False)
    pick_up_here = forms.BooleanField(label="Customers may fetch wood here", required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        said["room_cords"] = said.get("room_cords") or None
        if said.get("opens_at") and said.get("closes_at") and said["opens_at"] >= said["closes_at"]:
            self.add_error("closes_at", "It shuts before it opens: write a later hour.")
        return said


class AirForm(forms.Form):
    """The yard's air: a city, twelve own values, or a file."""

    city = forms.ChoiceField(label="Nearest city of the table", required=False)
    months = forms.CharField(
        label="Or twelve values of your own",
        required=False,
        max_length=200,
        help_text="Moisture wood comes to, % on the pin, January first: 18 17 15 13 ...",
    )
    file = forms.FileField(
        label="Or a CSV of temperature and humidity",
        required=False,
        help_text="Columns date or month, temp_f or temp_c, rh_pct.",
    )

    def __init__(self, *args: Any, cities: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["city"].choices = [("", "choose"), *((name, name) for name in cities)]  # type: ignore[attr-defined]

    def clean_months(self) -> tuple[float, ...]:
        words = self.cleaned_data["months"].replace(",", " ").split()
        try:
            return tuple(float(word) for word in words)
        except ValueError:
            raise forms.ValidationError("Write numbers only, with spaces between, January first.") from None

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if not self.errors and sum(bool(said.get(name)) for name in ("city", "months", "file")) != 1:
            raise forms.ValidationError("Give one of the three: a city, twelve values or a file.")
        return said


class UnitForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80)
    acres = number_field("Acres", low=Decimal("0.01"), high=99_999)
    notified_on = DayField(label="Notice given on", required=False)
    started_on = DayField(label="Started", required=False)
    finished_on = DayField(label="Finished", required=False)
    slash = forms.CharField(label="What becomes of the slash", max_length=200, required=False)
    saw_log_dollars = dollars_field("Saw logs sold ($)", high=9_999_999, initial=0)
    cost_share_dollars = dollars_field("Cost-share ($)", high=9_999_999, initial=0)
    cost_share_approved_on = DayField(label="Approved on", required=False)
    cost_share_paid_on = DayField(label="Paid on", required=False)
    hire_out_low = dollars_field("Hired out, at least ($/acre)", required=False)
    hire_out_high = dollars_field("Hired out, at most ($/acre)", required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))


class PhotoForm(forms.Form):
    """A photo of a lot or of ground, with what it is for and when it was taken."""

    photo = forms.FileField(label="Photo", widget=forms.ClearableFileInput(attrs={"accept": "image/*"}))
    purpose = forms.ChoiceField(
        label="It shows it",
        choices=[("before", "before"), ("after", "after"), ("reading", "as it was read")],
        widget=forms.RadioSelect,
        initial="before",
    )
    taken_on = DayField(label="Taken on")
    note = forms.CharField(label="Note", max_length=200, required=False)


class CompareForm(forms.Form):
    one = forms.ChoiceField(label="One cord of")
    other = forms.ChoiceField(label="against")
    one_price = dollars_field("at ($ a cord)", low=1, high=5000, required=False)
    other_price = dollars_field("at ($ a cord)", low=1, high=5000, required=False)
    one_pct = pin_field("its moisture (% on the pin)", required=False)
    other_pct = pin_field("its moisture (% on the pin)", required=False)
    one_stove = percent_field("its stove keeps (%)", low=20, high=95, required=False)
    other_stove = percent_field("its stove keeps (%)", low=20, high=95, required=False)

    def __init__(self, *args: Any, woods: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("one", "other"):
            self.fields[name].choices = list(woods)  # type: ignore[attr-defined]


def _hundredths(hours: Decimal) -> Decimal:
    return hours.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
