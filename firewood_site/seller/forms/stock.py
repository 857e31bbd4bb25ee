"""What the seller fills in about lots: opening one, and every change to it."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from firewood_site.amounts import RangeText
from firewood_site.measured import MeasuredField
from firewood_site.seller.buyer_words import WoodName
from firewood_site.seller.forms.fields import (
    LEAST_PIN,
    CountText,
    DayField,
    cords_field,
    percent_field,
    pin_field,
)
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.core import InventoryError
from inventory.core.species import check_mix
from inventory.core.woods import ENGLISH_NAMES, Wood
from inventory.selectors.spoken import reader_language

WOOD_WORDS = [(str(key), _(name)) for key, name in ENGLISH_NAMES.items()]
PILINGS = [
    ("heaped", _("heaped")),
    ("stacked", _("stacked in a row")),
    ("loose", _("loose")),
    ("decked", _("decked")),
]
EXPOSURES = [
    ("sun_row", _("sunny single row")),
    ("spread", _("spread out one deep")),
    ("low_heap", _("low loose heap")),
    ("deep_or_shade", _("deep heap or shade")),
    ("under_roof", _("under a roof")),
]
SALES = [("for_sale", _("for sale")), ("not_yet", _("not for sale yet")), ("own_use", _("own use"))]


class MixFields(forms.Form):
    """Up to three woods of a lot with their percents."""

    wood_1 = forms.ChoiceField(label=_("Wood"))
    percent_1 = percent_field(_("Percent"), low=1, initial=100)
    wood_2 = forms.ChoiceField(label=_("Second wood"), required=False)
    percent_2 = percent_field(_("Its percent"), required=False)
    wood_3 = forms.ChoiceField(label=_("Third wood"), required=False)
    percent_3 = percent_field(_("Its percent"), required=False)

    def offer_woods(self, choices: Iterable[tuple[str, str]]) -> None:
        woods = list(choices)
        for name in ("wood_1", "wood_2", "wood_3"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = woods if name == "wood_1" else [("", _("no other")), *woods]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        mix: dict[str, Decimal] = {}
        for place in "123":
            key, percent = cleaned.get(f"wood_{place}"), cleaned.get(f"percent_{place}")
            if key and percent:
                mix[key] = mix.get(key, Decimal(0)) + percent
        if not self.errors:
            try:
                check_mix({key: float(percent) for key, percent in mix.items()})
            except InventoryError as error:
                raise forms.ValidationError(error.text_in(reader_language())) from error
        cleaned["mix"] = mix
        return cleaned


class KeepForm(forms.Form):
    cords = cords_field(
        _("Keep for ourselves"), kind=CountText, help_text=_("How much is kept in all. 0 keeps none.")
    )


class BurnForm(forms.Form):
    cords = cords_field(_("Burned at home"))


class LossForm(forms.Form):
    cords = cords_field(_("Lost in handling"))
    note = forms.CharField(
        label=_("What happened"), max_length=200, required=False, help_text=_("Bark, rot, breakage.")
    )


class ScaleForm(LineForm):
    """A load of one lot over a public scale."""

    lines = {"scale": Line(label=_("Whole rig: loaded / empty (lb)"), parts=("gross_lb", "tare_lb"))}

    gross_lb = MeasuredField(kept="lb", label=_("Whole rig, loaded (lb)"), low=1, high=80_000)
    tare_lb = MeasuredField(kept="lb", label=_("Whole rig, empty (lb)"), high=80_000)
    cords = cords_field(_("Cords on it"))
    note = forms.CharField(label=_("Which scale"), max_length=200, required=False)


class HoldForm(forms.Form):
    """Wood set aside for somebody who phoned: promised, or tentative where it lapses on a day."""

    cords = cords_field(_("How much"))
    for_whom = forms.CharField(label=_("For whom"), max_length=60)
    lapses_on = DayField(
        label=_("Lapses on"), required=False, help_text=_("Tentative until then. Leave empty to promise it.")
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        return {**cleaned, "kind": "soft" if cleaned.get("lapses_on") else "firm"}


class SaleForm(forms.Form):
    sale = forms.ChoiceField(label=_("Offer it"), choices=SALES, widget=forms.RadioSelect)


class StorageForm(forms.Form):
    piling = forms.ChoiceField(label=_("How it lies"), choices=PILINGS)
    exposure = forms.ChoiceField(label=_("Where it lies"), choices=EXPOSURES)
    is_covered = forms.BooleanField(label=_("Top covered"), required=False)


class SortForm(MixFields):
    """A species taken out of a lot."""

    field_order = (
        "cords",
        "name",
        "wood_1",
        "percent_1",
        "wood",
        "start_moisture_pct",
        "on",
        "rest_is_pure",
        "wood_2",
        "percent_2",
        "wood_3",
        "percent_3",
    )

    cords = cords_field(_("How much was sorted out"))
    name = WoodName(label=_("Name of the new lot"), max_length=80)
    wood = forms.ChoiceField(label=_("Sold as"), choices=WOOD_WORDS, initial=Wood.HARDWOOD)
    start_moisture_pct = pin_field(
        _("Its moisture that day (% on the pin)"),
        required=False,
        help_text=_("Leave empty if nobody read it: it is then figured from the start of the lot."),
    )
    on = DayField(label=_("Day"), required=False)
    rest_is_pure = forms.BooleanField(label=_("What stays is free of it"), required=False, initial=True)


class MergeForm(forms.Form):
    into = forms.ChoiceField(label=_("Put it onto"))

    def __init__(self, *args: Any, lots: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].choices = list(lots)  # type: ignore[attr-defined]


class FactsForm(MixFields):
    """What was written down wrong when the lot was opened; its days are a table of steps."""

    DAYS = {
        "felled_on": _("Felled on"),
        "bucked_on": _("Bucked on"),
        "split_on": _("Split on"),
        "drying_from": _("Drying since"),
    }
    field_order = (
        "wood_1", "percent_1", "wood_2", "percent_2", "wood_3", "percent_3", "unit_id",
        *(f"on_{row}" for row in range(1, len(DAYS) + 1)), "start_moisture_pct",
    )  # fmt: skip

    unit_id = forms.TypedChoiceField(label=_("Cut on"), coerce=int, required=False, empty_value=None)
    start_moisture_pct = pin_field(_("Moisture then (% on the pin)"))

    def __init__(self, *args: Any, woods: Any, units: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer_woods(woods)
        self.fields["unit_id"].choices = [("", _("not said")), *units]  # type: ignore[attr-defined]
        for row, (step, label) in enumerate(self.DAYS.items(), start=1):
            self.fields[f"on_{row}"] = DayField(label=label, required=step == "drying_from")
            self.initial[f"on_{row}"] = self.initial.pop(step, None)
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        return cleaned | {step: cleaned.pop(f"on_{row}", None) for row, step in enumerate(self.DAYS, start=1)}


class DescribeForm(LineForm):
    lines = {
        "pieces": Line(
            label=_("Pieces: length x thickness (in)"),
            parts=("piece_inches", "across_inches"),
            between=(" x ",),
        )
    }
    name = WoodName(label=_("Name"), max_length=80)
    said_ready = WoodName(
        label=_("When it will be ready, in your words"),
        help_text=_("In Spanish too: fall 2027 / es: otoño de 2027"),
        max_length=80,
        required=False,
    )
    piece_inches = MeasuredField(kept="in", label=_("Length of pieces (in)"), low=4, high=400, places=1)
    across_inches = MeasuredField(
        kept="in", label=_("Thick (in)"), low=0.5, high=60, places=1, required=False
    )
    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea(attrs={"rows": 3}))


class GuessesForm(forms.Form):
    """The seller's own guesses for a heap: a table of steps and their hours, and a cord's price."""

    STEPS = {
        "split": _("Splitting, hours for all of it"),
        "heap": _("Stacking or spreading, hours"),
        "haul": _("Hauling, hours"),
        "deliver": _("Loading and delivering, hours"),
        "paper": _("Paper and phone, hours"),
    }
    price = RangeText(
        label=_("A dry cord of it brings ($)"),
        most=5000,
        example="240–260",
        help_text=_("Leave empty to use the price sheet."),
    )
    field_order = (*(f"hours_{row}" for row in range(1, 6)), "price")

    def __init__(self, *args: Any, cords: Fraction, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.cords = cords
        for row, (key, label) in enumerate(self.STEPS.items(), start=1):
            self.fields[f"hours_{row}"] = RangeText(label=label, most=500)
            self.initial.setdefault(f"hours_{row}", self.initial.get(key, ""))
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        """What was filled in: hours a cord by step, and the price as it is."""
        said = super().clean() or {}
        if not self.cords:
            raise forms.ValidationError(_("There is no wood here: correct the count first."))
        names = {f"hours_{row}": key for row, key in enumerate(self.STEPS, start=1)}
        told = {names.get(name, name): ends for name, ends in said.items() if ends is not None}
        return {
            "by_the_cord": {
                name: ends if name == "price" else tuple(end / self.cords for end in ends)
                for name, ends in told.items()
            }
        }


def _face(place: int) -> forms.DecimalField:
    """One fresh face of a reading, percent as the meter shows it; only the first must be read."""
    return pin_field(format_lazy(_("Face {place}"), place=place), low=LEAST_PIN, required=place == 1)


class ReadingForm(forms.Form):
    """Five fresh faces and the meter's basis."""

    face_1 = _face(1)
    face_2 = _face(2)
    face_3 = _face(3)
    face_4 = _face(4)
    face_5 = _face(5)
    basis = forms.ChoiceField(
        label=_("What the meter shows"),
        choices=[
            ("dry", _("dry basis: most pin meters")),
            ("wet", _("wet basis: share of the whole weight")),
        ],
        widget=forms.RadioSelect,
    )
    on = DayField(label=_("Read on"))
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    @property
    def faces(self) -> list[float]:
        read = [self.cleaned_data.get(f"face_{place}") for place in range(1, 6)]
        return [float(face) for face in read if face is not None]
