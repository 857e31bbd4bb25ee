"""What the seller fills in about orders, money and people."""

import uuid
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import (
    MONEY,
    CordsText,
    DayField,
    dollars_field,
    number_field,
    percent_field,
)


class TextBackForm(forms.Form):
    """A quote in under a minute."""

    choice = forms.ChoiceField(label="Wood", widget=forms.RadioSelect)
    amount = CordsText(label="How much", required=False, max_length=20)
    bundles = forms.IntegerField(label="Kindling bundles", required=False, min_value=0, max_value=500)
    town = forms.ChoiceField(label="Town", required=False)
    where = forms.CharField(label="Street, if they said it", required=False, max_length=200)
    laid = forms.ChoiceField(
        label="Dump or stack",
        choices=[("drop", "dump"), ("stack", "stack"), ("pick_up", "they fetch it")],
        required=False,
    )
    small_rig = forms.BooleanField(label="Small trailer only", required=False)
    repeat = forms.BooleanField(label="They bought before (no deposit)", required=False)

    def __init__(
        self, *args: Any, woods: Iterable[tuple[str, str]], towns: Iterable[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].choices = list(woods)  # type: ignore[attr-defined]
        self.fields["town"].choices = [("", "Town"), *towns]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("laid") != "pick_up" and not said.get("town") and not said.get("where"):
            self.add_error("town", "Choose the town, or say they fetch it.")
        return said


class QuickOrderForm(forms.Form):
    """Write down the order of somebody on the phone."""

    name = forms.CharField(label="Name", max_length=120)
    phone = forms.CharField(label="Phone", max_length=40)
    is_landline = forms.BooleanField(label="Phone line only, no texts", required=False)
    day = forms.ChoiceField(label="Day", required=False)
    drop_spot = forms.CharField(label="Drop spot", max_length=200, required=False)
    gate_code = forms.CharField(label="Gate code", max_length=40, required=False)
    access_note = forms.CharField(label="Way in", max_length=300, required=False)
    pay_how = forms.ChoiceField(label="Pays", required=False)
    pool = forms.BooleanField(label="Waits in the pool", required=False)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, days: Iterable[tuple[str, str]], ways: Iterable[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["day"].choices = [("any", "any day"), *days]  # type: ignore[attr-defined]
        self.fields["pay_how"].choices = list(ways)  # type: ignore[attr-defined]


class ConfirmForm(forms.Form):
    """Which lots the wood comes from, and for how long it is held."""

    promised_on = DayField(label="Promise the day", required=False)
    lapses_on = DayField(label="Hold only until (deposit awaited)", required=False)
    despite = forms.BooleanField(label="Confirm all the same", required=False)

    def __init__(self, *args: Any, lots: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = tuple(lots)
        for code in self.lots:
            self.fields[f"lot-{code}"] = CordsText(label=code, required=False, max_length=20)

    def picked(self) -> dict[str, Fraction]:
        """Lot to cords, empty ones left out."""
        amounts = {code: self.cleaned_data.get(f"lot-{code}") for code in self.lots}
        return {code: amount for code, amount in amounts.items() if amount}


class PaymentForm(forms.Form):
    dollars = forms.DecimalField(
        label="Received",
        max_digits=9,
        decimal_places=2,
        min_value=Decimal("0.01"),
        widget=forms.TextInput(MONEY),
    )
    method = forms.ChoiceField(label="How")
    is_deposit = forms.BooleanField(label="This is the deposit", required=False)
    keep_too_much = forms.BooleanField(label="Keep it on the books", required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, ways: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("key", uuid.uuid4())
        super().__init__(*args, **kwargs)
        self.fields["method"].choices = list(ways)  # type: ignore[attr-defined]


class CustomerForm(forms.Form):
    name = forms.CharField(label="Name", max_length=120)
    phone = forms.CharField(label="Phone", max_length=40, required=False)
    is_landline = forms.BooleanField(label="Phone line only, no texts", required=False)
    email = forms.EmailField(label="E-mail", required=False)


class SheetForm(forms.Form):
    """The terms of a price sheet; the prices and fractions are added as fields by market, wood and size."""

    from_on = DayField(label="Holds from")
    free_miles = number_field("Free miles", high=999, places=1)
    per_mile = dollars_field("Each started mile beyond ($)", high=999)
    longest_miles = number_field("Farthest we drive, miles", low=1, high=999, places=1)
    stacking_per_cord = dollars_field("Stacking a cord ($)", high=9_999)
    stacking_within_ft = forms.IntegerField(label="Stacking within, feet", min_value=0, max_value=1000)
    access_charge = dollars_field("Small trailer only ($)", high=9_999)
    pick_up_off = dollars_field("Off when they fetch it ($)", high=9_999)
    two_cords_off_per_cord = dollars_field("Off a cord from two cords on ($)", high=9_999)
    bundle_price = dollars_field("Kindling bundle ($)", high=999)
    bundle_price_many = dollars_field("Bundle, for many ($)", high=999)
    bundles_for_many = forms.IntegerField(label="Many is from, bundles", min_value=1, max_value=500)
    log_cord_price = dollars_field("Log length, a stacked cord ($)", high=9_999)
    round_to = dollars_field("Round prices to ($)", low=Decimal("0.01"), high=100)
    deposit_pct = percent_field("Deposit, percent")
    deposit_round_to = dollars_field("Round deposit up to ($)", low=Decimal("0.01"), high=100)
    deposit_new_customers_only = forms.BooleanField(label="Deposit from new customers only", required=False)
    tax_pct = number_field("Sales tax, percent", high=Decimal("99.9"))
    tax_on = forms.ChoiceField(
        label="Tax on",
        choices=[("none", "no sales tax"), ("wood", "the wood"), ("all", "wood, drive and stacking")],
    )
    quote_days = forms.IntegerField(label="A quote holds, days", min_value=1, max_value=90)
    floor_per_cord = dollars_field("Keep at least, a cord ($)", high=9_999)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(
        self,
        *args: Any,
        lines: Iterable[tuple[str, str]],
        sizes: Iterable[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        priced, sized = tuple(lines), tuple(sizes)
        self.line_names = [name for name, _ in priced]
        self.size_names = [name for name, _ in sized]
        for name, label in priced:
            self.fields[name] = dollars_field(label, low=Decimal("0.01"), high=9_999, required=False)
        for name, label in sized:
            self.fields[name] = percent_field(label, required=False, help_text="percent dearer by the cord")


class ClaimAnswerForm(forms.Form):
    way = forms.ChoiceField(choices=[("credit", "credit"), ("bring", "bring"), ("answer", "answer")])
    dollars = dollars_field("Credit ($)", low=Decimal("0.01"), required=False)
    answer = forms.CharField(label="What you tell them", max_length=500, required=False)
