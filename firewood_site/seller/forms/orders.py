"""What the seller fills in about orders, money and people."""

import re
import uuid
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.measured import MeasuredField, in_place
from firewood_site.seller.buyer_words import BuyerName, BuyerText
from firewood_site.seller.forms.fields import (
    AMOUNT,
    MONEY,
    CordsText,
    DayField,
    cords_field,
    dollars_field,
    number_field,
    percent_field,
    wood_field,
)
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from inventory.core.local import local
from inventory.selectors.spoken import spoken_cords
from orders.core.sheets import TERMS, Term


class TappedOrTyped(forms.TextInput):
    """The box beside chips of its own name: what was typed there counts, else the chip that was tapped."""

    chips: tuple[str, ...] = ()

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        told = data.getlist(name) if hasattr(data, "getlist") else [data.get(name)]
        return next((text for text in reversed(told) if text), "")

    def format_value(self, value: Any) -> Any:
        return None if value in self.chips else super().format_value(value)


class LoadsText(CordsText):
    """Cords, or so many loads of a rig: "3 loads". load: the cords of one; None without a rig."""

    LOADS = re.compile(r"(\d{1,2}|an?|one|una?)\s+(?:loads?|cargas?)", re.IGNORECASE)
    load: Fraction | None = None

    def clean(self, value: Any) -> Any:
        said = self.LOADS.fullmatch(str(value or "").strip())
        if not said or self.load is None:
            return super().clean(value)
        count = int(said[1]) if said[1].isdecimal() else 1
        return Fraction(round(count * self.load * 100), 100)


class TextBackForm(LineForm):
    """A quote in under a minute."""

    ticks = {"ticked": Ticks(label="", parts=("small_rig", "repeat"))}

    choice = forms.ChoiceField(label=_("Wood"), widget=forms.RadioSelect)
    amount = LoadsText(
        label=_("Or another amount, in cords"),
        required=False,
        max_length=20,
        help_text="5/6, 7/12",
        widget=TappedOrTyped(attrs=AMOUNT),
    )
    bundles = forms.IntegerField(label=_("Kindling bundles"), required=False, min_value=0, max_value=500)
    town = forms.ChoiceField(label=_("Town"), required=False)
    where = forms.CharField(label=_("Street, if they said it"), required=False, max_length=200)
    laid = forms.ChoiceField(
        label=_("Dump or stack"),
        choices=[("drop", _("dump")), ("stack", _("stack")), ("pick_up", _("pickup"))],
        required=False,
    )
    small_rig = forms.BooleanField(label=_("Small trailer only"), required=False)
    asked_by = forms.CharField(label=_("Who asks: a name, a phone"), required=False, max_length=120)
    repeat = forms.BooleanField(label=_("They bought before (no deposit)"), required=False)

    def __init__(
        self,
        *args: Any,
        woods: Iterable[tuple[str, str]],
        towns: Iterable[tuple[str, str]],
        sizes: tuple[str, ...],
        load: Fraction | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].choices = list(woods)  # type: ignore[attr-defined]
        amount = self.fields["amount"]
        amount.widget.chips, amount.load = sizes, load  # type: ignore[attr-defined]
        if local().is_metric:
            amount.help_text = "2, 3.5"
        if load is not None:
            amount.help_text = _("{amounts}, or 2 loads of {load}").format(
                amounts=amount.help_text, load=spoken_cords(load)
            )
        self.fields["town"].choices = [("", _("Town")), *towns]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["amount"] = cleaned.get("amount") or Fraction(0)
        if cleaned.get("laid") != "pick_up" and not cleaned.get("town") and not cleaned.get("where"):
            self.add_error("town", _("Choose the town, or choose pickup."))
        return cleaned


class WaitingForm(forms.Form):
    """Somebody to be told when a wood can be had."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    name = forms.CharField(label=_("Name"), max_length=120)
    phone = forms.CharField(label=_("Phone"), max_length=40)
    choice = forms.ChoiceField(label=_("Waits for"), widget=forms.RadioSelect, initial=":seasoned")
    cords = cords_field(_("At least (cords)"), required=False)

    def __init__(self, *args: Any, woods: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].choices = list(woods)  # type: ignore[attr-defined]


class CounterForm(forms.Form):
    """A price agreed on the phone."""

    dollars = dollars_field(_("Another price, tax included ($)"), low=Decimal("0.01"))


class QuickOrderForm(forms.Form):
    """Write down the order of somebody on the phone."""

    name = forms.CharField(label=_("Name"), max_length=120)
    phone = forms.CharField(label=_("Phone"), max_length=40)
    is_landline = forms.BooleanField(label=_("Phone line only, no texts"), required=False)
    day = forms.ChoiceField(label=_("Day"), required=False)
    drop_spot = BuyerName(label=_("Drop spot"), max_length=200, required=False)
    gate_code = forms.CharField(label=_("Gate code"), max_length=40, required=False)
    access_note = forms.CharField(label=_("Access"), max_length=300, required=False)
    pay_how = forms.ChoiceField(label=_("Pays"), required=False)
    pool = forms.BooleanField(label=_("Waits in the pool"), required=False)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, days: Iterable[tuple[str, str]], ways: Iterable[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["day"].choices = [("any", _("any day")), *days]  # type: ignore[attr-defined]
        self.fields["pay_how"].choices = list(ways)  # type: ignore[attr-defined]


class ConfirmForm(forms.Form):
    """Which lots the wood comes from, and for how long it is held."""

    promised_on = DayField(label=_("Promise the day"), required=False)
    lapses_on = DayField(label=_("Hold only until (deposit awaited)"), required=False)
    despite = forms.BooleanField(label=_("Confirm anyway"), required=False)

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
        label=_("Received"),
        max_digits=9,
        decimal_places=2,
        min_value=Decimal("0.01"),
        widget=forms.TextInput(MONEY),
    )
    method = forms.ChoiceField(label=_("How"))
    is_deposit = forms.BooleanField(label=_("This is the deposit"), required=False)
    keep_too_much = forms.BooleanField(label=_("Keep it on the books"), required=False)
    note = forms.CharField(label=_("Note"), max_length=200, required=False)
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, ways: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("key", uuid.uuid4())
        super().__init__(*args, **kwargs)
        offered: list[tuple[str, Any]] = list(ways)
        if len(offered) > 1:  # chosen, never left as it stands: one slip books nothing
            offered.insert(0, ("", _("choose")))
        self.fields["method"].choices = offered  # type: ignore[attr-defined]


class CustomerForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)
    is_landline = forms.BooleanField(label=_("Phone line only, no texts"), required=False)
    email = forms.EmailField(label=_("E-mail"), required=False)


PRICED_AS = {"log_cord_price": "price-logs"}  # a price among the others of the table


def _term_field(term: Term) -> forms.Field:
    ends: dict[str, Any] = {"low": term.low, "high": term.high, "places": term.places}
    if term.unit == "feet":
        return MeasuredField(kept="ft", label=f"{term.label} (ft)", **ends)
    if term.is_by_wood:
        return wood_field(f"{term.label} ({term.unit})", each=True, **ends)  # type: ignore[no-any-return]
    return number_field(f"{term.label} ({term.unit})", **ends)


class SheetForm(LineForm):
    """A price sheet: its terms, then the prices and fractions by market, wood and size."""

    EVERYWHERE = ("price-logs", "bundles")  # asked with the prices: the same in every market

    lines = {
        "drive": Line(
            label="The drive: free miles / each mile or part of one beyond ($) / farthest we drive",
            parts=("free_miles", "per_mile", "longest_miles"),
            help_text=in_place("12 / 2.75 / 90", "20 / 1.7 / 145"),
        ),
        "stacking": Line(
            label="Stacking a cord ($) / within (ft) / small trailer only ($)",
            parts=("stacking_per_cord", "stacking_within_ft", "access_charge"),
        ),
        "bundles": Line(
            label="Kindling bundle: one ($) / bulk price ($) / bulk price from (bundles)",
            parts=("bundle_price", "bundle_price_many", "bundles_for_many"),
            help_text="7 / 5 / 20",
        ),
        "off": Line(
            label="Off: for pickup / a cord from two cords on ($)",
            parts=("pick_up_off", "two_cords_off_per_cord"),
        ),
        "least": Line(
            label="The least: you want left per cord / an order we drive for ($)",
            parts=("floor_per_cord", "least_delivery"),
        ),
        "steps": Line(
            label="Round to: prices ($) / deposits, up ($)", parts=("round_to", "deposit_round_to")
        ),
        "deposit": Line(
            label="Deposit: new customers / who bought before (%)",
            parts=("deposit_pct", "deposit_again_pct"),
            help_text="25 / 0 asks it of new customers alone; 25 of everybody; 0 of nobody.",
        ),
        "tax": Line(
            label="Sales tax: on the wood / on drive and stacking (%)",
            parts=("tax_pct", "tax_drive_pct"),
            help_text="8.5 / 0 taxes the wood alone; 8.5 all of it; 0: no sales tax.",
        ),
    }

    from_on = DayField(label="In effect from")
    tax_pct = number_field("Sales tax on the wood", high=Decimal("99.9"))
    tax_drive_pct = number_field("Sales tax on drive and stacking", high=Decimal("99.9"), required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(
        self,
        *args: Any,
        lines: Iterable[tuple[str, str]],
        sizes: Iterable[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        terms = {PRICED_AS.get(name, name): term for name, term in TERMS.items() if term.unit}
        self.fields |= {name: _term_field(term) for name, term in terms.items()}
        again = number_field("Deposit of who bought before", high=100, places=1, required=False)
        self.fields["deposit_again_pct"] = again
        priced, sized = tuple(lines), tuple(sizes)
        self.line_names = [name for name, _label in priced]
        self.size_names = [name for name, _label in sized]
        for name, label in priced:
            self.fields[name] = wood_field(label, each=True, low=Decimal("0.01"), high=9_999, required=False)
            self.fields[name].is_asked = True  # type: ignore[attr-defined]
        for name, label in sized:
            self.fields[name] = percent_field(label, required=False, help_text="percent more per cord")
        self.put_together()
        asked = dict.fromkeys(self.line_of.get(name, name) for name in (*terms, "tax_pct", "note"))
        self.term_names = [name for name in asked if name not in self.EVERYWHERE]

    def clean(self) -> dict[str, Any]:
        """A second percent is the first again or none: a sheet keeps one, and what it is of."""
        cleaned = super().clean() or {}
        for first, second in (("deposit_pct", "deposit_again_pct"), ("tax_pct", "tax_drive_pct")):
            percent, other = cleaned.get(first), cleaned.pop(second, None)
            cleaned[second] = other if other is not None else percent
            if percent is not None and cleaned[second] not in (0, percent):
                self.add_error(second, "Write the same percent twice, or 0 second.")
        cleaned["deposit_new_customers_only"] = not cleaned.pop("deposit_again_pct")
        on = "all" if cleaned.pop("tax_drive_pct") else "wood"
        cleaned["tax_on"] = on if cleaned.get("tax_pct") else "none"
        return cleaned | {name: cleaned.pop(asked) for name, asked in PRICED_AS.items() if asked in cleaned}


class ClaimAnswerForm(forms.Form):
    way = forms.ChoiceField(choices=[(way, way) for way in ("credit", "bring", "answer", "undo")])
    dollars = dollars_field(_("Credit ($)"), low=Decimal("0.01"), required=False)
    cords = cords_field(_("Wood brought"), required=False)
    answer = BuyerText(label=_("What you tell them"), max_length=500, required=False)
    photo = forms.FileField(label=_("Photo"), required=False)
