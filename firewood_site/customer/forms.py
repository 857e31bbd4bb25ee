"""What customers fill in. Rules of the sale are not here: the core refuses, the page shows its sentence."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.amounts import CordsText
from inventory.core.local import local
from inventory.core.money import round_to
from inventory.core.units import convert
from inventory.core.woods import Wood
from orders.core import sheets
from orders.core.order_request import How, how_sold

ON_NO_MAP = {
    name: _("The pin is on no map: set it again, or choose the town.")
    for name in ("invalid", "min_value", "max_value")
}
COME_APART = {"invalid": _("A part of this page was lost on the way: check it and send it again.")}
CHOOSE_AGAIN = _("Choose one of those shown.")
CHOOSE_AMOUNT = _("Choose an amount.")
AMOUNTS = tuple(str(size) for size in (*sheets.AMOUNTS, *sheets.AMOUNTS_M3))
ANY_DAY = "any"
WRITTEN = {"amount", "other"}  # the two ways to say how much
WINDOWS = {
    "any": (time(8), time(18)),
    "morning": (time(8), time(12)),
    "afternoon": (time(12), time(18)),
}


def usual_amount() -> str:
    """The amount that is marked before anybody chose: half a cord, or 2 m³ where those count."""
    return str(sheets.AMOUNTS_M3[1]) if local().is_metric else "1/2"


def access_field() -> forms.MultipleChoiceField:
    """What a truck meets on the way in; each has its picture."""
    return forms.MultipleChoiceField(
        label=_("Your lane"),
        required=False,
        choices=[
            ("narrow", _("Narrow lane")),
            ("steep", _("Steep")),
            ("no_turn", _("No room to turn a trailer")),
        ],
    )


class PlainForm(forms.Form):
    """A form whose choices refuse what is not among them in plain words."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, forms.ChoiceField):
                field.error_messages["invalid_choice"] = CHOOSE_AMOUNT if name == "amount" else CHOOSE_AGAIN
            if isinstance(field, forms.MultipleChoiceField):
                field.error_messages["invalid_choice"] = _("Choose among those shown.")


class QuoteForm(PlainForm):
    """What, how much, where, how: nothing personal."""

    choice = forms.ChoiceField(label=_("Wood"))  # wood:dryness
    amount = forms.ChoiceField(label=_("How much"), required=False)
    other = CordsText(
        label=_("Amount, in cords"),
        required=False,
        max_length=20,
        help_text=_("Any fraction, such as 5/6 or 1 1/4"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    bundles = forms.IntegerField(
        label=_("Kindling bundles"),
        required=False,
        min_value=0,
        max_value=200,
        error_messages={
            "invalid": _("Say how many bundles, such as 5."),
            "min_value": _("Say how many bundles, such as 5."),
            "max_value": _("We bring 200 bundles at most: call us when you want more."),
        },
    )
    how = forms.ChoiceField(
        label=_("Delivery or pickup"),
        choices=[("delivered", _("Deliver it")), ("pick_up", _("Pick it up yourself"))],
        required=False,
    )
    where = forms.CharField(label=_("Street and number"), max_length=200, required=False)
    town = forms.ChoiceField(label=_("Town"), required=False)
    lat = forms.FloatField(
        required=False, min_value=-90, max_value=90, widget=forms.HiddenInput, error_messages=ON_NO_MAP
    )
    lon = forms.FloatField(
        required=False, min_value=-180, max_value=180, widget=forms.HiddenInput, error_messages=ON_NO_MAP
    )
    picked = forms.CharField(required=False, widget=forms.HiddenInput)
    laid = forms.ChoiceField(
        label=_("Unloading"),
        choices=[("drop", _("Dump it")), ("stack", _("Stack it"))],
        required=False,
    )
    small_rig = forms.BooleanField(label=_("Only a small trailer can get in"), required=False)

    def __init__(
        self,
        *args: Any,
        woods: Iterable[tuple[str, str]],
        towns: Iterable[tuple[str, str]],
        whole: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        if local().is_metric:
            self.fields["other"].label = _("Amount, in stacked m³")
            self.fields["other"].help_text = _("Any amount, such as 2 or 3.5")
        elif whole:
            self.fields["other"].label = _("Amount, in parts of %(whole)s") % {"whole": whole}
        self.fields["choice"].choices = list(woods)  # type: ignore[attr-defined]
        self.fields["amount"].choices = [(amount, amount) for amount in AMOUNTS]  # type: ignore[attr-defined]
        self.fields["town"].choices = [("", _("Choose a town")), *towns]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        wood = str(filled.get("choice", "")).partition(":")[0]
        if wood == Wood.KINDLING:
            if not filled.get("bundles") and "bundles" not in self.errors:
                self.add_error("bundles", _("Say how many bundles, such as 5."))
        elif (
            wood and not filled.get("other") and not filled.get("amount") and not self.errors.keys() & WRITTEN
        ):
            self.add_error("amount", CHOOSE_AMOUNT)
        is_brought = how_sold(wood, How(filled.get("how") or "delivered")) is How.DELIVERED
        somewhere = filled.get("town") or (filled.get("lat") is not None and filled.get("lon") is not None)
        if is_brought and not somewhere and not filled.get("where"):
            self.add_error("where", _("Say where it goes: a street, a town, or a pin on the map."))
        return filled

    @property
    def cords(self) -> Fraction:
        wood = self.cleaned_data["choice"].partition(":")[0]
        written = self.cleaned_data.get("other") or Fraction(self.cleaned_data.get("amount") or 0)
        return Fraction(0) if wood == Wood.KINDLING else written


class OrderForm(PlainForm):
    """Who, and where on the ground it goes."""

    day = forms.ChoiceField(label=_("Day"), required=False)
    window = forms.ChoiceField(
        label=_("Hours that work"),
        required=False,
        choices=[("any", _("Any time")), ("morning", _("Morning")), ("afternoon", _("Afternoon"))],
    )
    address = forms.CharField(
        label=_("Street and number"),
        max_length=160,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "street-address"}),
        error_messages={"required": _("Write the street and number it goes to.")},
    )
    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": _("Write your name.")},
    )
    phone = forms.CharField(
        label=_("Phone"),
        max_length=40,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel", "inputmode": "tel"}),
        error_messages={"required": _("Write a phone number: we call or text before we come.")},
    )
    drop_spot = forms.CharField(label=_("Where on the place do we leave it?"), max_length=200, required=False)
    gate_code = forms.CharField(label=_("Gate code"), max_length=40, required=False)
    ticked = access_field()
    access_note = forms.CharField(label=_("Anything else about the access?"), max_length=300, required=False)
    email = forms.EmailField(
        label=_("E-mail for news of your order"),
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    pay_how = forms.ChoiceField(label=_("How you pay"), required=False)
    note = forms.CharField(label=_("Anything else"), max_length=300, required=False)
    remind = forms.BooleanField(label=_("Write to me before next season"), required=False)
    pool = forms.BooleanField(label=_("I will wait for a shared load"), required=False)
    waits_until = forms.DateField(
        label=_("I can wait until"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    key = forms.UUIDField(
        widget=forms.HiddenInput, error_messages={**COME_APART, "required": COME_APART["invalid"]}
    )
    seen = forms.DecimalField(
        required=False, error_messages=COME_APART
    )  # what the button said when it was tapped

    def __init__(
        self,
        *args: Any,
        days: Iterable[tuple[str, str]],
        ways: Iterable[tuple[str, str]],
        needs_address: bool = False,
        on: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._on = on
        self.fields["address"].required = needs_address
        self.fields["day"].choices = [*days, (ANY_DAY, _("Any of these days"))]  # type: ignore[attr-defined]
        self.fields["pay_how"].choices = list(ways)  # type: ignore[attr-defined]

    def clean_waits_until(self) -> date | None:
        until: date | None = self.cleaned_data["waits_until"]
        if until is not None and until <= self._on:
            raise forms.ValidationError(_("Choose a day that is still to come."))
        return until


class ChangeForm(PlainForm):
    """What may still be changed before the cut-off."""

    day = forms.ChoiceField(label=_("Day"), required=False)
    window = forms.ChoiceField(
        label=_("Hours that work"),
        choices=[("any", _("Any time")), ("morning", _("Morning")), ("afternoon", _("Afternoon"))],
    )
    drop_spot = forms.CharField(label=_("Where on the place do we leave it?"), max_length=200, required=False)
    gate_code = forms.CharField(label=_("Gate code"), max_length=40, required=False)
    ticked = access_field()
    access_note = forms.CharField(label=_("Anything else about the access?"), max_length=300, required=False)
    note = forms.CharField(label=_("Anything else"), max_length=300, required=False)

    name = forms.CharField(label=_("Your name"), max_length=120, required=False)
    phone = forms.CharField(
        label=_("Phone"), max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    email = forms.EmailField(label=_("E-mail for news of your order"), required=False)

    def __init__(self, *args: Any, days: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["day"].choices = list(days)  # type: ignore[attr-defined]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """A stack as measured, in feet and inches to the hundredth, whatever it was measured with."""

    length_ft: Decimal
    height_ft: Decimal
    depth_in: Decimal


class ClaimForm(PlainForm):
    """What was measured or read, and a photo of it."""

    SIDES = {"length_ft": "foot", "height_ft": "foot", "depth_in": "inch"}

    kind = forms.ChoiceField(
        label=_("What is wrong?"),
        choices=[
            ("short", _("It stacks up short")),
            ("wet", _("It is not dry")),
            ("late", _("It came late, or not at all")),
            ("damage", _("Something was damaged")),
            ("other_wood", _("It is not the wood I ordered")),
            ("other", _("Something else")),
        ],
    )
    length_ft = forms.DecimalField(
        label=_("Length, feet"), required=False, min_value=Decimal("0.1"), max_value=200
    )
    height_ft = forms.DecimalField(
        label=_("Height, feet"), required=False, min_value=Decimal("0.1"), max_value=20
    )
    depth_in = forms.DecimalField(
        label=_("Length of the pieces, inches"), required=False, min_value=Decimal(4), max_value=60
    )
    cribbed_ends = forms.ChoiceField(
        label=_("Ends built as cribs (crossed layers)"),
        choices=[("0", _("none")), ("1", _("one")), ("2", _("two"))],
        required=False,
    )
    readings = forms.CharField(label=_("Meter readings"), max_length=60, required=False)
    basis = forms.ChoiceField(
        label=_("What the meter shows"),
        choices=[("dry", _("most pin meters (dry basis)")), ("wet", _("share of total weight (wet basis)"))],
        required=False,
    )
    message = forms.CharField(
        label=_("In your words"), max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    photo = forms.FileField(
        label=_("Photo"), required=False, widget=forms.ClearableFileInput(attrs={"accept": "image/*"})
    )
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in (*self.SIDES, "cribbed_ends", "basis"):  # `clean` decides: each is of one kind of claim
            self.fields[name].is_asked = True  # type: ignore[attr-defined]

    def sides(self) -> list[forms.BoundField]:
        return [self[name] for name in self.SIDES]

    def measured(self) -> Sides | None:
        """The sides in the units they are kept in; None while one is missing."""
        sizes = [size for name in self.SIDES if (size := self.cleaned_data.get(name))]
        if len(sizes) < len(self.SIDES):
            return None
        kept = [
            round_to(convert(Fraction(size), unit, into), Decimal("0.01"))
            for size, unit, into in zip(sizes, self.SIDES.values(), ClaimForm.SIDES.values(), strict=True)
        ]
        return Sides(length_ft=kept[0], height_ft=kept[1], depth_in=kept[2])

    def clean_readings(self) -> tuple[Decimal, ...]:
        parts = self.cleaned_data["readings"].replace(",", " ").replace("%", " ").split()
        try:
            numbers = tuple(Decimal(word) for word in parts)
        except ArithmeticError as error:
            raise forms.ValidationError(_("Write the readings as numbers, such as 22 24 19.")) from error
        if any(not number.is_finite() or not 0 < number < 200 for number in numbers) or len(numbers) > 9:
            raise forms.ValidationError(_("Write one to nine readings between 0 and 200."))
        return numbers

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if filled.get("kind") == "short":
            for name in self.SIDES:
                if name not in self.errors and not filled.get(name):
                    self.add_error(name, _("Measure this side and write the number."))
        elif filled.get("kind") not in (None, "wet") and not filled.get("message", "").strip():
            self.add_error("message", _("Tell us in a few words what happened."))
        return filled


class MetricClaimForm(ClaimForm):
    """The same where wood is sold by the cubic meter."""

    SIDES = {"length_m": "meter", "height_m": "meter", "depth_cm": "centimeter"}

    length_ft = height_ft = depth_in = None  # type: ignore[assignment]  # Django's way to leave a field out
    length_m = forms.DecimalField(
        label=_("Length, meters"), required=False, min_value=Decimal("0.03"), max_value=60
    )
    height_m = forms.DecimalField(
        label=_("Height, meters"), required=False, min_value=Decimal("0.03"), max_value=6
    )
    depth_cm = forms.DecimalField(
        label=_("Length of the pieces, centimeters"), required=False, min_value=Decimal(10), max_value=150
    )
