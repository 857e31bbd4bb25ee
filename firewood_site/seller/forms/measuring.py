"""Shapes and their sizes as typed in the yard: 42, 4'6", 16 in, 1.2 m."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.seller.forms.orders import DATE
from inventory.core import InventoryError
from inventory.core.units import parse_length

LENGTH = {"inputmode": "text", "autocomplete": "off"}
INCHES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A shape's name, its sizes in order, and the forms it can hold."""

    key: str
    words: str
    sizes: tuple[tuple[str, str, str], ...]  # name of the rule, label, example
    hint: str
    asks_form: bool = True


SHAPES = (
    Shape(
        key="stack",
        words="Stack",
        asks_form=False,
        sizes=(
            ("length", "Length", "32 ft"),
            ("height", "Height", "4 ft"),
            ("depth_in", "Piece length", "16 in"),
        ),
        hint="Rows stacked side to side. Measure the height in three places and take the middle one.",
    ),
    Shape(
        key="windrow",
        words="Long heap",
        sizes=(("length", "Length", "42 ft"), ("width", "Width", "12 ft"), ("height", "Height", "5 ft")),
        hint="A long heap with round ends.",
    ),
    Shape(
        key="cone",
        words="Round heap",
        sizes=(("width", "Width", "12 ft"), ("height", "Height", "5 ft")),
        hint="A heap dumped in one place.",
    ),
    Shape(
        key="trailer",
        words="Trailer",
        sizes=(
            ("length", "Box length", "12 ft"),
            ("width", "Box width", "6 ft"),
            ("side", "Filled to", "2 ft"),
            ("heap", "Heap above that", "1 ft"),
        ),
        hint="Thrown in loose. Heap is the middle of the crown above the level you filled to.",
    ),
    Shape(
        key="deck",
        words="Log deck",
        asks_form=False,
        sizes=(("length", "Length", "20 ft"), ("height", "Height", "4 ft"), ("depth", "Log length", "8 ft")),
        hint="Log length wood, decked. Length is along the road.",
    ),
)
BY_KEY = {shape.key: shape for shape in SHAPES}
FORMS = [
    ("splits", "splits"),
    ("rounds", "rounds"),
    ("splits_24", "24-inch splits"),
    ("stacked", "stacked level"),
]


class LengthText(forms.CharField):
    """Feet from what was typed; `bare_unit` is what a bare number means."""

    def __init__(self, *, bare_unit: str = "ft", may_be_zero: bool = False, **kwargs: Any) -> None:
        super().__init__(max_length=20, widget=forms.TextInput(attrs=LENGTH), **kwargs)
        self.bare_unit = bare_unit
        self.may_be_zero = may_be_zero

    def clean(self, value: Any) -> Any:
        words = super().clean(value).strip()
        if not words or (self.may_be_zero and words in ("0", "0.0")):
            return Fraction(0)
        if words.replace(".", "", 1).isdecimal():
            words = f"{words} {self.bare_unit}"
        try:
            return parse_length(words)
        except InventoryError as error:
            raise forms.ValidationError(str(error)) from error


class MeasureForm(forms.Form):
    """One shape's sizes, the form, the rig for a trailer, and the lot to save to."""

    on = forms.DateField(label="Measured on", widget=DATE, required=False)
    lot = forms.ChoiceField(label="Save to lot", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(
        self,
        typed: Any,
        *,
        shape: Shape,
        lots: Iterable[tuple[str, str]],
        rigs: Iterable[str] = (),
        **kwargs: Any,
    ) -> None:
        if typed is not None and "form" not in typed:
            typed = typed.copy()
            typed["form"] = "splits"
        super().__init__(typed, **kwargs)
        self.shape = shape
        for name, label, example in shape.sizes:
            bare = "in" if name == "depth_in" else "ft"
            self.fields[f"size_{name}"] = LengthText(
                label=f"{label} ({bare})", bare_unit=bare, may_be_zero=name == "heap", required=name != "heap"
            )
            self.fields[f"size_{name}"].widget.attrs["placeholder"] = example
        if shape.key == "stack":
            self.fields["cribbed_ends"] = forms.TypedChoiceField(
                label="Cribbed ends",
                coerce=int,
                choices=[("0", "none"), ("1", "one"), ("2", "two")],
                initial="0",
                required=False,
                empty_value=None,
            )
        if shape.asks_form:
            self.fields["form"] = forms.ChoiceField(
                label="What lies in it",
                choices=FORMS if shape.key == "trailer" else FORMS[:3],
                initial="splits",
            )
        if shape.key == "trailer":
            self.fields["rig"] = forms.ChoiceField(
                label="Whose heap number",
                choices=[("", "the usual figure"), *((name, name) for name in rigs)],
                required=False,
            )
        self.fields["lot"].choices = [("", "only reckon"), *lots]  # type: ignore[attr-defined]

    @property
    def sizes(self) -> dict[str, float]:
        """Sizes by the rule's names: feet, inches where the name says so."""
        found = {}
        for name, _, _ in self.shape.sizes:
            feet = self.cleaned_data.get(f"size_{name}") or Fraction(0)
            found[name] = float(feet * INCHES if name.endswith("_in") else feet)
        if self.shape.key == "stack":
            found["cribbed_ends"] = float(self.cleaned_data.get("cribbed_ends") or 0)
        return found

    @property
    def size_fields(self) -> list[Any]:
        return [self[f"size_{name}"] for name, _, _ in self.shape.sizes]

    @property
    def has_sizes(self) -> bool:
        """Whether anything to reckon with was typed."""
        return any(self.data.get(f"size_{name}", "").strip() for name, _, _ in self.shape.sizes)


class RestackForm(forms.Form):
    """What a loose load stacked to."""

    rig = forms.ChoiceField(label="Rig")
    form = forms.ChoiceField(label="What it carried", choices=FORMS[:3])
    loose_ft3 = forms.DecimalField(
        label="Loose, in the box (ft³)", min_value=1, max_value=2000, max_digits=6, decimal_places=2
    )
    length = LengthText(label="Stack length (ft)")
    height = LengthText(label="Stack height (ft)")
    depth = LengthText(label="Piece length (in)", bare_unit="in")
    on = forms.DateField(label="Stacked on", widget=DATE)
    reference = forms.CharField(label="Whose", max_length=60, required=False, help_text="order 156")

    def __init__(self, *args: Any, rigs: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rig"].choices = [(name, name) for name in rigs]  # type: ignore[attr-defined]
