"""What the seller guesses about the season ahead."""

from calendar import month_name
from datetime import date
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import dollars_field, number_field, wood_field
from firewood_site.seller.forms.lines import Line, LineForm
from routing.season.bills import read_bills
from routing.season.problem import SeasonProblemError

MOST_HOURS = 168
UNTIL = [("", "a year from now"), *((number, month_name[number]) for number in range(1, 13))]
QUARTERS = (("fall", "Oct–Dec"), ("winter", "Jan–Mar"), ("spring", "Apr–Jun"), ("summer", "Jul–Sep"))


class SeasonGuessForm(LineForm):
    """Hours a week by quarter, what could be sold, far trips, and what an hour is worth elsewhere."""

    lines = {
        "could_sell": Line(
            label="Cords a month you could sell: near / far",
            parts=("near_cords_a_month", "far_cords_a_month"),
            help_text="Empty: as last year's sales. The mean of a year; each month takes its share of it.",
        ),
        "demand": Line(
            label="Sales against last year: low / likely / high (%)",
            parts=("demand_low_pct", "demand_likely_pct", "demand_high_pct"),
        ),
    }

    until_month = forms.TypedChoiceField(
        label="Plan to the end of", required=False, coerce=int, empty_value=None, choices=UNTIL
    )
    near_cords_a_month = wood_field("Cords a month you could sell near", high=1000, places=2, required=False)
    far_cords_a_month = wood_field("and far", high=1000, places=2, required=False)
    far_trips_a_month = forms.IntegerField(label="Far trips a month, at most", min_value=0, max_value=60)
    rig_days_a_week = forms.IntegerField(
        label="Days a week a rig can go out", min_value=0, max_value=70, required=False,
        help_text="All rigs together. Empty: six for each that can be out at once.",
    )  # fmt: skip
    near_cords_a_day = wood_field(
        "Cords a rig delivers near in a day", low=0.01, high=100, places=2, required=False
    )
    demand_low_pct = forms.IntegerField(label="Sales against last year, low (%)", min_value=0, max_value=500)
    demand_likely_pct = forms.IntegerField(label="likely (%)", min_value=0, max_value=500)
    demand_high_pct = forms.IntegerField(label="high (%)", min_value=0, max_value=500)
    hour_worth_dollars = dollars_field("What an hour earns you elsewhere ($)", high=1000)
    dry_chance_pct = forms.IntegerField(
        label="How sure wood must be to be sold as dry (%)", min_value=50, max_value=99
    )
    lost_pct = forms.IntegerField(
        label="If prices went up 10 %, how much less would you sell (%)", min_value=0, max_value=90,
        help_text="0 leaves it out. 10 means you would take in about the same money.",
    )  # fmt: skip
    cash_dollars = dollars_field("Cash on hand for the wood ($)", high=9_999_999, required=False)
    bills = forms.CharField(
        label="Bills and money to come", required=False, max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3, "placeholder": "Nov 1, 450, new chain"}),
        help_text='One a line: day, dollars, what. "+600" is money that comes in.',
    )  # fmt: skip

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["helper_name"] = forms.CharField(
            label="Your helper's name", max_length=40, required=False
        )
        for who, label in (("", "You"), ("helper_", "Your helper")):
            for does, what in (("saws", "fell and buck"), ("drives", "drive: haul, move, deliver")):
                self.fields[f"{who}{does}"] = forms.BooleanField(label=f"{label}: {what}", required=False)
        for row, (key, months) in enumerate(QUARTERS, start=1):
            for who, column, label in (("", "hours", "you"), ("helper_", "helper_hours", "helper")):
                self.fields[f"{column}_{row}"] = number_field(
                    f"{months}, {label}: hours a week", high=MOST_HOURS, places=1, required=False
                )
                self.initial.setdefault(f"{column}_{row}", self.initial.get(f"{who}{key}_hours"))

    def hour_rows(self) -> list[dict[str, Any]]:
        """The hours as a small table: one line a quarter."""
        return [
            {"name": months, "own": self[f"hours_{row}"], "helper": self[f"helper_hours_{row}"]}
            for row, (_key, months) in enumerate(QUARTERS, start=1)
        ]

    def skill_rows(self) -> list[dict[str, Any]]:
        """Who saws and who drives, under their hours."""
        return [
            {"name": name, "own": self[does], "helper": self[f"helper_{does}"]}
            for does, name in (("saws", "Saws"), ("drives", "Drives"))
        ]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for row, (key, _months) in enumerate(QUARTERS, start=1):
            given[f"{key}_hours"] = given.pop(f"hours_{row}", None)
            given[f"helper_{key}_hours"] = given.pop(f"helper_hours_{row}", None)
        ends = [given.get(f"demand_{end}_pct") for end in ("low", "likely", "high")]
        if None not in ends and ends != sorted(ends):  # type: ignore[type-var]
            raise forms.ValidationError(
                "Put the low share of last year's sales first, then likely, then high."
            )
        if given.get("bills") and given.get("cash_dollars") is None and "cash_dollars" not in self.errors:
            self.add_error("cash_dollars", "Bills count only with the cash you have on hand: write it, or 0.")
        return given

    def clean_bills(self) -> str:
        try:
            read_bills(self.cleaned_data["bills"], today=self.today)
        except SeasonProblemError as problem:
            raise forms.ValidationError(str(problem)) from problem
        return str(self.cleaned_data["bills"])
