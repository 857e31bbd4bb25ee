"""Amounts and guesses as people type them, for customers and sellers alike."""

import re
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from inventory.core import InventoryError
from inventory.core.units import parse_cords

SPAN = {"inputmode": "text", "autocomplete": "off", "placeholder": "1.5–3"}


class CordsText(forms.CharField):
    """Cords as people write them: 1/3, 2/3, 1 1/2, .5; empty is none."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text.strip(" 0."):
            return Fraction(0)
        try:
            return parse_cords(text)
        except InventoryError as error:
            is_english = (get_language() or "en").startswith("en")
            text = str(error) if is_english else _("Write an amount of wood in cords, such as 5/6 or 1 1/2.")
            raise forms.ValidationError(text) from error


class RangeText(forms.CharField):
    """A figure nobody measured: 2, or 1.5 to 3, or low / likely / high; gives the three, None when empty."""

    FIGURE = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
    BETWEEN = r"\s*(?:to|a|-|–|/|\s)\s*"
    SPAN = re.compile(f"{FIGURE}(?:{BETWEEN}{FIGURE})?(?:{BETWEEN}{FIGURE})?")

    def __init__(self, *, most: int, required: bool = False, **more: Any) -> None:
        super().__init__(max_length=40, required=required, widget=forms.TextInput(attrs=SPAN), **more)
        self.most = most

    def clean(self, value: Any) -> Any:
        text = super().clean(value).strip().lstrip("$")
        if not text:
            return None
        match = self.SPAN.fullmatch(text)
        if match is None:
            raise forms.ValidationError(_("Write one figure, such as 2, or two, such as 1.5 to 3."))
        told = [Fraction(figure.replace(",", ".")) for figure in match.groups() if figure]
        low, high = told[0], told[-1]
        likely = told[1] if len(told) == 3 else (low + high) / 2
        if not low <= likely <= high or high > self.most:
            text = _("Write the smaller figure first, and no more than %(most)s.")
            raise forms.ValidationError(text % {"most": f"{self.most:,}"})
        return low, likely, high
