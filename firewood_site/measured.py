"""Weights, lengths and heaps as people type them: in the unit of the place, or in another one named beside
the figure; the books keep lb, ft, in, ft3, acres and mph."""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.validators import DecimalValidator, MaxValueValidator, MinValueValidator
from django.utils.functional import lazy

from firewood_site.amounts import Typed
from inventory.core.local import local
from inventory.core.local_measures import bare_here, into_books, unit_here

UNITS = r"lbs?|kg|acres?|ac|ha|ft[3³]?|in|cm|m[3³]?|min|minutes|h|hours|mi|miles|km|%|[$€£]"
AROUND = re.compile(rf"^[$€£\s]+|\s*(?:{UNITS})\.?\s*$")  # a sign or a unit around a figure
NAMED = re.compile(r"(?<=[\d\s])(lbs?|kg|t|ft[3³]?|in|mm|cm|m[3³]?|l|mph|kmh|km/h|acres?|ac|ha)\.?\s*$")
FAR_TOO_MUCH = 10**9
NUMBER = {"autocomplete": "off", "inputmode": "decimal"}

# an example in the units of the place
in_place = lazy(lambda feet, meters: str(meters if local().is_metric else feet), str)


def bare_figure(said: str) -> str:
    """A figure as a field reads it: "$3,400" is 3400, "2,5 h" is 2.5."""
    return re.sub(r"(?<=\d),(?=\d)", ".", re.sub(r"(?<=\d),(?=\d{3}\b)", "", AROUND.sub("", said)))


class MeasuredField(forms.DecimalField):
    """A figure kept in a unit of the books.

    kept: a key of MEASURES; low, high: in that unit, both allowed; places: behind the point, 0 a whole
    number; unknown: what an empty field says.
    """

    def __init__(
        self, *, kept: str, low: float = 0, high: float, places: int = 0, unknown: Any = None, **more: Any
    ) -> None:
        more.setdefault("widget", forms.TextInput(attrs=NUMBER))
        super().__init__(**more)
        self.validators = [one for one in self.validators if not isinstance(one, DecimalValidator)]
        self.kept, self.low, self.high, self.places, self.unknown = kept, low, high, places, unknown

    def bound_data(self, data: Any, initial: Any) -> Any:
        return Typed(data) if isinstance(data, str) else data

    def prepare_value(self, value: Any) -> Any:
        """A figure of the books as it is read here; what was typed stays as typed."""
        if isinstance(value, Typed) or value in (None, ""):
            return value
        more = self.places if not local().is_metric else None
        return bare_here(value, self.kept, places=more).replace(",", "")

    def takes(self, unit: str) -> bool:
        """Whether the unit is one of what this field asks."""
        return into_books(Fraction(1), unit, kept=self.kept) is not None

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip()
        named = NAMED.search(text)
        if named and not self.takes(named[1]):
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        typed = super().to_python(bare_figure(text[: named.start()] if named else text))
        if typed is None:
            return self.unknown
        if not typed.is_finite() or abs(typed) > FAR_TOO_MUCH:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        unit = named[1] if named else unit_here(self.kept)
        exact = into_books(Fraction(typed), unit, kept=self.kept) or Fraction(0)
        figure = (Decimal(exact.numerator) / exact.denominator).quantize(
            Decimal(1).scaleb(-self.places), rounding=ROUND_HALF_UP
        )
        return figure if self.places else int(figure)

    def validate(self, value: Any) -> None:
        forms.Field.validate(self, value)  # whether it is asked; `to_python` refused what is no figure
        if value is None or value == self.unknown:
            return
        for is_wrong, limit, rule in (
            (value < self.low, self.low, MinValueValidator),
            (value > self.high, self.high, MaxValueValidator),
        ):
            if is_wrong:
                shown = {"limit_value": bare_here(limit, self.kept)}
                raise forms.ValidationError(rule.message, params=shown, code="limit")
