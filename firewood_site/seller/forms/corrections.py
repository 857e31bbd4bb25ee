"""An order as it should be: what the seller may put right on it, and nothing that its state forbids."""

import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.seller.buyer_words import BuyerName
from firewood_site.seller.forms.fields import CordsText, DayField, cords_field, dollars_field
from inventory.core.woods import Wood
from orders.core.access import WAYS, access_keys
from orders.core.corrections import MAY_CHANGE, THERE, Part
from orders.core.lifecycle import State
from orders.core.order_request import How
from orders.selectors.orders import OrderView

SMALL = "small_rig_only"  # told with the lane: it is a matter of the same turns
NAME_AND_PHONE = re.compile(r"([^\d+(]*)(.*)")  # a phone begins with its first figure, + or (
KEEP, ANEW, AGREED = "keep", "anew", "agreed"
LAID = [("drop", _("delivered, dumped")), ("stack", _("delivered, stacked")), ("pick_up", _("pickup"))]


class CorrectForm(forms.Form):
    """What is not asked or not sent stays as it is."""

    town = forms.ChoiceField(label=_("Town"), required=False)
    address = forms.CharField(label=_("Street and number"), max_length=200, required=False)
    drop_spot = BuyerName(label=_("Drop spot"), max_length=200, required=False)
    gate_code = forms.CharField(label=_("Gate code"), max_length=40, required=False)
    ticked = forms.MultipleChoiceField(
        label=_("Lane"),
        required=False,
        choices=[*((key, _(words)) for key, words in WAYS.items()), (SMALL, _("Small trailer only"))],
    )
    access_note = forms.CharField(label=_("Access"), max_length=300, required=False)
    first_on = DayField(label=_("From day"))
    last_on = DayField(label=_("To day"))
    choice = forms.ChoiceField(label=_("Wood"), required=False)
    amount = cords_field(_("How much"), required=False)
    bundles = forms.IntegerField(label=_("Kindling bundles"), required=False, min_value=0, max_value=500)
    laid = forms.ChoiceField(label=_("How"), choices=LAID, required=False)
    price = forms.ChoiceField(
        label=_("Price"),
        required=False,
        widget=forms.RadioSelect,
        choices=[
            (KEEP, _("keep it")),
            (ANEW, _("figure it again, at the prices of the day they asked")),
            (AGREED, _("as agreed with them:")),
        ],
    )
    dollars = dollars_field(_("Agreed price, tax included ($)"), required=False)
    whose = forms.CharField(
        label=_("Their name, their phone"), max_length=120, required=False, help_text="Ada Lind, 541 555 0188"
    )

    def __init__(
        self,
        data: Any = None,
        *,
        view: OrderView,
        woods: Iterable[tuple[str, str]],
        towns: Iterable[tuple[str, str]],
        town: str,
        lots: dict[str, Fraction],
    ) -> None:
        super().__init__(data, initial=_as_it_is(view, town))
        self.fields["choice"].choices = list(woods)  # type: ignore[attr-defined]
        self.fields["town"].choices = [("", _("Town")), *towns]  # type: ignore[attr-defined]
        for name in ("choice", "amount", "laid", "town", "dollars"):
            self.fields[name].is_asked = True  # type: ignore[attr-defined]
        may = MAY_CHANGE[State(view.state)]
        if Part.DAYS not in may:
            del self.fields["first_on"], self.fields["last_on"]
        self.lots = dict(lots) if Part.LOTS in may else {}
        for code, cords in self.lots.items():
            self.fields[f"lot-{code}"] = CordsText(
                label=code, required=False, max_length=20, initial=str(cords) if cords else ""
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, field in self.fields.items():
            is_tick = isinstance(field, forms.BooleanField | forms.MultipleChoiceField)
            if not is_tick and name not in self.data and name in self.initial:
                cleaned[name] = self.initial[name]
        if cleaned.get("first_on") and cleaned.get("last_on") and cleaned["last_on"] < cleaned["first_on"]:
            self.add_error("last_on", _("It ends before it begins: write a later day."))
        if cleaned.get("price") == AGREED and cleaned.get("dollars") is None and "dollars" not in self.errors:
            self.add_error("dollars", _("Write the price you agreed."))
        cleaned["small_rig_only"] = SMALL in cleaned.get("ticked", ())
        cleaned["ticked"] = [key for key in cleaned.get("ticked", ()) if key != SMALL]
        whose = NAME_AND_PHONE.fullmatch(cleaned.get("whose", ""))  # none where it was refused as too long
        name, phone = (text.strip(" ,;:") for text in whose.groups())  # type: ignore[union-attr]
        if bool(name) != bool(phone):
            self.add_error("whose", _("Write both the name and the phone of whoever it is for."))
        cleaned |= {"whose_name": name, "whose_phone": phone}
        wood = str(cleaned.get("choice", "")).partition(":")[0]
        if wood != Wood.KINDLING and not cleaned.get("amount") and "amount" not in self.errors:
            self.add_error("amount", _("Write how much, such as 1/2 cord."))
        return cleaned

    def picked(self) -> dict[str, Fraction]:
        """Lot to cords as typed, empty ones left out."""
        amounts = {
            code: self.cleaned_data[f"lot-{code}"] if f"lot-{code}" in self.data else cords
            for code, cords in self.lots.items()
        }
        return {code: amount for code, amount in amounts.items() if amount}

    @property
    def lot_fields(self) -> list[forms.BoundField]:
        return [self[f"lot-{code}"] for code in self.lots]


def _as_it_is(view: OrderView, town: str) -> dict[str, Any]:
    laid = "pick_up" if view.how == How.PICK_UP else "stack" if view.stacked else "drop"
    is_there = State(view.state) in THERE
    return {
        "town": town,
        "address": view.place.address,
        "drop_spot": view.place.drop_spot,
        "gate_code": view.place.gate_code,
        "ticked": [*access_keys(view.place.access), *([SMALL] if view.small_rig_only else [])],
        "access_note": view.place.access_note,
        "first_on": view.promise.first_on,
        "last_on": view.promise.last_on,
        "choice": f"{view.wood}:{view.dryness}",
        "amount": (view.delivered_cords if is_there else None) or view.cords,
        "bundles": view.bundles,
        "laid": laid,
        "price": KEEP,
        "dollars": Decimal(view.price.total),
    }
