"""Fields several of the seller's forms ask for, each with its bounds and its keyboard written once.

A number has a least and a most here, so that no typed figure is larger than its column or any use of it.
"""

import re
from calendar import month_abbr, month_name
from datetime import date, time
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.functional import lazy
from django.utils.translation import gettext_lazy as _

from firewood_site.amounts import CordsText, Typed
from firewood_site.measured import in_place
from firewood_site.seller.query_values import is_near
from firewood_site.templatetags.firewood import clock
from inventory.core.local import local
from inventory.core.units import cord_units

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
HOUR = re.compile(r"(\d{1,2})(?::([0-5]\d)(?::[0-5]\d)?)?\s*(?:([ap])\.?\s?m\.?)?", re.IGNORECASE)
NOON = 12
MONEY = {"inputmode": "decimal", "autocomplete": "off"}
NUMBER = MONEY
AMOUNT = {"inputmode": "text", "autocomplete": "off", "placeholder": in_place("1/2", "2")}
MOST_DOLLARS = 100_000  # of one price, bill or receipt
NO_LEAP_YEAR = 2001  # a day that comes every year
LEAST_PIN, MOST_PIN = 3, 200  # what a moisture meter and green wood can show, percent on the pin


class CountText(CordsText):
    """Cords that may be none: an empty lot is counted as 0."""

    def clean(self, value: Any) -> Any:
        return Fraction(0) if str(value or "").strip() in ("0", "none", "0.0") else super().clean(value)


class CountOrNothing(CordsText):
    """Cords that may be none, 0, or not said: None."""

    def clean(self, value: Any) -> Any:
        text = str(value or "").strip()
        return Fraction(0) if text in ("0", "none", "0.0") else super().clean(value) or None


class DayField(forms.DateField):
    """A day of this trade; a slip in the year is refused with its reason."""

    widget = DATE

    def clean(self, value: Any) -> Any:
        on = super().clean(value)
        if on is not None and not is_near(on):
            raise forms.ValidationError(_("That day is too far off: look at the year again."))
        return on


class ClockField(forms.TimeField):
    """An hour of the day as people write it, 7 am or 13:30; shown as the pages write hours."""

    def prepare_value(self, value: Any) -> Any:
        return clock(time.fromisoformat(value) if isinstance(value, str) else value)

    def to_python(self, value: Any) -> Any:
        said = HOUR.fullmatch(str(value or "").strip())
        if isinstance(value, time) or not said:
            return super().to_python(value)
        hour, minute, half = int(said[1]), int(said[2] or 0), (said[3] or "").lower()
        if (half and not 1 <= hour <= NOON) or hour >= 2 * NOON:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return time(hour % NOON + NOON * (half == "p") if half else hour, minute)


def with_half_of_day(text: str, end: str) -> str:
    """An hour as it is meant before another one: the first of "1 to 5 pm" is 1 pm, that of "7 to 5 pm" 7."""
    begins, ends = HOUR.fullmatch(text.strip()), HOUR.fullmatch(end.strip())
    is_afternoon = ends is not None and (ends[3] or "").lower() == "p"
    if begins is None or ends is None or begins[3] or not is_afternoon:
        return text
    return f"{text.strip()} pm" if 0 < int(begins[1]) < int(ends[1]) % NOON else text


def hours_example(words: Any) -> Any:
    """An example with hours in it, {7} and {13}, each written as the pages write hours."""
    return lazy(lambda: re.sub(r"\{(\d+)\}", lambda hour: clock(time(int(hour[1]))), str(words)), str)()


class DayOfYear(forms.CharField):
    """A month and a day as people say them, October 5 or 10/5; cleaned as their numbers."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=30, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)

    @staticmethod
    def text(month: int, day: int) -> str:
        return f"{month_name[month]} {day}"

    def clean(self, value: Any) -> Any:
        said = super().clean(value)
        named = [month for month in range(1, 13) if month_abbr[month].lower() in said.lower()]
        figures = [int(figure) for figure in re.findall(r"\d{1,2}", said)]
        try:
            month, day = (*named, *figures)  # two months, or a year behind, are no day of every year
            date(NO_LEAP_YEAR, month, day)
        except ValueError:
            raise forms.ValidationError("Write a month and a day of it, such as October 5.") from None
        return month, day


def cords_field(label: Any, *, kind: type[CordsText] = CordsText, **more: Any) -> CordsText:
    """An amount of wood in words: 1/2, 2 1/3, 6.05."""
    return kind(label=label, max_length=20, widget=forms.TextInput(attrs=AMOUNT), **more)


def number_field(
    label: Any,
    *,
    low: Decimal | float = 0,
    high: Decimal | float,
    places: int = 2,
    kind: type[forms.DecimalField] = forms.DecimalField,
    **more: Any,
) -> forms.DecimalField:
    """A figure between two ends, both allowed."""
    return kind(
        label=label,
        min_value=Decimal(str(low)),
        max_value=Decimal(str(high)),
        decimal_places=places,
        widget=forms.NumberInput(attrs=NUMBER),
        **more,
    )


class RoadField(forms.DecimalField):
    """Miles, or dollars a mile, typed and shown by the km where the place counts those. each: a rate."""

    each = False

    def _share(self) -> Decimal:
        return self._units() if self.each else 1 / self._units()

    def _units(self) -> Decimal:
        return local().distance(Decimal(1))

    def bound_data(self, data: Any, initial: Any) -> Any:
        return Typed(data) if isinstance(data, str) else data

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Typed) or value in (None, "") or not local().is_metric:
            return value
        return self._rounded(Decimal(str(value)) / self._share())

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        return self._rounded(typed * self._share()) if typed is not None and local().is_metric else typed

    def _rounded(self, figure: Decimal) -> Decimal:
        return figure.quantize(Decimal(1).scaleb(-(self.decimal_places or 0)), rounding=ROUND_HALF_UP)


class WoodField(RoadField):
    """Cords, or a rate by the cord, typed and shown by the stacked m³ where the place counts those."""

    def _units(self) -> Decimal:
        return cord_units()


def wood_field(label: Any, *, each: bool = False, **more: Any) -> Any:
    """Cords as a plain figure, or what one costs or takes where `each`, in the unit of the place."""
    field = number_field(label, kind=WoodField, **more)
    field.each = each  # type: ignore[attr-defined]
    return field


def road_field(label: Any, *, each: bool = False, **more: Any) -> Any:
    """Miles, or what one costs where `each`, in the unit of the place."""
    field = number_field(label, kind=RoadField, **more)
    field.each = each  # type: ignore[attr-defined]
    return field


def dollars_field(
    label: Any, *, low: Decimal | float = 0, high: Decimal | float = MOST_DOLLARS, **more: Any
) -> Any:
    """Money, to the cent."""
    return number_field(label, low=low, high=high, **more)


def percent_field(label: Any, *, low: float = 0, high: float = 100, **more: Any) -> forms.DecimalField:
    """A percent, to a tenth."""
    return number_field(label, low=low, high=high, places=1, **more)


def pin_field(label: Any, *, low: float = 5, **more: Any) -> forms.DecimalField:
    """Moisture as most meters show it: percent of the dry weight."""
    return percent_field(label, low=low, high=MOST_PIN, **more)


def hours_field(
    label: Any, *, low: Decimal | float = 0, high: float = 400, **more: Any
) -> forms.DecimalField:
    return number_field(label, low=low, high=high, **more)
