"""Any fraction of a cord is an amount, wherever one is asked."""

import importlib
import inspect
from fractions import Fraction
from pathlib import Path

import pytest
from django import forms

from firewood_site.amounts import CordsText

ROOT = Path(__file__).resolve().parents[2]
FORMS = [*ROOT.glob("firewood_site/seller/forms/*.py"), ROOT / "firewood_site/customer/forms.py"]


def amounts():
    """Every field of every form that asks for an amount of wood."""
    for path in FORMS:
        module = importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
        for name, form in inspect.getmembers(module, inspect.isclass):
            if issubclass(form, forms.Form) and form.__module__ == module.__name__:
                for field_name, field in form.base_fields.items():
                    if isinstance(field, CordsText):
                        yield pytest.param(field, id=f"{name}.{field_name}")


@pytest.mark.parametrize("field", list(amounts()))
def test_five_sixths_and_seven_twelfths_are_amounts(field):
    if field.is_chip:
        pytest.skip("a button's own value, typed by nobody")

    assert [field.clean(said) for said in ("5/6", "7/12", "1 5/6")] == [
        Fraction(5, 6), Fraction(7, 12), Fraction(11, 6),
    ]  # fmt: skip


def test_the_amounts_of_the_trade_are_among_them():
    asked = {param.id for param in amounts()}

    assert {"LogForm.cords", "HoldForm.cords", "KeepForm.cords", "LossForm.cords", "HaulForm.cords"} <= asked
    assert len(asked) >= 12
