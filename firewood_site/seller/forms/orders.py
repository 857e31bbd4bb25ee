"""What the seller fills in about orders, money and people."""

import uuid
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from inventory.core import InventoryError
from inventory.core.units import parse_cords

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
MONEY = {"inputmode": "decimal", "autocomplete": "off"}


class CordsText(forms.CharField):
    """Cords as people write them: 1/3, 2/3, 1 1/2, .5; empty is none."""

    def clean(self, value: Any) -> Any:
        words = super().clean(value)
        if not words.strip(" 0."):
            return Fraction(0)
        try:
            return parse_cords(words)
        except InventoryError as error:
            raise forms.ValidationError(str(error)) from error


class TextBackForm(forms.Form):
    """A quote in under a minute."""

    choice = forms.ChoiceField(label="Wood", widget=forms.RadioSelect)
    amount = CordsText(label="How much", required=False, max_length=20)
    bundles = forms.IntegerField(label="Kindling bundles", required=False, min_value=0, max_value=500)
    town = forms.ChoiceField(label="Town", required=False)
    where = forms.CharField(label="Street, if they said it", required=False, max_length=200)
    laid = forms.ChoiceField(
        label="Left",
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

    promised_on = forms.DateField(label="Promise the day", required=False, widget=DATE)
    lapses_on = forms.DateField(label="Hold only until (deposit awaited)", required=False, widget=DATE)
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

    from_on = forms.DateField(label="Holds from", widget=DATE)
    free_miles = forms.DecimalField(label="Free miles", min_value=0)
    per_mile = forms.DecimalField(label="Each started mile beyond", min_value=0)
    longest_miles = forms.DecimalField(label="Farthest we drive, miles", min_value=1)
    stacking_per_cord = forms.DecimalField(label="Stacking a cord", min_value=0)
    stacking_within_ft = forms.IntegerField(label="Stacking within, feet", min_value=0)
    access_charge = forms.DecimalField(label="Small trailer only", min_value=0)
    pick_up_off = forms.DecimalField(label="Off when they fetch it", min_value=0)
    two_cords_off_per_cord = forms.DecimalField(label="Off a cord from two cords on", min_value=0)
    bundle_price = forms.DecimalField(label="Kindling bundle", min_value=0)
    bundle_price_many = forms.DecimalField(label="Bundle, for many", min_value=0)
    bundles_for_many = forms.IntegerField(label="Many is from", min_value=1)
    log_cord_price = forms.DecimalField(label="Log length, a stacked cord", min_value=0)
    round_to = forms.DecimalField(label="Round prices to", min_value=Decimal("0.01"))
    deposit_pct = forms.DecimalField(label="Deposit, percent", min_value=0, max_value=100)
    deposit_round_to = forms.DecimalField(label="Round deposit up to", min_value=Decimal("0.01"))
    deposit_new_customers_only = forms.BooleanField(label="Deposit from new customers only", required=False)
    tax_pct = forms.DecimalField(label="Sales tax, percent", min_value=0, max_value=Decimal("99.9"))
    tax_on = forms.ChoiceField(
        label="Tax on",
        choices=[("none", "no sales tax"), ("wood", "the wood"), ("all", "wood, drive and stacking")],
    )
    quote_days = forms.IntegerField(label="A quote holds, days", min_value=1, max_value=90)
    floor_per_cord = forms.DecimalField(label="Keep at least, a cord", min_value=0)
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
            self.fields[name] = forms.DecimalField(label=label, required=False, min_value=Decimal("0.01"))
        for name, label in sized:
            self.fields[name] = forms.DecimalField(
                label=label,
                required=False,
                min_value=0,
                max_value=100,
                help_text="percent dearer by the cord",
            )


class ClaimAnswerForm(forms.Form):
    way = forms.ChoiceField(choices=[("credit", "credit"), ("bring", "bring"), ("answer", "answer")])
    dollars = forms.DecimalField(label="Credit", required=False, min_value=Decimal("0.01"), decimal_places=2)
    answer = forms.CharField(label="What you tell them", max_length=500, required=False)
