"""Database columns of our own: amounts of wood that keep thirds exact, sentences that keep their gaps."""

import json
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Value
from django.db.models.expressions import Combinable
from django.utils.translation import gettext_lazy

from inventory.core.kept import keep, kept
from inventory.core.sentences import Sentence
from inventory.core.units import UNITS_PER_CORD

KEPT = '{"say": '  # how a kept sentence begins
TYPED = "{typed}"  # nothing to put into another language


def to_units(cords: Fraction | int) -> int:
    """Whole units of 1/76,800 cord, the nearest one where the amount was measured and not counted."""
    return round(Fraction(cords) * UNITS_PER_CORD)


class CordsField(models.BigIntegerField):
    """Stacked cords of 128 ft3 (85 ft3 solid by default), read as Fraction, stored as whole units."""

    description = "cords of wood"
    # what the type checker's stubs look at
    _pyi_private_set_type: "Fraction | int | Combinable"  # type: ignore[assignment]  # ours, not IntegerField's
    _pyi_private_get_type: "Fraction"  # type: ignore[assignment]  # ours, not IntegerField's
    _pyi_lookup_exact_type: "Fraction | int"  # type: ignore[assignment]  # ours, not IntegerField's

    def from_db_value(self, value: int | None, expression: object, connection: object) -> Fraction | None:
        return None if value is None else Fraction(int(value), UNITS_PER_CORD)

    def to_python(self, value: Any) -> Fraction | None:
        if value is None or isinstance(value, Fraction):
            return value
        if isinstance(value, float):
            return Fraction(round(value * UNITS_PER_CORD), UNITS_PER_CORD)
        try:
            return Fraction(str(value))
        except (ValueError, ZeroDivisionError) as error:
            raise ValidationError(
                gettext_lazy("%(value)r is not an amount of wood: write cords such as 1/3."),
                params={"value": value},
            ) from error

    def get_prep_value(self, value: Any) -> int | None:
        cords = self.to_python(value)
        return None if cords is None else to_units(cords)

    @property
    def validators(self) -> list[Any]:  # BigInteger's own range check compares raw units, not cords
        return []

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.value_from_object(obj))

    def formfield(self, **kwargs: Any) -> Any:
        from django import forms

        return forms.CharField(required=not self.blank, label=self.verbose_name)


def cords_value(cords: Fraction | int) -> Value:
    """A literal amount for use inside an UPDATE or a filter expression."""
    return Value(Fraction(cords), output_field=CordsField())


class SentenceField(models.TextField):
    """A sentence of ours, kept to be worded in any language; what somebody typed stays as typed."""

    _pyi_private_set_type: Any
    _pyi_private_get_type: Any

    def from_db_value(self, value: str | None, expression: object, connection: object) -> Any:
        return self.from_text(value)

    def from_text(self, value: str | None) -> Any:
        """What a column or a row of exported books holds."""
        if not isinstance(value, str) or not value.startswith(KEPT):
            return value
        try:
            return kept(json.loads(value))
        except (ValueError, KeyError, TypeError):
            return value  # typed by somebody before sentences were kept

    def to_python(self, value: Any) -> Any:
        return value  # what is typed is never read as a sentence

    def get_prep_value(self, value: Any) -> Any:
        if isinstance(value, str) and value.startswith(KEPT):  # typed, and never a sentence to be filled
            value = Sentence(TYPED, {"typed": value})
        return json.dumps(keep(value), ensure_ascii=False) if isinstance(value, Sentence) else value

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.get_prep_value(self.value_from_object(obj)))
