"""Work, expenses, yards, ground and the comparison of woods, as filled in."""

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.measured import MeasuredField, in_place
from firewood_site.seller.buyer_words import BuyerName, WoodName
from firewood_site.seller.forms.dated import DatedLines
from firewood_site.seller.forms.fields import (
    MOST_DOLLARS,
    ClockField,
    CountText,
    DayField,
    cords_field,
    dollars_field,
    number_field,
    percent_field,
    pin_field,
    wood_field,
)
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from firewood_site.seller.forms.spots import SpotForm
from inventory.core.hours import Hours, NotHours, parse_hours
from inventory.core.stand import plots_here, with_unit
from inventory.selectors.spoken import reader_language
from inventory.selectors.yards import SLASH_METHODS

LONGEST_SIZE = 20
PLOTS = "none for a plot without trees. Four plots or more make the range worth reading."
GRAVITY = (
    "Oven-dry weight over green volume; volume lost from green to oven-dry; gross heat. 0.45 alone: 26.5 "
    "times it is the shrinkage,"
)
LONGEST_NAME = 80
SCIENTIFIC = re.compile(r"(.*?)\s*\(([^()]+)\)")  # a wood's name, its scientific one in brackets behind it
WORDS_OF_A_SIZE = {
    "ft", "foot", "feet", "m", "meter", "meters", "metre", "metres", "ha",
    "radius", "circle", "plot", "prism", "baf", "factor",
}  # fmt: skip
GROUND_DAYS = {
    "started": "started_on",
    "finished": "finished_on",
    "notice given": "notified_on",
    "slash gone by": "slash_by",
    "slash done": "slash_done_on",
    "cost-share approved": "cost_share_approved_on",
    "cost-share ends": "cost_share_until",
    "cost-share paid": "cost_share_paid_on",
}
KINDS = [("cord", _("by the cord")), ("mile", _("by the mile")), ("year", _("by the year"))]


class WorkForm(forms.Form):
    """An entry of work put right."""

    job = forms.ChoiceField(label=_("Job"), widget=forms.RadioSelect)
    hours = forms.CharField(
        label=_("Hours"), max_length=40, help_text=_("3, 2 to 3, 2 / 2.5 / 4, 1 h 30 min")
    )
    about = forms.ChoiceField(label=_("For"), required=False)
    on = DayField(label=_("Day"))
    cords = forms.CharField(label=_("Cords made"), max_length=20, required=False)
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(self, *args: Any, jobs: Any, about: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].choices = list(jobs)  # type: ignore[attr-defined]
        self.fields["about"].choices = [("", _("no lot or ground")), *about]  # type: ignore[attr-defined]

    def clean_hours(self) -> Hours:
        try:
            return parse_hours(self.cleaned_data["hours"])
        except NotHours as error:
            raise forms.ValidationError(error.text_in(reader_language())) from error


class ExpenseForm(forms.Form):
    line = forms.CharField(
        label=_("What for"),
        max_length=60,
        widget=forms.TextInput(attrs={"list": "lines", "autocomplete": "off"}),
    )
    dollars = dollars_field(_("Dollars"), low=Decimal("0.01"))
    kind = forms.ChoiceField(label=_("Varies with"), choices=KINDS, widget=forms.RadioSelect, initial="cord")
    on = DayField(label=_("Day"))
    about = forms.ChoiceField(label=_("For"), required=False)
    job = forms.ChoiceField(label=_("Paid for"), required=False)

    def __init__(self, *args: Any, about: Any, jobs: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["about"].choices = [("", _("the whole business")), *about]  # type: ignore[attr-defined]
        self.fields["job"].choices = [("", _("no job in particular")), *jobs]  # type: ignore[attr-defined]


class YardForm(LineForm, SpotForm):
    lines = {
        "open_hours": Line(label="Opens, closes", parts=("opens_at", "closes_at"), between=(" to ",)),
        "loading": Line(
            label="Minutes to load: any stop + each cord",
            parts=("load_fixed_minutes", "load_minutes_per_cord"),
            between=(" + ",),
        ),
    }
    ticks = {
        "has": Ticks(
            label="It has", parts=("has_signal", "takes_big_trailer", "soft_when_wet", "pick_up_here")
        )
    }
    name = BuyerName(label="Name", max_length=80)
    where = forms.CharField(
        label="Street, town, or latitude, longitude",
        max_length=200,
        required=False,
        help_text="Looked up in the loaded roads; or 44.05, -123.09 as a map shows it.",
    )
    note = BuyerName(
        label="Note for drivers", max_length=200, required=False,
        help_text="In Spanish too: By the mill / es: Junto al molino",
    )  # fmt: skip
    opens_at = ClockField(label="Opens", initial="06:00")
    closes_at = ClockField(label="Closes", initial="19:00")
    load_fixed_minutes = number_field("Minutes for any stop", high=300, places=1, initial=10)
    load_minutes_per_cord = wood_field("Minutes to load a cord", each=True, high=300, places=1, initial=36)
    room_cords = cords_field("Room for (cords)", kind=CountText, required=False)
    rent_month = dollars_field("Rent a month ($)", initial=0)
    has_signal = forms.BooleanField(label="Phone signal", required=False, initial=True)
    takes_big_trailer = forms.BooleanField(label="Room to turn a big trailer", required=False, initial=True)
    soft_when_wet = forms.BooleanField(label="Soft when wet", required=False)
    pick_up_here = forms.BooleanField(label="Customers may pick up wood here", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["room_cords"] = cleaned.get("room_cords") or None
        if (
            cleaned.get("opens_at")
            and cleaned.get("closes_at")
            and cleaned["opens_at"] >= cleaned["closes_at"]
        ):
            self.add_error("closes_at", "It closes before it opens: write a later hour.")
        return cleaned


class WeatherForm(forms.Form):
    """The yard's weather: a city, a station loaded before, twelve own values, or a file."""

    city = forms.ChoiceField(label="Nearest city of the table", required=False)
    station = forms.TypedChoiceField(
        label="Or a station you loaded", coerce=int, required=False, empty_value=None
    )
    months = forms.CharField(
        label="What wood dries to, % on the pin, January first",
        required=False,
        max_length=200,
        help_text="18 17 15 13 ...",
    )
    file = forms.FileField(
        label="Or a weather file",
        required=False,
        help_text="Daily or hourly CSV with date, temperature and humidity; rain, wind and sun where known. "
        "EPW and TMY3 files too. Several years are kept apart. Days ahead are taken as a forecast. "
        "The station is named after the file; to add to one you have, choose it too.",
    )

    def __init__(
        self, *args: Any, cities: Iterable[str], stations: Iterable[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["city"].choices = [("", "choose"), *((name, name) for name in cities)]  # type: ignore[attr-defined]
        self.fields["station"].choices = [("", "choose"), *stations]  # type: ignore[attr-defined]

    def clean_months(self) -> tuple[float, ...]:
        parts = self.cleaned_data["months"].replace(",", " ").split()
        try:
            return tuple(float(word) for word in parts)
        except ValueError:
            raise forms.ValidationError("Write numbers only, with spaces between, January first.") from None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        into = "file" if cleaned.get("file") else "station"  # a file may be added to a station
        given = sum(bool(cleaned.get(name)) for name in ("city", "months", into))
        if not self.errors and given != 1:
            raise forms.ValidationError("Give one of the four: a city, a station, twelve values or a file.")
        return cleaned


class UnitForm(LineForm):
    lines = {
        "ground_acres": Line(
            label="Acres: all / not yet thinned", parts=("acres", "acres_left"), help_text="1.5 / 0.5"
        ),
        "hire_out": Line(
            label="What hiring it out would cost ($ an acre)",
            parts=("hire_out_low", "hire_out_high"),
            between=(" to ",),
            help_text=in_place(
                "335 to 1395. Leave empty for the published range.",
                "830 to 3450. Leave empty for the published range.",
            ),
        ),
        "money_in": Line(
            label="Money from it: cost-share / saw logs sold ($)",
            parts=("cost_share_dollars", "saw_log_dollars"),
        ),
    }
    name = BuyerName(label="Name", max_length=80)
    premises = BuyerName(
        label="Where it is, for paperwork", max_length=200, required=False,
        help_text="Street, tax account or legal description. It is printed on the paper that rides along.",
    )  # fmt: skip
    acres = MeasuredField(label="Acres", kept="acre", low=0.01, high=99_999, places=2)
    acres_left = MeasuredField(
        label="Acres not yet thinned", kept="acre", high=99_999, places=2, required=False
    )
    dates = DatedLines(label="Dates", words=GROUND_DAYS)
    slash_method = forms.ChoiceField(
        label="What happens to the slash", choices=[("", "not decided"), *SLASH_METHODS], required=False
    )
    slash = forms.CharField(label="About the slash", max_length=200, required=False)
    saw_log_dollars = dollars_field("Saw logs sold ($)", high=9_999_999, initial=0)
    cost_share_dollars = dollars_field("Cost-share ($)", high=9_999_999, initial=0)
    hire_out_low, hire_out_high = (
        MeasuredField(label=label, kept="by_acre", high=MOST_DOLLARS, places=2, required=False)
        for label in ("Hired out, at least ($ an acre)", "Hired out, at most ($ an acre)")
    )
    plots = forms.CharField(
        label="Plot size, then the trees you would cut, one plot a line",
        required=False, max_length=4000,
        widget=forms.Textarea(
            attrs={
                "rows": 5,
                "placeholder": in_place(
                    "37 ft\nfir 5 6 6 8; oak 7\nfir 6 9", "11.3 m\nfir 12 15 15 20; oak 18\nfir 16 24"
                ),
            }
        ),
        help_text=in_place(
            '"37 ft" is a circle with that radius, a tenth of an acre. Through a prism: "prism 10". '
            f"Then the wood and each tree's inches at 4 1/2 ft; {PLOTS}",
            '"11.3 m" is a circle with that radius, 400 m². Through a prism of 2 m² a hectare: "prism 2". '
            f"Then the wood and each tree's cm at 1.3 m; {PLOTS}",
        ),
    )  # fmt: skip
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, initial: dict[str, Any] | None = None, **kwargs: Any) -> None:
        kept = initial or {}
        counted = "\n".join(filter(None, plots_here(kept.get("plot_size", ""), kept.get("plots", ""))))
        super().__init__(*args, initial={**kept, "dates": kept, "plots": counted}, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        size, _newline, plots = cleaned.get("plots", "").strip().partition("\n")
        size = with_unit(size.strip())
        words = set(re.findall(r"[^\W\d_]+", size.lower()))
        is_size = re.search(r"\d", size) and words <= WORDS_OF_A_SIZE and len(size) <= LONGEST_SIZE
        if size and not is_size and size != self.initial.get("plot_size"):
            told = {"first": in_place('"37 ft", or "prism 10".', '"11.3 m", or "prism 2".')}
            asked = "Start with the plot size: %(first)s"
            self.add_error("plots", forms.ValidationError(asked, params=told))
        return {**cleaned, **(cleaned.pop("dates", None) or {}), "plot_size": size, "plots": plots}


class PhotoForm(forms.Form):
    """A photo of a lot or of ground, with what it is for and when it was taken."""

    photo = forms.FileField(label=_("Photo"), widget=forms.ClearableFileInput(attrs={"accept": "image/*"}))
    purpose = forms.ChoiceField(
        label=_("It shows it"),
        choices=[
            ("before", _("before")),
            ("after", _("after")),
            ("reading", _("as it was read")),
            ("shop", _("for customers to see")),
        ],
        widget=forms.RadioSelect,
        initial="before",
    )
    on = DayField(label=_("Taken on"))
    note = BuyerName(label=_("Note"), max_length=200, required=False)


class SpeciesForm(LineForm):
    """A wood's own figures, each in the words of the tables they are read from."""

    lines = {
        "green": Line(
            label="Green: heartwood to sapwood (% on the pin)",
            parts=("green_low_pct", "green_high_pct"),
            between=(" to ",),
            help_text="37 to 115. Loads are planned on the wettest.",
        ),
        "figures": Line(
            label=in_place(
                "Specific gravity / shrinkage (%) / heat (Btu per oven-dry lb)",
                "Specific gravity / shrinkage (%) / heat (MJ per oven-dry kg)",
            ),
            parts=("specific_gravity", "shrinkage_pct", "btu_per_lb"),
            help_text=in_place(
                f"0.45 / 11.9 / 8600. {GRAVITY} and 8,600 the heat.",
                f"0.45 / 11.9 / 20. {GRAVITY} and 20 the heat.",
            ),
        ),
    }

    name = WoodName(
        label="Name", max_length=162,
        help_text="The kind after a comma, the scientific name behind it, if you know it: Oak, Oregon white "
        "(Quercus garryana). Tickets print the name.",
    )  # fmt: skip
    group = forms.ChoiceField(
        label="Kind", choices=[("softwood", "softwood (has needles)"), ("hardwood", "hardwood (has leaves)")]
    )
    specific_gravity = number_field("Specific gravity", low=Decimal("0.1"), high=Decimal("1.2"), places=3)
    shrinkage_pct = percent_field("Shrinkage (%)", low=1, high=30, required=False)
    green_low_pct = percent_field("Green: driest (% on the pin)", low=20, high=400)
    green_high_pct = percent_field("Green: wettest (% on the pin)", low=20, high=400)
    btu_per_lb = MeasuredField(
        kept="btu_lb", low=6_000, high=12_000, required=False,
        label=in_place("Heat (Btu per oven-dry lb)", "Heat (MJ per oven-dry kg)"),
    )  # fmt: skip
    source = forms.CharField(
        label="Where these figures come from",
        max_length=200,
        help_text="Title, table and year; or: weighed here.",
    )

    def __init__(self, *args: Any, initial: dict[str, Any] | None = None, **kwargs: Any) -> None:
        super().__init__(
            *args, initial={**initial, "name": both_names(initial)} if initial else None, **kwargs
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        found = SCIENTIFIC.fullmatch(cleaned.get("name", ""))
        name, scientific = found.groups() if found else (cleaned.get("name", ""), "")
        if max(len(name), len(scientific)) > LONGEST_NAME:
            asked = "Write each name with at most %(most)s letters."
            self.add_error("name", forms.ValidationError(asked, params={"most": LONGEST_NAME}))
        return {**cleaned, "name": name, "scientific": scientific}


def both_names(wood: dict[str, Any]) -> str:
    """A wood's name as the form asks it, the scientific one in brackets behind it."""
    return f"{wood['name']} ({wood['scientific']})" if wood.get("scientific") else wood["name"]


class CompareForm(LineForm):
    """A table of two woods: which, its price a cord, its moisture and what its stove keeps of the heat."""

    ROWS = (1, 2)
    lines = {
        f"burns_{row}": Line(
            label="its moisture on the pin / what its stove keeps (%)", parts=(f"pct_{row}", f"stove_{row}")
        )
        for row in (1, 2)
    }

    def __init__(self, *args: Any, woods: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = list(woods)
        for row in self.ROWS:
            self.fields |= {
                f"wood_{row}": forms.ChoiceField(
                    label="One cord of" if row == 1 else "against", choices=choices
                ),
                f"price_{row}": dollars_field("at ($ a cord)", low=1, high=5000, required=False),
                f"pct_{row}": pin_field("its moisture (% on the pin)", required=False),
                f"stove_{row}": percent_field("its stove keeps (%)", low=20, high=95, required=False),
            }
        self.put_together()
