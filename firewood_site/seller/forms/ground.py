"""Work, expenses, yards, ground and the comparison of woods, as filled in."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms

from firewood_site.seller.forms.orders import DATE
from firewood_site.seller.forms.stock import NUMBER, CountText

SURE = {  # how far off remembered hours may be: least and most, as shares of the likely (common practice)
    "counted": (Decimal("0.95"), Decimal("1.05")),
    "about": (Decimal("0.85"), Decimal("1.30")),
    "guess": (Decimal("0.65"), Decimal("1.80")),
}
KINDS = [("cord", "by the cord"), ("mile", "by the mile"), ("year", "by the year")]


class WorkForm(forms.Form):
    """Hours in one number and how sure; the range can be typed instead."""

    job = forms.ChoiceField(label="Job", widget=forms.RadioSelect)
    hours = forms.DecimalField(
        label="Hours, likely",
        min_value=Decimal("0.1"),
        max_value=400,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    sure = forms.ChoiceField(
        label="How sure",
        choices=[("counted", "counted"), ("about", "about"), ("guess", "a guess")],
        initial="about",
        widget=forms.RadioSelect,
    )
    hours_low = forms.DecimalField(
        label="At least",
        required=False,
        min_value=0,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    hours_high = forms.DecimalField(
        label="At most",
        required=False,
        min_value=0,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    about = forms.ChoiceField(label="For", required=False)
    on = forms.DateField(label="Day", widget=DATE)
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
    dollars = forms.DecimalField(
        label="Dollars",
        max_digits=8,
        decimal_places=2,
        min_value=Decimal("0.01"),
        widget=forms.NumberInput(attrs=NUMBER),
    )
    kind = forms.ChoiceField(label="Grows", choices=KINDS, widget=forms.RadioSelect, initial="cord")
    spent_on = forms.DateField(label="Day", widget=DATE)
    for_what = forms.ChoiceField(label="For", required=False)

    def __init__(self, *args: Any, about: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["for_what"].choices = [("", "the whole business"), *about]  # type: ignore[attr-defined]


class YardForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80)
    lat = forms.FloatField(label="Latitude", min_value=-90, max_value=90)
    lon = forms.FloatField(label="Longitude", min_value=-180, max_value=180)
    note = forms.CharField(label="Note for drivers", max_length=200, required=False)
    opens_at = forms.TimeField(
        label="Opens", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"), initial="06:00"
    )
    closes_at = forms.TimeField(
        label="Shuts", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"), initial="19:00"
    )
    load_fixed_minutes = forms.DecimalField(
        label="Minutes for any stop", min_value=0, max_value=300, initial=10, max_digits=5, decimal_places=1
    )
    load_minutes_per_cord = forms.DecimalField(
        label="Minutes to load a cord", min_value=0, max_value=300, initial=36, max_digits=5, decimal_places=1
    )
    room_cords = CountText(label="Room for (cords)", required=False, max_length=20)
    rent_month = forms.DecimalField(
        label="Rent a month ($)", min_value=0, initial=0, max_digits=8, decimal_places=2
    )
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
    acres = forms.DecimalField(label="Acres", min_value=Decimal("0.01"), max_digits=7, decimal_places=2)
    notified_on = forms.DateField(label="Notice given on", required=False, widget=DATE)
    started_on = forms.DateField(label="Started", required=False, widget=DATE)
    finished_on = forms.DateField(label="Finished", required=False, widget=DATE)
    slash = forms.CharField(label="What becomes of the slash", max_length=200, required=False)
    saw_log_dollars = forms.DecimalField(
        label="Saw logs sold ($)", min_value=0, initial=0, max_digits=9, decimal_places=2
    )
    cost_share_dollars = forms.DecimalField(
        label="Cost-share ($)", min_value=0, initial=0, max_digits=9, decimal_places=2
    )
    cost_share_approved_on = forms.DateField(label="Approved on", required=False, widget=DATE)
    cost_share_paid_on = forms.DateField(label="Paid on", required=False, widget=DATE)
    hire_out_low = forms.DecimalField(
        label="Hired out, at least ($/acre)", required=False, min_value=0, max_digits=9, decimal_places=2
    )
    hire_out_high = forms.DecimalField(
        label="Hired out, at most ($/acre)", required=False, min_value=0, max_digits=9, decimal_places=2
    )
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
    taken_on = forms.DateField(label="Taken on", widget=DATE)
    note = forms.CharField(label="Note", max_length=200, required=False)


def _percent(label: str, *, low: int, high: int) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, required=False, min_value=low, max_value=high, max_digits=4, decimal_places=1,
        widget=forms.NumberInput(attrs=NUMBER),
    )  # fmt: skip


class CompareForm(forms.Form):
    one = forms.ChoiceField(label="One cord of")
    other = forms.ChoiceField(label="against")
    one_price = forms.DecimalField(
        label="at ($ a cord)",
        required=False,
        min_value=1,
        max_value=5000,
        max_digits=7,
        decimal_places=2,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    other_price = forms.DecimalField(
        label="at ($ a cord)",
        required=False,
        min_value=1,
        max_value=5000,
        max_digits=7,
        decimal_places=2,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    one_pct = _percent("its moisture (% on the pin)", low=5, high=200)
    other_pct = _percent("its moisture (% on the pin)", low=5, high=200)
    one_stove = _percent("its stove keeps (%)", low=20, high=95)
    other_stove = _percent("its stove keeps (%)", low=20, high=95)

    def __init__(self, *args: Any, woods: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("one", "other"):
            self.fields[name].choices = list(woods)  # type: ignore[attr-defined]


def _hundredths(hours: Decimal) -> Decimal:
    return hours.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
