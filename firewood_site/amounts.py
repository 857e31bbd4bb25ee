"""Amounts and guesses as people type them, for customers and sellers alike."""

import re
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from inventory.core import InventoryError
from inventory.core.local import SIGNS, local
from inventory.core.units import BARE, format_cords, parse_cords, read_amount
from inventory.selectors.spoken import reader_language

SPAN = {"inputmode": "text", "autocomplete": "off"}


class Typed(str):
    """What somebody typed, shown again as it is."""

    __slots__ = ()


class CordsText(forms.CharField):
    """Cords as people write them: 1/3, 2/3, 1 1/2, .5; empty is none.

    A bare number is stacked cubic meters where the place counts those; is_chip: a button's own value, which
    is always cords.
    """

    is_chip = False

    def bound_data(self, data: Any, initial: Any) -> Any:
        return Typed(data) if isinstance(data, str) else data

    def prepare_value(self, value: Any) -> Any:
        """An amount of the books as it is read here; what was typed stays as typed."""
        if self.is_chip or isinstance(value, Typed) or value in (None, "") or not local().is_metric:
            return value
        try:
            return format_cords(parse_cords(str(value)))
        except InventoryError:
            return value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text.strip(" 0."):
            return Fraction(0)
        try:
            return parse_cords(text) if self.is_chip else read_amount(text)
        except InventoryError as error:
            if local().is_metric:
                text = _("Write an amount of wood in m³, such as 2 or 3.5.")
                raise forms.ValidationError(text) from error
            raise forms.ValidationError(error.text_in(reader_language())) from error


def _bare(text: str) -> str:
    """What was typed, without a currency's sign in front; a comma in it may be a decimal one."""
    return text.strip().lstrip("".join(SIGNS)).strip()


def in_cords(text: str) -> str:
    """An amount of an address, which is in cords, said so where a bare number is not."""
    return f"{text} cord" if local().is_metric and BARE.fullmatch(text) else text


def amount_shown(cords: Fraction) -> str:
    """An amount of the books as a field holds it: "5/6", or "3.02 m³" where the place counts those."""
    return format_cords(cords) if local().is_metric else str(cords)


class RangeText(forms.CharField):
    """A figure nobody measured: 2, or 1.5 to 3, or low / likely / high; gives the three, None when empty."""

    FIGURE = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
    BETWEEN = r"\s*(?:to|a|-|–|/|\s)\s*"
    SPAN = re.compile(f"{FIGURE}(?:{BETWEEN}{FIGURE})?(?:{BETWEEN}{FIGURE})?")

    def __init__(self, *, most: int, example: str = "1.5–3", required: bool = False, **more: Any) -> None:
        look = forms.TextInput(attrs=SPAN | {"placeholder": example})
        super().__init__(max_length=40, required=required, widget=look, **more)
        self.most = most

    def clean(self, value: Any) -> Any:
        text = _bare(super().clean(value))
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
