"""Shapes a tape goes round, and what a restack teaches."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from firewood_site.measured import MeasuredField, in_place
from firewood_site.seller.forms.fields import DayField
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.core import InventoryError
from inventory.core.local_measures import unit_here
from inventory.core.sizes import order_words
from inventory.core.units import parse_length
from inventory.selectors.spoken import reader_language

LENGTH = {"inputmode": "text", "autocomplete": "off"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A shape's name, how it lies, and what is written of it in which order."""

    key: str
    label: Any  # worded when it is shown, as the hint
    hint: Any

    @property
    def order(self) -> str:
        return order_words(self.key)


SHAPES = (
    Shape(key="windrow", label=_("Long heap"), hint=_("A long heap with round ends.")),
    Shape(key="cone", label=_("Round heap"), hint=_("A heap dumped in one place.")),
    Shape(
        key="stack",
        label=pgettext_lazy("shape", "Stack"),
        hint=_("Rows side to side. After the sizes: 2 cribbed ends, if there are."),
    ),
    Shape(key="trailer", label=_("Trailer"), hint=_("Thrown in loose. The heap is the middle of its crown.")),
    Shape(key="deck", label=_("Log deck"), hint=_("Log length wood, decked. Length is along the road.")),
    Shape(
        key="log",
        label=_("Logs"),
        hint=in_place(
            _(
                "Without bark. One thickness by its middle (7.5), both ends (6-9) or all three "
                "(6-7.5-9); several by their middle."
            ),
            _(
                "Without bark. One thickness by its middle (19), both ends (15-23) or all three "
                "(15-19-23); several by their middle."
            ),
        ),
    ),
)
FORMS = [
    ("splits", _("splits")),
    ("rounds", _("rounds")),
    ("splits_24", in_place(_("24-inch splits"), _("60 cm splits"))),
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
            typed = f"{typed} {unit_here(self.bare_unit)}"
        try:
            return parse_length(typed)
        except InventoryError as error:
            raise forms.ValidationError(error.text_in(reader_language())) from error


class RestackForm(LineForm):
    """What a loose load stacked to."""

    lines = {
        "stack": Line(
            label=_("Loose in the box (ft³), and the stack: length x height x length of a piece"),
            parts=("loose_ft3", "length", "height", "depth"),
            between=(" to ", " x "),
            help_text=in_place(
                _("180 to 22 x 4 x 16 in: a stack 22 ft long, 4 ft high, 16-inch pieces."),
                "5.1 to 6.7 x 1.2 x 41 cm",
            ),
        )
    }

    rig = forms.ChoiceField(label=_("Rig"))
    form = forms.ChoiceField(label=_("What it carried"), choices=FORMS)
    loose_ft3 = MeasuredField(kept="ft3", label=_("Loose, in the box (ft³)"), low=1, high=2000, places=2)
    length = LengthText(label=_("Stack length (ft)"))
    height = LengthText(label=_("Stack height (ft)"))
    depth = LengthText(label=_("Piece length (in)"), bare_unit="in")
    on = DayField(label=_("Stacked on"))
    note = forms.CharField(label=_("Whose"), max_length=60, required=False, help_text=_("order 156"))

    def __init__(self, *args: Any, rigs: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rig"].choices = [(name, name) for name in rigs]  # type: ignore[attr-defined]
