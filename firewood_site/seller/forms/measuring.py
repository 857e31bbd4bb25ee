"""Shapes and their sizes as typed in the yard: 42, 4'6", 16 in, 1.2 m."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import DayField, number_field
from inventory.core import InventoryError
from inventory.core.units import INCHES_PER_FOOT, parse_length

LENGTH = {"inputmode": "text", "autocomplete": "off"}
CLASSES = tuple(range(3, 13))  # inches of middle diameter: what thinning leaves
MAY_BE_EMPTY = {"heap", "small_in", "large_in", "middle_in"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A shape's name, its sizes in order, and the forms it can hold."""

    key: str
    label: str
    sizes: tuple[tuple[str, str, str], ...]  # name of the rule, label, example
    hint: str
    asks_form: bool = True
    is_solid: bool = False  # its ft3 are wood alone, no air between


SHAPES = (
    Shape(
        key="stack",
        label="Stack",
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
        label="Long heap",
        sizes=(("length", "Length", "42 ft"), ("width", "Width", "12 ft"), ("height", "Height", "5 ft")),
        hint="A long heap with round ends.",
    ),
    Shape(
        key="cone",
        label="Round heap",
        sizes=(("width", "Width", "12 ft"), ("height", "Height", "5 ft")),
        hint="A heap dumped in one place.",
    ),
    Shape(
        key="trailer",
        label="Trailer",
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
        label="Log deck",
        asks_form=False,
        sizes=(("length", "Length", "20 ft"), ("height", "Height", "4 ft"), ("depth", "Log length", "8 ft")),
        hint="Log length wood, decked. Length is along the road.",
    ),
    Shape(
        key="log",
        label="Single logs",
        asks_form=False,
        sizes=(
            ("small_in", "Small end", "6 in"),
            ("large_in", "Large end", "9 in"),
            ("middle_in", "Or the middle", "7.5 in"),
            ("length", "Log length", "8 ft"),
            ("count", "Logs like this", "1"),
        ),
        hint="Without bark. Both ends (Smalian), the middle alone (Huber), or all three, which is surest.",
        is_solid=True,
    ),
    Shape(
        key="log_list",
        label="Log list",
        asks_form=False,
        sizes=(
            ("length", "Log length", "8 ft"),
            *((f"d{inches}", f"{inches} in", "0") for inches in CLASSES),
        ),
        hint="How many logs of each thickness, taken at the middle. All of one length.",
        is_solid=True,
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
        typed = super().clean(value).strip()
        if not typed or (self.may_be_zero and typed in ("0", "0.0")):
            return Fraction(0)
        if typed.replace(".", "", 1).isdecimal():
            typed = f"{typed} {self.bare_unit}"
        try:
            return parse_length(typed)
        except InventoryError as error:
            raise forms.ValidationError(str(error)) from error


class MeasureForm(forms.Form):
    """One shape's sizes, the form, the rig for a trailer, and the lot to save to."""

    on = DayField(label="Measured on", required=False)
    lot = forms.ChoiceField(label="Save to lot", required=False)
    is_added = forms.ChoiceField(
        label="It is",
        choices=[("yes", "more wood: add it to the lot"), ("no", "all that lies there: replace the count")],
        required=False,
        widget=forms.RadioSelect,
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(
        self,
        typed: Any,
        *,
        shape: Shape,
        lots: Iterable[tuple[str, str]] = (),
        rigs: Iterable[str] = (),
        **kwargs: Any,
    ) -> None:
        if typed is not None and "form" not in typed:
            typed = typed.copy()
            typed["form"] = "splits"
        super().__init__(typed, **kwargs)
        self.shape = shape
        for name, label, example in shape.sizes:
            self.fields[f"size_{name}"] = (_count if _is_count(name) else _length)(name, label)
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
        self.fields["lot"].choices = [("", "estimate only"), *lots]  # type: ignore[attr-defined]

    @property
    def sizes(self) -> dict[str, float]:
        """Sizes by the rule's names: feet, inches where the name says so."""
        found = {}
        for name, _, _ in self.shape.sizes:
            size = self.cleaned_data.get(f"size_{name}") or Fraction(0)
            found[name] = float(size * INCHES_PER_FOOT if name.endswith("_in") else size)
        if self.shape.key == "stack":
            found["cribbed_ends"] = float(self.cleaned_data.get("cribbed_ends") or 0)
        return found

    @property
    def kind(self) -> str:
        """What lies in it, as the books keep it."""
        return self.cleaned_data.get("form") or ("stacked" if self.shape.key == "stack" else "logs")

    @property
    def size_fields(self) -> list[Any]:
        return [self[f"size_{name}"] for name, _, _ in self.shape.sizes]

    @property
    def class_fields(self) -> list[Any]:
        """Counts by diameter class, shown small and side by side."""
        return [field for field in self.size_fields if _is_class(field.name.removeprefix("size_"))]

    @property
    def length_fields(self) -> list[Any]:
        return [field for field in self.size_fields if not _is_class(field.name.removeprefix("size_"))]

    @property
    def has_sizes(self) -> bool:
        """Whether anything to reckon with was typed."""
        return any(self.data.get(f"size_{name}", "").strip() for name, _, _ in self.shape.sizes)


def _is_class(name: str) -> bool:
    """A diameter class: d3, d12."""
    return name[0] == "d" and name[1:].isdecimal()


def _is_count(name: str) -> bool:
    """How many logs there are, not how long something is: count, d3, d12."""
    return name == "count" or _is_class(name)


def _count(name: str, label: str) -> forms.Field:
    return forms.IntegerField(
        label=label,
        required=name == "count",
        min_value=1 if name == "count" else 0,
        max_value=5000,
        initial=1 if name == "count" else None,
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


def _length(name: str, label: str) -> forms.Field:
    unit, may_be_empty = "in" if name.endswith("_in") else "ft", name in MAY_BE_EMPTY
    return LengthText(
        label=f"{label} ({unit})", bare_unit=unit, may_be_zero=may_be_empty, required=not may_be_empty
    )


class RestackForm(forms.Form):
    """What a loose load stacked to."""

    rig = forms.ChoiceField(label="Rig")
    form = forms.ChoiceField(label="What it carried", choices=FORMS[:3])
    loose_ft3 = number_field("Loose, in the box (ft³)", low=1, high=2000)
    length = LengthText(label="Stack length (ft)")
    height = LengthText(label="Stack height (ft)")
    depth = LengthText(label="Piece length (in)", bare_unit="in")
    on = DayField(label="Stacked on")
    reference = forms.CharField(label="Whose", max_length=60, required=False, help_text="order 156")

    def __init__(self, *args: Any, rigs: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rig"].choices = [(name, name) for name in rigs]  # type: ignore[attr-defined]
