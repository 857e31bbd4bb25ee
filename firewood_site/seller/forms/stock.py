"""What the seller fills in about lots: opening one, and every change to it."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.amounts import RangeText
from firewood_site.seller.buyer_words import WoodName
from firewood_site.seller.forms.fields import (
    LEAST_PIN,
    CountText,
    DayField,
    cords_field,
    number_field,
    percent_field,
    pin_field,
)
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.core import InventoryError
from inventory.core.species import check_mix
from inventory.core.woods import ENGLISH_NAMES, Wood

WOOD_WORDS = [(str(key), name) for key, name in ENGLISH_NAMES.items()]
PILINGS = [("heaped", "heaped"), ("stacked", "stacked in a row"), ("loose", "loose"), ("decked", "decked")]
EXPOSURES = [
    ("sun_row", "sunny single row"),
    ("spread", "spread out one deep"),
    ("low_heap", "low loose heap"),
    ("deep_or_shade", "deep heap or shade"),
    ("under_roof", "under a roof"),
]
SALES = [("for_sale", "for sale"), ("not_yet", "not for sale yet"), ("own_use", "own use")]


class MixFields(forms.Form):
    """Up to three woods of a lot with their percents."""

    wood_1 = forms.ChoiceField(label="Wood")
    percent_1 = percent_field("Percent", low=1, initial=100)
    wood_2 = forms.ChoiceField(label="Second wood", required=False)
    percent_2 = percent_field("Its percent", required=False)
    wood_3 = forms.ChoiceField(label="Third wood", required=False)
    percent_3 = percent_field("Its percent", required=False)

    def offer_woods(self, choices: Iterable[tuple[str, str]]) -> None:
        woods = list(choices)
        for name in ("wood_1", "wood_2", "wood_3"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = woods if name == "wood_1" else [("", "none"), *woods]

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
                raise forms.ValidationError(str(error)) from error
        cleaned["mix"] = mix
        return cleaned


class KeepForm(forms.Form):
    cords = cords_field(
        "Keep for ourselves", kind=CountText, help_text="All that is kept after this. 0 keeps none."
    )


class BurnForm(forms.Form):
    cords = cords_field("Burned at home")


class LossForm(forms.Form):
    cords = cords_field("Lost in handling")
    reason = forms.CharField(
        label="What happened", max_length=200, required=False, help_text="Bark, rot, breakage."
    )


class ScaleForm(LineForm):
    """A load of one lot over a public scale."""

    lines = {"scale": Line(label="Whole rig: loaded / empty (lb)", parts=("gross_lb", "tare_lb"))}

    gross_lb = forms.IntegerField(label="Whole rig, loaded (lb)", min_value=1, max_value=80_000)
    tare_lb = forms.IntegerField(label="Whole rig, empty (lb)", min_value=0, max_value=80_000)
    cords = cords_field("Cords on it")
    note = forms.CharField(label="Which scale", max_length=200, required=False)


class HoldForm(forms.Form):
    """Wood set aside for somebody who phoned: promised, or tentative where it lapses on a day."""

    cords = cords_field("How much")
    for_whom = forms.CharField(label="For whom", max_length=60)
    lapses_on = DayField(
        label="Lapses on", required=False, help_text="Tentative until then. Empty: it is promised."
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        return {**cleaned, "kind": "soft" if cleaned.get("lapses_on") else "firm"}


class SaleForm(forms.Form):
    sale = forms.ChoiceField(label="Offer it", choices=SALES, widget=forms.RadioSelect)


class StorageForm(forms.Form):
    piling = forms.ChoiceField(label="How it lies", choices=PILINGS)
    exposure = forms.ChoiceField(label="Where it lies", choices=EXPOSURES)
    is_covered = forms.BooleanField(label="Top covered", required=False)


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

    cords = cords_field("How much was sorted out")
    name = WoodName(label="Name of the new lot", max_length=80)
    wood = forms.ChoiceField(label="Sold as", choices=WOOD_WORDS, initial=Wood.HARDWOOD)
    start_moisture_pct = pin_field(
        "Its moisture that day (% on the pin)",
        required=False,
        help_text="Leave empty if nobody read it: its drying is followed from where the lot began.",
    )
    on = DayField(label="Day", required=False)
    rest_is_pure = forms.BooleanField(label="What stays is free of it", required=False, initial=True)


class MergeForm(forms.Form):
    into = forms.ChoiceField(label="Put it onto")

    def __init__(self, *args: Any, lots: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].choices = list(lots)  # type: ignore[attr-defined]


class FactsForm(MixFields):
    """What was written down wrong when the lot was opened."""

    field_order = (
        "wood_1", "percent_1", "wood_2", "percent_2", "wood_3", "percent_3", "unit_id", "felled_on",
        "bucked_on", "split_on", "drying_from", "start_moisture_pct",
    )  # fmt: skip

    unit_id = forms.TypedChoiceField(label="Cut on", coerce=int, required=False, empty_value=None)
    felled_on = DayField(label="Felled on", required=False)
    bucked_on = DayField(label="Bucked on", required=False)
    split_on = DayField(label="Split on", required=False)
    drying_from = DayField(label="Drying since")
    start_moisture_pct = pin_field("Moisture then (% on the pin)")

    def __init__(self, *args: Any, woods: Any, units: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer_woods(woods)
        self.fields["unit_id"].choices = [("", "not said"), *units]  # type: ignore[attr-defined]


class DescribeForm(LineForm):
    lines = {
        "pieces": Line(
            label="Pieces: length x thickness (in)", parts=("piece_inches", "across_inches"), between=(" x ",)
        )
    }
    name = WoodName(label="Name", max_length=80)
    said_ready = WoodName(label="When it will be ready, in your words", max_length=80, required=False)
    piece_inches = forms.IntegerField(label="Length of pieces (in)", min_value=4, max_value=400)
    across_inches = number_field("Thick (in)", low=Decimal("0.5"), high=60, places=1, required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))


class GuessesForm(forms.Form):
    """The seller's own guesses for a heap: a table of steps and their hours, and a cord's price."""

    STEPS = {
        "split": "Splitting, hours for all of it",
        "heap": "Stacking or spreading, hours",
        "haul": "Hauling, hours",
        "deliver": "Loading and delivering, hours",
        "paper": "Paper and phone, hours",
    }
    price = RangeText(
        label="A dry cord of it brings ($)", most=5000, help_text="Empty: as on the price sheet."
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
            raise forms.ValidationError("Nothing lies here: put the count right first.")
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
    return pin_field(f"Face {place}", low=LEAST_PIN, required=place == 1)


class ReadingForm(forms.Form):
    """Five fresh faces and the meter's basis."""

    face_1 = _face(1)
    face_2 = _face(2)
    face_3 = _face(3)
    face_4 = _face(4)
    face_5 = _face(5)
    basis = forms.ChoiceField(
        label="What the meter shows",
        choices=[("dry", "dry basis: most pin meters"), ("wet", "wet basis: share of the whole weight")],
        widget=forms.RadioSelect,
    )
    on = DayField(label="Read on")
    note = forms.CharField(label="Note", max_length=300, required=False)

    @property
    def faces(self) -> list[float]:
        read = [self.cleaned_data.get(f"face_{place}") for place in range(1, 6)]
        return [float(face) for face in read if face is not None]
