"""What the seller guesses about the season ahead."""

from calendar import month_name
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import dollars_field, number_field, wood_field
from firewood_site.seller.forms.lines import Line, LineForm, Ticks, bare_figure
from routing.season.bills import read_bills
from routing.season.problem import SeasonProblemError

MOST_HOURS = 168
CASH = "cash"  # what its line begins with
CASH_FIELD = dollars_field("Cash", high=9_999_999)
UNTIL = [("", "a year from now"), *((number, month_name[number]) for number in range(1, 13))]
QUARTERS = (("fall", "Oct–Dec"), ("winter", "Jan–Mar"), ("spring", "Apr–Jun"), ("summer", "Jul–Sep"))


class SeasonGuessForm(LineForm):
    """Hours a week by quarter, what could be sold, far trips, and what an hour is worth elsewhere."""

    lines = {
        "could_sell": Line(
            label="Cords a month you could sell: near / far",
            parts=("near_cords_a_month", "far_cords_a_month"),
            help_text="Leave empty to go by last year's sales: the year's average, each month its share.",
        ),
        "loads": Line(
            label="At most: far trips a month / cords near in a day / days a week",
            parts=("far_trips_a_month", "near_cords_a_day", "rig_days_a_week"),
            help_text="4 / 2.5 / 6. A day is one rig's; days of all rigs are added up. 4 alone: six for each "
            "rig that can be out at once.",
        ),
        "demand": Line(
            label="Sales against last year: low / likely / high (%)",
            parts=("demand_low_pct", "demand_likely_pct", "demand_high_pct"),
        ),
    }

    ticks = {
        "does_1": Ticks(label="You", parts=("saws", "drives")),
        "does_2": Ticks(label="Helper", parts=("helper_saws", "helper_drives")),
    }

    until_month = forms.TypedChoiceField(
        label="Plan to the end of", required=False, coerce=int, empty_value=None, choices=UNTIL
    )
    near_cords_a_month = wood_field("Cords a month you could sell near", high=1000, places=2, required=False)
    far_cords_a_month = wood_field("and far", high=1000, places=2, required=False)
    far_trips_a_month = forms.IntegerField(label="Far trips a month, at most", min_value=0, max_value=60)
    rig_days_a_week = forms.IntegerField(
        label="Days a week a rig can go out", min_value=0, max_value=70, required=False
    )
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
        label="If prices went up 10%, how much less would you sell (%)", min_value=0, max_value=90,
        help_text="0 leaves it out. 10 means you would take in about the same money.",
    )  # fmt: skip
    bills = forms.CharField(
        label="Cash on hand for the wood, bills and money to come", required=False, max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4, "placeholder": "cash 1200\nNov 1, 450, new chain"}),
        help_text='First the cash: "cash 1200". Then one a line: day, dollars, what. "+600" is money that '
        "comes in.",
    )  # fmt: skip

    def __init__(self, *args: Any, today: date, initial: dict[str, Any] | None = None, **kwargs: Any) -> None:
        kept = initial or {}
        cash = kept.get("cash_dollars")
        lines = ("" if cash is None else f"cash {cash}", kept.get("bills", ""))
        super().__init__(*args, initial={**kept, "bills": "\n".join(filter(None, lines))}, **kwargs)
        self.today = today
        self.fields["helper_name"] = forms.CharField(
            label="Your helper's name", max_length=40, required=False
        )
        for who, label in (("", "You"), ("helper_", "Your helper")):
            for does, what in (("saws", "fell and buck"), ("drives", "drive: haul, move, deliver")):
                self.fields[f"{who}{does}"] = forms.BooleanField(label=f"{label}: {what}", required=False)
        self.put_together()
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
            {"name": name, "own": self["does_1"][row], "helper": self["does_2"][row]}
            for row, name in enumerate(("Saws", "Drives"))
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
        cash, given["bills"] = self._cash(given.get("bills", ""))
        given["cash_dollars"] = cash
        if given["bills"] and cash is None and "bills" not in self.errors:
            self.add_error("bills", "Bills count only with the cash you have on hand: write it, or cash 0.")
        return given

    def _cash(self, said: str) -> tuple[Decimal | None, str]:
        """The cash of the first line, and the bills below it."""
        first, _newline, below = said.strip().partition("\n")
        has_cash = first.casefold().startswith(CASH)
        bills, cash = (below.strip() if has_cash else said.strip()), None
        try:
            cash = CASH_FIELD.clean(bare_figure(first[len(CASH) :].strip(" ,:"))) if has_cash else None
            read_bills(bills, today=self.today)
        except SeasonProblemError as problem:
            self.add_error("bills", str(problem))
        except forms.ValidationError as error:
            self.add_error("bills", [f"Cash: {message}" for message in error.messages])
        return cash, bills
