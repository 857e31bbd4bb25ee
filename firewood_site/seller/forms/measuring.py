"""Shapes a tape goes round, and what a restack teaches."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import DayField, number_field
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.core import InventoryError
from inventory.core.sizes import WORDS
from inventory.core.units import parse_length

LENGTH = {"inputmode": "text", "autocomplete": "off"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A shape's name, how it lies, and what is written of it in which order."""

    key: str
    label: str
    hint: str

    @property
    def order(self) -> str:
        return WORDS[self.key]


SHAPES = (
    Shape(key="windrow", label="Long heap", hint="A long heap with round ends."),
    Shape(key="cone", label="Round heap", hint="A heap dumped in one place."),
    Shape(
        key="stack",
        label="Stack",
        hint="Rows side to side. After the sizes: 2 cribbed ends, if there are.",
    ),
    Shape(key="trailer", label="Trailer", hint="Thrown in loose. The heap is the middle of its crown."),
    Shape(key="deck", label="Log deck", hint="Log length wood, decked. Length is along the road."),
    Shape(
        key="log",
        label="Logs",
        hint="Without bark. One thickness by its middle (7.5), both ends (6-9) or all three "
        "(6-7.5-9); several by their middle.",
    ),
)
FORMS = [
    ("splits", "splits"),
    ("rounds", "rounds"),
    ("splits_24", "24-inch splits"),
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


class RestackForm(LineForm):
    """What a loose load stacked to."""

    lines = {
        "stack": Line(
            label="The stack: length x height x length of a piece",
            parts=("length", "height", "depth"),
            between=(" x ",),
            help_text="22 x 4 x 16 in",
        )
    }

    rig = forms.ChoiceField(label="Rig")
    form = forms.ChoiceField(label="What it carried", choices=FORMS)
    loose_ft3 = number_field("Loose, in the box (ft³)", low=1, high=2000)
    length = LengthText(label="Stack length (ft)")
    height = LengthText(label="Stack height (ft)")
    depth = LengthText(label="Piece length (in)", bare_unit="in")
    on = DayField(label="Stacked on")
    note = forms.CharField(label="Whose", max_length=60, required=False, help_text="order 156")

    def __init__(self, *args: Any, rigs: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rig"].choices = [(name, name) for name in rigs]  # type: ignore[attr-defined]
